package copper

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// The pairing found is the cheapest of all without crossings.
func TestPairUpFindsTheCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := 2 * rapid.IntRange(1, 5).Draw(t, "half")
		cost := make([][]float64, n)
		for i := range cost {
			cost[i] = make([]float64, n)
		}
		for i := range n {
			for j := range i {
				c := math.Inf(1)
				if (i+j)%2 == 1 {
					c = float64(rapid.IntRange(0, 50).Draw(t, "cost"))
				}
				cost[i][j], cost[j][i] = c, c
			}
		}
		pair, sum := pairUp(cost), 0.0
		for i, j := range pair {
			if pair[j] != i || i == j {
				t.Fatalf("%v is no pairing", pair)
			}
			for k := i + 1; k < j; k++ {
				if pair[k] < i || pair[k] > j {
					t.Fatalf("%v crosses itself", pair)
				}
			}
			sum += cost[i][j] / 2
		}
		if want := cheapest(cost, 0, n); sum != want {
			t.Fatalf("%v costs %v, the cheapest %v", pair, sum, want)
		}
	})
}

// cheapest tries every pairing of from to before to without crossings.
func cheapest(cost [][]float64, from, to int) float64 {
	if from >= to {
		return 0
	}
	best := math.Inf(1)
	for k := from + 1; k < to; k += 2 {
		best = math.Min(best, cost[from][k]+cheapest(cost, from+1, k)+cheapest(cost, k+1, to))
	}
	return best
}

// Copper runs on beneath a band as the edges on both its sides foretell.
func TestCopperIsCarriedOnBeneath(t *testing.T) {
	const side = 100
	const from, to = 40, 60 // rows hidden
	inBand := func(x, y int) bool { return y >= from && y < to }
	for name, row := range map[string]struct {
		copper   func(x, y float64) bool
		hidden   func(x, y int) bool
		joined   [2]geom.Point // two places of one piece
		separate [2]geom.Point
	}{
		"a track straight across": {
			copper:   func(x, _ float64) bool { return x > 30 && x < 38 || x > 60 && x < 68 },
			hidden:   inBand,
			joined:   [2]geom.Point{{X: 34, Y: 20}, {X: 34, Y: 80}},
			separate: [2]geom.Point{{X: 34, Y: 20}, {X: 64, Y: 80}},
		},
		"tracks at a slant": {
			copper:   func(x, y float64) bool { return math.Mod(x+y, 40) < 12 },
			hidden:   inBand,
			joined:   [2]geom.Point{{X: 66, Y: 20}, {X: 6, Y: 80}},
			separate: [2]geom.Point{{X: 66, Y: 20}, {X: 46, Y: 80}},
		},
		"a narrow gap at a slant": {
			copper:   func(x, y float64) bool { return math.Abs(x-y) > 3 },
			hidden:   inBand,
			joined:   [2]geom.Point{{X: 60, Y: 20}, {X: 90, Y: 80}},
			separate: [2]geom.Point{{X: 45, Y: 35}, {X: 45, Y: 65}},
		},
		"a track that ends beneath": {
			copper:   func(x, y float64) bool { return x > 30 && x < 38 && y < 50 || x > 60 && x < 68 },
			hidden:   inBand,
			joined:   [2]geom.Point{{X: 64, Y: 20}, {X: 64, Y: 80}},
			separate: [2]geom.Point{{X: 34, Y: 20}, {X: 64, Y: 80}},
		},
		"around a hole in what hides it": {
			copper: func(x, _ float64) bool { return x > 46 && x < 54 },
			hidden: func(x, y int) bool {
				r := math.Hypot(float64(x)-50, float64(y)-50)
				return r > 15 && r < 30
			},
			joined:   [2]geom.Point{{X: 50, Y: 10}, {X: 50, Y: 90}},
			separate: [2]geom.Point{{X: 50, Y: 10}, {X: 50, Y: 10}},
		},
	} {
		t.Run(name, func(t *testing.T) {
			q, over := raster.NewPlane(side, side), raster.NewMask(side, side)
			for y := range side {
				for x := range side {
					if row.copper(float64(x), float64(y)) {
						q.Set(x, y, 1)
					}
					if row.hidden(x, y) {
						over.Pix[y*side+x] = 1
						q.Set(x, y, 0.5) // nothing is known here
					}
				}
			}
			pieces := raster.Components(beneath(q, over).Threshold(0.5), false)
			at := func(p geom.Point) int32 { return pieces.Of[int(p.Y)*side+int(p.X)] }
			if a, b := at(row.joined[0]), at(row.joined[1]); a == 0 || a != b {
				t.Errorf("%v are on pieces %d and %d, want one", row.joined, a, b)
			}
			if a, b := at(row.separate[0]), at(row.separate[1]); a == b && row.separate[0] != row.separate[1] {
				t.Errorf("%v are both on piece %d, want two", row.separate, a)
			}
		})
	}
}

// A piece of which nothing is seen around takes the look of its surroundings.
func TestHiddenWithoutEdges(t *testing.T) {
	for _, around := range []float32{0, 1} {
		q, over := raster.NewPlane(40, 40), raster.NewMask(40, 40)
		q.Fill(around)
		for y := 15; y < 25; y++ {
			for x := 15; x < 25; x++ {
				over.Pix[y*40+x] = 1
			}
		}
		if got := beneath(q, over).At(20, 20); got > 0.5 != (around > 0.5) {
			t.Errorf("amid %v lies %v", around, got)
		}
	}
}

// Pale strokes are print only where the network can't tell what is beneath.
func TestPrinted(t *testing.T) {
	l, metal, board := raster.NewPlane(60, 60), raster.NewPlane(60, 60), raster.NewMask(60, 60)
	l.Fill(40)
	for y := range 60 {
		for x := range 60 {
			board.Pix[y*60+x] = 1
			if x%30 >= 13 && x%30 < 18 {
				l.Set(x, y, 80) // two strokes
			}
			if x >= 30 {
				metal.Set(x, y, 6) // clearly copper
			}
		}
	}
	m := printed(l, metal, board)
	if !m.Yes(15, 30) || m.Yes(45, 30) || m.Yes(5, 30) {
		t.Errorf("stroke %v, shining track %v, board %v; want only the first", m.Yes(15, 30), m.Yes(45, 30), m.Yes(5, 30))
	}
}

// Whatever is hidden, what is in sight stays as it is and what isn't becomes
// likely copper or likely bare.
func TestBeneathChangesOnlyWhatIsHidden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 24).Draw(t, "w"), rapid.IntRange(1, 24).Draw(t, "h")
		q, over := raster.NewPlane(w, h), raster.NewMask(w, h)
		for range rapid.IntRange(0, 6).Draw(t, "bars") {
			x0, y0 := rapid.IntRange(0, w-1).Draw(t, "x"), rapid.IntRange(0, h-1).Draw(t, "y")
			x1, y1 := rapid.IntRange(x0, w-1).Draw(t, "to x"), rapid.IntRange(y0, h-1).Draw(t, "to y")
			hides := rapid.Bool().Draw(t, "hides")
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					if hides {
						over.Pix[y*w+x] = 1 - over.Pix[y*w+x] // holes, too
					} else {
						q.Set(x, y, 1-q.At(x, y))
					}
				}
			}
		}
		out := beneath(q, over)
		for i, v := range out.Pix {
			switch {
			case over.Pix[i] == 0 && v != q.Pix[i]:
				t.Fatalf("pixel %d in sight went from %v to %v", i, q.Pix[i], v)
			case over.Pix[i] != 0 && v != hiddenCopper && v != hiddenBare:
				t.Fatalf("hidden pixel %d is %v", i, v)
			}
		}
	})
}
