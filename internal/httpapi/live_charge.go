package httpapi

import (
	"context"

	"foilside/internal/charge"
)

// Charge is every store of charge and how to make the unit safe.
func (l *live) Charge(ctx context.Context) (Charge, error) {
	r, err := l.bench.Charge(ctx)
	if err != nil {
		return Charge{}, fault(err)
	}
	return Charge{Stores: each(r.Stores, storeWire), Steps: each(r.Steps, func(s charge.Step) string { return s.Text }),
		Refusal: r.Refused, Cautions: r.Cautions}, nil
}

func storeWire(s charge.Store) Store {
	return Store{Part: string(s.Part), Voltage: s.Voltage, Energy: s.Energy, Charge: s.Charge, SecondsToSafe: s.SecondsToSafe,
		Hazardous: s.Hazardous, Caution: s.Caution, Because: s.Because}
}
