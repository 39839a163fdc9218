package copper

import (
	"testing"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"

	"pgregory.net/rapid"
)

// drawLevels makes a plane of hills and gaps, wider than a tile so that seams
// are crossed.
func drawLevels(t *rapid.T) ([]uint8, int, int) {
	w, h := rapid.IntRange(1, 150).Draw(t, "w"), rapid.IntRange(1, 90).Draw(t, "h")
	p := raster.NewPlane(w, h)
	for range rapid.IntRange(0, 60).Draw(t, "spots") {
		x, y := rapid.IntRange(0, w-1).Draw(t, "x"), rapid.IntRange(0, h-1).Draw(t, "y")
		v := float32(rapid.IntRange(0, 255).Draw(t, "level"))
		for dy := -6; dy <= 6; dy++ {
			for dx := -9; dx <= 9; dx++ {
				if x+dx >= 0 && y+dy >= 0 && x+dx < w && y+dy < h {
					p.Set(x+dx, y+dy, v)
				}
			}
		}
	}
	if rapid.Bool().Draw(t, "soft") {
		p = raster.Gaussian(p, 2)
	}
	levels := make([]uint8, w*h)
	for i, v := range p.Pix {
		levels[i] = uint8(v)
	}
	return levels, w, h
}

// weakest is the slow twin: the level at which two pixels come into one
// connected piece.
func weakest(levels []uint8, w, h, a, b int) int {
	for l := 255; l >= floorLevel; l-- {
		m := raster.NewMask(w, h)
		for i, v := range levels {
			if int(v) >= l {
				m.Pix[i] = 1
			}
		}
		c := raster.Components(m, false)
		if c.Of[a] != 0 && c.Of[a] == c.Of[b] {
			return l
		}
	}
	return 0
}

func TestTreeHoldsTheWeakestPlaceOfTheBestPath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		levels, w, h := drawLevels(t)
		g := newGraph(levels, w, h)
		if g.n < 1 {
			return
		}
		tr := grow(g, nil, nil)
		a := rapid.IntRange(0, g.n-1).Draw(t, "a")
		b := rapid.IntRange(0, g.n-1).Draw(t, "b")
		got := 0
		if a == b {
			return
		}
		if l, n := tr.joined(int32(a), int32(b)); n >= 0 {
			got = int(l)
		}
		want := weakest(levels, w, h, int(tr.nodes[a].at), int(tr.nodes[b].at))
		if got < want-flatness || got > want+flatness {
			t.Fatalf("basins %d and %d: weakest level %d, want %d", a, b, got, want)
		}
	})
}

func TestCutAgreesWithThresholdedPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		levels, w, h := drawLevels(t)
		// Levels near the cut are moved away from it: there flatness decides.
		for i, v := range levels {
			if v > cutLevel-2*flatness && v < cutLevel+2*flatness {
				levels[i] = cutLevel + 2*flatness
			}
		}
		m := raster.NewMask(w, h)
		for i, v := range levels {
			if v >= cutLevel {
				m.Pix[i] = 1
			}
		}
		want := raster.Components(m, false)
		g := newGraph(levels, w, h)
		tr := grow(g, nil, nil)
		of := tr.cut(tr.evenOdds).of
		forth, back := map[int32]int32{}, map[int32]int32{}
		for i, l := range want.Of {
			if l == 0 {
				continue
			}
			n := of[g.basinAt(i)]
			if old, ok := forth[l]; ok && old != n {
				t.Fatalf("pixel %d: piece %d is on nets %d and %d", i, l, old, n)
			}
			if old, ok := back[n]; ok && old != l {
				t.Fatalf("pixel %d: net %d is on pieces %d and %d", i, n, old, l)
			}
			forth[l], back[n] = n, l
		}
	})
}

// A graph in which a few tiles were flooded anew equals one made from scratch.
func TestRefloodEqualsAFreshGraph(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		levels, w, h := drawLevels(t)
		g := newGraph(levels, w, h).clone()
		k := knife{g: g, changed: map[int]bool{}, reach: 10}
		point := func(what string) geom.Point {
			return geom.Point{X: rapid.Float64Range(0, float64(w-1)).Draw(t, what), Y: rapid.Float64Range(0, float64(h-1)).Draw(t, what)}
		}
		k.cut(point("from"), point("to"))
		g.reflood(k.changed)
		fresh := newGraph(g.levels, w, h)
		if g.n != fresh.n {
			t.Fatalf("%d basins, want %d", g.n, fresh.n)
		}
		a, b := g.saddles(), fresh.saddles()
		if len(a) != len(b) {
			t.Fatalf("%d passes, want %d", len(a), len(b))
		}
		for i := range a {
			if a[i] != b[i] {
				t.Fatalf("pass %d: %+v, want %+v", i, a[i], b[i])
			}
		}
	})
}

// bars draws horizontal bars of copper, each 10 pixels high with gaps of 10,
// and returns a plate of them. Bridges are given by column and the bar above.
func bars(n int, bridges ...[2]int) *Plate {
	w, h := 200, 20*n
	q := raster.NewPlane(w, h)
	for y := range h {
		for x := range w {
			if y%20 < 10 && x >= 10 && x < w-10 {
				q.Set(x, y, 0.95)
			}
		}
	}
	for _, b := range bridges {
		for y := b[1]*20 + 9; y <= b[1]*20+20; y++ {
			for x := b[0]; x < b[0]+6; x++ {
				q.Set(x, y, 0.7)
			}
		}
	}
	p := &Plate{W: w, H: h, Scale: 1, Prob: q, opts: Options{Joints: []geom.Point{}}}
	for i := range n {
		p.opts.Joints = append(p.opts.Joints, geom.Point{X: 20, Y: float64(20*i + 5)})
	}
	p.prepare(&Seen{})
	return p
}

func TestCorrections(t *testing.T) {
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	for _, c := range []struct {
		name string
		ev   Evidence
		same bool // bars 0 and 1 are one net; a bridge joins them at x 100
		nets int
	}{
		{"a bridge joins", Evidence{}, true, 2},
		{"cut across the bridge", Evidence{Cuts: []Segment{{at(90, 15), at(115, 15)}}}, false, 3},
		{"cut given by its two ends", Evidence{Cuts: []Segment{{at(102, 3), at(102, 25)}}}, false, 3},
		{"cut beside the bridge", Evidence{Cuts: []Segment{{at(50, 15), at(80, 15)}}}, true, 2},
		{"measured as separate", Evidence{Measured: []Continuity{{at(30, 5), at(150, 25), false}}}, false, 3},
		{"measured as joined", Evidence{Measured: []Continuity{{at(30, 25), at(150, 45), true}}}, true, 1},
		{"join to the third bar", Evidence{Joins: []Segment{{at(150, 28), at(150, 41)}}}, true, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			nets, err := bars(3, [2]int{100, 0}).Nets(t.Context(), c.ev)
			if err != nil {
				t.Fatal(err)
			}
			a, b := nets.At(at(30, 5)), nets.At(at(30, 25))
			if a.Net == nil || b.Net == nil || (*a.Net == *b.Net) != c.same || len(nets.Nets) != c.nets {
				t.Errorf("bars on nets %v and %v of %d; want same %v of %d", a.Net, b.Net, len(nets.Nets), c.same, c.nets)
			}
		})
	}
}

func TestDoubtNamesTheDecidingPlace(t *testing.T) {
	nets, err := bars(3, [2]int{100, 0}).Nets(t.Context(), Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	if len(nets.Doubtful) != 1 {
		t.Fatalf("%d doubtful places, want the bridge alone: %+v", len(nets.Doubtful), nets.Doubtful)
	}
	d := nets.Doubtful[0]
	if d.X < 95 || d.X > 110 || d.Y < 8 || d.Y > 21 || d.Nets[0] != d.Nets[1] || d.Pairs != 1 {
		t.Errorf("got %+v, want the bridge at about (102, 15) within one net, one pair hanging on it", d)
	}
	if p := d.ProbabilityJoined; p < 0.65 || p > 0.75 {
		t.Errorf("probability %v, want about 0.7", p)
	}
	if d.Between != [2]geom.Point{{X: 20, Y: 5}, {X: 20, Y: 25}} && d.Between != [2]geom.Point{{X: 20, Y: 25}, {X: 20, Y: 5}} {
		t.Errorf("to probe between %v, want the two joints", d.Between)
	}
}

func TestAt(t *testing.T) {
	p := bars(2)
	for y := 2; y < 8; y++ { // an open hole
		for x := 97; x < 103; x++ {
			p.Prob.Set(x, y, 0)
		}
	}
	p.prepare(&Seen{})
	nets, err := p.Nets(t.Context(), Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		at   geom.Point
		net  NetID // 0: none
	}{
		{"on copper", geom.Point{X: 50, Y: 5}, 1},
		{"in a hole", geom.Point{X: 100, Y: 5}, 1},
		{"in the middle of a gap", geom.Point{X: 50, Y: 14.5}, 0},
		{"just beside copper", geom.Point{X: 50, Y: 10.4}, 1},
		{"off the photo", geom.Point{X: -50, Y: 5}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := nets.At(c.at)
			got := NetID(0)
			if a.Net != nil {
				got = *a.Net
			}
			if got != c.net || a.Confidence < 0 || a.Confidence > 1 {
				t.Errorf("got net %d with confidence %v, want %d", got, a.Confidence, c.net)
			}
		})
	}
}
