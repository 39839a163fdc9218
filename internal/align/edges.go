package align

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// edge is one side of a board as its photo shows it: a shallow parabola, since
// lenses bend straight sides. A place along it is from + t·along + s(t)·across.
type edge struct {
	from          geom.Point
	along, across geom.Point // unit vectors; across points away from the board
	length        float64
	a, b, c       float64 // s = a + b·u + c·u², u from -1 to 1 along the side
	noise         float64 // standard deviation of one place on it, pixels
	support       float64 // share of the places looked at that lie on it
	strength      float64 // mean change of colour across it
}

// Numbers of the search for edges.
const (
	edgePlaces = 72   // places along a side
	edgeEnds   = 0.06 // of the side left out at either end
	edgeReach  = 0.012
	// edgeTries is how many parabolas through three places are tried.
	edgeTries = 400
	// onEdge is how far, in pixels, a place may lie off its edge.
	onEdge = 1.3
	// leastSupport is the least share of places on an edge.
	leastSupport = 0.35
	// edgesTried is how many edges of a side are kept: a rim may show two, its
	// own and a bevel's or the far face's.
	edgesTried = 3
)

// findEdges looks for the edges near each side of a board's outline.
func (f *face) findEdges(o outline) [4][]edge {
	var all [4][]edge
	if !o.seen {
		return all
	}
	for i := range all {
		all[i] = f.edgesNear(o.quad[i], o.quad[(i+1)%4], math.Max(8, edgeReach*o.longer()))
	}
	return all
}

// Edges that are taken for a board's own: seen along most of the side, and
// with a clear change of colour.
const (
	snugSupport  = 0.8
	snugStrength = 6.0
	// snugShift is how far, against the longer side, a corner may move.
	snugShift = 0.02
)

// snug lays an outline on the strongest edge found near each side; false where
// a side shows none that is clear, which leaves the outline as it was. The
// other faces of a rim, a bevel and a shadow have weaker edges.
func (o outline) snug(edges [4][]edge) (outline, bool) {
	var best [4]edge
	for i, list := range edges {
		best[i] = rim(list)
		if best[i].support < snugSupport || best[i].strength < snugStrength {
			return o, false
		}
	}
	out := o
	for i := range out.quad {
		p, ok := best[(i+3)%4].meets(best[i])
		if !ok || p.Dist(o.quad[i]) > snugShift*o.longer() {
			return o, false
		}
		out.quad[i] = p
	}
	return out, true
}

// Numbers of the choice between several edges of a side.
const (
	// fullStrength is the change of colour from which a stronger one is no
	// better proof of a rim: copper inside a board has strong edges too, but no
	// long ones.
	fullStrength = 40.0
	// longSupport and fairStrength, against the strongest, make an edge that
	// may be the rim: what lies outside the rim is at most its shadow.
	longSupport  = 0.8
	fairStrength = 0.25
)

// rim is the edge of a side that is most likely the board's own: the outermost
// of those that are long and clear, or else the longest and clearest.
func rim(list []edge) edge {
	var best, outer edge
	score, strongest := 0.0, 0.0
	for _, e := range list {
		if v := e.support * e.support * e.support * math.Min(e.strength, fullStrength); v > score {
			best, score = e, v
		}
		if e.support >= longSupport {
			strongest = math.Max(strongest, e.strength)
		}
	}
	for _, e := range list {
		clear := e.support >= longSupport && e.strength >= math.Max(snugStrength, fairStrength*strongest)
		if clear && (outer.support == 0 || e.a > outer.a) {
			outer = e
		}
	}
	if outer.support > 0 {
		return outer
	}
	return best
}

// meets is where the end of one edge meets the start of the next.
func (e edge) meets(next edge) (geom.Point, bool) {
	u, v := 1.0, -1.0
	for range 5 {
		// Both edges as lines at the present guess.
		p, q := e.place(u), next.place(v)
		l := lineAlong(p, e.place(u-0.01))
		k := lineAlong(q, next.place(v+0.01))
		at, ok := l.meets(k)
		if !ok {
			return at, false
		}
		u, v = e.share(at), next.share(at)
	}
	return e.place(u), math.Abs(u-1) < 0.2 && math.Abs(v+1) < 0.2
}

// share is how far along an edge a place lies, from -1 to 1.
func (e edge) share(p geom.Point) float64 {
	d := p.Sub(e.from)
	return 2*(d.X*e.along.X+d.Y*e.along.Y)/e.length - 1
}

func lineAlong(p, q geom.Point) line {
	d := q.Sub(p)
	n := d.Norm()
	l := line{x: -d.Y / n, y: d.X / n}
	l.c = l.x*p.X + l.y*p.Y
	return l
}

// step is a place where the photo changes across a side.
type step struct {
	u, s     float64 // along (-1 to 1) and across (pixels)
	strength float64
}

func (f *face) edgesNear(from, to geom.Point, reach float64) []edge {
	length := from.Dist(to)
	if length < 40 {
		return nil
	}
	along := to.Sub(from).Scale(1 / length)
	base := edge{from: from, along: along, across: geom.Point{X: along.Y, Y: -along.X}, length: length}
	steps, places := f.stepsAcross(base, reach)
	var kept []edge
	rng := rand.New(rand.NewPCG(uint64(length), 8))
	for range edgesTried {
		e, ok := bestEdge(base, steps, places, reach, rng)
		if !ok {
			break
		}
		kept = append(kept, e)
		steps = slices.DeleteFunc(steps, func(s step) bool { return math.Abs(e.off(s)) < 2.5 })
	}
	return kept
}

// stepsAcross lists, for places along a side, where colour changes most.
func (f *face) stepsAcross(base edge, reach float64) (list []step, places int) {
	n := int(reach)
	profile := make([][3]float32, 2*n+1)
	for k := range edgePlaces {
		t := edgeEnds + (1-2*edgeEnds)*(float64(k)+0.5)/edgePlaces
		if !f.profile(profile, base, t) {
			continue
		}
		places++
		for _, s := range changes(profile) {
			list = append(list, step{u: 2*t - 1, s: s.s - float64(n), strength: s.strength})
		}
	}
	return list, places
}

// profile reads the colours across a side, a mean of a few pixels along it;
// false where that leaves the photo.
func (f *face) profile(out [][3]float32, base edge, t float64) bool {
	const half = 3
	n := len(out) / 2
	at := base.from.Add(base.along.Scale(t * base.length))
	for _, s := range []float64{-float64(n), float64(n)} {
		if p := at.Add(base.across.Scale(s)); !f.size.contains(p) {
			return false
		}
	}
	for i := range out {
		out[i] = [3]float32{}
		for d := -half; d <= half; d++ {
			p := at.Add(base.across.Scale(float64(i - n))).Add(base.along.Scale(float64(d)))
			for c, v := range f.colour(p) {
				out[i][c] += v / (2*half + 1)
			}
		}
	}
	return true
}

// colour is the photo at a pixel, straight between pixels.
func (f *face) colour(p geom.Point) [3]float32 {
	w, h := f.size.Width, f.size.Height
	x := math.Min(math.Max(p.X, 0), float64(w-1))
	y := math.Min(math.Max(p.Y, 0), float64(h-1))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, w-1), min(y0+1, h-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	var out [3]float32
	for c := range out {
		at := func(x, y int) float32 { return float32(f.img.Pix[y*f.img.Stride+4*x+c]) }
		out[c] = (at(x0, y0)*(1-fx)+at(x1, y0)*fx)*(1-fy) + (at(x0, y1)*(1-fx)+at(x1, y1)*fx)*fy
	}
	return out
}

// mostChanges is how many changes of one profile are kept, the strongest.
const mostChanges = 4

func changes(profile [][3]float32) []step {
	n := len(profile)
	size := make([]float64, n)
	for i := 2; i+2 < n; i++ {
		sum := 0.0
		for c := range 3 {
			d := float64(profile[i+1][c]+profile[i+2][c]-profile[i-1][c]-profile[i-2][c]) / 2
			sum += d * d
		}
		size[i] = math.Sqrt(sum)
	}
	var list []step
	for i := 3; i+3 < n; i++ {
		if size[i] < 2*faintStep || size[i] < size[i-1] || size[i] <= size[i+1] {
			continue
		}
		bend := size[i-1] - 2*size[i] + size[i+1]
		shift := 0.0
		if bend < 0 {
			shift = (size[i-1] - size[i+1]) / (2 * bend)
		}
		list = append(list, step{s: float64(i) + shift, strength: size[i]})
	}
	slices.SortStableFunc(list, func(a, b step) int { return cmp.Compare(b.strength, a.strength) })
	return list[:min(len(list), mostChanges)]
}

// off is how far across the edge a step lies from it.
func (e edge) off(s step) float64 { return s.s - e.at(s.u) }

// at is the edge's place across the side.
func (e edge) at(u float64) float64 { return e.a + e.b*u + e.c*u*u }

// mostBent is the largest bend of a side, against its length: a lens of 6 %
// bends a side along the photo's edge by some 1.5 %.
const mostBent = 0.02

// bestEdge is the parabola through three steps on which most steps lie, each
// counting by its strength, laid through all of them.
func bestEdge(base edge, steps []step, places int, reach float64, rng *rand.Rand) (edge, bool) {
	if places < edgePlaces/4 || len(steps) < 8 {
		return base, false
	}
	best, most := base, 0.0
	// The stronger a step, the more often it is drawn.
	sorted := slices.SortedStableFunc(slices.Values(steps), func(a, b step) int { return cmp.Compare(b.strength, a.strength) })
	draw := func() step { return sorted[int(float64(len(sorted))*square(rng.Float64()))] }
	for range edgeTries {
		e, ok := base.through(draw(), draw(), draw())
		if !ok || math.Abs(e.c) > mostBent*e.length || math.Abs(e.a) > reach || math.Abs(e.b) > reach {
			continue
		}
		score := 0.0
		for _, s := range steps {
			if math.Abs(e.off(s)) < onEdge {
				score += math.Min(1, s.strength/20)
			}
		}
		if score > most {
			best, most = e, score
		}
	}
	if most == 0 {
		return base, false
	}
	ok := best.refine(steps, places)
	return best, ok && best.support >= leastSupport
}

// through is the parabola through three steps well apart.
func (e edge) through(p, q, r step) (edge, bool) {
	if math.Abs(p.u-q.u) < 0.3 || math.Abs(q.u-r.u) < 0.3 || math.Abs(p.u-r.u) < 0.3 {
		return e, false
	}
	d1 := (q.s - p.s) / (q.u - p.u)
	d2 := (r.s - q.s) / (r.u - q.u)
	e.c = (d2 - d1) / (r.u - p.u)
	e.b = d1 - e.c*(p.u+q.u)
	e.a = p.s - e.b*p.u - e.c*p.u*p.u
	return e, true
}

// refine lays the edge through the steps on it by least squares. It never
// looks farther than its own width: a bevel's edge runs beside the rim.
func (e *edge) refine(steps []step, places int) bool {
	for range 5 {
		var normal [3][3]float64
		var right [3]float64
		sum, n, strength := 0.0, 0.0, 0.0
		for _, s := range steps {
			off := e.off(s)
			if math.Abs(off) > onEdge {
				continue
			}
			row := [3]float64{1, s.u, s.u * s.u}
			for i := range row {
				right[i] += row[i] * off
				for k := range row {
					normal[i][k] += row[i] * row[k]
				}
			}
			sum += off * off
			strength += s.strength
			n++
		}
		if n < 8 {
			return false
		}
		x, ok := solve3(normal, right)
		if !ok {
			return false
		}
		e.a, e.b, e.c = e.a+x[0], e.b+x[1], e.c+x[2]
		e.support = n / float64(places)
		e.noise, e.strength = math.Sqrt(sum/n), strength/n
	}
	return true
}

// solve3 solves a 3×3 system by Cramer's rule.
func solve3(m [3][3]float64, r [3]float64) (x [3]float64, ok bool) {
	det := func(a [3][3]float64) float64 {
		return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	}
	d := det(m)
	if d == 0 {
		return x, false
	}
	for c := range 3 {
		n := m
		for i := range 3 {
			n[i][c] = r[i]
		}
		x[c] = det(n) / d
	}
	return x, true
}

// place is the photo pixel at u along the edge.
func (e edge) place(u float64) geom.Point {
	return e.from.Add(e.along.Scale((u + 1) / 2 * e.length)).Add(e.across.Scale(e.at(u)))
}

// distance is how far across the edge a photo pixel lies from it, and the
// direction across there.
func (e edge) distance(p geom.Point) (off float64, across geom.Point) {
	d := p.Sub(e.from)
	u := e.share(p)
	slope := 2 * (e.b + 2*e.c*u) / e.length
	k := 1 / math.Hypot(1, slope)
	across = e.across.Sub(e.along.Scale(slope)).Scale(k)
	return (d.X*e.across.X + d.Y*e.across.Y - e.at(u)) * k, across
}
