package board

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Expectation is what a continuity check should show.
type Expectation string

// The two expectations.
const (
	Joined   Expectation = "joined"
	Separate Expectation = "separate"
)

// Check is one continuity check: a lead on either place.
type Check struct {
	Red     string      `json:"red"`   // the lead that stands there, R1.2, or the place: joint 412, 318
	Black   string      `json:"black"` //
	RedAt   geom.Point  `json:"red_at"`
	BlackAt geom.Point  `json:"black_at"`
	Expect  Expectation `json:"expect"`
	Why     string      `json:"why"`
	Caution string      `json:"caution,omitempty"` // what may mislead here
	// Through are the parts of few ohms that a beep may come through: one lead
	// of each is to be lifted, or ohms are read.
	Through []string `json:"through,omitempty"`
	// Doubts are the places of the photo whose copper the check is about.
	Doubts []geom.Point `json:"doubts"`
	// Probability that the two are joined, as far as is known before the check.
	Probability float64 `json:"probability_joined"`
	// Bits that the answer is expected to tell about the nets.
	Bits float64 `json:"gain_bits"`
	// Right is the probability that every net is right once this check and all
	// before it have been answered as expected.
	Right float64 `json:"right_after"`
}

// Plan is the continuity checks that confirm the nets.
type Plan struct {
	Checks []Check  `json:"checks"`
	Now    Sureness `json:"now"`  // before the checks
	Then   Sureness `json:"then"` // if every answer is as expected
	// VerifyNeighbours is how many checks it takes to verify every net joint by
	// joint, and every two nets that face each other.
	VerifyNeighbours int `json:"verify_neighbours"`
	// Unsettled says why Then is not enough, "" where it is.
	Unsettled string `json:"unsettled,omitempty"`
}

// Plan lists the fewest checks that make the nets sure if every answer is as
// expected, those that tell most first. An answer that is not as expected
// makes another plan.
func (w *Weighed) Plan(ctx context.Context) (Plan, error) {
	p := newPlanner(w.belief, w.probed, w.detours)
	n := &namer{Weighed: w, used: map[int]int{}, asked: map[[2]int]int{}}
	out := Plan{Checks: []Check{}, Now: w.Sure, VerifyNeighbours: w.verifyNeighbours()}
	err := p.list(ctx, func(o option, before *belief) {
		c := n.check(o, before)
		c.Right = p.likely.all()
		out.Checks = append(out.Checks, c)
	})
	if err != nil {
		return out, err
	}
	out.Then = p.belief.sureness(p.likely)
	if !out.Then.Enough {
		out.Unsettled = "some places can't be told by a beep: parts of few ohms lie around them, or nothing can be probed there; look closer, lift a lead, or mark a cut or a join"
	}
	return out, nil
}

// Next is the one check that tells most, with both leads at places other than
// those beyond reach, in foil pixels; false where none tells anything or the
// nets are sure enough.
func (w *Weighed) Next(beyond ...geom.Point) (Check, bool) {
	if w.Sure.Enough {
		return Check{}, false
	}
	w = w.within(beyond)
	p := newPlanner(w.belief, w.probed, w.detours)
	o, ok := p.next(false)
	if !ok {
		return Check{}, false
	}
	n := &namer{Weighed: w, used: map[int]int{}, asked: map[[2]int]int{}}
	return n.check(o, w.belief), true
}

// within is the same without the places that no probe gets to.
func (w *Weighed) within(beyond []geom.Point) *Weighed {
	if len(beyond) == 0 {
		return w
	}
	out, web := *w, *w.web
	web.pieces, out.web, out.unreached = slices.Clone(web.pieces), &web, map[int]bool{}
	for _, at := range beyond {
		p, j := web.pieceAt(at), web.jointAt(at)
		if j >= 0 {
			p = web.pieceOf(j)
		}
		if p < 0 {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(web.pieces[p].probes), func(i int) bool { return i == j })
		web.pieces[p].probes = left
		out.unreached[p] = len(left) == 0
	}
	return &out
}

// namer puts checks into words. It spreads them over the joints of a piece, so
// that a bad contact misleads once only.
type namer struct {
	*Weighed
	used  map[int]int // joint: how often
	asked map[[2]int]int
}

func (n *namer) check(o option, b *belief) Check {
	c := Check{Expect: word(o.expect), Probability: b.joined(o.way), Bits: o.bits}
	near := n.middleOf(o.way)
	var joints [2]int
	c.RedAt, joints[0] = n.probe(o.u, near)
	c.BlackAt, joints[1] = n.probe(o.v, near)
	c.Red, c.Black = n.word(c.RedAt), n.word(c.BlackAt)
	c.Why = n.why(o, c.Probability)
	c.Caution, c.Through = n.caution(o)
	for _, b := range n.places(o.way) {
		c.Doubts = append(c.Doubts, n.at(b))
	}
	pair := [2]int{o.u, o.v}
	n.asked[pair]++
	for _, j := range joints {
		n.used[j]++
	}
	return c
}

// places are the bonds that a path crosses.
func (n *namer) places(way []hop) []bond {
	var out []bond
	for _, h := range way {
		for _, e := range n.belief.m.blocks[h.block] {
			for _, i := range n.belief.m.edges[e].members {
				out = append(out, n.web.bonds[i])
			}
		}
	}
	return out
}

// at is where a bond lies on the photo.
func (n *namer) at(b bond) geom.Point {
	if b.doubt >= 0 {
		d := n.web.c.Doubtful[b.doubt]
		return geom.Point{X: d.X, Y: d.Y}
	}
	e := n.ends(b)
	return e[0].Add(e[1]).Scale(0.5)
}

func (n *namer) middleOf(way []hop) geom.Point {
	var sum geom.Point
	list := n.places(way)
	for _, b := range list {
		sum = sum.Add(n.at(b))
	}
	return sum.Scale(1 / float64(len(list)))
}

// probe is where to touch a piece: of its joints those less used first, then
// those where a lead stands that can be called by its name, then the nearest.
func (n *namer) probe(p int, near geom.Point) (geom.Point, int) {
	best, bestCost := -1, math.Inf(1)
	for _, j := range n.web.pieces[p].probes {
		at := n.web.joint(j)
		cost := at.Dist(near)
		if n.lead(at) == "" {
			cost += 1e5
		}
		if cost += 1e7 * float64(n.used[j]); cost < bestCost {
			best, bestCost = j, cost
		}
	}
	if best < 0 {
		return n.web.pieces[p].at, -1
	}
	return n.web.joint(best), best
}

// lead is the name of a lead that stands at a joint.
func (n *namer) lead(at geom.Point) string {
	for _, l := range n.in.Landed.Placed {
		if l.At.Dist(at) < touching && !strings.Contains(string(l.Lead.Part), " ") {
			return string(l.Lead.Part) + "." + string(l.Lead.Lead)
		}
	}
	return ""
}

// word is how a place is called in an answer and in a job's readings.
func (n *namer) word(at geom.Point) string {
	if l := n.lead(at); l != "" {
		return l
	}
	return fmt.Sprintf("joint %.0f, %.0f", at.X, at.Y)
}

func (n *namer) why(o option, p float64) string {
	list := n.places(o.way)
	if n.asked[[2]int{o.u, o.v}] > 0 {
		return fmt.Sprintf("once more, since one beep in fifty is misheard: if all was as expected so far, joined with probability %.3f", p)
	}
	at := n.at(list[0])
	if len(list) > 1 {
		return fmt.Sprintf("one check for %d doubtful places in a row, the first at %.0f, %.0f: all are joined with probability %.2f", len(list), at.X, at.Y, p)
	}
	if list[0].doubt < 0 {
		return fmt.Sprintf("the answers contradict the photograph here: joined with probability %.2f", p)
	}
	return fmt.Sprintf("the photograph leaves it open at %.0f, %.0f: joined with probability %.2f", at.X, at.Y, p)
}

// caution says what else may beep, and what to do about it, and names the parts
// that a beep may come through.
func (n *namer) caution(o option) (string, []string) {
	says := n.detours.toShut(n.belief, n.likely, o.way)
	if len(o.by) == 0 {
		return strings.Join(says, "; "), nil
	}
	var what []string
	least := math.Inf(1)
	for _, b := range o.by {
		for _, x := range b.what {
			if !slices.Contains(what, x) {
				what = append(what, x)
			}
		}
		least = min(least, b.ohms)
	}
	return strings.Join(append(says, beepsThrough(what, least)), "; "), what
}

// beepsThrough says what to do about a part that a beep may come through, of
// so many ohms.
func beepsThrough(what []string, ohms float64) string {
	text := fmt.Sprintf("it will beep through %s: lift one end of it and note %q with the reading", strings.Join(what, " and "), liftedNote)
	if ohms >= 1 {
		text += fmt.Sprintf(", or use ohms: copper reads less than %.2g Ω", math.Min(shortOhms, ohms/2))
	}
	return text
}

// verifyNeighbours counts what it takes without a photograph's word: along
// every net from joint to joint, and between every two nets that face each
// other.
func (w *Weighed) verifyNeighbours() int {
	joints := map[copper.NetID]int{}
	for _, j := range w.web.c.Joints {
		if j.Net != nil {
			joints[*j.Net]++
		}
	}
	n := 0
	for _, k := range joints {
		n += k - 1
	}
	for _, g := range w.gaps() {
		if joints[g.Nets[0]] > 0 && joints[g.Nets[1]] > 0 {
			n++
		}
	}
	return n
}
