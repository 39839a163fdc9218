package copper

import (
	"math"

	"foilside/internal/copper/pixelnet"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// jointMarks is what the pixel network says of joints.
type jointMarks struct {
	heat, dx, dy raster.Plane // as in pixelnet.Seen
	solder       raster.Mask  // solder or hole: 1
}

func newJointMarks(seen pixelnet.Seen) jointMarks {
	solder, hole := seen.Class[pixelnet.Solder], seen.Class[pixelnet.Hole]
	m := raster.NewMask(solder.W, solder.H)
	for i, v := range solder.Pix {
		if int(v)+int(hole.Pix[i]) >= 128 {
			m.Pix[i] = 1
		}
	}
	return jointMarks{seen.Joint, seen.DX, seen.DY, m.Closed(1)}
}

// Scales of the network's word on joints, in log odds. Chosen on the first 16
// boards of the study tuned (TestNetsOfRenderedBoards), where half of the domes
// at 0.7 were joints, and half of the peaks without one at 2.
const (
	// jointLeast is the log odds from which a place is taken for a joint.
	jointLeast = 2.0
	// domeWorth is what it adds that the solder is domed there.
	domeWorth = 1.3
	// heatReach is how far in working pixels around a place its mark may lie.
	heatReach = 6.0
)

// near is the most that is said for a joint within heatReach of a place.
func (m jointMarks) near(at geom.Point) float64 {
	best := math.Inf(-1)
	for y := cellOf(at.Y-heatReach, m.heat.H); y <= cellOf(at.Y+heatReach, m.heat.H); y++ {
		for x := cellOf(at.X-heatReach, m.heat.W); x <= cellOf(at.X+heatReach, m.heat.W); x++ {
			best = max(best, float64(m.heat.At(x, y)))
		}
	}
	return best
}

func cellOf(v float64, n int) int { return clampInt(int(v)/pixelnet.Cell, n) }

// peaks are the places where the network by itself sees a joint, each with the
// radius given.
func (m jointMarks) peaks(radius float64) []blob {
	var out []blob
	for y := 1; y < m.heat.H-1; y++ {
		for x := 1; x < m.heat.W-1; x++ {
			v := m.heat.At(x, y)
			if v < jointLeast || !peak(m.heat, x, y, v) {
				continue
			}
			at := geom.Point{X: middle(x) + float64(m.dx.At(x, y)), Y: middle(y) + float64(m.dy.At(x, y))}
			out = append(out, blob{at, radius, float64(v)})
		}
	}
	return out
}

// middle is the place of a cell's middle in working pixels.
func middle(cell int) float64 { return (float64(cell)+0.5)*pixelnet.Cell - 0.5 }
