package bayes_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"foilside/internal/num/bayes"
)

// The worked examples of the diagnosis literature, done with this package's
// posteriors and expected information. Hypotheses are sets of faulty
// components as bit masks; a faulty component may put out anything.

// network is components that each compute one net from others.
type network struct {
	gates []gate
}

type gate struct {
	name string
	out  string
	in   []string
	f    func(...int) int
}

func multiply(x ...int) int { return x[0] * x[1] }
func add(x ...int) int      { return x[0] + x[1] }
func and(x ...int) int      { return x[0] & x[1] }
func or(x ...int) int       { return x[0] | x[1] }
func xor(x ...int) int      { return x[0] ^ x[1] }

// consistent says whether the known nets can hold with exactly the masked
// gates faulty, and which values the unmeasured nets are then known to have.
// It propagates: a sound gate's output follows from its inputs, and an input
// follows from output and other input where the gate can be inverted over the
// values tried.
func (n network) consistent(faulty uint, known map[string]int, values []int) (bool, map[string][]int) {
	unknown := n.unknown(known)
	possible := map[string]map[int]bool{}
	found := false
	assign := maps.Clone(known)
	var try func(i int)
	try = func(i int) {
		if i == len(unknown) {
			if !n.holds(faulty, assign) {
				return
			}
			found = true
			for _, u := range unknown {
				if possible[u] == nil {
					possible[u] = map[int]bool{}
				}
				possible[u][assign[u]] = true
			}
			return
		}
		for _, v := range values {
			assign[unknown[i]] = v
			try(i + 1)
		}
	}
	try(0)
	out := map[string][]int{}
	for u, vs := range possible {
		out[u] = slices.Sorted(maps.Keys(vs))
	}
	return found, out
}

func (n network) unknown(known map[string]int) []string {
	var out []string
	for _, g := range n.gates {
		if _, ok := known[g.out]; !ok {
			out = append(out, g.out)
		}
	}
	return out
}

func (n network) holds(faulty uint, v map[string]int) bool {
	for i, g := range n.gates {
		if faulty&(1<<i) != 0 {
			continue
		}
		in := make([]int, len(g.in))
		for k, name := range g.in {
			in[k] = v[name]
		}
		if g.f(in...) != v[g.out] {
			return false
		}
	}
	return true
}

// candidates are all fault sets that agree with the known nets.
func (n network) candidates(known map[string]int, values []int) []uint {
	var out []uint
	for s := range uint(1) << len(n.gates) {
		if ok, _ := n.consistent(s, known, values); ok {
			out = append(out, s)
		}
	}
	return out
}

func (n network) minimal(sets []uint) []string {
	var out []string
	for _, s := range sets {
		if !slices.ContainsFunc(sets, func(t uint) bool { return t != s && t&s == t }) {
			out = append(out, n.names(s))
		}
	}
	slices.Sort(out)
	return out
}

func (n network) names(s uint) string {
	var names []string
	for i, g := range n.gates {
		if s&(1<<i) != 0 {
			names = append(names, g.name)
		}
	}
	slices.Sort(names)
	return fmt.Sprint(names)
}

// priors are log prior probabilities with p for each component to be faulty.
func (n network) priors(sets []uint, p float64) []float64 {
	out := make([]float64, len(sets))
	for i, s := range sets {
		for g := range n.gates {
			if s&(1<<g) != 0 {
				out[i] += math.Log(p)
			} else {
				out[i] += math.Log1p(-p)
			}
		}
	}
	return out
}

func fiveBoxes() (network, map[string]int, []int) {
	n := network{[]gate{
		{"M1", "X", []string{"A", "C"}, multiply},
		{"M2", "Y", []string{"B", "D"}, multiply},
		{"M3", "Z", []string{"C", "E"}, multiply},
		{"A1", "F", []string{"X", "Y"}, add},
		{"A2", "G", []string{"Y", "Z"}, add},
	}}
	known := map[string]int{"A": 3, "B": 2, "C": 2, "D": 3, "E": 3, "F": 10, "G": 12}
	values := []int{3, 4, 5, 6, 7, 8, 9} // every value that a prediction takes, and some that none does
	return n, known, values
}

func TestMinimalCandidates(t *testing.T) {
	boxes, observed, values := fiveBoxes()
	measured := maps.Clone(observed)
	measured["Y"] = 5
	adder := network{[]gate{
		{"X1", "p", []string{"a", "b"}, xor}, {"X2", "sum", []string{"p", "ci"}, xor},
		{"A1", "q", []string{"a", "b"}, and}, {"A2", "r", []string{"p", "ci"}, and},
		{"O1", "carry", []string{"q", "r"}, or},
	}}
	bits := []int{0, 1}
	for _, tc := range []struct {
		name   string
		n      network
		known  map[string]int
		values []int
		want   []string
	}{
		{"E06 five boxes, de Kleer & Williams, AI 32 (1987)", boxes, observed, values,
			[]string{"[A1]", "[A2 M2]", "[M1]", "[M2 M3]"}},
		{"E07 five boxes after Y = 5", boxes, measured, values,
			[]string{"[A1 A2 M2]", "[A1 M2 M3]", "[A2 M1 M2]", "[M1 M2 M3]"}},
		{"E12 full adder, Reiter, AI 32 (1987)", adder,
			map[string]int{"a": 1, "b": 0, "ci": 1, "sum": 1, "carry": 0}, bits,
			[]string{"[A2 X2]", "[O1 X2]", "[X1]"}},
		{"E13 two AND gates", network{[]gate{{"a1", "x", []string{"i", "j"}, and}, {"a2", "y", []string{"k", "l"}, and}}},
			map[string]int{"i": 1, "j": 1, "k": 1, "l": 1, "x": 0, "y": 0}, bits, []string{"[a1 a2]"}},
		{"E14 two ANDs into an OR", network{[]gate{{"a1", "x", []string{"i", "j"}, and}, {"a2", "y", []string{"k", "l"}, and}, {"o1", "z", []string{"x", "y"}, or}}},
			map[string]int{"i": 1, "j": 1, "k": 1, "l": 1, "z": 0}, bits, []string{"[a1 a2]", "[o1]"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			sets := tc.n.candidates(tc.known, tc.values)
			if got := tc.n.minimal(sets); !slices.Equal(got, tc.want) {
				t.Errorf("minimal candidates %v, published %v", got, tc.want)
			}
		})
	}
}

// TestFiveBoxPosterior holds posteriors and the choice of probe against E09
// and E10: independent equal priors of 0.01, an unknown fault not penalised.
func TestFiveBoxPosterior(t *testing.T) {
	n, known, values := fiveBoxes()
	sets := n.candidates(known, values)
	if len(sets) != 27 {
		t.Fatalf("%d consistent fault sets, E06 counts 27 of 32", len(sets))
	}
	post, _ := bayes.Posterior(n.priors(sets, 0.01), make([]float64, len(sets)))
	want := map[string]float64{"[M1]": 0.478, "[A1]": 0.478, "[A2 M2]": 0.0048, "[M2 M3]": 0.0048}
	marginal := map[string]float64{}
	for i, s := range sets {
		if w, ok := want[n.names(s)]; ok {
			near(t, "E09 "+n.names(s), post[i], w, 0.0005)
		}
		for g, gate := range n.gates {
			if s&(1<<g) != 0 {
				marginal[gate.name] += post[i]
			}
		}
	}
	for name, w := range map[string]float64{"M1": 0.4976, "A1": 0.4976, "M2": 0.0196, "M3": 0.0148, "A2": 0.0148} {
		near(t, "E09 marginal "+name, marginal[name], w, 0.00005)
	}
	near(t, "E09 entropy", bayes.Entropy(post), 1.359, 0.0005)
	probes := map[string]struct {
		outcome map[int]float64 // 0: unpredicted
		bits    float64
	}{
		"X": {map[int]float64{6: 0.5024, 4: 0.4926, 0: 0.0051}, 1.041},
		"Y": {map[int]float64{6: 0.9901, 4: 0.0097}, 0.0815},
		"Z": {map[int]float64{6: 0.9949, 8: 0.0048}, 0.0474},
	}
	best, most := "", 0.0
	for probe, w := range probes {
		rows, mix := n.outcomes(sets, post, known, probe)
		for v, p := range w.outcome {
			near(t, fmt.Sprintf("E10 %s = %d", probe, v), mix[v], p, 0.0001)
		}
		spread := slices.Collect(maps.Values(mix))
		near(t, "E10 entropy of "+probe, bayes.Entropy(spread), w.bits, 0.0006)
		if info := bayes.Information(post, rows); info > most {
			best, most = probe, info
		}
	}
	if best != "X" {
		t.Errorf("the best next measurement is %s, E10 says X", best)
	}
}

// outcomes are the predicted values of a probe under each candidate: the one
// value that follows, or 0 for none.
func (n network) outcomes(sets []uint, post []float64, known map[string]int, probe string) ([][]float64, map[int]float64) {
	_, _, values := fiveBoxes()
	mix := map[int]float64{}
	rows := make([][]float64, len(sets))
	for i, s := range sets {
		_, possible := n.consistent(s, known, values)
		v := 0
		if len(possible[probe]) == 1 {
			v = possible[probe][0]
		}
		mix[v] += post[i]
		rows[i] = make([]float64, 10)
		rows[i][v] = 1
	}
	return rows, mix
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s: %.5f, published %.5f", what, got, want)
	}
}
