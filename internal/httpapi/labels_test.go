package httpapi

import (
	"bytes"
	"image/png"
	"testing"

	"foilside/internal/copper"
)

// TestLabelPicture writes nets as colours and reads them back as the page does,
// on either side of what a palette holds.
func TestLabelPicture(t *testing.T) {
	for _, row := range []struct {
		name string
		nets int
	}{{"no net", 0}, {"a board's nets", 40}, {"as many as a palette holds", 255}, {"one more", 256}, {"thousands", 70000}} {
		t.Run(row.name, func(t *testing.T) {
			l := copper.Labels{W: 300, H: 240, Scale: 1, Of: make([]copper.NetID, 300*240)}
			for i := range l.Of {
				l.Of[i] = copper.NetID(i % (row.nets + 1))
			}
			var b bytes.Buffer
			if err := png.Encode(&b, labelPicture(l)); err != nil {
				t.Fatal(err)
			}
			got, err := png.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			for i, want := range l.Of {
				r, g, blue, _ := got.At(i%l.W, i/l.W).RGBA()
				if id := copper.NetID(r>>8<<16 | g>>8<<8 | blue>>8); id != want {
					t.Fatalf("pixel %d reads as net %d, want %d", i, id, want)
				}
			}
		})
	}
}
