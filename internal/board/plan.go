package board

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// option is a check that could be taken next: between two pieces, along a path.
type option struct {
	u, v   int
	way    []hop
	by     []bypass
	lifted bool // the parts around it have a lead lifted
	from   []*group
	agrees float64 // probability that the answer is as expected
	expect bool    // joined
	bits   float64 // that the answer tells of the nets
}

// Costs of a check, in checks.
const liftCost = 4.0 // a lead has to be unsoldered and put back

// worth is what a check tells for its cost.
func (o option) worth() float64 {
	if o.lifted {
		return o.bits / liftCost
	}
	return o.bits
}

// planner knows what can be asked.
type planner struct {
	belief  *belief
	likely  *likeliest
	options []option
}

// coupling is how many edges the checks of a plan may tie together, so that
// all states can be listed.
const coupling = 16

// newPlanner lists every check worth thinking of. probed tells the pieces that
// a probe can touch; detours are the low-ohm ways through parts.
func newPlanner(b *belief, probed func(int) bool, d detours) *planner {
	p := &planner{belief: b, likely: b.nets(nil)}
	for u := range b.m.n {
		if len(b.m.at[u]) == 0 || !probed(u) {
			continue
		}
		ways := b.m.paths(u, coupling)
		for v := u + 1; v < b.m.n; v++ {
			way := ways[v]
			if len(way) == 0 || !probed(v) {
				continue
			}
			by := d.around(b, p.likely, way)
			p.options = append(p.options, option{u: u, v: v, way: way, by: by})
			if len(by) > 0 {
				p.options = append(p.options, option{u: u, v: v, way: way, by: by, lifted: true})
			}
		}
	}
	return p
}

// weigh brings an option up to date.
func (p *planner) weigh(o *option) {
	now, same, edges := make([]*group, len(o.way)), len(o.from) > 0, 0
	for i, h := range o.way {
		now[i] = p.belief.groups[p.belief.of[h.block]]
		same = same && o.from[i] == now[i]
		if !slices.Contains(now[:i], now[i]) {
			edges += len(now[i].edges)
		}
	}
	if same {
		return
	}
	o.from, o.bits = now, 0
	if edges > coupling && slices.ContainsFunc(now, func(g *group) bool { return g != now[0] }) {
		return
	}
	by := o.by
	if o.lifted {
		by = nil
	}
	beep := p.belief.beeps(o.way, by)
	heardJoined := beep*(1-misread) + (1-beep)*misread
	o.expect = p.likely.joined(p.belief, o.way)
	o.agrees = 1 - heardJoined
	if o.expect {
		o.agrees = heardJoined
	}
	o.bits = max(0, entropy(heardJoined)-entropy(misread))
}

// beeps is the probability that the meter would beep, were it never misheard.
func (b *belief) beeps(way []hop, by []bypass) float64 {
	if len(by) == 0 {
		return b.joined(way)
	}
	c, g, err := b.coupled(way)
	if err != nil {
		return b.joined(way)
	}
	sum := 0.0
	for i, s := range g.states {
		if conducts(way, by, func(h hop) bool { return c.whole(h, s) }) {
			sum += g.w[i]
		}
	}
	return min(sum, 1)
}

// entropy of a yes-or-no with probability p, in bits.
func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}

// tellsNothing is what a check tells at most, in bits, that is not worth
// taking.
const tellsNothing = 1e-7

// next is the check that tells most for its cost. With likelyOnly, only those
// whose expected answer is the likelier one.
func (p *planner) next(likelyOnly bool) (option, bool) {
	best := -1
	for i := range p.options {
		o := &p.options[i]
		p.weigh(o)
		if o.bits < tellsNothing || likelyOnly && o.agrees < 0.5 {
			continue
		}
		if best < 0 || better(o, &p.options[best]) {
			best = i
		}
	}
	if best < 0 {
		return option{}, false
	}
	return p.options[best], true
}

// better puts what tells more first; of equals, the nearer places.
func better(a, b *option) bool {
	const alike = 1e-9
	if d := a.worth() - b.worth(); math.Abs(d) > alike {
		return d > 0
	}
	return cmp.Or(cmp.Compare(len(a.way), len(b.way)), cmp.Compare(a.u, b.u), cmp.Compare(a.v, b.v)) < 0
}

// take is the plan after an answer.
func (p *planner) take(o option, beep bool) error {
	b, err := p.belief.after(o.way, o.evidence(beep))
	if err != nil {
		return err
	}
	p.belief = b
	p.likely = b.nets(p.likely)
	return nil
}

// evidence is the likelihood of an answer to the check. Silence says that the
// copper is broken, whatever parts lie around it.
func (o option) evidence(beep bool) func(func(hop) bool) float64 {
	if o.lifted || !beep || len(o.by) == 0 {
		return heard(o.way, beep)
	}
	return heardThrough(o.way, o.by)
}

// list gives each the checks that make the nets sure if every answer is as
// expected, with the belief before it.
func (p *planner) list(ctx context.Context, each func(option, *belief)) error {
	longest := 4*len(p.belief.m.edges) + 8
	for n := 0; n < longest && p.likely.all() < 1-enough; n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		o, ok := p.next(true)
		if !ok {
			break
		}
		before := p.belief
		if err := p.take(o, o.expect); err != nil {
			return err
		}
		each(o, before)
	}
	return nil
}
