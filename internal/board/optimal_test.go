package board

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// best is the fewest checks that any plan needs on average, found by trying
// every check and every answer up to a depth; what is still unsure there costs
// nothing, so that it is a bound from below.
type best struct {
	world *world
	pairs [][2]int
	joins [][]bool // by pair and state
	same  []int    // by state: the first state that makes the same nets
	known map[string]float64
	depth int
}

func newBest(l netList, depth int) *best {
	x := newWorld(l.pieces, l.bonds)
	b := &best{world: x, known: map[string]float64{}, depth: depth}
	for s := range x.w {
		b.same = append(b.same, s)
		for first := range s + 1 {
			if slices.Equal(x.nets(first), x.nets(s)) {
				b.same[s] = first
				break
			}
		}
	}
	for u := range l.pieces {
		for v := range u {
			b.pairs = append(b.pairs, [2]int{u, v})
			var row []bool
			for s := range x.w {
				of := x.nets(s)
				row = append(row, of[u] == of[v])
			}
			b.joins = append(b.joins, row)
		}
	}
	return b
}

// top is the weight of the likeliest nets, and a state that makes them.
func (b *best) top(w []float64) (float64, int) {
	sums := make([]float64, len(w))
	at := 0
	for s, v := range w {
		sums[b.same[s]] += v
	}
	for s, v := range sums {
		if v > sums[at] {
			at = s
		}
	}
	return sums[at], at
}

// cost is the expected number of further checks after a count of answers to
// every pair: heard[2i] beeps and heard[2i+1] silences at pair i.
func (b *best) cost(heard []int8, left int) float64 {
	key := fmt.Sprint(heard)
	if c, ok := b.known[key]; ok {
		return c
	}
	w, sum := make([]float64, len(b.world.w)), 0.0
	for s := range w {
		w[s] = b.world.w[s]
		for i := range b.pairs {
			agree, against := heard[2*i], heard[2*i+1]
			if !b.joins[i][s] {
				agree, against = against, agree
			}
			w[s] *= math.Pow(1-misread, float64(agree)) * math.Pow(misread, float64(against))
		}
		sum += w[s]
	}
	if top, _ := b.top(w); top/sum >= 1-enough || left == 0 {
		return 0
	}
	out := math.Inf(1)
	for i := range b.pairs {
		beep := 0.0
		for s := range w {
			p := misread
			if b.joins[i][s] {
				p = 1 - misread
			}
			beep += p * w[s] / sum
		}
		heard[2*i]++
		c := 1 + beep*b.cost(heard, left-1)
		heard[2*i]--
		heard[2*i+1]++
		c += (1 - beep) * b.cost(heard, left-1)
		heard[2*i+1]--
		out = math.Min(out, c)
	}
	b.known[key] = out
	return out
}

// shortest is the fewest checks that make the nets sure if every answer is as
// the likeliest nets have it, by trying every list of up to depth checks.
func (b *best) shortest(depth int) int {
	_, likely := b.top(b.world.w)
	// What an answer leaves of a state's weight, for every pair.
	factor := make([][]float64, len(b.pairs))
	for i := range b.pairs {
		for s := range b.world.w {
			f := misread
			if b.joins[i][s] == b.joins[i][likely] {
				f = 1 - misread
			}
			factor[i] = append(factor[i], f)
		}
	}
	var try func(w []float64, from, left int) bool
	try = func(w []float64, from, left int) bool {
		sum, right := 0.0, 0.0
		for s, v := range w {
			sum += v
			if b.same[s] == likely {
				right += v
			}
		}
		if right/sum >= 1-enough {
			return true
		}
		if left == 0 {
			return false
		}
		for i := from; i < len(b.pairs); i++ {
			next := make([]float64, len(w))
			for s := range w {
				next[s] = w[s] * factor[i][s]
			}
			if try(next, i, left-1) {
				return true
			}
		}
		return false
	}
	for n := range depth {
		if try(b.world.w, 0, n) {
			return n
		}
	}
	return depth
}

// planCost is the expected number of checks of the plan, up to the same depth.
func planCost(t *testing.T, p *planner, left int) float64 {
	t.Helper()
	if p.likely.all() >= 1-enough || left == 0 {
		return 0
	}
	o, ok := p.next(false)
	if !ok {
		t.Fatal("no check left")
	}
	beep := p.belief.joined(o.way)
	beep = beep*(1-misread) + (1-beep)*misread
	cost := 1.0
	for _, answer := range []struct {
		beep bool
		p    float64
	}{{true, beep}, {false, 1 - beep}} {
		q := &planner{belief: p.belief, likely: p.likely, options: append([]option(nil), p.options...)}
		if err := q.take(o, answer.beep); err != nil {
			t.Fatal(err)
		}
		cost += answer.p * planCost(t, q, left-1)
	}
	return cost
}

// TestThePlanIsNearTheBest holds the plan against the best there is on webs
// small enough to try every plan. The best is a bound of its own: a check asks
// about two places only, so that Shannon's bound is out of reach for places
// that are likely separate.
func TestThePlanIsNearTheBest(t *testing.T) {
	depth := 6
	if os.Getenv("FOILSIDE_STUDY") != "" {
		depth = 9
	}
	chain := func(p ...float64) netList {
		l := netList{pieces: len(p) + 1}
		for i, v := range p {
			l.bonds = append(l.bonds, bond{i, i + 1, v, -1})
		}
		return l
	}
	star := func(p ...float64) netList {
		l := netList{pieces: len(p) + 1}
		for i, v := range p {
			l.bonds = append(l.bonds, bond{0, i + 1, v, -1})
		}
		return l
	}
	for _, row := range []struct {
		name string
		web  netList
	}{
		{"one, even odds", chain(0.5)},
		{"one, likely separate", chain(0.1)},
		{"one, likely joined", chain(0.9)},
		{"two in a row, likely joined", chain(0.9, 0.9)},
		{"two in a row, likely separate", chain(0.1, 0.1)},
		{"two in a row, one of each", chain(0.9, 0.1)},
		{"two in a row, even odds", chain(0.5, 0.5)},
		{"three in a row, likely joined", chain(0.95, 0.9, 0.85)},
		{"three in a row, even odds", chain(0.5, 0.4, 0.6)},
		{"three from one, likely joined", star(0.9, 0.9, 0.9)},
		{"three from one, likely separate", star(0.1, 0.2, 0.05)},
		{"three from one, of every kind", star(0.1, 0.5, 0.9)},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := newBest(row.web, depth)
			least := b.cost(make([]int8, 2*len(b.pairs)), depth)
			p := newPlanner(newBelief(newMesh(row.web.pieces, row.web.bonds, anywhere)), anywhere, detours{})
			got := planCost(t, p, depth)
			shannon := p.belief.sureness(p.likely).Bits / (1 - entropy(misread))
			listed, fewest := 0, b.shortest(12)
			q := newPlanner(p.belief, anywhere, detours{})
			if err := q.list(t.Context(), func(option, *belief) { listed++ }); err != nil {
				t.Fatal(err)
			}
			if float64(listed) > 1.2*float64(fewest) {
				t.Errorf("the list has %d checks, want at most 1.2 times the shortest's %d", listed, fewest)
			}
			t.Logf("list of %d, the shortest %d; %.3f checks, the best plan %.3f, ratio %.3f; Shannon's bound %.2f", listed, fewest, got, least, got/least, shannon)
			if got > 1.2*least {
				t.Errorf("%.3f checks, want at most 1.2 times the best plan's %.3f", got, least)
			}
		})
	}
}

// TestThePlanIsNearTheBestOnAnyWeb draws webs of up to three bonds, rings too.
func TestThePlanIsNearTheBestOnAnyWeb(t *testing.T) {
	webs, depth := 6, 5
	if os.Getenv("FOILSIDE_STUDY") != "" {
		webs, depth = 80, 7
	}
	r := rand.New(rand.NewPCG(9, 9))
	worst, sum := 0.0, 0.0
	longer := 0
	for range webs {
		l := netList{pieces: 4}
		for range 3 {
			a := r.IntN(4)
			l.add(r, a, (a+1+r.IntN(3))%4)
		}
		b := newBest(l, depth)
		least := b.cost(make([]int8, 2*len(b.pairs)), depth)
		p := newPlanner(newBelief(newMesh(l.pieces, l.bonds, anywhere)), anywhere, detours{})
		if least == 0 {
			continue
		}
		ratio := planCost(t, p, depth) / least
		worst, sum = max(worst, ratio), sum+ratio
		listed := 0
		if err := newPlanner(p.belief, anywhere, detours{}).list(t.Context(), func(option, *belief) { listed++ }); err != nil {
			t.Fatal(err)
		}
		if fewest := b.shortest(12); listed > fewest {
			longer++
			t.Logf("list of %d, the shortest %d: %+v", listed, fewest, l.bonds)
		}
		if ratio > 1.2 {
			t.Errorf("%.3f times the best plan's checks: %+v", ratio, l.bonds)
		}
	}
	t.Logf("%d webs: %.3f times the best plan's checks, at most %.3f; %d lists longer than the shortest", webs, sum/float64(webs), worst, longer)
}
