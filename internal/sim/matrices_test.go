package sim_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/num/sparse"
)

// jacobian is the matrix of a circuit at its operating point.
type jacobian struct {
	name    string
	pattern sparse.Pattern
	num     []float64
}

func jacobianOf(t testing.TB, name string, c *circuit.Circuit) jacobian {
	in, err := compile(t, c).Instance(circuit.State{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := in.Solve(t.Context(), nil, nil)
	if err != nil {
		t.Fatal(name, err)
	}
	p, num := in.Jacobian(s)
	return jacobian{name, p, append([]float64(nil), num...)}
}

// jacobians are the matrices that the solver of linear equations is timed on:
// of two sorts of circuits, at about 100 and 500 unknowns.
func jacobians(t testing.TB) []jacobian {
	var out []jacobian
	for _, unknowns := range []int{100, 500} {
		out = append(out, jacobianOf(t, fmt.Sprintf("amplifier %d", unknowns), build(t, amplifier(unknowns/5)...)))
		rng := rand.New(rand.NewPCG(uint64(unknowns), 5))
		c, _, _ := network(rng, unknowns, unknowns/2)
		out = append(out, jacobianOf(t, fmt.Sprintf("network %d", unknowns), c))
		u := &unit{rng: rng}
		u.lines = append(u.lines, "BT1 battery v gnd voltage=12 resistance=0", "RF resistor s0 gnd value=47k")
		// Three unknowns a stage, nearly.
		for range unknowns * 10 / 37 {
			u.add(t, rng.IntN(len(stages)), 12)
		}
		out = append(out, jacobianOf(t, fmt.Sprintf("stages %d", unknowns), build(t, u.lines...)))
	}
	return out
}

// timed is the least mean time of a refactor and a solve over many batches,
// in microseconds, and the solution.
func (j jacobian) timed(t testing.TB, b []float64) (us float64, x []float64, fill int) {
	lu, err := sparse.Analyze(j.pattern).Factor(j.num)
	if err != nil {
		t.Fatal(j.name, err)
	}
	x, scratch := make([]float64, len(b)), make([]float64, len(b))
	us = math.Inf(1)
	for range 200 {
		const turns = 20
		start := time.Now()
		for range turns {
			copy(x, b)
			if err := lu.Refactor(j.num); err != nil {
				t.Fatal(j.name, err)
			}
			lu.Solve(x, scratch)
		}
		us = min(us, time.Since(start).Seconds()*1e6/turns)
	}
	return us, x, lu.Fill()
}

// TestMatricesForOthers writes the matrices with our times and solutions for
// crosscheck/sparse_lu.py, which has another solver do the same.
func TestMatricesForOthers(t *testing.T) {
	dir := os.Getenv("FOILSIDE_MATRICES")
	if dir == "" {
		t.Skip("crosscheck/sparse_lu.py runs this")
	}
	for k, j := range jacobians(t) {
		b := make([]float64, j.pattern.N)
		for i := range b {
			b[i] = math.Sin(float64(i + 1))
		}
		us, x, fill := j.timed(t, b)
		text, err := json.Marshal(map[string]any{"name": j.name, "columns": j.pattern.ColPtr, "rows": j.pattern.Row, "numbers": j.num,
			"right": b, "microseconds": us, "solution": x, "fill": fill})
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.json", k)), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// BenchmarkRefactorSolve is a refactor and a solve on the matrices of
// circuits. Budgets: 50 µs at 100 unknowns, 300 µs at 500.
func BenchmarkRefactorSolve(b *testing.B) {
	for _, j := range jacobians(b) {
		b.Run(fmt.Sprintf("%s/unknowns=%d", j.name, j.pattern.N), func(b *testing.B) {
			lu, err := sparse.Analyze(j.pattern).Factor(j.num)
			if err != nil {
				b.Fatal(err)
			}
			x, scratch := make([]float64, j.pattern.N), make([]float64, j.pattern.N)
			b.ReportAllocs()
			for b.Loop() {
				if err := lu.Refactor(j.num); err != nil {
					b.Fatal(err)
				}
				x[3] = 1
				lu.Solve(x, scratch)
			}
			b.ReportMetric(float64(lu.Fill()), "fill")
		})
	}
}
