package bench

import (
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/meter"
	"foilside/internal/num/geom"
)

// Probed is the copper with every continuity check as evidence.
type Probed struct {
	Copper *copper.Copper

	in     board.CheckInput
	checks *board.Weighed // nil where none was taken
}

// Probed weighs the continuity checks of the job. The nets are cut anew only
// where the answers changed something.
func (b *Bench) Probed(ctx context.Context) (*Probed, error) {
	d := b.document()
	plate, look, err := b.look(ctx, d)
	if err != nil {
		return nil, err
	}
	seen, err := b.unprobed(ctx, plate, look, d)
	if err != nil {
		return nil, err
	}
	in, err := b.checkInput(ctx, d, seen)
	if err != nil || len(in.Answers) == 0 {
		return &Probed{Copper: seen, in: in}, err
	}
	ev := copperEvidence(d)
	if in.Web, err = b.web(ctx, plate, look, d, seen); err != nil {
		return nil, err
	}
	k := key(look, ev, in.Landed.Placed, in.Circuit, answersText(in.Answers), in.BeepBelow)
	return remember(ctx, &b.memo, "probed", k, func(ctx context.Context) (*Probed, error) {
		out := &Probed{in: in, checks: board.Weigh(in)}
		now := *seen
		if ev.Measured = out.checks.Decided(); len(ev.Measured) > 0 {
			c, err := plate.Nets(ctx, ev)
			if err != nil {
				return nil, copperFault(err)
			}
			now = *c
		}
		now.Doubtful = out.checks.Doubtful(&now)
		out.Copper = &now
		return out, nil
	})
}

// web is the nets before any check, as far as the photograph settles them.
func (b *Bench) web(ctx context.Context, plate *copper.Plate, look string, d job.Document, seen *copper.Copper) (*board.Web, error) {
	ev := copperEvidence(d)
	return remember(ctx, &b.memo, "web", key(look, ev), func(ctx context.Context) (*board.Web, error) {
		if ev.Measured = board.Apart(seen); len(ev.Measured) == 0 {
			return board.NewWeb(seen, seen), nil
		}
		parted, err := plate.Nets(ctx, ev)
		if err != nil {
			return nil, copperFault(err)
		}
		return board.NewWeb(seen, parted), nil
	})
}

// Buzz plans the continuity checks that confirm the nets. With gaps, the plan
// is followed by a check for every gap that the photograph is sure of.
func (b *Bench) Buzz(ctx context.Context, gaps bool) (board.Plan, []circuit.Problem, error) {
	w, err := b.weighed(ctx)
	if err != nil {
		return board.Plan{}, nil, err
	}
	plan, err := w.Plan(ctx)
	if gaps && err == nil {
		plan.Checks = append(plan.Checks, w.GapChecks()...)
	}
	return plan, w.Problems, err
}

// Checking is how the continuity checks stand.
type Checking struct {
	board.Plan
	Next     *board.Check // the one to take now; nil where none tells anything more
	Problems []circuit.Problem
}

// Checking is the plan with the one check that tells most now, both of its
// places within reach: none of those beyond, foil pixels.
func (b *Bench) Checking(ctx context.Context, beyond []geom.Point) (Checking, error) {
	w, err := b.weighed(ctx)
	if err != nil {
		return Checking{}, err
	}
	out := Checking{Problems: w.Problems}
	if c, ok := w.Next(beyond...); ok {
		out.Next = &c
	}
	out.Plan, err = w.Plan(ctx)
	return out, err
}

// weighed is the nets with every answer as evidence, none taken yet included.
func (b *Bench) weighed(ctx context.Context) (*board.Weighed, error) {
	p, err := b.Probed(ctx)
	if err != nil {
		return nil, err
	}
	if p.checks != nil {
		return p.checks, nil
	}
	d := b.document()
	plate, look, err := b.look(ctx, d)
	if err != nil {
		return nil, err
	}
	if p.in.Web, err = b.web(ctx, plate, look, d, p.Copper); err != nil {
		return nil, err
	}
	return board.Weigh(p.in), nil
}

// misgivings are the answers of continuity checks that can't be used or that
// contradict the rest. The photograph is looked at only where there may be some.
func (b *Bench) misgivings(ctx context.Context, built *Built) ([]circuit.Problem, error) {
	if built.Landed == nil && !slices.ContainsFunc(b.document().Readings, aboutCopper) {
		return nil, nil
	}
	p, err := b.Probed(ctx)
	if cancelled(err) {
		return nil, err
	}
	if err != nil || p.checks == nil {
		return nil, nil // without copper there is nothing to say about it
	}
	return p.checks.Problems, nil
}

// checkInput gathers what continuity checks are weighed from. Parts that can't
// be placed keep nobody from checking copper.
func (b *Bench) checkInput(ctx context.Context, d job.Document, seen *copper.Copper) (board.CheckInput, error) {
	in := board.CheckInput{BeepBelow: beepBelow(d)}
	built, err := b.circuitOn(ctx, d, func() (*copper.Copper, error) { return seen, nil })
	switch {
	case cancelled(err):
		return in, err
	case err == nil:
		in.Circuit = built.Circuit
		if built.Landed != nil {
			in.Landed = *built.Landed
		}
	}
	for i, r := range d.Readings {
		if a, ok := b.answer(ctx, in.Landed, r); ok {
			a.Said = fmt.Sprintf("in reading %d, %s to %s", i+1, probeWord(r.Red), probeWord(*r.Black))
			in.Answers = append(in.Answers, a)
		}
	}
	return in, ctx.Err()
}

// beepBelow is the largest resistance at which one of the job's meters beeps.
func beepBelow(d job.Document) float64 {
	if len(d.Meters) == 0 {
		return meter.Default(meter.Digital).JoinedBelow
	}
	most := 0.0
	for _, m := range d.Meters {
		most = max(most, meter.New(m.Name, meter.Class(m.Class), m.Param).JoinedBelow)
	}
	return most
}

// answer is a reading as evidence about copper: continuity, or ohms, between
// two places on the board. Readings between named nets are about the circuit.
func (b *Bench) answer(ctx context.Context, landed board.Landed, r job.Reading) (a board.Answer, ok bool) {
	if r.Black == nil {
		return a, false
	}
	switch {
	case r.Mode == job.Continuity && r.Value.Joined != nil:
		a.Joined = *r.Value.Joined
	case r.Mode == job.Ohms:
		ohms := r.Value.Amount.Value
		if r.Value.Overrange {
			ohms = math.Inf(1)
		}
		a.Ohms = &ohms
	default:
		return a, false
	}
	a.Lifted = board.NotedLifted(r.Note)
	red, black := b.probedAt(ctx, landed, r.Red), b.probedAt(ctx, landed, *r.Black)
	if red == nil || black == nil {
		return a, false
	}
	a.A, a.B = red.at, black.at
	a.Places = red.lead == nil && black.lead == nil
	return a, true
}

// aboutCopper tells a continuity check between two places of the foil side.
func aboutCopper(r job.Reading) bool {
	return r.Mode == job.Continuity && r.Red.Net == "" && r.Black != nil && r.Black.Net == ""
}

// probedPlace is where a meter's lead touched the foil side.
type probedPlace struct {
	at   geom.Point
	lead *circuit.LeadRef // nil where the place itself was given
}

// probedAt finds a probe's place on the foil photo: a place on a photo, or the
// lead of a part that was placed on one. nil for anything else.
func (b *Bench) probedAt(ctx context.Context, landed board.Landed, p job.Place) *probedPlace {
	if p.Net == "" {
		if at, _, ok, err := b.onFoil(ctx, p); ok && err == nil {
			return &probedPlace{at: at}
		}
		return nil
	}
	for _, l := range landed.Placed {
		if string(l.Lead.Part)+"."+string(l.Lead.Lead) == string(p.Net) {
			return &probedPlace{at: l.At, lead: &l.Lead}
		}
	}
	return nil
}

// probeWord is how a probe's place is called.
func probeWord(p job.Place) string {
	switch {
	case p.Joint != nil:
		return fmt.Sprintf("joint %g, %g", p.Joint[0], p.Joint[1])
	case p.At != nil:
		return fmt.Sprintf("%g, %g", p.At[0], p.At[1])
	}
	return string(p.Net)
}

// answersText is the answers in a form that can be hashed.
func answersText(list []board.Answer) []string {
	var out []string
	for _, a := range list {
		ohms := "beep"
		if a.Ohms != nil {
			ohms = fmt.Sprint(*a.Ohms)
		}
		out = append(out, fmt.Sprint(a.A, a.B, a.Joined, a.Lifted, a.Places, a.Said, ohms))
	}
	return out
}
