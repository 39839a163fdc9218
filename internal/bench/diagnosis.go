package bench

import (
	"context"
	"fmt"
	"sync"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/job"
	"foilside/internal/meter"
)

// oracle is a predictor that several may ask, one after the other.
type oracle struct {
	mu        sync.Mutex
	predictor *diagnosis.Predictor
}

// oracle knows what every fault of the circuit would make every reading be. It
// depends on the circuit only, so a further reading answers quickly.
func (b *Bench) oracle(ctx context.Context) (*oracle, *circuit.Circuit, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return nil, nil, err
	}
	extra, err := b.copperFaults(ctx, built)
	if err != nil {
		return nil, nil, err
	}
	o, err := remember(ctx, &b.memo, "oracle", key(built.Circuit, extra), func(context.Context) (*oracle, error) {
		p, err := diagnosis.New(built.Circuit, diagnosis.Options{Shelf: b.shelf, Extra: extra, Progress: b.reporter("suspects")})
		if err != nil {
			return nil, simFault(err)
		}
		return &oracle{predictor: p}, nil
	})
	return o, built.Circuit, err
}

// Found is what the readings leave, and what to read next.
type Found struct {
	Plan   diagnosis.Plan
	Answer diagnosis.Answer
	Notes  []string // readings and symptoms that could not be weighed, and why
}

// Diagnosis weighs every fault by the readings and symptoms, and ranks the
// readings worth taking.
func (b *Bench) Diagnosis(ctx context.Context) (*Found, error) {
	o, c, err := b.oracle(ctx)
	if err != nil {
		return nil, err
	}
	d := b.document()
	k := key(c, o.predictor.Faults(), d.Readings, d.Symptoms, d.Meters)
	return remember(ctx, &b.memo, "diagnosis", k, func(ctx context.Context) (*Found, error) {
		danger, err := b.danger(ctx)
		if err != nil {
			return nil, err
		}
		ev, notes := b.evidence(ctx, c, d)
		o.mu.Lock()
		defer o.mu.Unlock()
		plan, answer, err := o.predictor.Assess(ctx, ev, danger)
		if err != nil {
			return nil, simFault(err)
		}
		return &Found{Plan: refused(plan, danger), Answer: answer, Notes: notes}, nil
	})
}

// Suspects weighs every fault by the readings and symptoms, without ranking
// further readings.
func (b *Bench) Suspects(ctx context.Context) (diagnosis.Answer, []string, error) {
	o, c, err := b.oracle(ctx)
	if err != nil {
		return diagnosis.Answer{}, nil, err
	}
	ev, notes := b.evidence(ctx, c, b.document())
	o.mu.Lock()
	defer o.mu.Unlock()
	answer, err := o.predictor.Suspects(ctx, ev)
	return answer, notes, simFault(err)
}

// evidence is what the document says about the fault. What can't be weighed
// is noted, not dropped in silence.
func (b *Bench) evidence(ctx context.Context, c *circuit.Circuit, d job.Document) (diagnosis.Evidence, []string) {
	var ev diagnosis.Evidence
	var notes []string
	for i, r := range d.Readings {
		got, why := b.reading(ctx, c, r)
		if why != "" && aboutCopper(r) {
			continue // evidence about the nets, not about a fault
		}
		if why != "" {
			notes = append(notes, fmt.Sprintf("reading %d carries no weight: %s", i+1, why))
			continue
		}
		ev.Readings = append(ev.Readings, got)
	}
	for _, s := range d.Symptoms {
		if s.Part == "" {
			notes = append(notes, fmt.Sprintf("%q carries no weight: it names no part that it is seen at", s.Seen))
			continue
		}
		if _, ok := c.Part(s.Part); !ok {
			notes = append(notes, fmt.Sprintf("the symptom at %s carries no weight: it is not in the circuit", s.Part))
			continue
		}
		ev.Symptoms = append(ev.Symptoms, diagnosis.Symptom{Part: s.Part, Seen: s.Seen, State: s.State})
	}
	return ev, notes
}

// reading turns a reading of the job into one of the circuit, or says why it
// can't be weighed.
func (b *Bench) reading(ctx context.Context, c *circuit.Circuit, r job.Reading) (out diagnosis.Reading, why string) {
	red, why := b.netOf(ctx, c, r.Red)
	if why != "" {
		return out, why
	}
	black := c.Common
	if r.Black != nil {
		if black, why = b.netOf(ctx, c, *r.Black); why != "" {
			return out, why
		}
	}
	switch {
	case black == "":
		return out, "it names no black lead, and the job no common"
	case red == black:
		return out, "both its leads are on " + string(red)
	}
	if _, ok := c.State(r.State); !ok {
		return out, fmt.Sprintf("there is no state %q", r.State)
	}
	mode := meter.Mode(r.Mode)
	if mode == meter.VoltsAC || mode == meter.AmpsDC {
		return out, string(mode) + " is not weighed yet"
	}
	out = diagnosis.Reading{
		Check:     diagnosis.Check{Mode: mode, Red: red, Black: black, State: r.State},
		Value:     r.Value.Amount.Value,
		Overrange: r.Value.Overrange,
	}
	if r.Value.Joined != nil {
		out.Value, out.Overrange = 0, !*r.Value.Joined
	}
	if r.Meter != "" {
		m, err := b.meterNamed(r.Meter)
		if err != nil {
			return out, err.Error()
		}
		out.Meter = &m
	}
	return out, ""
}

// netOf is the net of a place where a meter's lead was held.
func (b *Bench) netOf(ctx context.Context, c *circuit.Circuit, p job.Place) (circuit.NetID, string) {
	if p.Net != "" {
		at, err := place(c, string(p.Net))
		if err != nil {
			return "", err.Error()
		}
		return at.Net, ""
	}
	foil, _, ok, err := b.onFoil(ctx, p)
	if err != nil || !ok {
		return "", "its place is not on the board"
	}
	built, err := b.Circuit(ctx)
	if err != nil || built.Landed == nil {
		return "", "its place is on no net that a part is on"
	}
	cu, err := b.Copper(ctx)
	if err != nil {
		return "", err.Error()
	}
	if a := cu.At(foil); a.Net != nil {
		if name, ok := built.Landed.Names[*a.Net]; ok {
			return name, ""
		}
	}
	return "", fmt.Sprintf("at foil pixel %.0f, %.0f there is no net that a part is on", foil.X, foil.Y)
}
