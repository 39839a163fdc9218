package sparse_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"foilside/internal/num/sparse"
)

// system is a random sparse matrix with a dense twin.
type system struct {
	pattern sparse.Pattern
	num     []float64
	dense   *mat.Dense
}

func randomSystem(rng *rand.Rand, n int, density float64, diagonal bool) system {
	b := sparse.NewBuilder(n)
	var at [][2]int
	for i := range n {
		for j := range n {
			if (i == j && diagonal) || rng.Float64() < density {
				b.Add(i, j)
				at = append(at, [2]int{i, j})
			}
		}
	}
	p, places := b.Build()
	s := system{p, make([]float64, p.NNZ()), mat.NewDense(n, n, nil)}
	for k, ij := range at {
		v := rng.NormFloat64()
		if ij[0] == ij[1] {
			v += 3
		}
		s.num[places[k]] += v
		s.dense.Set(ij[0], ij[1], s.dense.At(ij[0], ij[1])+v)
	}
	return s
}

func (s system) reference(t interface{ Fatal(...any) }, b []float64) []float64 {
	var lu mat.LU
	lu.Factorize(s.dense)
	var x mat.VecDense
	if err := lu.SolveVecTo(&x, false, mat.NewVecDense(len(b), append([]float64(nil), b...))); err != nil {
		t.Fatal("the reference can't solve it: ", err)
	}
	return x.RawVector().Data
}

func largestDifference(a, b []float64) float64 {
	d, size := 0.0, 0.0
	for i := range a {
		d, size = max(d, math.Abs(a[i]-b[i])), max(size, math.Abs(b[i]))
	}
	return d / size
}

func TestSolvesLikeDenseElimination(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		s := randomSystem(rng, n, rapid.Float64Range(0.02, 0.4).Draw(t, "density"), true)
		if c := mat.Cond(s.dense, 1); c > 1e6 {
			t.Skip("too near to singular for a comparison to 1e-9")
		}
		b := make([]float64, n)
		for i := range b {
			b[i] = rng.NormFloat64()
		}
		want := s.reference(t, b)
		lu, err := sparse.Analyze(s.pattern).Factor(s.num)
		if err != nil {
			t.Fatal(err)
		}
		if lu.Negative() != (mat.Det(s.dense) < 0) {
			t.Fatalf("n = %d: the determinant's sign differs from dense elimination", n)
		}
		got := append([]float64(nil), b...)
		lu.Solve(got, make([]float64, n))
		if d := largestDifference(got, want); d > 1e-9 {
			t.Fatalf("n = %d: differs from dense elimination by %g", n, d)
		}
		// Other numbers on the same pattern, through the kept pivots.
		for k := range s.num {
			s.num[k] *= 1 + 0.1*rng.NormFloat64()
		}
		if err := lu.Refactor(s.num); errors.Is(err, sparse.ErrPivot) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
		got = append(got[:0], b...)
		lu.Solve(got, make([]float64, n))
		residual := append([]float64(nil), b...)
		for i := range residual {
			residual[i] = -residual[i]
		}
		s.pattern.MulAdd(residual, s.num, got)
		for i := range residual {
			if math.Abs(residual[i]) > 1e-8*(1+math.Abs(b[i])) {
				t.Fatalf("refactored: residual %g in row %d", residual[i], i)
			}
		}
	})
}

func TestZeroDiagonalIsPivotedRound(t *testing.T) {
	// A voltage source: the row of its current has no diagonal.
	b := sparse.NewBuilder(2)
	b.Add(0, 0)
	b.Add(0, 1)
	b.Add(1, 0)
	b.Add(1, 1)
	p, places := b.Build()
	num := make([]float64, p.NNZ())
	for k, v := range []float64{0.001, 1, 1, 0} {
		num[places[k]] = v
	}
	lu, err := sparse.Analyze(p).Factor(num)
	if err != nil {
		t.Fatal(err)
	}
	x := []float64{0, 9}
	lu.Solve(x, make([]float64, 2))
	if x[0] != 9 || math.Abs(x[1]+0.009) > 1e-15 {
		t.Errorf("9 V across 1 kΩ gives %v", x)
	}
}

func TestSingularColumnIsNamed(t *testing.T) {
	for name, num := range map[string][]float64{
		"nothing in the column": {1, 0, 0, 0, 0, 0, 0, 0, 1},
		"twice the same":        {1, 1, 0, 1, 1, 0, 0, 0, 1},
		"no number":             {1, 0, 0, 0, math.NaN(), 0, 0, 0, 1},
	} {
		t.Run(name, func(t *testing.T) {
			b := sparse.NewBuilder(3)
			for i := range 3 {
				for j := range 3 {
					b.Add(i, j)
				}
			}
			p, places := b.Build()
			v := make([]float64, 9)
			for k := range num {
				v[places[k]] = num[k]
			}
			_, err := sparse.Analyze(p).Factor(v)
			var singular *sparse.SingularError
			if !errors.As(err, &singular) || singular.Column > 1 {
				t.Fatalf("got %v, want a singular column 0 or 1", err)
			}
		})
	}
}

func TestLadderIsEliminatedWithoutFill(t *testing.T) {
	const n = 400
	b := sparse.NewBuilder(n)
	for i := range n {
		b.Add(i, i)
		if i > 0 {
			b.Add(i, i-1)
			b.Add(i-1, i)
		}
	}
	p, _ := b.Build()
	num := make([]float64, p.NNZ())
	for j := range n {
		for t := p.ColPtr[j]; t < p.ColPtr[j+1]; t++ {
			num[t] = -1
			if int(p.Row[t]) == j {
				num[t] = 2.5
			}
		}
	}
	lu, err := sparse.Analyze(p).Factor(num)
	if err != nil {
		t.Fatal(err)
	}
	if lu.Fill() != p.NNZ() {
		t.Errorf("a ladder of %d entries filled up to %d", p.NNZ(), lu.Fill())
	}
}

func TestOrderIsAPermutation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 300).Draw(t, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		b := sparse.NewBuilder(n)
		for range rapid.IntRange(0, 6*n).Draw(t, "entries") {
			// Low numbers more often, so that some are joined to very many.
			b.Add(int(float64(n)*math.Pow(rng.Float64(), 3)), rng.IntN(n))
		}
		p, _ := b.Build()
		order := slices.Clone(sparse.MinimumDegree(p))
		slices.Sort(order)
		for k, v := range order {
			if int(v) != k {
				t.Fatalf("place %d has %d: no permutation of %d", k, v, n)
			}
		}
	})
}

// ladder is the matrix of n nodes in a row, every one joined also to a rail.
func ladder(n int) system {
	b := sparse.NewBuilder(n + 1)
	var places []int
	for i := range n {
		for _, ij := range [][2]int{{i, i}, {i, n}, {n, i}, {i, max(i-1, 0)}, {max(i-1, 0), i}} {
			b.Add(ij[0], ij[1])
			places = append(places, ij[0]-ij[1])
		}
	}
	b.Add(n, n)
	p, at := b.Build()
	s := system{pattern: p, num: make([]float64, p.NNZ())}
	for k, off := range places {
		s.num[at[k]] = -1
		if off == 0 {
			s.num[at[k]] = 3.5
		}
	}
	s.num[at[len(places)]] = 1 + float64(n)
	return s
}

// TestWorkGrowsWithTheLadder: ten times the nodes are ten times the fill and
// the work, a rail that all of them hang on notwithstanding.
func TestWorkGrowsWithTheLadder(t *testing.T) {
	size := func(n int) (fill, work int) {
		s := ladder(n)
		lu, err := sparse.Analyze(s.pattern).Factor(s.num)
		if err != nil {
			t.Fatal(err)
		}
		return lu.Fill(), lu.Work()
	}
	fill, work := size(1000)
	fillLarge, workLarge := size(10000)
	if fillLarge > 11*fill || workLarge > 11*work {
		t.Errorf("1000 nodes: %d entries, %d multiplications; 10000 nodes: %d and %d", fill, work, fillLarge, workLarge)
	}
}

// BenchmarkAnalyzeLadder is the order of elimination of a ladder of 10,000
// nodes on a rail.
func BenchmarkAnalyzeLadder(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		s := ladder(n)
		b.Run(fmt.Sprintf("nodes=%d", n), func(b *testing.B) {
			for b.Loop() {
				sparse.Analyze(s.pattern)
			}
		})
	}
}

func benchmarkSystem(n int) system {
	return randomSystem(rand.New(rand.NewPCG(7, 7)), n, 3/float64(n), true)
}

func BenchmarkRefactorSolve100(b *testing.B) {
	s := benchmarkSystem(100)
	lu, err := sparse.Analyze(s.pattern).Factor(s.num)
	if err != nil {
		b.Fatal(err)
	}
	x, scratch := make([]float64, 100), make([]float64, 100)
	b.ReportAllocs()
	for b.Loop() {
		if err := lu.Refactor(s.num); err != nil {
			b.Fatal(err)
		}
		x[3] = 1
		lu.Solve(x, scratch)
	}
}

func BenchmarkAnalyzeFactor100(b *testing.B) {
	s := benchmarkSystem(100)
	for b.Loop() {
		if _, err := sparse.Analyze(s.pattern).Factor(s.num); err != nil {
			b.Fatal(err)
		}
	}
}
