package httpapi

import (
	"context"

	"foilside/internal/circuit"
)

// Stages are the functional groups of the circuit.
func (l *live) Stages(ctx context.Context) (Stages, error) {
	found, err := l.bench.Stages(ctx)
	if err != nil {
		return Stages{}, fault(err)
	}
	ref := func(p circuit.PartRef) string { return string(p) }
	out := Stages{Left: each(found.Left, ref)}
	for i, s := range found.Stages {
		w := Stage{Name: s.Name, Parts: each(s.Parts(), ref), Text: s.Text, Notes: s.Notes}
		if s.Within >= 0 {
			w.Within = found.Stages[s.Within].Name
		}
		for _, e := range found.Feeds {
			if e.To == i && !e.Power && !e.Back {
				w.From = append(w.From, found.Stages[e.From].Name)
			}
		}
		out.Stages = append(out.Stages, w)
	}
	return out, nil
}
