package copper

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// blob is a round patch: a solder dome, a pad, or a hole.
type blob struct {
	at     geom.Point // working pixels
	radius float64
	rank   float64 // log odds of a joint, or so: larger first
}

// findJoints looks for soldered places: small round holes inside copper, the
// thick middles of solder or, where solder looks like its tracks, of copper,
// and what the pixel network marks. It is the network that tells a joint from a
// mounting hole or a wide place of a track; the shape of hole or solder gives
// the better centre. Of blobs that overlap, the most certain stays.
//
// Accuracy: see the study TestNetsOfRenderedBoards.
func (p *Plate) findJoints(s *Seen) []geom.Point {
	metal := p.Prob.Threshold(0.5)
	solder := s.marks.solder
	if s.sure < trustedSight {
		solder = solderMask(s.lab, metal)
	}
	blobs := s.marks.peaks(p.stroke)
	for _, b := range p.holes(metal) {
		blobs = keepJoint(blobs, b, s.marks.near(b.at))
	}
	for _, b := range p.domes(solder) {
		blobs = keepJoint(blobs, b, s.marks.near(b.at)+domeWorth)
	}
	slices.SortStableFunc(blobs, func(a, b blob) int { return cmp.Compare(b.rank, a.rank) })
	var kept []blob
	for _, b := range blobs {
		if !overlaps(kept, b) {
			kept = append(kept, b)
		}
	}
	slices.SortStableFunc(kept, func(a, b blob) int {
		return cmp.Or(cmp.Compare(a.at.Y, b.at.Y), cmp.Compare(a.at.X, b.at.X))
	})
	out := make([]geom.Point, len(kept))
	for i, b := range kept {
		out[i] = b.at
	}
	return out
}

// keepJoint adds a blob that is likely enough a joint.
func keepJoint(list []blob, b blob, odds float64) []blob {
	if odds < jointLeast {
		return list
	}
	b.rank = odds + shapeWorth
	return append(list, b)
}

// shapeWorth is by how much a centre from a shape goes before the network's own.
const shapeWorth = 0.1

// apartness is how many radii of the larger two joints' centres lie apart at
// least.
const apartness = 1.5

func overlaps(kept []blob, b blob) bool {
	for _, k := range kept {
		if k.at.Dist(b.at) < apartness*math.Max(k.radius, b.radius) {
			return true
		}
	}
	return false
}

// holes finds round patches without copper that copper surrounds.
func (p *Plate) holes(metal raster.Mask) []blob {
	l := raster.Components(metal.Closed(1).Not(), false)
	type extent struct {
		x0, y0, x1, y1 int
		sx, sy         float64
	}
	boxes := make([]extent, len(l.Areas))
	for i := range boxes {
		boxes[i] = extent{x0: l.W, y0: l.H, x1: -1, y1: -1}
	}
	for y := range l.H {
		for x := range l.W {
			e := &boxes[l.Of[y*l.W+x]]
			e.x0, e.x1 = min(e.x0, x), max(e.x1, x)
			e.y0, e.y1 = min(e.y0, y), max(e.y1, y)
			e.sx += float64(x)
			e.sy += float64(y)
		}
	}
	var out []blob
	for i := 1; i < len(boxes); i++ {
		e, area := boxes[i], float64(l.Areas[i])
		w, h := float64(e.x1-e.x0+1), float64(e.y1-e.y0+1)
		r := math.Sqrt(area / math.Pi)
		if r < math.Max(2.5, 0.3*p.stroke) || r > 0.6*p.reach || math.Max(w, h) > 1.5*math.Min(w, h) || area < 0.62*w*h {
			continue
		}
		// A ring of copper is as wide as its hole or so.
		out = append(out, blob{at: geom.Point{X: e.sx / area, Y: e.sy / area}, radius: 2 * r})
	}
	return out
}

// domes finds the thick middles of the mask's pieces.
func (p *Plate) domes(m raster.Mask) []blob {
	d := raster.Gaussian(raster.Distance(m.Not()), 1)
	least, most := 0.62*p.stroke, 0.7*p.reach
	var out []blob
	for y := 1; y < d.H-1; y++ {
		for x := 1; x < d.W-1; x++ {
			v := d.At(x, y)
			if float64(v) < least || float64(v) > most || !peak(d, x, y, v) {
				continue
			}
			if !standsOut(d, x, y, float64(v)) {
				continue
			}
			at := geom.Point{X: float64(x) + vertex(d.At(x-1, y), v, d.At(x+1, y)),
				Y: float64(y) + vertex(d.At(x, y-1), v, d.At(x, y+1))}
			out = append(out, blob{at: at, radius: float64(v)})
		}
	}
	return out
}

// standsOut reports whether the mask gets narrower all around a peak of the
// distance d: a dome or pad does, a place on a track doesn't.
func standsOut(d raster.Plane, x, y int, r float64) bool {
	for k := range rayCount {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rayCount)
		at := geom.Point{X: float64(x) + ringAt*r*cos, Y: float64(y) + ringAt*r*sin}
		if float64(raster.Sample(d, at)) > ringMost*r {
			return false
		}
	}
	return true
}

// A peak of radius r stands out where, ringAt·r away, no place is more than
// ringMost·r inside the mask.
const (
	ringAt   = 1.7
	ringMost = 0.85
)

func peak(d raster.Plane, x, y int, v float32) bool {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			u := d.At(x+dx, y+dy)
			if u > v || u == v && (dy < 0 || dy == 0 && dx < 0) {
				return false
			}
		}
	}
	return true
}

// vertex is the offset of the top of the parabola through three neighbours.
func vertex(a, b, c float32) float64 {
	den := float64(a - 2*b + c)
	if den >= 0 {
		return 0
	}
	return math.Max(-0.5, math.Min(0.5, 0.5*float64(a-c)/den))
}

// solderMask is the part of the copper that looks like solder, where two looks
// can be told apart; all of it where not.
//
// Method: two means over hue, lightness and its restlessness. Solder is the
// look that shines: greyer and more restless than a track.
func solderMask(lab [3]raster.Plane, metal raster.Mask) raster.Mask {
	f := solderFeatures(lab)
	var means [2][4]float64
	var spread [4]float64
	gap := 0.0
	some := sampleFeatures(f, metal)
	for axis := range f {
		m, s := twoMeans(some, axis)
		if g := looksApart(m, s); g > gap {
			means, spread, gap = m, s, g
		}
	}
	if gap < clearLooks {
		return metal
	}
	shine := 0
	if shininess(means[1]) > shininess(means[0]) {
		shine = 1
	}
	if math.Hypot(means[shine][1], means[shine][2]) > greyMost {
		return metal
	}
	m := raster.NewMask(metal.W, metal.H)
	for i, v := range metal.Pix {
		if v != 0 && nearer(featuresAt(f, i), means, spread) == shine {
			m.Pix[i] = 1
		}
	}
	return m.Closed(2).Opened(1)
}

// greyMost is the most chroma that solder has.
const greyMost = 14.0

func looksApart(means [2][4]float64, spread [4]float64) float64 {
	gap := 0.0
	for k := range spread {
		gap += math.Abs(means[1][k]-means[0][k]) / spread[k]
	}
	return gap
}

// clearLooks is the least sum over the features of how far the two means lie
// apart, in spreads, for the two looks to be two.
const clearLooks = 5.0

// shininess is high for grey and restless looks.
func shininess(f [4]float64) float64 { return f[3] + 0.15*f[0] - 0.5*math.Hypot(f[1], f[2]) }

// solderFeatures are L*, a*, b* and the restlessness of L*.
func solderFeatures(lab [3]raster.Plane) [4]raster.Plane {
	return [4]raster.Plane{lab[0], lab[1], lab[2], restlessness(lab[0], 3)}
}

// restlessness is the standard deviation of a plane within a Gaussian window.
func restlessness(p raster.Plane, sigma float64) raster.Plane {
	mean := raster.Gaussian(p, sigma)
	sq := raster.NewPlane(p.W, p.H)
	for i, v := range p.Pix {
		sq.Pix[i] = v * v
	}
	sq = raster.Gaussian(sq, sigma)
	for i, m := range mean.Pix {
		sq.Pix[i] = float32(math.Sqrt(math.Max(0, float64(sq.Pix[i]-m*m))))
	}
	return sq
}

// features are what a pixel looks like: L*, a*, b* and restlessness.
type features [4]float64

func featuresAt(f [4]raster.Plane, i int) (v features) {
	for k := range f {
		v[k] = float64(f[k].Pix[i])
	}
	return v
}

// enoughSamples is how many pixels tell two looks apart as well as all do.
const enoughSamples = 20_000

// sampleFeatures takes the features of evenly spread pixels of the mask.
func sampleFeatures(f [4]raster.Plane, m raster.Mask) []features {
	n := m.Count()
	step := max(1, n/enoughSamples)
	out := make([]features, 0, n/step+1)
	seen := 0
	for i, v := range m.Pix {
		if v == 0 {
			continue
		}
		if seen%step == 0 {
			out = append(out, featuresAt(f, i))
		}
		seen++
	}
	return out
}

// twoMeans divides samples into two looks and returns their means and the
// spread within them.
//
// Source: Lloyd 1982; started a spread to either side of the mean along one
// feature.
func twoMeans(samples []features, axis int) (means [2][4]float64, spread [4]float64) {
	all, _ := lookMeans(samples, func(features) int { return 0 })
	means = [2][4]float64{all[0], all[0]}
	spread = spreadAround(samples, func(features) [4]float64 { return all[0] })
	means[1][axis] += spread[axis]
	means[0][axis] -= spread[axis]
	for range 12 {
		next, ok := lookMeans(samples, func(v features) int { return nearer(v, means, spread) })
		if !ok || next == means {
			break
		}
		means = next
	}
	within := spreadAround(samples, func(v features) [4]float64 { return means[nearer(v, means, spread)] })
	return means, within
}

// leastSpread keeps a feature on which nothing varies from ruling.
const leastSpread = 2.0

// spreadAround is the standard deviation of the samples around a centre each.
func spreadAround(samples []features, centre func(features) [4]float64) (s [4]float64) {
	for _, v := range samples {
		c := centre(v)
		for k := range v {
			s[k] += (v[k] - c[k]) * (v[k] - c[k])
		}
	}
	for k := range s {
		s[k] = math.Sqrt(s[k]/math.Max(float64(len(samples)), 1)) + leastSpread
	}
	return s
}

// lookMeans averages each of two groups; ok is false where a group is empty.
func lookMeans(samples []features, group func(features) int) (means [2][4]float64, ok bool) {
	var n [2]float64
	for _, v := range samples {
		g := group(v)
		n[g]++
		for k := range v {
			means[g][k] += v[k]
		}
	}
	for g := range n {
		for k := range means[g] {
			means[g][k] /= math.Max(n[g], 1)
		}
	}
	return means, n[0] > 0 && n[1] > 0
}

func nearer(v features, means [2][4]float64, spread [4]float64) int {
	d := [2]float64{}
	for g := range means {
		for k := range v {
			u := (v[k] - means[g][k]) / spread[k]
			d[g] += u * u
		}
	}
	if d[1] < d[0] {
		return 1
	}
	return 0
}
