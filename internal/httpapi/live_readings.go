package httpapi

import (
	"context"

	"foilside/internal/bench"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
)

func query(r Reading) bench.Query {
	return bench.Query{Mode: r.Mode, Red: r.Red, Black: r.Black, State: r.State, Meter: r.Meter}
}

// Expect says what a good unit reads.
func (l *live) Expect(ctx context.Context, r Reading) (Expected, error) {
	e, err := l.bench.Expect(ctx, query(r))
	if err != nil {
		return Expected{}, fault(err)
	}
	return expectedWire(e), nil
}

func expectedWire(e meter.Expected) Expected {
	h := e.Hazard
	return Expected{Unit: e.Unit, Nominal: e.Nominal, Low: e.Low, High: e.High, Unloaded: e.Unloaded, Overrange: e.Overrange,
		Joined: e.Joined, Cautions: e.Cautions, Hazard: Hazard{Voltage: h.Volts, Care: h.Care, Danger: h.Danger, Text: h.Text}}
}

// DemoReading is what the meter shows on a demonstration's unit.
func (l *live) DemoReading(ctx context.Context, r Reading) (string, error) {
	text, err := l.bench.DemoReading(ctx, query(r))
	return text, fault(err)
}

// Next lists the readings worth taking.
func (l *live) Next(ctx context.Context) (Next, error) {
	found, err := l.bench.Diagnosis(ctx)
	if err != nil {
		return Next{}, fault(err)
	}
	return Next{Done: found.Plan.Done, Verdict: found.Plan.Verdict, Next: each(found.Plan.Next, proposalWire),
		Deeds: each(found.Plan.Actions, func(a diagnosis.Action) Deed { return Deed{a.Text, a.CostSeconds, a.Cure} })}, nil
}

func proposalWire(p diagnosis.Proposal) Proposal {
	return Proposal{Mode: string(p.Mode), Red: string(p.Red), Black: string(p.Black), State: p.State, Again: p.Again,
		GainBits: p.GainBits, CostSeconds: p.CostSeconds, Why: p.Why, Hazard: hazardWire(p.Hazard), Outcomes: each(p.Outcomes, outcomeWire)}
}

func hazardWire(h diagnosis.Hazard) Hazard {
	return Hazard{Voltage: h.Volts, Energy: h.Joules, Care: h.Care, Danger: h.Danger || h.Exceeded, MakeSafe: h.MakeSafe, Steps: h.Steps, Text: h.Text}
}

func outcomeWire(o diagnosis.Outcome) Outcome {
	out := Outcome{Text: o.Text, Probability: o.Probability}
	for _, s := range o.Leaves {
		name := string(s.Fault)
		if s.Part != nil {
			name = string(*s.Part) + " " + name
		}
		if s.Lead != "" {
			name += " at " + string(s.Lead)
		}
		out.Suspects = append(out.Suspects, name)
	}
	return out
}

// Suspects lists the faults not excluded.
func (l *live) Suspects(ctx context.Context) (Suspects, error) {
	a, notes, err := l.bench.Suspects(ctx)
	if err != nil {
		return Suspects{}, fault(err)
	}
	out := Suspects{Healthy: a.Healthy, Outside: a.Outside, Verdict: a.Verdict, Notes: notes, Suspects: each(a.Suspects, suspectWire),
		Beyond: each(a.Beyond, func(x diagnosis.Beyond) Beyond { return Beyond{x.Text, x.Probability} }),
		Groups: each(a.Groups, func(g diagnosis.Group) Group { return Group{g.Group, g.Probability, g.Text, g.Apart} })}
	for _, o := range a.Odd {
		out.Notes = append(out.Notes, o.Text)
	}
	for _, s := range a.Unweighed {
		out.Notes = append(out.Notes, "“"+s.Seen+"” carries no weight")
	}
	return out, nil
}

func suspectWire(s diagnosis.Suspect) Suspect {
	out := Suspect{Lead: string(s.Lead), Fault: string(s.Fault), Text: s.Text, Probability: s.Probability, Group: s.Group}
	if s.Part != nil {
		out.Part = string(*s.Part)
	}
	for _, n := range s.Nets {
		out.Nets = append(out.Nets, string(n))
	}
	return out
}
