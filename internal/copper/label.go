package copper

import (
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// label fills in the nets and the net of every pixel, and returns the id of
// each of the parts.
func (c *Copper) label(g *graph, nets parts) map[int32]NetID {
	p := c.plate
	c.Labels = Labels{W: g.w, H: g.h, Scale: p.Scale, Of: make([]NetID, g.w*g.h)}
	name := map[int32]NetID{}
	area := []float64{0}
	for i, l := range g.levels {
		if l < cutLevel {
			continue
		}
		n := nets.of[g.basinAt(i)]
		if nets.solid[n] < p.speck() && nets.marks[n] == 0 {
			continue
		}
		id, known := name[n]
		if !known {
			id = NetID(len(area))
			name[n] = id
			area = append(area, 0)
			c.Nets = append(c.Nets, Net{ID: id, Joints: int(nets.marks[n])})
		}
		c.Labels.Of[i] = id
		area[id]++
	}
	for i := range c.Nets {
		c.Nets[i].AreaPX = area[i+1] * float64(p.Scale*p.Scale)
		if mm := p.opts.MMPerPixel; mm > 0 {
			a := c.Nets[i].AreaPX * mm * mm
			c.Nets[i].AreaMM2 = &a
		}
	}
	return name
}

// nameJoints fills in the joints. A joint is on the net that surrounds it,
// which the search for its basin already found.
func (c *Copper) nameJoints(marks []int32) {
	for i, j := range c.plate.joints {
		at := photo.PixelAt(j, c.plate.Scale)
		joint := Joint{X: at.X, Y: at.Y}
		if marks[i] >= 0 {
			joint.Net = c.At(at).Net
		}
		c.Joints = append(c.Joints, joint)
	}
}

// Rays and shares by which a place off the copper is judged to lie in a hole
// of a pad.
const (
	rayCount  = 24
	holeShare = 0.55 // of the rays that must meet one net
)

// At says which net a photo pixel is on. On copper that is its own net; in a
// hole, or in a reflection on solder, the net that surrounds it; beside copper
// by less than a quarter of a track, that net with little confidence.
func (c *Copper) At(at geom.Point) Answer {
	p := c.plate
	out := Answer{X: at.X, Y: at.Y}
	q := photo.ShrunkPixel(at, p.Scale)
	x, y := int(math.Round(q.X)), int(math.Round(q.Y))
	if x < 0 || y < 0 || x >= c.Labels.W || y >= c.Labels.H {
		return out
	}
	if id := c.Labels.Of[y*c.Labels.W+x]; id > 0 {
		out.Net, out.Confidence = &id, c.confidence(x, y)
		return out
	}
	id, share, gap := c.around(q)
	switch {
	case share >= holeShare:
		out.Net, out.Confidence = &id, share
	case id > 0 && gap <= p.stroke/4+1:
		out.Net, out.Confidence = &id, share/2
	}
	return out
}

// around casts rays from a working place and returns the net that most of
// them meet first, their share, and the distance of the nearest hit on it.
func (c *Copper) around(q geom.Point) (NetID, float64, float64) {
	hits := map[NetID]int{}
	gaps := map[NetID]float64{}
	for k := range rayCount {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rayCount)
		for r := 1.0; r <= c.plate.reach; r++ {
			x, y := int(math.Round(q.X+r*cos)), int(math.Round(q.Y+r*sin))
			if x < 0 || y < 0 || x >= c.Labels.W || y >= c.Labels.H {
				break
			}
			id := c.Labels.Of[y*c.Labels.W+x]
			if id == 0 {
				continue
			}
			if old, known := gaps[id]; !known || r < old {
				gaps[id] = r
			}
			hits[id]++
			break
		}
	}
	best := NetID(0)
	for id, n := range hits {
		if best == 0 || n > hits[best] || n == hits[best] && id < best {
			best = id
		}
	}
	return best, float64(hits[best]) / rayCount, gaps[best]
}

// measureStroke finds the usual width of a track: twice the median distance to
// bare board along the middle lines of the copper.
func (p *Plate) measureStroke() {
	bare := p.Prob.Threshold(0.5).Not()
	d := raster.Distance(bare)
	var widths histogram = make([]float32, 256)
	n := float32(0)
	for y := 1; y < d.H-1; y++ {
		for x := 1; x < d.W-1; x++ {
			v := d.At(x, y)
			if v < 1.5 || math.IsInf(float64(v), 1) || !ridge(d, x, y, v) {
				continue
			}
			widths[min(int(2*v), 255)]++
			n++
		}
	}
	p.stroke = minStroke
	sum := float32(0)
	for w, k := range widths {
		sum += k
		if sum >= n/3 && n > 0 {
			p.stroke = math.Max(minStroke, float64(w))
			break
		}
	}
	diag := math.Hypot(float64(d.W), float64(d.H))
	p.reach = math.Max(3*p.stroke, 0.012*diag)
}

// minStroke is the narrowest track in working pixels that is reckoned with.
const minStroke = 3.0

// ridge reports whether the distance v at (x, y) is the largest across one of
// the two axes.
func ridge(d raster.Plane, x, y int, v float32) bool {
	return v >= d.At(x-1, y) && v > d.At(x+1, y) || v >= d.At(x, y-1) && v > d.At(x, y+1)
}
