package board

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// netList is an invented board: which pieces the photograph leaves open, with
// honest probabilities, and how it really is.
type netList struct {
	pieces     int
	bonds      []bond
	whole      []bool // the truth, by bond
	nets       int    // with the joints that are sure
	neighbours int    // checks that verify every joint of a net and every two nets side by side
}

// invent draws a board of joints on nets, as many joints a net as the 120 on
// 45 of the project's aims, share of whose nets are in doubt. A doubt within a
// net parts a tree of its joints; one between nets joins two of them. Each is
// whole with just the probability it is given.
func invent(r *rand.Rand, joints int, share float64) netList {
	nets := max(2, joints*45/120)
	l := netList{pieces: joints, nets: nets, neighbours: joints - nets + 3*nets - 6}
	members := make([][]int, nets)
	for j := range joints {
		n := j % nets
		if j >= nets {
			n = r.IntN(nets)
		}
		members[n] = append(members[n], j)
	}
	rep := make([]int, joints) // pieces that are surely one share a number
	for _, m := range members {
		for _, j := range m {
			rep[j] = m[0]
		}
	}
	doubts := 0
	for _, m := range members {
		if r.Float64() < share {
			doubts++
			if len(m) > 2 && r.IntN(2) == 0 { // a chain or fork within the net
				for i := range m[1:] {
					if r.IntN(2) == 0 {
						rep[m[i+1]] = m[i+1]
						l.add(r, rep[m[r.IntN(i+1)]], m[i+1])
					}
				}
				continue
			}
			other := members[r.IntN(nets)]
			l.add(r, rep[m[r.IntN(len(m))]], rep[other[r.IntN(len(other))]])
		}
	}
	return l
}

// add puts a doubt that is mostly nearly sure, as photographs leave them.
func (l *netList) add(r *rand.Rand, a, b int) {
	if a == b {
		return
	}
	s := math.Sin(math.Pi / 2 * r.Float64())
	p := doubtLow + (doubtHigh-doubtLow)*s*s // the arcsine law: crowded at both ends
	l.bonds = append(l.bonds, bond{a, b, p, -1})
	l.whole = append(l.whole, r.Float64() < p)
}

// truth numbers the nets as they are.
func (l netList) truth() []int {
	x := world{n: l.pieces, bonds: l.bonds}
	of := make([]int, x.n)
	for i := range of {
		of[i] = i
	}
	for changed := true; changed; {
		changed = false
		for i, b := range l.bonds {
			if m := min(of[b.a], of[b.b]); l.whole[i] && of[b.a] != of[b.b] {
				of[b.a], of[b.b], changed = m, m, true
			}
		}
	}
	return of
}

// outcome sums up many boards.
type outcome struct {
	boards, nets, wrongBoards, wrongNets, checks, neighbours int
	most                                                     float64 // checks over verifying neighbours, worst board
	bits, expectWrong                                        float64
}

// ask takes checks until the nets are sure, misheard once in fifty, and counts.
// They are taken one by one, each the best that is left; or by lists, each to
// its end before the next is made, as many as rounds.
func (o *outcome) ask(t *testing.T, l netList, r *rand.Rand, rounds int) {
	t.Helper()
	truth := l.truth()
	p := newPlanner(newBelief(newMesh(l.pieces, l.bonds, anywhere)), anywhere, detours{})
	before := p.belief.sureness(p.likely)
	checks := 0
	take := func(q option) {
		beep := (truth[q.u] == truth[q.v]) != (r.Float64() < misread)
		if err := p.take(q, beep); err != nil {
			t.Fatal(err)
		}
		if checks++; checks > 50*len(l.bonds) {
			t.Fatalf("no end at %v", p.likely.all())
		}
	}
	if rounds == 0 {
		for p.likely.all() < 1-enough {
			q, ok := p.next(false)
			if !ok {
				t.Fatalf("no check left at %v", p.likely.all())
			}
			take(q)
		}
	}
	for ; rounds > 0 && p.likely.all() < 1-enough; rounds-- {
		var list []option
		imagined := &planner{belief: p.belief, likely: p.likely, options: slices.Clone(p.options)}
		if err := imagined.list(t.Context(), func(q option, _ *belief) { list = append(list, q) }); err != nil {
			t.Fatal(err)
		}
		for _, q := range list {
			take(q)
		}
	}
	wrong := wrongNets(p.belief.netOf(p.likely), truth)
	o.boards++
	o.nets += l.nets
	o.checks += checks
	o.neighbours += l.neighbours
	o.wrongNets += wrong
	if wrong > 0 {
		o.wrongBoards++
	}
	o.most = max(o.most, float64(checks)/float64(l.neighbours))
	o.bits += before.Bits
	o.expectWrong += 1 - p.likely.all()
}

func (o outcome) log(t *testing.T, name string) {
	t.Helper()
	n := float64(o.boards)
	bound := o.bits / (1 - entropy(misread))
	t.Logf("%-32s %6d boards: wrong %.3f %% (reckoned %.3f %%), nets right %.3f %%, %.2f checks a board (information bound %.2f, ratio %.2f), %.1f %% of verifying neighbours, worst board %.0f %%",
		name, o.boards, 100*float64(o.wrongBoards)/n, 100*o.expectWrong/n, 100-100*float64(o.wrongNets)/float64(o.nets), float64(o.checks)/n, bound/n, float64(o.checks)/bound,
		100*float64(o.checks)/float64(o.neighbours), 100*o.most)
}

// TestChecksProveTheNets asks about invented boards with one beep in fifty
// misheard, and holds the result against the truth: the nets are wrong no more
// often than was promised, after a quarter of the checks at most that verifying
// every neighbour takes (the project's aims).
func TestChecksProveTheNets(t *testing.T) {
	boards := 150
	if os.Getenv("FOILSIDE_STUDY") != "" {
		boards = 20000
	}
	for _, row := range []struct {
		name           string
		fewest, most   int // joints
		share, quarter float64
		rounds         int     // of lists, 0: one check at a time
		wrong          float64 // boards, at most
	}{
		{"5 % of nets in doubt", 20, 120, 0.05, 0.25, 0, enough},
		{"15 % of nets in doubt", 20, 120, 0.15, 0.25, 0, enough},
		{"40 % of nets in doubt", 20, 120, 0.40, 0.25, 0, enough},
		{"5 % of nets, by lists", 20, 120, 0.05, 0.25, 20, enough},
		{"15 % of nets, by lists", 20, 120, 0.15, 0.25, 20, enough},
		{"5 % of nets, one list only", 20, 120, 0.05, 0.25, 1, 0.1},
		{"15 % of nets, one list only", 20, 120, 0.15, 0.25, 1, 0.3},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, uint64(100*row.share)))
			var o outcome
			for range boards {
				o.ask(t, invent(r, row.fewest+r.IntN(row.most-row.fewest+1), row.share), r, row.rounds)
			}
			o.log(t, row.name)
			if share := float64(o.checks) / float64(o.neighbours); share > row.quarter {
				t.Errorf("%.0f %% of the checks that verify neighbours, want at most %.0f %%", 100*share, 100*row.quarter)
			}
			// Three standard deviations of a count above what is allowed.
			allowed := row.wrong * float64(o.boards)
			if float64(o.wrongBoards) > allowed+3*math.Sqrt(allowed)+1 {
				t.Errorf("%d of %d boards wrong, want at most %.1f", o.wrongBoards, o.boards, allowed)
			}
		})
	}
}
