package httpapi

import (
	"encoding/binary"
	"slices"
	"testing"

	"foilside/internal/copper"
)

// TestLabelRuns writes nets as runs and reads them back as the page does.
func TestLabelRuns(t *testing.T) {
	for _, row := range []struct {
		name string
		net  func(i int) int
	}{
		{"no net", func(int) int { return 0 }},
		{"one net over all rows", func(int) int { return 7 }},
		{"another at every pixel", func(i int) int { return i % 3 }},
		{"thousands of nets", func(i int) int { return i / 10 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := copper.Labels{W: 300, H: 240, Scale: 2, Of: make([]copper.NetID, 300*240)}
			for i := range l.Of {
				l.Of[i] = copper.NetID(row.net(i))
			}
			wire := labelsWire(l)
			var got []copper.NetID
			for rest := wire.Runs; len(rest) > 0; {
				count, n := binary.Uvarint(rest)
				id, m := binary.Uvarint(rest[n:])
				rest = rest[n+m:]
				got = append(got, slices.Repeat([]copper.NetID{copper.NetID(id)}, int(count))...)
			}
			if !slices.Equal(got, l.Of) || wire.Width != l.W || wire.Height != l.H || wire.Step != l.Scale {
				t.Errorf("%d × %d labels come back as %d", l.W, l.H, len(got))
			}
		})
	}
}
