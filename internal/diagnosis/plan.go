package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/num/bayes"
	"foilside/internal/sim"
)

// Proposal is a reading worth taking.
type Proposal struct {
	Check
	GainBits    float64   `json:"gain_bits"`
	CostSeconds float64   `json:"cost_seconds"`
	Hazard      Hazard    `json:"hazard"`
	Outcomes    []Outcome `json:"outcomes"`
	Why         string    `json:"why"`
	Again       bool      `json:"again,omitempty"` // repeats a reading that doesn't fit
}

// Hazard is what to know before the leads are put there. It never says that
// a place is safe: voltages are computed, not measured.
type Hazard struct {
	Red      float64  `json:"red"`     // greatest voltage that any suspect allows, against common
	Black    float64  `json:"black"`   //
	Volts    float64  `json:"voltage"` // the larger of the two
	Joules   float64  `json:"energy"`  // of the largest store in the unit
	Care     bool     `json:"care"`    // above 30 V
	Danger   bool     `json:"danger"`  // above 60 V
	Exceeded bool     `json:"meter_rating_exceeded"`
	MakeSafe bool     `json:"make_safe"` // the unit must be made safe first, by these steps
	Steps    []string `json:"steps,omitempty"`
	Text     string   `json:"text"`
}

// Plan is what to do next.
type Plan struct {
	Next    []Proposal `json:"next"`    // best first; empty when there is nothing worth reading
	Actions []Action   `json:"actions"` // what else tells or cures, the most for its time first
	Done    bool       `json:"done"`
	Verdict string     `json:"verdict"`
}

const (
	// mostProposals are given.
	mostProposals = 8
	// finalists are the checks that are looked at with all draws.
	finalists = 12
	// leastBits is the information below which a reading isn't worth it.
	leastBits = 0.02
	// handling is added to every price before readings are compared: to look,
	// think and write down. It favours few readings that tell much.
	handling = 10
)

// Next ranks the readings worth taking by expected information for their
// cost. It stops when one group is all but sure,
// nothing tells more, or lifting a lead of the likeliest part would tell more
// for its time.
//
// Errors: as Suspects.
func (p *Predictor) Next(ctx context.Context, ev Evidence, d Danger) (Plan, error) {
	plan, _, err := p.Assess(ctx, ev, d)
	return plan, err
}

// Assess gives the plan and the suspects it rests on, at the price of one.
func (p *Predictor) Assess(ctx context.Context, ev Evidence, d Danger) (Plan, Answer, error) {
	s, err := p.study(ctx, ev)
	if err != nil {
		return Plan{}, Answer{}, err
	}
	answer := s.answer()
	plan := Plan{Next: []Proposal{}, Verdict: answer.Verdict, Actions: s.actions()}
	if again, ok := s.again(answer); ok {
		plan.Next = append(plan.Next, again)
	}
	if answer.found() && len(plan.Next) == 0 {
		test, ok, err := s.test(ctx, answer, situationOf(ev, d))
		if err != nil {
			return Plan{}, Answer{}, err
		}
		if !ok {
			plan.Done = true
			return plan, answer, nil
		}
		plan.Next = append(plan.Next, test)
		return plan, answer, s.addHazards(ctx, plan.Next, d)
	}
	best, err := s.rank(ctx, d)
	if err != nil {
		return Plan{}, Answer{}, err
	}
	switch {
	case len(plan.Next) > 0:
		plan.Next = append(plan.Next, best...)
	case len(best) == 0:
		plan.Done = true
		plan.Verdict += "; no further reading would tell more"
	default:
		if part, yes := s.better(answer, best[0]); yes {
			plan.Done = true
			plan.Verdict += fmt.Sprintf("; lift one lead of %s and measure it alone: that tells more for its time than any further reading", part)
			return plan, answer, nil
		}
		plan.Next = best
	}
	return plan, answer, s.addHazards(ctx, plan.Next, d)
}

// better tells whether lifting a lead of the likeliest part and measuring it
// alone tells more for its time than the reading, and which part that is.
func (s *study) better(a Answer, than Proposal) (part circuit.PartRef, yes bool) {
	if len(a.Groups) == 0 || a.Groups[0].Hidden {
		return "", false
	}
	first := slices.IndexFunc(a.Suspects, func(one Suspect) bool { return one.Group == a.Groups[0].Group && one.Part != nil })
	if first < 0 {
		return "", false
	}
	p := a.Groups[0].Probability
	bits := bayes.Entropy([]float64{p, 1 - p})
	return *a.Suspects[first].Part, bits/(s.p.opt.Cost.Lift+handling) > than.GainBits/(than.CostSeconds+handling)
}

// Next is the short way for a single question.
func Next(ctx context.Context, c *circuit.Circuit, ev Evidence, d Danger, opt Options) (Plan, error) {
	p, err := New(c, opt)
	if err != nil {
		return Plan{}, err
	}
	return p.Next(ctx, ev, d)
}

// ranked is a check with its worth.
type ranked struct {
	outlook outlook
	cost    float64
	favour  float64 // 0 stands for 1
}

func (r ranked) worth() float64 {
	w := r.outlook.bits / (r.cost + handling)
	if r.favour > 0 {
		w *= r.favour
	}
	return w
}

// rank scouts all checks, then looks closely at the best.
func (s *study) rank(ctx context.Context, d Danger) ([]Proposal, error) {
	at := situationOf(s.ev, d)
	list := s.priced(s.outlooks, at)
	list = list[:min(len(list), finalists)]
	columns := make([]*column, len(list))
	for i, r := range list {
		columns[i] = r.outlook.column
	}
	if err := s.p.fill(ctx, columns, s.a.rungs, s.p.opt.Draws, nil); err != nil {
		return nil, err
	}
	list = s.priced(s.p.outlooks(columns, s.b, s.a, s.p.opt.Draws), at)
	s.foresee(list, at)
	var out []Proposal
	for _, r := range list[:min(len(list), mostProposals)] {
		if r.outlook.bits < leastBits {
			continue
		}
		out = append(out, s.proposal(r))
	}
	return out, nil
}

// priced sorts outlooks by worth, best first.
func (s *study) priced(outlooks []outlook, at situation) []ranked {
	var out []ranked
	for _, o := range outlooks {
		if o.bits <= 0 || s.taken[o.column.key.Check] {
			continue
		}
		c := o.column.key.Check
		out = append(out, ranked{outlook: o, cost: s.p.price(c, at, o.top)})
	}
	slices.SortStableFunc(out, func(a, b ranked) int { return cmp.Compare(b.worth(), a.worth()) })
	return out
}

func (s *study) proposal(r ranked) Proposal {
	outcomes := s.outcomes(r.outlook)
	return Proposal{Check: r.outlook.column.key.Check, GainBits: r.outlook.bits, CostSeconds: r.cost,
		Outcomes: outcomes, Why: s.why(r.outlook.column.key.Mode, outcomes)}
}

// test is the reading that puts a find to the test, where one is due.
//
// Errors: the context's.
func (s *study) test(ctx context.Context, a Answer, at situation) (Proposal, bool, error) {
	leads := a.Groups[0]
	if leads.Hidden {
		return Proposal{}, false, nil
	}
	best, ok := s.atSource(leads.Group, at)
	if !ok {
		best, ok = s.proof(leads.Group, at)
	}
	if ok {
		out := s.proposal(best)
		out.Why = fmt.Sprintf("It puts the find (%s) to the test: %s", leads.Text, out.Why)
		return out, true, nil
	}
	best, ok, err := s.sweep(ctx, leads.Group, at)
	if !ok || err != nil {
		return Proposal{}, false, err
	}
	out := s.proposal(best)
	out.Why = fmt.Sprintf("%s is all but found; this looks whether something else is wrong where nothing was read yet: %s", leads.Text, out.Why)
	return out, true, nil
}

// again repeats a reading that doesn't fit, once.
func (s *study) again(a Answer) (Proposal, bool) {
	for _, odd := range a.Odd {
		r := s.ev.Readings[odd.Reading]
		if !s.once(odd.Reading) {
			continue
		}
		cost := s.p.price(r.Check, situationOf(s.ev, Danger{}), 0)
		return Proposal{Check: r.Check, CostSeconds: cost, GainBits: 0, Outcomes: []Outcome{}, Again: true,
			Why: "This reading was taken already and does not fit the others; a slip is the likeliest reason, so take it again."}, true
	}
	return Proposal{}, false
}

// addHazards completes proposals with the voltages that any suspect allows.
func (s *study) addHazards(ctx context.Context, proposals []Proposal, d Danger) error {
	for i := range proposals {
		c := proposals[i].Check
		top, err := s.p.greatest(ctx, c.State, s.a.rungs)
		if err != nil {
			return err
		}
		proposals[i].Hazard = s.p.hazard(c, top, d)
	}
	return nil
}

// hazard words the danger of a check. top is the greatest voltage of each net
// with power on.
func (p *Predictor) hazard(c Check, top map[circuit.NetID]float64, d Danger) Hazard {
	h := Hazard{}
	for _, st := range d.Stores {
		h.Joules = math.Max(h.Joules, st.Joules)
	}
	if !c.Mode.Powered() {
		h.MakeSafe = d.Hazardous() || !d.Judged
		h.Text = "Power off, plug pulled."
		switch {
		case d.Refused != "":
			h.Text = d.Refused
		case d.Hazardous():
			h.Steps = d.Steps
			h.Text = "Power off, plug pulled, then make the unit safe by the steps and check it with the meter before a lead touches it."
			h.Danger = true
		case !d.Judged:
			h.Text = "Power off, plug pulled. Stored charge has not been judged: check every capacitor with volts-dc first."
		}
		return h
	}
	h.Red, h.Black = top[c.Red], top[c.Black]
	h.Volts = math.Max(h.Red, h.Black)
	h.Care, h.Danger = h.Volts > cautionVolts, h.Volts > dangerVolts
	h.Exceeded = h.Volts > p.opt.Meter.Rated
	switch {
	case h.Exceeded:
		h.Text = fmt.Sprintf("Up to %.0f V may stand here, above the %.0f V that the meter is rated for: use a high-voltage probe.", h.Volts, p.opt.Meter.Rated)
	case h.Danger:
		h.Text = fmt.Sprintf("Up to %.0f V may stand here: clip the black lead on first, keep one hand away.", h.Volts)
	case h.Care:
		h.Text = fmt.Sprintf("Up to %.0f V may stand here: keep one hand away.", h.Volts)
	default:
		h.Text = "Power on: take care not to slip from joint to joint."
	}
	return h
}

// greatest is the largest voltage of every net in a state over the rungs,
// nominal draw.
func (p *Predictor) greatest(ctx context.Context, state string, rungs []int) (map[circuit.NetID]float64, error) {
	s, key, err := p.electrical(meter.VoltsDC, state)
	if err != nil {
		return nil, err
	}
	start, err := p.start(ctx, s, key)
	if err != nil {
		return nil, err
	}
	top := map[circuit.NetID]float64{}
	for _, r := range rungs {
		b := p.rungs[r]
		if b.greatest[key] == nil {
			if b.greatest[key], err = p.voltages(ctx, b, s, key, start); err != nil {
				return nil, err
			}
		}
		for n, v := range b.greatest[key] {
			top[n] = math.Max(top[n], v)
		}
	}
	return top, nil
}

// voltages is the size of the voltage of every net under one rung.
func (p *Predictor) voltages(ctx context.Context, b *bench, s circuit.State, key string, start *sim.Solution) (map[circuit.NetID]float64, error) {
	out := map[circuit.NetID]float64{}
	in := p.instance(b, s, key)
	if in == nil {
		return out, nil
	}
	sol, err := in.Solve(ctx, nil, b.from(start))
	if err != nil {
		if sim.IsRefusal(err) {
			return out, nil
		}
		return nil, err
	}
	for _, n := range p.model.Nets() {
		if v, ok := sol.Voltage(n); ok {
			out[n] = math.Abs(v)
		}
	}
	return out, nil
}
