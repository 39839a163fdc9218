package httpapi

import (
	"encoding/binary"

	"foilside/internal/copper"
)

// labelsWire writes labels as runs. A board's copper changes its net a few
// dozen times along a row, so that runs take a hundredth of the pixels' room
// and no time to pack, which a picture of them does.
func labelsWire(l copper.Labels) Labels {
	out := Labels{Width: l.W, Height: l.H, Step: l.Scale}
	for i := 0; i < len(l.Of); {
		id, start := l.Of[i], i
		for i < len(l.Of) && l.Of[i] == id {
			i++
		}
		out.Runs = binary.AppendUvarint(out.Runs, uint64(i-start))
		out.Runs = binary.AppendUvarint(out.Runs, uint64(id))
	}
	return out
}
