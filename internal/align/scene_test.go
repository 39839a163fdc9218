package align

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

// spots is a board of 1800 × 1100 pixels seen from both sides as blobs alone:
// shared ones at given places, others on one side only.
type spots struct {
	on, under   outline
	sizes       Sizes
	over        geom.Projective // the true map
	front, back []blob
}

func quadOf(x0, y0, x1, y1 float64) [4]geom.Point {
	return [4]geom.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// newSpots places shared blobs with noise of a pixel, and as much clutter on
// each side as asked.
func newSpots(shared []geom.Point, clutter int, seed uint64, seen bool) spots {
	rng := rand.New(rand.NewPCG(seed, 9))
	s := spots{over: geom.Projective{-1, 0.02, 1990, 0.01, 1.02, -20, 1e-5, 0, 1},
		sizes: Sizes{Size{2000, 1300}, Size{2000, 1300}}}
	s.on = outline{quad: quadOf(100, 100, 1900, 1200), seen: seen}
	for i, p := range s.on.quad { // clockwise from the top left as seen, so mirrored
		s.under.quad[[4]int{1, 0, 3, 2}[i]] = s.over.Apply(p).Add(geom.Point{X: 2, Y: -1})
	}
	s.under.seen = seen
	add := func(list *[]blob, p geom.Point) {
		*list = append(*list, blob{at: p, radius: 5, power: 5 + 30*rng.Float64(), dark: rng.Float64() < 0.5})
	}
	for _, p := range shared {
		shake := geom.Point{X: rng.NormFloat64(), Y: rng.NormFloat64()}
		add(&s.front, p)
		add(&s.back, s.over.Apply(p).Add(shake))
	}
	for range clutter {
		p := geom.Point{X: 110 + 1780*rng.Float64(), Y: 110 + 1080*rng.Float64()}
		q := geom.Point{X: 110 + 1780*rng.Float64(), Y: 110 + 1080*rng.Float64()}
		add(&s.front, p)
		add(&s.back, s.over.Apply(q))
	}
	byPower := func(a, b blob) int { return int(math.Copysign(1, b.power-a.power)) }
	slices.SortFunc(s.front, byPower)
	slices.SortFunc(s.back, byPower)
	return s
}

func scattered(n int, seed uint64) []geom.Point {
	rng := rand.New(rand.NewPCG(seed, 3))
	var list []geom.Point
	for range n {
		list = append(list, geom.Point{X: 130 + 1740*rng.Float64(), Y: 130 + 1040*rng.Float64()})
	}
	return list
}

func gridOf(pitch float64) []geom.Point {
	var list []geom.Point
	for y := 150.0; y < 1150; y += pitch {
		for x := 150.0; x < 1850; x += pitch {
			list = append(list, geom.Point{X: x, Y: y})
		}
	}
	return list
}

func (s spots) search(t *testing.T, hints []Pair) (*scene, []candidate) {
	t.Helper()
	sc := newScene(s.front, s.back, s.on, s.under, s.sizes)
	found, err := sc.tryTurns(context.Background(), s.on, s.under, hints)
	if err != nil {
		t.Fatal(err)
	}
	return sc, found
}

func (s spots) missed(m geom.Projective) float64 {
	worst := 0.0
	for _, p := range s.on.quad {
		worst = max(worst, m.Apply(p).Dist(s.over.Apply(p)))
	}
	return worst
}

func TestSearchFindsSharedSpots(t *testing.T) {
	for _, c := range []struct {
		name    string
		shared  int
		clutter int
		seen    bool
	}{
		{"many shared, outlines seen", 80, 200, true},
		{"few shared, outlines seen", 40, 250, true},
		{"many shared, no outlines", 120, 200, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSpots(scattered(c.shared, 5), c.clutter, 7, c.seen)
			sc, found := s.search(t, nil)
			best, err := sc.decide(found)
			if err != nil {
				t.Fatalf("%v (gain %.1f, next %.1f)", err, found[0].gain, sc.nextGain(found))
			}
			if !best.turn.mirrored || s.missed(best.model.matrix()) > 8 {
				t.Errorf("turn %+v, corners missed by %.1f px", best.turn, s.missed(best.model.matrix()))
			}
			a, err := sc.settleOn(context.Background(), best, nil, s.sizes, Options{})
			if err != nil || s.missed(a.Plain) > 6 || a.Found != FoundAutomatic {
				t.Errorf("settled %.1f px off, %v", s.missed(a.Plain), err)
			}
			if sd := a.Uncertainty(s.on.quad[0]).Major; sd < standOff*sc.longer || sd > 0.02*sc.longer {
				t.Errorf("standard deviation at a corner %.1f px of %.0f", sd, sc.longer)
			}
		})
	}
}

func TestSearchRefuses(t *testing.T) {
	mirroredByHand := newSpots(scattered(100, 5), 100, 7, true)
	flip := func(p geom.Point) geom.Point { return geom.Point{X: 1999 - p.X, Y: p.Y} }
	for i := range mirroredByHand.back {
		mirroredByHand.back[i].at = flip(mirroredByHand.back[i].at)
	}
	q := mirroredByHand.under.quad
	mirroredByHand.under.quad = [4]geom.Point{flip(q[1]), flip(q[0]), flip(q[3]), flip(q[2])}
	for _, c := range []struct {
		name string
		s    spots
		kind Kind
	}{
		{"nothing shared", newSpots(nil, 300, 7, true), Unsure},
		{"nothing shared, no outlines", newSpots(nil, 300, 8, false), Unsure},
		{"a grid of holes, no outlines", newSpots(gridOf(60), 20, 7, false), Unsure},
		{"no blobs at all", newSpots(nil, 0, 7, true), Unsure},
		{"foil photo mirrored by hand", mirroredByHand, SameFace},
	} {
		t.Run(c.name, func(t *testing.T) {
			sc, found := c.s.search(t, nil)
			best, err := sc.decide(found)
			var p *Problem
			if !errors.As(err, &p) || p.Kind != c.kind {
				t.Errorf("got %v, want %s (turn %+v, gain %.1f)", err, c.kind, best.turn, best.gain)
			}
		})
	}
}

// A grid that looks the same turned by 180° leaves two turns; a mark near a
// corner leaves one.
func TestMarkSettlesTheTurn(t *testing.T) {
	s := newSpots(gridOf(100), 0, 7, true)
	sc, found := s.search(t, nil)
	if _, err := sc.decide(found); err == nil {
		t.Fatal("an even grid was decided without a mark")
	}
	corner := geom.Point{X: 150, Y: 150}
	hints := []Pair{{corner, s.over.Apply(corner)}}
	sc, found = s.search(t, hints)
	best, err := sc.decideMarked(found, hints)
	if err != nil || s.missed(best.model.matrix()) > 8 {
		t.Errorf("%v, corners missed by %.1f px", err, s.missed(best.model.matrix()))
	}
	wrong := []Pair{{corner, s.over.Apply(geom.Point{X: 1000, Y: 650})}}
	sc, found = s.search(t, wrong)
	if _, err := sc.decideMarked(found, wrong); err == nil {
		t.Error("a mark that fits no turn was accepted")
	}
}

func TestOutlinesAndAMarkAloneGiveAMapWithWarnings(t *testing.T) {
	s := newSpots(nil, 0, 7, true)
	corner := geom.Point{X: 300, Y: 200}
	why := &Problem{Kind: Unsure, Reason: "no holes", Advice: "mark four"}
	a, err := fromOutlines(context.Background(), s.on, s.under, []Pair{{corner, s.over.Apply(corner)}}, s.sizes, Options{}, why)
	if err != nil || s.missed(a.Plain) > 20 || len(a.Problems) != 2 || a.Found != FoundAutomatic {
		t.Errorf("%v, corners missed by %.1f px, problems %v", err, s.missed(a.Plain), a.Problems)
	}
	middle := s.on.quad[0].Add(s.on.quad[2]).Scale(0.5) // tells no turn from another
	if _, err := fromOutlines(context.Background(), s.on, s.under, []Pair{{middle, s.over.Apply(middle)}}, s.sizes, Options{}, why); !errors.Is(err, why) {
		t.Errorf("a mark in the middle gives %v, want the reason handed in", err)
	}
	s.on.seen = false
	if _, err := fromOutlines(context.Background(), s.on, s.under, nil, s.sizes, Options{}, why); !errors.Is(err, why) {
		t.Errorf("without an outline: %v", err)
	}
}

// The gain of a map that explains nothing is near 0, and each turn away from
// the outline costs.
func TestAgainst(t *testing.T) {
	r := reach{typical: 0.01}
	if r.against(0) != 0 || r.against(0.02) <= r.against(0.01) {
		t.Errorf("against %v, %v, %v", r.against(0), r.against(0.01), r.against(0.02))
	}
}

func TestBallot(t *testing.T) {
	b := newBallot(50, 5)
	for range 7 {
		b.cast(geom.Point{X: 20, Y: -31})
	}
	for range 3 {
		b.cast(geom.Point{X: -40, Y: 40})
	}
	b.cast(geom.Point{X: 500}) // out of reach: not counted
	top := b.top(2)
	if len(top) != 2 || top[0].votes != 7 || top[0].at.Dist(geom.Point{X: 20, Y: -30}) > 8 || top[1].votes != 3 {
		t.Errorf("got %+v", top)
	}
	b.clear()
	if top := b.top(1); top[0].votes != 0 {
		t.Errorf("votes left after clear: %+v", top)
	}
}

// The index against looking at every blob.
func TestBlobIndex(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 4))
	var blobs []blob
	for range 300 {
		blobs = append(blobs, blob{at: geom.Point{X: 1000*rng.Float64() - 50, Y: 600 * rng.Float64()}})
	}
	x := newBlobIndex(blobs, 40)
	for range 500 {
		p := geom.Point{X: 1400*rng.Float64() - 200, Y: 1000*rng.Float64() - 200}
		reach := 100 * rng.Float64()
		want, least := -1, reach
		for i, b := range blobs {
			if d := b.at.Dist(p); d <= least {
				want, least = i, d
			}
		}
		got, distance, ok := x.nearest(p, reach)
		if ok != (want >= 0) || ok && (got != want || distance != least) {
			t.Fatalf("nearest to %v within %.1f: %d at %.2f, %v; want %d at %.2f", p, reach, got, distance, ok, want, least)
		}
	}
	empty := newBlobIndex(nil, 40)
	if _, _, ok := empty.nearest(geom.Point{}, 10); ok {
		t.Error("an empty index found a blob")
	}
}
