package diagnosis

import (
	"math"

	"foilside/internal/circuit"
)

// Priors says how the published experience becomes weights.
type Priors struct {
	// Rates is the power to which a kind's rate is raised: 1 takes the
	// handbook's rates as they are, 0 takes every part alike. Between classes
	// of parts handbooks agree on the order, not on the ratio, and none knows
	// how this unit was treated.
	Rates float64
	// Shares is the same for the shares of the ways a kind fails.
	Shares float64
	// Joint is the weight of one dry joint against a film resistor's failures.
	Joint float64
	// Healthy is the weight of a unit without any fault, as a share of all.
	Healthy float64
	// Outside is the weight of a fault that is not in the list, as a share.
	Outside float64
}

// DefaultPriors are the weights taken where nothing is said.
//
// Source: Rates, Shares and Healthy are tuned by judgement (a unit on the
// bench is there since it failed); Joint is F74, hand solder with wrapping, scaled from
// GB to GF by F73, against F45.
func DefaultPriors() Priors {
	const filmResistor, wrapped, scale = 0.0027, 0.00014, 0.0052 / 0.0026
	return Priors{Rates: 0.35, Shares: 0.6, Joint: wrapped * scale / filmResistor, Healthy: 0.03, Outside: 0.1}
}

// Faults lists the single faults of a circuit with their weights, which sum
// to 1 with the healthy unit, the last of the list, counted in.
func Faults(c *circuit.Circuit, pr Priors) []Fault {
	var out []Fault
	for _, p := range c.Parts {
		out = append(out, partFaults(p, pr)...)
		out = append(out, jointFaults(p, pr)...)
	}
	var total float64
	for _, f := range out {
		total += f.Prior
	}
	for i := range out {
		out[i].Prior *= (1 - pr.Healthy) / total
	}
	return append(out, Fault{Name: None, Prior: pr.Healthy, Basis: "tuned by judgement"})
}

func partFaults(p circuit.Part, pr Priors) []Fault {
	rec, ok := recordOf(p)
	if !ok {
		return nil
	}
	const filmResistor = 0.0027 // F45, the unit of weight
	weight := math.Pow(rec.rate/filmResistor, pr.Rates)
	var total float64
	for _, m := range rec.modes {
		total += math.Pow(m.share, pr.Shares)
	}
	var out []Fault
	for _, m := range rec.modes {
		f := Fault{Part: p.Ref, Name: m.fault, Lead: m.lead, Word: m.word,
			Prior: weight * math.Pow(m.share, pr.Shares) / total, Basis: "rate " + rec.source + ", share " + m.source}
		if m.leads[0] != "" {
			f.Leads = m.leads[:]
		}
		out = append(out, perWinding(f, p)...)
	}
	return out
}

// perWinding spreads a transformer's fault over its windings.
func perWinding(f Fault, p circuit.Part) []Fault {
	if p.Kind != circuit.Transformer {
		return []Fault{f}
	}
	var out []Fault
	for _, w := range p.Windings {
		g := f
		g.Word, g.Prior = w.Name, f.Prior/float64(len(p.Windings))
		out = append(out, g)
	}
	return out
}

// recordOf finds the part's record; a power transistor fails at the rate of F62.
func recordOf(p circuit.Part) (record, bool) {
	for _, r := range records() {
		if r.kind != p.Kind {
			continue
		}
		power, _ := p.Amount("power")
		current, _ := p.Amount("current")
		if (p.Kind == circuit.NPN || p.Kind == circuit.PNP) && (power >= 1 || current >= 1) {
			r.rate, r.source = 0.042, "F62"
		}
		return r, true
	}
	return record{}, false
}

// jointFaults are the dry joints of the part's leads. A test point has none
// that matters.
func jointFaults(p circuit.Part, pr Priors) []Fault {
	if p.Kind == circuit.TestPoint || p.Kind == circuit.Connector {
		return nil
	}
	var out []Fault
	for _, l := range p.Leads {
		out = append(out, Fault{Part: p.Ref, Name: DryJoint, Lead: l.Name, Prior: pr.Joint,
			Basis: "F74, hand solder with wrapping, scaled by F73"})
	}
	return out
}
