package bench

import (
	"context"
	"fmt"
	"hash/fnv"
	"io"
	"math/rand/v2"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
	"foilside/internal/quantity"
	"foilside/internal/sim"
	"foilside/internal/specimen"
)

// DemoReading is what a meter shows on the demonstration's unit: it has its
// hidden fault, parts off their marked values, and the meter its own error.
// The text can be recorded as it stands.
func (b *Bench) DemoReading(ctx context.Context, q Query) (string, error) {
	name := b.document().Demonstration
	if name == "" {
		return "", badf("this job is no demonstration: take the reading on the unit itself")
	}
	demo, err := specimen.About(name)
	if err != nil {
		return "", BadInput(err)
	}
	model, err := b.Model(ctx)
	if err != nil {
		return "", err
	}
	asked, m, err := b.query(ctx, model, q)
	if err != nil {
		return "", err
	}
	variant, err := hiddenVariant(model.Circuit(), demo.Fault)
	if err != nil {
		return "", err
	}
	seed := hashed(name)
	draw := model.Draws(8, seed)[3:4]
	shown, err := m.Distribution(ctx, model, variant, asked, draw)
	if err != nil {
		return "", readingFault(err)
	}
	rng := rand.New(rand.NewPCG(seed, hashed(fmt.Sprint(q))))
	return shownText(m, asked.Mode, shown[0], rng), nil
}

// hashed makes the unit's draw the same for the same demonstration, and the
// meter's error for the same reading.
func hashed(s string) uint64 {
	h := fnv.New64a()
	io.WriteString(h, s)
	return h.Sum64()
}

// hiddenVariant puts the demonstration's fault into the circuit.
func hiddenVariant(c *circuit.Circuit, f specimen.HiddenFault) (sim.Variant, error) {
	part, ok := c.Part(circuit.PartRef(f.Part))
	if !ok {
		return nil, NotDone(fmt.Errorf("the demonstration's unit has a part that this job leaves out"), "place every part of the board first")
	}
	switch diagnosis.Name(f.Fault) {
	case diagnosis.Open:
		return sim.Variant{sim.Remove(part.Ref)}, nil
	case diagnosis.Short:
		return sim.Variant{sim.Short(part.Ref, part.Leads[0].Name, part.Leads[1].Name, 1)}, nil
	case diagnosis.Leaky:
		ohms, err := quantity.Parse(f.Value, quantity.Ohm)
		return sim.Variant{sim.Short(part.Ref, part.Leads[0].Name, part.Leads[1].Name, ohms)}, err
	case diagnosis.ValueHigh, diagnosis.ValueLow:
		info, _ := circuit.Lookup(part.Kind)
		p, _ := info.Param("value")
		became, err := quantity.Parse(f.Value, p.Units[0])
		marked, given := part.Amount("value")
		if err != nil || !given {
			return nil, NotDone(fmt.Errorf("%s has no value in this job", part.Ref), "give it the value that is marked on it")
		}
		return sim.Variant{sim.Scale(part.Ref, sim.KnobValue, became/marked)}, nil
	}
	return nil, NotDone(fmt.Errorf("the demonstration's fault %q can't be put into a circuit", f.Fault))
}

// shownText is a reading as the display shows it.
func shownText(m meter.Meter, mode meter.Mode, r meter.Reading, rng *rand.Rand) string {
	if mode == meter.Continuity {
		if r.Joined {
			return "joined"
		}
		return "separate"
	}
	if r.Overrange {
		return "overrange"
	}
	v := r.Value + m.MaxError(mode, r.Value)*(2*rng.Float64()-1)/2
	return quantity.Format(m.Round(mode, v), mode.Unit(), 5)
}

// DemoStory is what the owner of the demonstration's unit says, and what turns
// out to be wrong; empty for a real unit.
func (b *Bench) DemoStory() (story, found string) {
	demo, err := specimen.About(b.document().Demonstration)
	if err != nil {
		return "", ""
	}
	return demo.Story, demo.Fault.Found
}
