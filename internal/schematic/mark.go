package schematic

import (
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
	"foilside/internal/quantity"
)

// textSize is the size of all lettering: capitals of 1.5 mm.
const textSize = 8

// markArms lists ways for a rail's lead to its mark, the shortest first: the
// corners of the wire from the lead, the last being the mark's place.
func markArms(at cell, out, want Side) [][]cell {
	var all [][]cell
	first := at.add(out.step())
	for k := 1; k <= 8; k++ {
		switch {
		case out == want:
			all = append(all, []cell{at, at.add(out.step().times(k))})
		case out != want.opposite():
			for j := 1; j <= k; j++ {
				corner := at.add(out.step().times(j))
				all = append(all, []cell{at, corner, corner.add(want.step().times(k - j + 1))})
			}
		default: // the lead leads the wrong way: round the symbol
			for j := 2; j <= 6; j++ {
				for _, side := range []int{j, -j} {
					corner := first.add(cell{side, 0})
					all = append(all, []cell{at, first, corner, corner.add(want.step().times(k))})
				}
			}
		}
	}
	return all
}

// railMark draws the mark of a rail at a place.
func (v *netView) railMark(net int, at Point, ruler *lettering.Ruler) (Mark, []Text) {
	id := v.nets[net].ID
	if v.rail[net] == commonRail {
		return commonMark(id, at), nil
	}
	m := Mark{Net: id, Kind: SupplyMark, At: at}
	d := &pen{}
	d.line(at.X-6, at.Y, at.X+6, at.Y)
	m.Strokes = d.strokes
	m.Box = Box{at.X - 6, at.Y, 12, 0}
	name := v.railName(net)
	w := ruler.Width(name, lettering.Plain, textSize)
	base := at.Y - 3
	if v.rail[net] == negativeRail {
		base = at.Y + 3 + textSize*lettering.Ascent
	}
	return m, []Text{{Text: name, Role: NetText, Size: textSize, At: Point{at.X - w/2, base}, Box: textBox(at.X-w/2, base, w), Net: id}}
}

func textBox(x, base, w float64) Box {
	return Box{x, base - textSize*lettering.Ascent, w, textSize * (lettering.Ascent + lettering.Descent)}
}

// railName is what a supply is called: its voltage where it is known, its
// name where that says something, both where both do.
func (v *netView) railName(net int) string {
	id := string(v.nets[net].ID)
	if !v.known[net] {
		return id
	}
	volts := quantity.Format(v.volts[net], quantity.Volt, 3)
	if v.volts[net] > 0 {
		volts = "+" + volts
	}
	volts = strings.Replace(volts, "-", "−", 1)
	for j := range v.nets { // two nets of one voltage need their names
		if j != net && v.known[j] && v.volts[j] == v.volts[net] && v.rail[j] != noRail {
			return id + " " + volts
		}
	}
	return volts
}

// commonMark is the earth sign of three lines, or the frame sign with three
// slanted feet for a chassis.
func commonMark(id circuit.NetID, at Point) Mark {
	d := &pen{}
	x, y := at.X, at.Y
	if s := strings.ToLower(string(id)); s == "chassis" || s == "frame" {
		d.line(x-7, y, x+7, y)
		for _, dx := range []float64{-6, 0, 6} {
			d.line(x+dx, y, x+dx-4, y+5)
		}
	} else {
		d.line(x-7, y, x+7, y)
		d.line(x-4.5, y+3, x+4.5, y+3)
		d.line(x-2, y+6, x+2, y+6)
	}
	return Mark{Net: id, Kind: CommonMark, At: at, Strokes: d.strokes, Box: strokeBox(d.strokes)}
}
