package bench

import (
	"context"
	"slices"

	"foilside/internal/charge"
	"foilside/internal/diagnosis"
)

// Charge is the stored charge of the unit and how to make it safe.
//
// It is judged over every fault that a part or the copper can have, nets that the
// photo leaves in doubt taken as joined among them, also over those that readings
// speak against: a misread meter must not make a capacitor safe.
func (b *Bench) Charge(ctx context.Context) (charge.Report, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return charge.Report{}, err
	}
	c := built.Circuit
	extra, err := b.copperFaults(ctx, built)
	if err != nil {
		return charge.Report{}, err
	}
	return remember(ctx, &b.memo, "charge", key(c, extra), func(ctx context.Context) (charge.Report, error) {
		faults := append(diagnosis.Faults(c, diagnosis.DefaultPriors()), extra...)
		r, err := charge.Assess(ctx, c, faults, charge.Options{Shelf: b.shelf, Progress: b.reporter("charge")})
		return r, simFault(err)
	})
}

// refused marks every proposal of a unit for which no guidance is given, so that
// nobody takes one for harmless: there are no steps that would make it safe.
func refused(p diagnosis.Plan, d diagnosis.Danger) diagnosis.Plan {
	if d.Refused == "" {
		return p
	}
	p.Next = slices.Clone(p.Next)
	for i := range p.Next {
		h := &p.Next[i].Hazard
		h.Danger, h.Steps = true, nil
		h.MakeSafe = !p.Next[i].Mode.Powered()
		h.Text = d.Refused
	}
	return p
}

// danger is what the stored charge of the unit means for a reading.
func (b *Bench) danger(ctx context.Context) (diagnosis.Danger, error) {
	r, err := b.Charge(ctx)
	if err != nil {
		return diagnosis.Danger{}, err
	}
	return r.Danger(), nil
}
