package align

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"foilside/internal/num/approx"
	"foilside/internal/num/geom"

	"github.com/goccy/go-yaml"
	"pgregory.net/rapid"
)

// turnedOver maps a 2000 × 1500 component photo onto a 1800 × 1600 foil photo
// of the same board turned over, a little tilted.
var turnedOver = geom.Projective{-0.85, 0.02, 1750, 0.01, 0.9, 90, 1e-5, -2e-5, 1}

var madeSizes = Sizes{Size{2000, 1500}, Size{1800, 1600}}

var madePlaces = []geom.Point{{X: 150, Y: 120}, {X: 1850, Y: 160}, {X: 1820, Y: 1380}, {X: 180, Y: 1400},
	{X: 900, Y: 700}, {X: 1300, Y: 400}, {X: 500, Y: 1100}, {X: 700, Y: 300}, {X: 1500, Y: 1000}, {X: 1000, Y: 1300}}

// marked are pairs at the first n made places, each off by up to noise pixels.
func marked(n int, m geom.Projective, noise float64) []Pair {
	rng := rand.New(rand.NewPCG(3, 5))
	var pairs []Pair
	for _, p := range madePlaces[:n] {
		off := geom.Point{X: rng.NormFloat64(), Y: rng.NormFloat64()}.Scale(noise)
		pairs = append(pairs, Pair{p, m.Apply(p).Add(off)})
	}
	return pairs
}

func mustAlign(t testing.TB, pairs []Pair) Alignment {
	t.Helper()
	a, err := FromPairs(context.Background(), pairs, madeSizes, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestExactPairsGiveTheirMap(t *testing.T) {
	a := mustAlign(t, marked(6, turnedOver, 0))
	if e := approx.Weighted(a.Plain[:], turnedOver[:], 1e-9, 1e-6); e > 1 {
		t.Errorf("matrix %v, want %v", a.Plain, turnedOver)
	}
	if a.Plain[8] != 1 || !a.Mirrored() || a.ResidualPx > 1e-4 || len(a.Left) != 0 || len(a.Problems) != 0 {
		t.Errorf("last element %v, mirrored %v, residual %v, left %v, problems %v", a.Plain[8], a.Mirrored(), a.ResidualPx, a.Left, a.Problems)
	}
}

func TestWrongPairIsNamedAndLeftOut(t *testing.T) {
	for _, c := range []struct {
		name  string
		pairs int
		wrong []int // counted from 1
		by    geom.Point
	}{
		{"one of six", 6, []int{4}, geom.Point{X: 60, Y: -35}},
		{"one of ten, a little off", 10, []int{7}, geom.Point{X: 20, Y: 0}},
		{"two of ten, off the same way", 10, []int{2, 9}, geom.Point{X: 0, Y: 150}},
		{"three of ten", 10, []int{1, 5, 6}, geom.Point{X: -90, Y: 80}},
	} {
		t.Run(c.name, func(t *testing.T) {
			pairs := marked(c.pairs, turnedOver, 1)
			for _, w := range c.wrong {
				pairs[w-1].Foil = pairs[w-1].Foil.Add(c.by)
			}
			a := mustAlign(t, pairs)
			var named []int
			for _, m := range a.Left {
				named = append(named, m.Pair)
				if !approx.AbsOrRel(m.DistancePx, c.by.Norm(), 5, 0) {
					t.Errorf("pair %d is said to be %.1f px off, want about %.1f", m.Pair, m.DistancePx, c.by.Norm())
				}
			}
			if !slices.Equal(named, c.wrong) {
				t.Fatalf("left out %v, want %v", named, c.wrong)
			}
			if p := a.Problems[0]; p.Kind != WrongPair || !strings.Contains(p.Reason, pairNames(c.wrong[:1])) || p.Next() == "" {
				t.Errorf("problem %+v doesn't name pair %d", p, c.wrong[0])
			}
			for _, p := range madePlaces {
				if d, sd := a.ToFoil(p).Dist(turnedOver.Apply(p)), a.Uncertainty(p).Major; d > 3*sd || sd > 25 {
					t.Errorf("%v is placed %.1f px off, standard deviation %.1f", p, d, sd)
				}
			}
		})
	}
}

func TestPairsThatCannotStand(t *testing.T) {
	line := func(i int) Pair {
		p := geom.Point{X: 200 + 150*float64(i), Y: 300 + 70*float64(i)}
		return Pair{p, turnedOver.Apply(p)}
	}
	good := marked(8, turnedOver, 1)
	with := func(i int, p Pair) []Pair {
		pairs := slices.Clone(good)
		pairs[i] = p
		return pairs
	}
	otherBoard := slices.Clone(good)
	rng := rand.New(rand.NewPCG(8, 8))
	for i := range otherBoard {
		otherBoard[i].Foil = geom.Point{X: rng.Float64() * 1799, Y: rng.Float64() * 1599}
	}
	swapped := slices.Clone(good[:4])
	swapped[1].Foil, swapped[2].Foil = swapped[2].Foil, swapped[1].Foil
	for _, c := range []struct {
		name  string
		pairs []Pair
		kind  Kind
		says  string
		names []int
	}{
		{"none", nil, TooFew, "0 of the 4", nil},
		{"three", good[:3], TooFew, "3 of the 4", nil},
		{"on a line", []Pair{line(0), line(1), line(2), line(4), line(5)}, Collinear, "on one line", nil},
		{"the same twice", with(5, good[2]), Repeated, "the same place in both", []int{3, 6}},
		{"one place in one photo, two in the other", with(5, Pair{good[2].Component, good[5].Foil}), Repeated, "one place in the component photo but two", []int{3, 6}},
		{"outside the component photo", with(1, Pair{geom.Point{X: 2000, Y: 5}, good[1].Foil}), Outside, "pair 2: component [2000, 5]", []int{2}},
		{"outside the foil photo", with(7, Pair{good[7].Component, geom.Point{X: 3, Y: -4}}), Outside, "pair 8: foil [3, -4]", []int{8}},
		{"not a number", with(0, Pair{geom.Point{X: math.NaN()}, good[0].Foil}), Outside, "pair 1", []int{1}},
		{"photos of different boards", otherBoard, NotOne, "one board", nil},
		{"two marks exchanged of four", swapped, NotOne, "another order", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := FromPairs(context.Background(), c.pairs, madeSizes, Options{})
			var p *Problem
			if !errors.As(err, &p) {
				t.Fatalf("got %v, %+v; want a problem", err, a)
			}
			if p.Kind != c.kind || !strings.Contains(p.Reason, c.says) || p.Advice == "" {
				t.Errorf("got %s: %v; want %s saying %q", p.Kind, p, c.kind, c.says)
			}
			if c.names != nil && !slices.Equal(p.Pairs, c.names) {
				t.Errorf("names pairs %v, want %v", p.Pairs, c.names)
			}
		})
	}
}

func TestMapsThatStandWithAWarning(t *testing.T) {
	same := geom.Projective{0.85, 0.02, 50, -0.01, 0.9, 90, 1e-5, -2e-5, 1} // not turned over
	steep := geom.Projective{-0.85, 0.02, 1750, 0.01, 0.9, 90, -5.2e-4, 0, 1}
	near := marked(6, geom.Identity(), 0)
	for i := range near { // all in the left half, where the steep map is tame
		p := near[i].Component
		p.X = p.X/2 + 20
		near[i] = Pair{p, steep.Apply(p)}
	}
	steepSizes := Sizes{Size{2000, 1500}, Size{4000, 3000}}
	strip := marked(5, turnedOver, 0)
	for i, x := range []float64{100, 600, 1200, 1800} {
		p := geom.Point{X: x, Y: 300 + 0.1*x}
		strip[i] = Pair{p, turnedOver.Apply(p)}
	}
	strip[4] = Pair{madePlaces[3], turnedOver.Apply(madePlaces[3])}
	squeezed := marked(4, turnedOver, 0)
	for i := range squeezed {
		squeezed[i].Foil.Y = 700 + squeezed[i].Foil.Y/4
	}
	for _, c := range []struct {
		name  string
		pairs []Pair
		sizes Sizes
		kind  Kind
		says  string
	}{
		{"both photos show one face", marked(8, same, 1), madeSizes, SameFace, "same face, or one of them is already mirrored"},
		{"four photos' worth of tilt", near, steepSizes, Horizon, "horizon"},
		{"all but one on a line", strip, madeSizes, Collinear, "all pairs but one"},
		{"four places that can't be one board's", squeezed, madeSizes, NotOne, "stretched by half or more"},
		{"four pairs", marked(4, turnedOver, 1), madeSizes, FewToJudge, "4 pairs"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := FromPairs(context.Background(), c.pairs, c.sizes, Options{})
			if err != nil {
				t.Fatal(err)
			}
			i := slices.IndexFunc(a.Problems, func(p Problem) bool { return p.Kind == c.kind })
			if i < 0 || !strings.Contains(a.Problems[i].Reason, c.says) || a.Problems[i].Advice == "" {
				t.Errorf("problems %+v, want %s saying %q", a.Problems, c.kind, c.says)
			}
			if c.kind == SameFace && a.Mirrored() {
				t.Error("a map that keeps the face claims to mirror")
			}
		})
	}
}

func TestStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := FromPairs(ctx, marked(10, turnedOver, 1), madeSizes, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
}

// A strong lens in one photo: the corners are moved by 4 %, 40 pixels and more
// than any noise, so the pairs must bear it.
func TestLensIsFoundWhereItIs(t *testing.T) {
	truth := noLenses(madeSizes)
	truth.Foil.K1 = 0.04
	rng := rand.New(rand.NewPCG(11, 12))
	var pairs, check []Pair
	for i := range 40 {
		p := geom.Point{X: 60 + 1880*rng.Float64(), Y: 60 + 1380*rng.Float64()}
		q := truth.Foil.Distort(turnedOver.Apply(p))
		if !madeSizes.Foil.contains(q) {
			continue
		}
		if i%2 == 0 {
			pairs = append(pairs, Pair{p, q.Add(geom.Point{X: rng.NormFloat64(), Y: rng.NormFloat64()})})
		} else {
			check = append(check, Pair{p, q})
		}
	}
	a := mustAlign(t, pairs)
	_, plain := placement(check, a.Plain.Apply)
	_, exact := placement(check, a.ToFoil)
	if exact > 3 || plain < 2*exact {
		t.Errorf("largest error %.2f px with the lens, %.2f without; want below 3 and less than half", exact, plain)
	}
	for _, p := range check {
		if d := a.ToComponent(a.ToFoil(p.Component)).Dist(p.Component); d > 1e-6 {
			t.Errorf("%v comes back %.2g px off", p.Component, d)
		}
	}
	none, err := FromPairs(context.Background(), pairs, madeSizes, Options{NoLens: true})
	if err != nil || !none.Lens.flat() {
		t.Errorf("NoLens gives lenses %+v, %v", none.Lens, err)
	}
}

// Turning either photo by 180° turns the map and nothing else.
func TestTurnedPhotosGiveTheTurnedMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(6, len(madePlaces)).Draw(t, "pairs")
		pairs := marked(n, turnedOver, rapid.Float64Range(0, 3).Draw(t, "noise"))
		turned := make([]Pair, n)
		for i, p := range pairs {
			turned[i] = Pair{p.Component, geom.Point{X: 1799 - p.Foil.X, Y: 1599 - p.Foil.Y}}
		}
		a, err1 := FromPairs(context.Background(), pairs, madeSizes, Options{})
		b, err2 := FromPairs(context.Background(), turned, madeSizes, Options{})
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		for _, p := range madePlaces {
			q, r := a.ToFoil(p), b.ToFoil(p)
			if d := (geom.Point{X: 1799 - r.X, Y: 1599 - r.Y}).Dist(q); d > 1e-3 {
				t.Fatalf("%v: %.3g px apart", p, d)
			}
		}
	})
}

func TestModelJacobianAgainstDifferences(t *testing.T) {
	m := newModel(marked(6, turnedOver, 0), madeSizes)
	m.setMatrix(turnedOver)
	m.lens.Component.K1, m.lens.Foil.K1 = 0.02, -0.03
	const h = 1e-6
	for _, p := range madePlaces {
		x, y := m.jacobian(p, lensParams)
		for i := range lensParams {
			step := make([]float64, lensParams)
			step[i] = h
			up, _ := m.move(step).apply(p)
			step[i] = -h
			down, _ := m.move(step).apply(p)
			want := up.Sub(down).Scale(1 / (2 * h))
			if !approx.AbsOrRel(x[i], want.X, 1e-2, 1e-5) || !approx.AbsOrRel(y[i], want.Y, 1e-2, 1e-5) {
				t.Errorf("at %v, parameter %d: (%g, %g), want %v", p, i, x[i], y[i], want)
			}
		}
	}
}

func TestPairText(t *testing.T) {
	want := []Pair{{geom.Point{X: 311, Y: 402}, geom.Point{X: 1711, Y: 398.5}}}
	var fromJSON, fromYAML []Pair
	if err := json.Unmarshal([]byte(`[{"component":[311,402],"foil":[1711,398.5]}]`), &fromJSON); err != nil || !slices.Equal(fromJSON, want) {
		t.Errorf("JSON gives %v, %v", fromJSON, err)
	}
	if err := yaml.Unmarshal([]byte("- {component: [311, 402], foil: [1711, 398.5]}"), &fromYAML); err != nil || !slices.Equal(fromYAML, want) {
		t.Errorf("YAML gives %v, %v", fromYAML, err)
	}
	out, err := json.Marshal(want)
	if err != nil || string(out) != `[{"component":[311,402],"foil":[1711,398.5]}]` {
		t.Errorf("JSON written as %s, %v", out, err)
	}
	text, err := yaml.Marshal(want)
	if err != nil || strings.TrimSpace(string(text)) != "- component: [311.0, 402.0]\n  foil: [1711.0, 398.5]" {
		t.Errorf("YAML written as %q, %v", text, err)
	}
}
