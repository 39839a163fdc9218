package align

import (
	"context"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"foilside/internal/num/geom"
)

// painted is a photo made by asking, for every pixel, 4 × 4 places of a plane
// seen through a map from pixel to plane.
func painted(w, h int, toPlane geom.Projective, shade func(geom.Point) float64) *image.RGBA {
	rng := rand.New(rand.NewPCG(3, 1))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			sum := 0.0
			for k := range 16 {
				p := geom.Point{X: float64(x) + (float64(k%4)+0.5)/4 - 0.5, Y: float64(y) + (float64(k/4)+0.5)/4 - 0.5}
				sum += shade(toPlane.Apply(p))
			}
			v := uint8(math.Max(0, math.Min(255, math.Round(sum/16+1.5*rng.NormFloat64()))))
			img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	return img
}

// slanted looks at a plane of 1200 × 800 units, 20° off square, with a focal
// length of 1.3 times the photo's width: the map from pixel to plane and back.
func slanted(t *testing.T, w, h int) (toPlane, toPhoto geom.Projective) {
	t.Helper()
	const tilt = 20 * math.Pi / 180
	f := 1.3 * float64(w)
	d := f
	c, s := math.Cos(tilt), math.Sin(tilt)
	camera := geom.Projective{f, 0, float64(w-1) / 2, 0, f, float64(h-1) / 2, 0, 0, 1}
	plane := geom.Projective{c, 0, 0, 0, 1, 0, s, 0, d}
	middle := geom.Projective{1, 0, -600, 0, 1, -400, 0, 0, 1}
	toPhoto = camera.Mul(plane).Mul(middle).Normal()
	toPlane, err := toPhoto.Inverse()
	if err != nil {
		t.Fatal(err)
	}
	return toPlane, toPhoto
}

// A large hole seen at a slant: the ellipse's centre is off the circle's by
// some 0.5 px (Heikkilä & Silvén 1997), the levelled circle's is not.
func TestCentreOfASlantedHole(t *testing.T) {
	const w, h = 1300, 900
	toPlane, toPhoto := slanted(t, w, h)
	hole, radius := geom.Point{X: 900.3, Y: 500.8}, 60.0
	img := painted(w, h, toPlane, func(p geom.Point) float64 {
		switch {
		case p.Dist(hole) < radius:
			return 25
		case p.X < 0 || p.Y < 0 || p.X > 1200 || p.Y > 800:
			return 90
		}
		return 190
	})
	corners := [4]geom.Point{{}, {X: 1200}, {X: 1200, Y: 800}, {Y: 800}}
	var o outline
	for i, p := range corners {
		o.quad[i] = toPhoto.Apply(p)
	}
	want := toPhoto.Apply(hole)
	o.seen = true
	f := newFace(img, o)
	m := f.bore(want.Add(geom.Point{X: 6, Y: -5}), 55, 0.4)
	if off := m.at.Dist(want); m.cover < 0.9 || off > 0.08 {
		t.Errorf("centre off by %.3f px, cover %.2f", off, m.cover)
	}
	if off := ellipseCentre(toPlane, hole, radius).Dist(want); off < 0.3 {
		t.Errorf("the ellipse's own centre is off by %.2f px only: no test of anything", off)
	}
}

// ellipseCentre is the centre of the ellipse that a photo shows of a circle on
// the plane, from its conic.
func ellipseCentre(toPlane geom.Projective, at geom.Point, r float64) geom.Point {
	c := geom.Projective{1, 0, -at.X, 0, 1, -at.Y, -at.X, -at.Y, at.X*at.X + at.Y*at.Y - r*r}
	var transposed geom.Projective
	for i := range 3 {
		for k := range 3 {
			transposed[3*i+k] = toPlane[3*k+i]
		}
	}
	q := transposed.Mul(c).Mul(toPlane)
	det := q[0]*q[4] - q[1]*q[1]
	return geom.Point{X: (q[1]*q[5] - q[4]*q[2]) / det, Y: (q[1]*q[2] - q[0]*q[5]) / det}
}

// A lead over half of its hole must not move the centre.
func TestCentreOfAHoleWithALead(t *testing.T) {
	hole := geom.Point{X: 100.4, Y: 99.7}
	img := painted(200, 200, geom.Identity(), func(p geom.Point) float64 {
		d := p.Sub(hole)
		switch {
		case d.Y > -4 && d.Y < 4 && d.X > -3 && d.X < 70:
			return 235
		case d.Norm() < 7:
			return 20
		}
		return 140
	})
	f := newFace(img, outline{})
	m := f.hole(blob{at: geom.Point{X: 98, Y: 101}, radius: 7, dark: true})
	if off := m.at.Dist(hole); m.cover < entryCover || off > 0.25 {
		t.Errorf("off by %.2f px with %.0f %% of the rim seen", off, 100*m.cover)
	}
}

func TestNoCircleWhereThereIsNone(t *testing.T) {
	f := newFace(painted(120, 120, geom.Identity(), func(geom.Point) float64 { return 120 }), outline{})
	if m := f.hole(blob{at: geom.Point{X: 60, Y: 60}, radius: 6, dark: true}); m.cover > 0 {
		t.Errorf("noise gave a hole: %+v", m)
	}
}

// A board's sides bent by a lens, one with a notch, one with a bevel's edge
// beside it: found to a fraction of a pixel.
func TestEdgesLieOnTheRim(t *testing.T) {
	const w, h = 900, 700
	lens := geom.Lens{Centre: geom.Point{X: 449.5, Y: 349.5}, Norm: math.Hypot(w, h) / 2, K1: -0.03}
	quad := [4]geom.Point{{X: 90, Y: 80}, {X: 800, Y: 100}, {X: 790, Y: 600}, {X: 100, Y: 590}}
	img := painted(w, h, geom.Identity(), func(p geom.Point) float64 {
		u := lens.Undistort(p)
		switch {
		case !geom.Inside(quad[:], u) || u.X > 770 && u.Y > 300 && u.Y < 360:
			return 80
		case u.X < 110:
			return 185
		}
		return 170
	})
	var o outline
	for i, p := range quad {
		o.quad[i] = lens.Distort(p).Add(geom.Point{X: 3 * math.Sin(float64(i)), Y: 3 * math.Cos(float64(i))})
	}
	o.seen = true
	f := newFace(img, o)
	snug, ok := o.snug(f.findEdges(o))
	if !ok {
		t.Fatal("no clear edges were seen")
	}
	for i, p := range quad {
		if off := snug.quad[i].Dist(lens.Distort(p)); off > 0.6 {
			t.Errorf("corner %d is off by %.2f px", i, off)
		}
	}
}

// The derivatives that the refinement uses, against differences.
func TestFullJacobian(t *testing.T) {
	sizes := Sizes{Size{2000, 1500}, Size{1800, 1600}}
	m := newModel([]Pair{{geom.Point{X: 900, Y: 700}, geom.Point{X: 800, Y: 820}}}, sizes)
	m.h = [plainParams]float64{-0.9, 0.05, 0.02, 0.04, 0.93, -0.03, 0.06, -0.05}
	m.lens.Component.K1, m.lens.Foil.K1 = -0.03, 0.02
	m.lens.Component.Centre = m.lens.Component.Centre.Add(geom.Point{X: 20, Y: -9})
	p := geom.Point{X: 1700, Y: 300}
	x, y := m.jacobian(p, fullParams)
	const step = 1e-6
	for k := range fullParams {
		up, down := make([]float64, fullParams), make([]float64, fullParams)
		up[k], down[k] = step, -step
		a, _ := m.move(up).apply(p)
		b, _ := m.move(down).apply(p)
		d := a.Sub(b).Scale(1 / (2 * step))
		// Lens terms move the place by some thousand pixels a unit.
		if math.Abs(d.X-x[k]) > 1e-4*(1+math.Abs(d.X)) || math.Abs(d.Y-y[k]) > 1e-4*(1+math.Abs(d.Y)) {
			t.Errorf("parameter %d: %.6f %.6f, differences give %.6f %.6f", k, x[k], y[k], d.X, d.Y)
		}
	}
}

func TestJointsOfALead(t *testing.T) {
	ref := readReference(t)
	a, err := FromPairs(context.Background(), ref.Synthetic.Cases[0].pairs(), ref.sizes(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	lead := ref.Synthetic.Cases[0].test()[0].Component
	at := a.ToFoil(lead)
	near := at.Add(geom.Point{X: 2})
	beside := at.Add(geom.Point{X: 30})
	far := at.Add(geom.Point{X: 300})
	spread := LeadSpread{Lead: 2, Joint: 1, Stray: 0.02}
	sum := func(p []float64) float64 {
		s := 0.0
		for _, v := range p {
			s += v
		}
		return s
	}
	if p := a.JointsOf(lead, []geom.Point{near, beside, far}, spread); p[0] < 0.95 || p[2] > 1e-6 || sum(p) > 1+1e-12 {
		t.Errorf("one joint near: %v", p)
	}
	if p := a.JointsOf(lead, []geom.Point{at.Add(geom.Point{X: 5}), at.Sub(geom.Point{X: 5})}, spread); math.Abs(p[0]-p[1]) > 0.05 || sum(p) < 0.9 {
		t.Errorf("midway between two joints: %v", p)
	}
	if p := a.JointsOf(lead, []geom.Point{far, beside.Add(geom.Point{X: 100})}, spread); sum(p) > 0.05 {
		t.Errorf("no joint near: %v", p)
	}
	if p := a.JointsOf(lead, nil, spread); len(p) != 0 {
		t.Errorf("no joints: %v", p)
	}
}

func TestErrorMapIsFinite(t *testing.T) {
	ref := readReference(t)
	a, err := FromPairs(context.Background(), ref.Synthetic.Cases[0].pairs(), ref.sizes(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := a.ErrorMap()
	if len(m.Places) != m.Columns*m.Rows || m.Columns != errorSteps {
		t.Fatalf("%d places in %d × %d", len(m.Places), m.Columns, m.Rows)
	}
	for _, p := range m.Places {
		c := a.Covariance(geom.Point{X: p.Component[0], Y: p.Component[1]})
		if !(p.Error95 > 0) || p.XX != c[0][0] || p.XX*p.YY <= p.XY*p.XY {
			t.Errorf("place %+v", p)
		}
	}
}
