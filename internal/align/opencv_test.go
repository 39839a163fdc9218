package align

import (
	"context"
	"math"
	"slices"
	"testing"

	"foilside/internal/num/geom"
)

// tie is how far, in foil pixels, two least-squares programs may end apart on
// the same problem; the reference is printed to 1e-6 and its iteration stops
// earlier than ours.
const tie = 1e-3

// OpenCV 4.6 findHomography, least squares and RANSAC, is the oracle: given
// pairs 0, 2, 4, … of a real board, the others must be placed no worse, by the
// plain matrix alone and by the exact map.
func TestRealBoardsNoWorseThanOpenCV(t *testing.T) {
	ref := readReference(t)
	for _, name := range []string{"SUPPLY81", "SUPPLY91", "CARD84", "PERFA"} {
		t.Run(name, func(t *testing.T) {
			b := readTruth(t, name)
			even, odd := everySecond(b.Pairs)
			a, err := FromPairs(context.Background(), even, b.sizes(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if !a.Mirrored() {
				t.Error("the map doesn't mirror")
			}
			for way, toFoil := range map[string]func(geom.Point) geom.Point{"matrix alone": a.Plain.Apply, "exact": a.ToFoil} {
				median, largest := placement(odd, toFoil)
				t.Logf("%s: median %.3f largest %.3f (OpenCV least squares %.3f, %.3f)", way, median, largest,
					ref.Boards[name].LeastSquares.Halves.Median, ref.Boards[name].LeastSquares.Halves.Largest)
				for method, want := range map[string]*errorSummary{"least squares": ref.Boards[name].LeastSquares.Halves, "RANSAC": ref.Boards[name].Ransac.Halves} {
					if median > want.Median+tie || largest > want.Largest+tie {
						t.Errorf("%s: median %.3f, largest %.3f; OpenCV %s has %.3f, %.3f", way, median, largest, method, want.Median, want.Largest)
					}
				}
			}
		})
	}
}

// PERFB has six pairs, so every second gives three, too few for any map of
// this kind. Leaving one out at a time judges it, and the others again.
func TestRealBoardsLeftOneOut(t *testing.T) {
	ref := readReference(t)
	for _, name := range []string{"CARD84", "PERFA", "PERFB"} {
		t.Run(name, func(t *testing.T) {
			b := readTruth(t, name)
			var errs []float64
			for i := range b.Pairs {
				rest := slices.Delete(slices.Clone(b.Pairs), i, i+1)
				a, err := FromPairs(context.Background(), rest, b.sizes(), Options{})
				if err != nil {
					t.Fatal(err)
				}
				errs = append(errs, a.ToFoil(b.Pairs[i].Component).Dist(b.Pairs[i].Foil))
			}
			slices.Sort(errs)
			median, largest := medianOf(errs), errs[len(errs)-1]
			want := ref.Boards[name].LeastSquares.LeftOneOut
			t.Logf("median %.3f largest %.3f (OpenCV least squares %.3f, %.3f)", median, largest, want.Median, want.Largest)
			if median > 1.05*want.Median || largest > 1.05*want.Largest {
				t.Errorf("median %.3f, largest %.3f; OpenCV has %.3f, %.3f", median, largest, want.Median, want.Largest)
			}
		})
	}
}

// verdict gathers one kind of made geometry.
type verdict struct {
	median, largest        []float64 // log of our error over OpenCV's least squares
	ransac                 []float64 // log of our median over OpenCV's RANSAC
	named, missed, falsely int
	pairs                  int
}

func meanOf(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// 300 random geometries with known truth (crosscheck/align_reference.py):
// perspective, turns, noise in both photos, lenses, wrong pairs, and strips of
// pairs along one edge.
func TestMadeGeometriesAgainstOpenCV(t *testing.T) {
	ref := readReference(t)
	kinds := map[string]*verdict{}
	for i, c := range ref.Synthetic.Cases {
		a, err := FromPairs(context.Background(), c.pairs(), ref.sizes(), Options{})
		if err != nil {
			t.Fatalf("case %d (%s, %d pairs): %v", i, c.Kind, len(c.Pairs), err)
		}
		if kinds[c.Kind] == nil {
			kinds[c.Kind] = &verdict{}
		}
		v := kinds[c.Kind]
		v.pairs += len(c.Pairs)
		for _, m := range a.Left {
			if slices.Contains(c.Wrong, m.Pair) {
				v.named++
			} else {
				v.falsely++
			}
		}
		v.missed += len(c.Wrong)
		if c.LeastSquares == nil {
			continue
		}
		median, largest := placement(c.test(), a.ToFoil)
		v.median = append(v.median, math.Log(median/c.LeastSquares.Median))
		v.largest = append(v.largest, math.Log(largest/c.LeastSquares.Largest))
		v.ransac = append(v.ransac, math.Log(median/c.Ransac.Median))
	}
	for kind, v := range kinds {
		v.missed -= v.named
		median, largest, ransac := math.Exp(meanOf(v.median)), math.Exp(meanOf(v.largest)), math.Exp(meanOf(v.ransac))
		t.Logf("%s: %d cases, median error × %.3f and largest × %.3f of OpenCV's least squares, median × %.3f of its RANSAC; wrong pairs named %d, missed %d, good ones left out %d of %d",
			kind, len(v.median), median, largest, ransac, v.named, v.missed, v.falsely, v.pairs)
		if median > worth || largest > worth || ransac > 1 {
			t.Errorf("%s: worse than OpenCV", kind)
		}
		if v.missed > 0 || 50*v.falsely > v.pairs {
			t.Errorf("%s: %d wrong pairs missed, %d good ones left out", kind, v.missed, v.falsely)
		}
	}
}

// Six pairs marked by hand with a pixel of noise in each photo
// (crosscheck/six_pairs.py): at most 1.1 times the error of OpenCV's
// findHomography on the same points with a straight lens, less with a bent one.
func TestSixPairsAgainstOpenCV(t *testing.T) {
	ref := readReferenceFile(t, "six_pairs.json")
	ratios := map[string][]float64{}
	for i, c := range ref.Synthetic.Cases {
		a, err := FromPairs(context.Background(), c.pairs(), ref.sizes(), Options{})
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		median, _ := placement(c.test(), a.ToFoil)
		ratios[c.Kind] = append(ratios[c.Kind], math.Log(median/c.LeastSquares.Median))
	}
	for kind, most := range map[string]float64{"straight": 1.1, "lens": 1, "two lenses": 1} {
		ratio := math.Exp(meanOf(ratios[kind]))
		t.Logf("%s: %d boards, median error × %.3f of OpenCV's", kind, len(ratios[kind]), ratio)
		if !(ratio < most) {
			t.Errorf("%s: × %.3f of OpenCV's, more than %.1f", kind, ratio, most)
		}
	}
}

// worth is the most that keeping a lens possible may cost, as a factor, where
// there is none: the price for what it gains where there is one.
const worth = 1.03

// The true place should lie in the 95 % ellipse 95 times in 100, whatever the
// layout. Cases with lenses are left out: what the shrunken lens still lacks
// is not noise.
func TestUncertaintyCoversTruth(t *testing.T) {
	ref := readReference(t)
	const chi95 = 5.991 // χ² with two degrees of freedom
	inside, all := map[string]int{}, map[string]int{}
	for _, c := range ref.Synthetic.Cases {
		a, err := FromPairs(context.Background(), c.pairs(), ref.sizes(), Options{NoLens: c.Kind != "lens"})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range c.test() {
			e := a.Uncertainty(p.Component)
			d := a.ToFoil(p.Component).Sub(p.Foil)
			det := e.Cov[0][0]*e.Cov[1][1] - e.Cov[0][1]*e.Cov[1][0]
			form := (e.Cov[1][1]*d.X*d.X - 2*e.Cov[0][1]*d.X*d.Y + e.Cov[0][0]*d.Y*d.Y) / det
			all[c.Kind]++
			if form <= chi95 {
				inside[c.Kind]++
			}
		}
	}
	for kind, n := range all {
		share := float64(inside[kind]) / float64(n)
		t.Logf("%s: %.1f %% of %d places inside the 95 %% ellipse", kind, 100*share, n)
		if kind != "lens" && (share < 0.85 || share > 0.995) {
			t.Errorf("%s: %.1f %% inside", kind, 100*share)
		}
	}
}

func BenchmarkFromPairs40(b *testing.B) {
	ref := readReference(b)
	var pairs []Pair
	for _, c := range ref.Synthetic.Cases {
		if c.Kind == "lens" && len(c.Pairs) >= 35 {
			pairs = c.pairs()
			break
		}
	}
	for b.Loop() {
		if _, err := FromPairs(context.Background(), pairs, ref.sizes(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
