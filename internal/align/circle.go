package align

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"

	"gonum.org/v1/gonum/mat"
)

// circle is a round border found in a levelled photo.
type circle struct {
	at     geom.Point // levelled
	radius float64
	cover  float64    // share of the round on which the border was seen
	rough  float64    // root mean square distance of the border from the circle, pixels
	step   float64    // median step in brightness across the border, luma
	cov    [3]float64 // of the centre: xx, xy, yy, pixels²

	faint float64 // the least slope that counted as border
	dusk  float32 // and below what it was darker than the board
}

// polarity is which side of a border is the darker.
type polarity int

const (
	darkInside polarity = iota
	brightInside
	eitherSide
)

// wanted says what circle is looked for round a seed.
type wanted struct {
	least, most float64 // radius, levelled pixels
	reach       float64 // of the centre from the seed
	side        polarity
	// outermost takes the outer of two borders of about the same strength: a
	// bore seen at a slant shows the rim of its far end inside its own.
	outermost bool
}

// Numbers of the circle search.
const (
	sectors = 36 // rays on which a border is looked for
	// faintStep is the least slope of brightness, luma a pixel after
	// smoothing, that makes a border.
	faintStep = 1.2
	// overTexture is the same against the patch's median slope, which its
	// texture and the camera's noise make.
	overTexture = 2.5
	// fullVote is the slope, against the faintest, from which a border pixel
	// counts in full: a glint is no better proof of a rim than a shadow.
	fullVote = 2.0
	// nearBorder is how far, in pixels, a border may lie off its circle.
	nearBorder = 0.9
)

// needsDusk reports whether only borders of something darker than the board
// count: print and leads have borders of the same sense. A bore's wall is lit.
func (w wanted) needsDusk() bool { return w.side == darkInside && !w.outermost }

// slopes are the derivatives of a smoothed patch.
type slopes struct {
	smooth, x, y raster.Plane
	faint        float64 // the least slope that counts
	dusk         float32 // what is darker than this is darker than the board
}

func newSlopes(p raster.Plane) slopes {
	q := raster.Gaussian(p, 0.8)
	s := slopes{smooth: q, x: raster.NewPlane(p.W, p.H), y: raster.NewPlane(p.W, p.H)}
	var sizes, levels []float32
	sparse, seen := max(1, len(p.Pix)/medianOfAbout), 0
	for y := 1; y < p.H-1; y++ {
		above, row, below := q.Row(y-1), q.Row(y), q.Row(y+1)
		gx, gy := s.x.Row(y), s.y.Row(y)
		for x := 1; x < p.W-1; x++ {
			gx[x], gy[x] = (row[x+1]-row[x-1])/2, (below[x]-above[x])/2
			if seen++; seen%sparse == 0 {
				sizes = append(sizes, gx[x]*gx[x]+gy[x]*gy[x])
				levels = append(levels, row[x])
			}
		}
	}
	if len(sizes) == 0 { // a sliver of a board
		s.faint = math.Inf(1)
		return s
	}
	slices.Sort(sizes)
	slices.Sort(levels)
	s.faint = math.Max(faintStep, overTexture*math.Sqrt(float64(sizes[len(sizes)/2])))
	s.dusk = (levels[len(levels)/2] + levels[len(levels)/50]) / 2
	return s
}

// medianOfAbout is how many pixels of a patch its medians are taken over.
const medianOfAbout = 500

// beyond is the brightness a little to the dark side of a border.
func (s slopes) beyond(x, y, dx, dy float64) float32 {
	return raster.Sample(s.smooth, geom.Point{X: x - darkSide*dx, Y: y - darkSide*dy})
}

// darkSide is how far, in pixels, inside a border its dark side is read.
const darkSide = 1.6

// rays reads how brightness climbs along a ray at a place, and how bright the
// photo is a little before it.
type rays struct {
	slope  func(at geom.Point, cos, sin float64) float64
	before func(at geom.Point, cos, sin float64) float32
	faint  float64
	dusk   float32
}

func (s slopes) rays() rays {
	return rays{faint: s.faint, dusk: s.dusk,
		slope: func(at geom.Point, cos, sin float64) float64 {
			return float64(raster.Sample(s.x, at))*cos + float64(raster.Sample(s.y, at))*sin
		},
		before: func(at geom.Point, cos, sin float64) float32 { return s.beyond(at.X, at.Y, cos, sin) },
	}
}

// rays reads the photo itself at levelled places, smoothed across the ray.
func (f *face) rays(faint float64, dusk float32) rays {
	level := func(at geom.Point, cos, sin float64) float32 {
		sum := float32(0)
		for _, t := range [3]float64{-1, 0, 1} {
			sum += f.brightness(f.back.Apply(geom.Point{X: at.X - t*sin, Y: at.Y + t*cos}))
		}
		return sum / 3
	}
	return rays{faint: faint, dusk: dusk,
		slope: func(at geom.Point, cos, sin float64) float64 {
			out := level(geom.Point{X: at.X + cos, Y: at.Y + sin}, cos, sin)
			in := level(geom.Point{X: at.X - cos, Y: at.Y - sin}, cos, sin)
			return float64(out-in) / 2
		},
		before: func(at geom.Point, cos, sin float64) float32 {
			return level(geom.Point{X: at.X - darkSide*cos, Y: at.Y - darkSide*sin}, cos, sin)
		},
	}
}

// findCircle looks in a patch for the circle with most of its border seen.
//
// Method: every border pixel votes for the centres on its slope's line, one
// layer of votes a radius (Duda & Hart, Commun. ACM 15, 1972; Kimme, Ballard &
// Sklansky, Commun. ACM 18, 1975); the best are refined on the border's places
// between pixels.
func findCircle(p patch, seed geom.Point, w wanted) (circle, bool) {
	s := newSlopes(p.plane)
	v := w.scaled(1 / p.step)
	var best circle
	score := 0.0
	for _, start := range s.vote(p.inside(seed), v) {
		c, ok := s.rays().settle(start, v)
		if !ok {
			continue
		}
		if v := c.cover * math.Min(c.step, 20); v > score {
			best, score = c, v
		}
	}
	best.faint, best.dusk = s.faint/p.step, s.dusk
	return best.outOf(p), score > 0
}

// polish finds a circle's border again in the photo itself.
func (f *face) polish(c circle, w wanted) (circle, bool) {
	r := f.rays(math.Max(faintStep, c.faint), c.dusk)
	fine, ok := r.settle(ring{at: c.at, radius: c.radius}, w)
	return fine, ok
}

// scaled gives what is wanted in other pixels.
func (w wanted) scaled(k float64) wanted {
	w.least, w.most, w.reach = w.least*k, w.most*k, w.reach*k
	return w
}

// outOf takes a circle from a patch's pixels to levelled ones.
func (c circle) outOf(p patch) circle {
	c.at, c.radius, c.rough = p.outside(c.at), c.radius*p.step, c.rough*p.step
	for i := range c.cov {
		c.cov[i] *= p.step * p.step
	}
	return c
}

// ring is a circle as the votes give it: whole pixels.
type ring struct {
	at     geom.Point
	radius float64
	votes  float64
}

// vote lists the few best rings.
func (s slopes) vote(seed geom.Point, w wanted) []ring {
	r0, layers := int(math.Floor(w.least)), int(math.Ceil(w.most))-int(math.Floor(w.least))+1
	reach := int(math.Ceil(w.reach))
	n := 2*reach + 1
	votes := make([]float32, layers*n*n)
	cx, cy := seed.X-float64(reach), seed.Y-float64(reach)
	span := w.reach + w.most + 2
	x0, x1 := max(1, int(seed.X-span)), min(s.x.W-2, int(seed.X+span)+1)
	y0, y1 := max(1, int(seed.Y-span)), min(s.x.H-2, int(seed.Y+span)+1)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			gx, gy := float64(s.x.At(x, y)), float64(s.y.At(x, y))
			g := math.Sqrt(gx*gx + gy*gy)
			if g < s.faint || w.needsDusk() && s.beyond(float64(x), float64(y), gx/g, gy/g) > s.dusk {
				continue
			}
			weight := float32(math.Min(1, g/(fullVote*s.faint)))
			for _, way := range w.side.ways() {
				dx, dy := way*gx/g, way*gy/g
				for l := range layers {
					r := float64(r0 + l)
					i, k := int(math.Round(float64(x)-dx*r-cx)), int(math.Round(float64(y)-dy*r-cy))
					if i >= 0 && k >= 0 && i < n && k < n {
						votes[(l*n+k)*n+i] += weight
					}
				}
			}
		}
	}
	return bestRings(votes, layers, n, float64(r0), geom.Point{X: cx, Y: cy})
}

// ways are the signs with which a slope points from the centre outwards.
func (p polarity) ways() []float64 {
	switch p {
	case darkInside:
		return []float64{1}
	case brightInside:
		return []float64{-1}
	}
	return []float64{1, -1}
}

// ringsTried is how many rings of a patch are refined.
const ringsTried = 3

func bestRings(votes []float32, layers, n int, r0 float64, corner geom.Point) []ring {
	at := func(l, y, x int) float32 {
		if l < 0 || y < 0 || x < 0 || l >= layers || y >= n || x >= n {
			return 0
		}
		return votes[(l*n+y)*n+x]
	}
	var all []ring
	for l := range layers {
		for y := range n {
			for x := range n {
				if at(l, y, x) == 0 {
					continue
				}
				sum := float32(0)
				for dl := -1; dl <= 1; dl++ {
					for dy := -1; dy <= 1; dy++ {
						sum += at(l+dl, y+dy, x-1) + at(l+dl, y+dy, x) + at(l+dl, y+dy, x+1)
					}
				}
				r := r0 + float64(l)
				all = append(all, ring{geom.Point{X: float64(x), Y: float64(y)}.Add(corner), r, float64(sum) / math.Sqrt(r)})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b ring) int { return cmp.Compare(b.votes, a.votes) })
	var kept []ring
	for _, c := range all {
		if len(kept) == ringsTried {
			break
		}
		if !slices.ContainsFunc(kept, func(k ring) bool { return k.at.Dist(c.at) < 2.5 && math.Abs(k.radius-c.radius) < 2.5 }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// borderPoint is where a ray crosses the border.
type borderPoint struct {
	at     geom.Point
	slope  float64
	weight float64
}

// settle refines a ring on its border.
func (s rays) settle(start ring, w wanted) (circle, bool) {
	c := circle{at: start.at, radius: start.radius}
	for round := range 4 {
		slack := w.slack(round, start.radius)
		points := s.border(c, slack, w)
		if len(points) < sectors/4 || !c.fit(points) {
			return c, false
		}
		if c.at.Dist(start.at) > w.drift(start.radius) || c.radius < w.least-1 || c.radius > w.most+1 {
			return c, false
		}
	}
	return c, c.cover > 0
}

// slack is how far off the circle its border is looked for.
func (w wanted) slack(round int, radius float64) float64 {
	switch {
	case w.outermost && round < 2:
		return math.Max(2.5, farRim*radius)
	case w.outermost || round < 2:
		return 2.5
	}
	return 1.5
}

// drift is how far the centre may move from where the votes put it.
func (w wanted) drift(radius float64) float64 {
	if w.outermost {
		return math.Max(3.5, farRim*radius)
	}
	return 3.5
}

// farRim is how far a bore's far rim may be seen off its near one, against the
// radius: a 3 mm hole through 1.6 mm, seen at 15°.
const farRim = 0.3

// outerShare is the slope of an outer border, against the steepest of its ray,
// from which it is taken before that.
const outerShare = 0.2

// border finds, on each ray, the steepest place near the circle.
func (s rays) border(c circle, slack float64, w wanted) []borderPoint {
	var points []borderPoint
	const fine = 0.5
	steps := int(2*slack/fine) + 1
	row := make([]float64, steps)
	for k := range sectors {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sectors)
		best := -1
		for i := range row {
			r := c.radius - slack + float64(i)*fine
			at := geom.Point{X: c.at.X + cos*r, Y: c.at.Y + sin*r}
			v := s.slope(at, cos, sin)
			switch w.side {
			case brightInside:
				v = -v
			case eitherSide:
				v = math.Abs(v)
			}
			row[i] = v
		}
		for i := 1; i+1 < steps; i++ {
			if row[i] < s.faint || row[i] < row[i-1] || row[i] < row[i+1] {
				continue
			}
			if r := c.radius - slack + float64(i)*fine; w.needsDusk() && s.before(geom.Point{X: c.at.X + cos*r, Y: c.at.Y + sin*r}, cos, sin) > s.dusk {
				continue
			}
			if best < 0 || row[i] > row[best] || w.outermost && row[i] > outerShare*row[best] {
				best = i
			}
		}
		if best < 0 {
			continue
		}
		bend := row[best-1] - 2*row[best] + row[best+1]
		shift := 0.0
		if bend < 0 {
			shift = math.Max(-0.5, math.Min(0.5, (row[best-1]-row[best+1])/(2*bend)))
		}
		r := c.radius - slack + (float64(best)+shift)*fine
		points = append(points, borderPoint{at: geom.Point{X: c.at.X + cos*r, Y: c.at.Y + sin*r}, slope: row[best]})
	}
	return points
}

// fit lays the circle through the border by robust least squares on the
// distances (Tukey's biweight), and brings cover, rough and cov up to date.
func (c *circle) fit(points []borderPoint) bool {
	scale := 1.5
	var normal *mat.SymDense
	for round := range 6 {
		normal = mat.NewSymDense(3, nil)
		right := make([]float64, 3)
		sum, weights := 0.0, 0.0
		for i := range points {
			d := points[i].at.Sub(c.at)
			n := d.Norm()
			off := n - c.radius
			u := off / (3 * scale)
			points[i].weight = 0
			if n == 0 || math.Abs(u) >= 1 {
				continue
			}
			wt := square(1 - u*u)
			points[i].weight = wt
			j := [3]float64{d.X / n, d.Y / n, 1}
			for r := range 3 {
				right[r] += wt * j[r] * off
				for q := r; q < 3; q++ {
					normal.SetSym(r, q, normal.At(r, q)+wt*j[r]*j[q])
				}
			}
			sum += wt * off * off
			weights += wt
		}
		if weights < 6 {
			return false
		}
		step, ok := solveDamped(normal, right, 1e-9)
		if !ok {
			return false
		}
		c.at = c.at.Add(geom.Point{X: step[0], Y: step[1]})
		c.radius += step[2]
		c.rough = math.Sqrt(sum / weights)
		if round > 1 {
			scale = math.Max(0.25, c.rough)
		}
	}
	return c.judge(points, normal)
}

// roughest is the noise of a border's place, pixels, that even a smooth border
// is taken to have: pixels are sampled, and light is uneven.
const roughest = 0.15

func (c *circle) judge(points []borderPoint, normal *mat.SymDense) bool {
	near := 0
	var slopes []float64
	for _, p := range points {
		if math.Abs(p.at.Dist(c.at)-c.radius) < nearBorder {
			near++
			slopes = append(slopes, p.slope)
		}
	}
	c.cover = float64(near) / sectors
	if near == 0 {
		return false
	}
	slices.Sort(slopes)
	c.step = slopes[len(slopes)/2]
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return false
	}
	var inv mat.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		return false
	}
	v := square(math.Max(c.rough, roughest))
	c.cov = [3]float64{v * inv.At(0, 0), v * inv.At(0, 1), v * inv.At(1, 1)}
	return true
}
