package copper

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// Across is a short line over a doubtful place, in photo pixels: as a cut it
// says that the two pieces on either side of the place are not one there. It
// runs at right angles to the way that the copper would take, from bare board
// to bare board.
func (c *Copper) Across(d Doubt) Segment {
	q := photo.ShrunkPixel(geom.Point{X: d.X, Y: d.Y}, c.plate.Scale)
	along := c.wayThrough(int(math.Round(q.X)), int(math.Round(q.Y)))
	side := geom.Point{X: -along.Y, Y: along.X}
	end := func(side geom.Point) geom.Point {
		for r := c.plate.stroke; r < 2*c.plate.reach; r++ {
			if !c.copperAt(q.Add(side.Scale(r))) {
				return q.Add(side.Scale(r))
			}
		}
		return q.Add(side.Scale(c.plate.stroke))
	}
	inside := func(p geom.Point) geom.Point {
		p = photo.PixelAt(p, c.plate.Scale)
		return geom.Point{X: math.Min(math.Max(p.X, 0), float64(c.plate.W-1)), Y: math.Min(math.Max(p.Y, 0), float64(c.plate.H-1))}
	}
	return Segment{From: inside(end(side)), To: inside(end(side.Scale(-1)))}
}

func (c *Copper) copperAt(p geom.Point) bool {
	x, y := int(math.Round(p.X)), int(math.Round(p.Y))
	return x >= 0 && y >= 0 && x < c.Labels.W && y < c.Labels.H && c.levels[y*c.Labels.W+x] >= cutLevel
}

// bank is a piece of copper beside a place: how far its nearest pixel is, and
// the mean of those within a track's width or so.
type bank struct {
	away float64
	sum  geom.Point
	n    float64
}

// wayThrough is the direction, of length 1, in which copper would pass working
// pixel (x, y): from the middle of one of the two pieces that come nearest to
// the middle of the other. Pieces are what is surer than the pixel itself;
// above its level they don't touch, which makes it the deciding pixel.
func (c *Copper) wayThrough(x, y int) geom.Point {
	reach := int(math.Ceil(c.plate.reach))
	x0, y0 := clampInt(x-reach, c.Labels.W), clampInt(y-reach, c.Labels.H)
	x1, y1 := clampInt(x+reach, c.Labels.W), clampInt(y+reach, c.Labels.H)
	least := c.levels[y*c.Labels.W+x]
	m := raster.NewMask(x1-x0+1, y1-y0+1)
	for py := y0; py <= y1; py++ {
		for px := x0; px <= x1; px++ {
			if c.levels[py*c.Labels.W+px] > least {
				m.Pix[(py-y0)*m.W+px-x0] = 1
			}
		}
	}
	banks := banksOf(m, geom.Point{X: float64(x - x0), Y: float64(y - y0)}, 2*c.plate.stroke)
	if len(banks) < 2 {
		return geom.Point{X: 1}
	}
	way := banks[1].sum.Scale(1 / banks[1].n).Sub(banks[0].sum.Scale(1 / banks[0].n))
	if way.Norm() == 0 {
		return geom.Point{X: 1}
	}
	return way.Scale(1 / way.Norm())
}

// banksOf lists the pieces of m by how near they come to a place; their middle
// is taken over what lies within a radius of it.
func banksOf(m raster.Mask, at geom.Point, radius float64) []bank {
	pieces := raster.Components(m, false)
	found := map[int32]*bank{}
	for i, piece := range pieces.Of {
		p := geom.Point{X: float64(i % m.W), Y: float64(i / m.W)}
		away := p.Dist(at)
		if m.Pix[i] == 0 || away > radius {
			continue
		}
		b := found[piece]
		if b == nil {
			b = &bank{away: away}
			found[piece] = b
		}
		b.away, b.sum, b.n = math.Min(b.away, away), b.sum.Add(p), b.n+1
	}
	var out []bank
	for _, b := range found {
		out = append(out, *b)
	}
	slices.SortFunc(out, func(a, b bank) int {
		return cmp.Or(cmp.Compare(a.away, b.away), cmp.Compare(b.n, a.n), cmp.Compare(a.sum.X, b.sum.X), cmp.Compare(a.sum.Y, b.sum.Y))
	})
	return out
}
