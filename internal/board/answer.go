package board

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/num/geom"
)

// Answer is a continuity check that was taken between two places.
type Answer struct {
	A, B   geom.Point // foil pixels
	Joined bool       // it beeped
	Ohms   *float64   // what an ohms function read instead of a beep; infinite for over-range
	Lifted bool       // the parts around it had a lead lifted: nothing but copper can have beeped
	// Places says that both ends were given as places on the foil, so that the
	// check was about copper. Only then may it contradict a photograph that is
	// sure: a beep between two leads may be what is wrong with the unit.
	Places bool
	Said   string // how the person calls it: "R1.2 to R3.1"
}

// CheckInput is what continuity checks are planned and weighed from.
type CheckInput struct {
	Web       *Web             // the nets before any check
	Landed    Landed           // on the copper of that web
	Circuit   *circuit.Circuit // to know what beeps through a part; may be nil
	Answers   []Answer
	BeepBelow float64 // the meter beeps below it, in ohms; 0: that of the default meter
}

// beepBelow is what the default meter calls joined.
const beepBelow = 50.0

// unasked is the probability that a person who measures two places which the
// photograph is sure of had a reason to.
// (assumed: a single such answer is believed, and asked for again)
const unasked = 0.05

// Probabilities between which a place is doubtful, as copper has it.
const doubtLow, doubtHigh = 0.03, 0.97

// Weighed is the nets with every answer as evidence.
type Weighed struct {
	// Sure says how far the nets can be relied on, the answers included.
	Sure Sureness
	// Problems are answers that can't be used, or that contradict the rest.
	Problems []circuit.Problem

	in      CheckInput
	web     *web
	belief  *belief
	likely  *likeliest
	detours detours
	leads   map[int]bool // pieces that a lead stands on away from every joint
	// unreached are pieces that no probe gets to, of a plan for the rest.
	unreached map[int]bool
	taken     []taken
}

// taken is an answer between two pieces.
type taken struct {
	Answer
	a, b int
	way  []hop
}

// Weigh takes the answers of continuity checks as evidence about the nets. A
// beep says that at least one way between two places is whole, silence that
// every way is broken; either is wrong once in fifty times. A beep that a part
// explains says nothing.
func Weigh(in CheckInput) *Weighed {
	if in.BeepBelow <= 0 {
		in.BeepBelow = beepBelow
	}
	w := &Weighed{in: in, web: in.Web.clone()}
	w.stand()
	w.place()
	w.part()
	w.detours = newDetours(throughParts(w.web, in), in.BeepBelow)
	w.surprise()
	const rounds = 4 // of opening what the photograph was sure of
	for round := 0; ; round++ {
		w.belief = newBelief(w.mesh())
		w.apply()
		w.likely = w.belief.nets(nil)
		if round == rounds || !w.reopen() {
			break
		}
	}
	w.contradictions()
	w.Sure = w.belief.sureness(w.likely)
	return w
}

// problem notes what is wrong with an answer.
func (w *Weighed) problem(a Answer, format string, args ...any) {
	w.Problems = append(w.Problems, circuit.Problem{Warning: true, Text: fmt.Sprintf("the continuity check %s: ", a.Said) + fmt.Sprintf(format, args...)})
}

// stand marks the copper that a lead was placed on away from every joint: a
// probe can touch it there.
func (w *Weighed) stand() {
	w.leads = map[int]bool{}
	for _, l := range w.in.Landed.Placed {
		if p := w.web.pieceAt(l.At); p >= 0 && w.web.jointAt(l.At) < 0 {
			w.web.pieces[p].at, w.leads[p] = l.At, true
		}
	}
}

// place finds the pieces that the answers speak of.
func (w *Weighed) place() {
	for _, a := range w.in.Answers {
		t := taken{Answer: a, a: w.web.pieceAt(a.A), b: w.web.pieceAt(a.B)}
		switch {
		case t.a < 0 || t.b < 0:
			at := a.A
			if t.a >= 0 {
				at = a.B
			}
			w.problem(a, "there is no copper any more at foil pixel %.0f, %.0f; point at its joint again, or take the reading out", at.X, at.Y)
		case a.A == a.B || w.web.jointAt(a.A) >= 0 && w.web.jointAt(a.A) == w.web.jointAt(a.B):
			w.problem(a, "both leads were held to the same joint, which tells nothing; put one of them to another joint")
		default:
			w.taken = append(w.taken, t)
		}
	}
}

// part gives a joint a piece of its own where a meter found it separate from
// copper that the photograph takes for one conductor: the break may be
// anywhere between.
func (w *Weighed) part() {
	for _, t := range w.taken {
		if !t.Joined && t.Places && t.Ohms == nil && t.a == t.b {
			w.loosen(t.A, t.a, 1-unasked)
		}
	}
	w.find()
}

// loosen takes the joint at a place off its piece, to which it stays joined
// with probability p; false where it stands alone already.
func (w *Weighed) loosen(at geom.Point, from int, p float64) bool {
	joint := w.web.jointAt(at)
	if joint < 0 || w.web.pieceOf(joint) != from || len(w.web.pieces[from].probes) < 2 {
		return false
	}
	old := &w.web.pieces[from]
	old.probes = slices.DeleteFunc(old.probes, func(i int) bool { return i == joint })
	w.web.bonds = append(w.web.bonds, bond{len(w.web.pieces), from, p, -1})
	w.web.pieces = append(w.web.pieces, piece{net: old.net, probes: []int{joint}, at: at})
	return true
}

// find finds the pieces of the answers again, after some have changed.
func (w *Weighed) find() {
	for i := range w.taken {
		w.taken[i].a, w.taken[i].b = w.web.pieceAt(w.taken[i].A), w.web.pieceAt(w.taken[i].B)
	}
}

// hidden is the probability that the photograph is sure of a place and wrong,
// where nothing but answers says so. Two answers outweigh it, one does not.
// (assumed: two beeps misheard are rarer by twenty times)
const hidden = 0.01

// reopen doubts what the photograph was sure of where two answers more
// contradict the likeliest nets than agree with them: the copper may be joined
// there out of sight, or any joint that was probed around may stand apart from
// its piece. false where there is no such contradiction, or nothing left to
// doubt.
func (w *Weighed) reopen() bool {
	count := w.count()
	done := false
	for _, bad := range w.taken {
		if count[bad.pair()] > -2 || w.says(bad) == bad.Joined {
			continue
		}
		if bad.Joined && len(bad.way) == 0 {
			w.web.bonds = append(w.web.bonds, bond{bad.pair()[0], bad.pair()[1], hidden, -1})
			count[bad.pair()] = 0
			done = true
			continue
		}
		for _, t := range w.taken {
			if t.pair() == bad.pair() || t.meets(bad) {
				a, b := w.loosen(t.A, t.a, 1-hidden), w.loosen(t.B, t.b, 1-hidden)
				done = done || a || b
			}
		}
	}
	w.find()
	return done
}

// count says for every two pieces how many answers more agree with the
// likeliest nets than contradict them.
func (w *Weighed) count() map[[2]int]int {
	out := map[[2]int]int{}
	for _, t := range w.taken {
		switch {
		case t.Ohms != nil || w.explained(t) != "":
		case w.says(t) == t.Joined:
			out[t.pair()]++
		default:
			out[t.pair()]--
		}
	}
	return out
}

func (t taken) pair() [2]int { return [2]int{min(t.a, t.b), max(t.a, t.b)} }

// meets reports whether the paths of two answers share a place.
func (t taken) meets(o taken) bool {
	return slices.ContainsFunc(t.way, func(h hop) bool {
		return slices.ContainsFunc(o.way, func(k hop) bool { return k.block == h.block })
	})
}

// says is what the likeliest nets say of the two places of an answer.
func (w *Weighed) says(t taken) bool {
	return t.a == t.b || len(t.way) > 0 && w.likely.joined(w.belief, t.way)
}

// mesh is the web as it stands. What an answer speaks of was probed.
func (w *Weighed) mesh() *mesh {
	return newMesh(len(w.web.pieces), w.web.bonds, w.probed)
}

func (w *Weighed) probed(p int) bool {
	if w.unreached[p] {
		return false
	}
	return len(w.web.pieces[p].probes) > 0 || w.leads[p] ||
		slices.ContainsFunc(w.taken, func(t taken) bool { return t.a == p || t.b == p }) ||
		slices.ContainsFunc(w.detours.ways, func(x through) bool { return x.a == p || x.b == p })
}

// surprise makes bonds for beeps between places that the photograph is sure
// are separate and that no part explains.
func (w *Weighed) surprise() {
	b := newBelief(w.mesh())
	l := b.nets(nil)
	made := map[[2]int]bool{}
	for _, t := range w.taken {
		pair := t.pair()
		if !t.Joined || !t.Places || t.Ohms != nil || t.a == t.b || made[pair] {
			continue
		}
		way := b.m.paths(t.a, most)[t.b]
		if len(way) > 0 && b.joined(way) >= doubtLow {
			continue
		}
		if !t.Lifted && w.detours.between(b, l, t.a, t.b) != nil {
			continue
		}
		made[pair] = true
		w.web.bonds = append(w.web.bonds, bond{pair[0], pair[1], unasked, -1})
	}
}

// apply takes every answer as evidence.
func (w *Weighed) apply() {
	for i := range w.taken {
		t := &w.taken[i]
		t.way = w.belief.m.paths(t.a, most)[t.b]
		if len(t.way) == 0 {
			continue
		}
		b, err := w.belief.after(t.way, w.likelihood(*t))
		if err != nil {
			w.problem(t.Answer, "%v; check nearer places first", err)
			t.way = nil
			continue
		}
		w.belief = b
	}
}

// shortOhms is the most that copper and test leads read together.
// (common practice: test leads 0.2 to 0.5 Ω, joints and copper less)
const shortOhms = 2.0

// likelihood of an answer where the places of its path are whole or broken.
func (w *Weighed) likelihood(t taken) func(func(hop) bool) float64 {
	if t.Ohms == nil && (t.Lifted || !t.Joined) {
		return heard(t.way, t.Joined) // no beep is no beep, whatever lies around it
	}
	var by []bypass
	if len(w.detours.ways) > 0 {
		by = w.detours.around(w.belief, w.belief.nets(nil), t.way)
	}
	if t.Ohms == nil {
		return heardThrough(t.way, by)
	}
	least := math.Inf(1) // of what parts would read there
	for _, x := range by {
		least = math.Min(least, x.ohms)
	}
	if least < 1 && *t.Ohms < shortOhms {
		return func(func(hop) bool) float64 { return 1 } // a part that reads as little as copper
	}
	return heard(t.way, *t.Ohms < math.Min(shortOhms, least/2))
}

// contradictions names the answers that the others outvote.
func (w *Weighed) contradictions() {
	said := map[[2]int]bool{} // once for two places
	for _, t := range w.taken {
		is := w.says(t)
		if t.Ohms != nil || is == t.Joined || said[t.pair()] {
			continue
		}
		said[t.pair()] = true
		if !t.Places && len(t.way) == 0 {
			if is {
				w.problem(t.Answer, "the photograph is sure that both leads are on one conductor; a dry joint or a crack may lie between, so measure from solder to solder")
			}
			continue // a beep between two leads may be what is wrong with the unit
		}
		if x := w.explained(t); x != "" {
			w.problem(t.Answer, "the beep came through %s and tells nothing about the copper; lift one of its leads and note %q with the reading, or read ohms there", x, liftedNote)
			continue
		}
		p := 1.0
		if t.a != t.b {
			p = w.belief.joined(t.way)
		}
		if len(t.way) == 0 && t.a != t.b {
			p = 0
		}
		w.problem(t.Answer, "it says %s, the photograph and the other checks say %s (%.0f %%); one beep in fifty is misheard, so take it again",
			word(t.Joined), word(is), 100*math.Max(p, 1-p))
	}
}

// liftedNote is the word in a reading's note that says that a lead was lifted.
const liftedNote = "lifted"

// NotedLifted tells whether a reading's note says that a lead was lifted.
func NotedLifted(note string) bool { return strings.Contains(strings.ToLower(note), liftedNote) }

// explained names the part that a beep came through, "" for none.
func (w *Weighed) explained(t taken) string {
	if len(w.detours.ways) == 0 || !t.Joined || t.Lifted {
		return ""
	}
	if r := w.detours.between(w.belief, w.likely, t.a, t.b); r != nil {
		return strings.Join(r.what, " and ")
	}
	return ""
}

func word(joined bool) Expectation {
	if joined {
		return Joined
	}
	return Separate
}
