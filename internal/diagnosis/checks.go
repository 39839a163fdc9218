package diagnosis

import (
	"foilside/internal/circuit"
	"foilside/internal/meter"
)

// checks lists every reading that may be worth taking: each net against the
// common one and across each part, ohms and junction without power in every
// setting of the switches, volts with it in every state.
func (p *Predictor) checks() []Check {
	var out []Check
	states := p.states()
	seen := map[string]bool{}
	for _, name := range states {
		_, key, err := p.electrical(meter.Ohms, name)
		if err != nil || seen[key] {
			continue
		}
		seen[key] = true
		out = append(out, p.unpowered(name)...)
	}
	for _, name := range states {
		_, key, err := p.electrical(meter.VoltsDC, name)
		if err != nil || seen[key] {
			continue
		}
		seen[key] = true
		if p.live(name) {
			out = append(out, p.powered(name)...)
		}
	}
	return out
}

// states are the names of all states, or the one where nothing is said.
func (p *Predictor) states() []string {
	if len(p.circuit.States) == 0 {
		return []string{""}
	}
	var out []string
	for _, s := range p.circuit.States {
		out = append(out, s.Name)
	}
	return out
}

// live tells whether a source is on in the state.
func (p *Predictor) live(name string) bool {
	s, _ := p.circuit.State(name)
	for _, part := range p.circuit.Parts {
		if isSource(part.Kind) && s.Setting(part).Form == circuit.On {
			return true
		}
	}
	return false
}

// pairs collects pairs of nets without repeats.
type pairs struct {
	list [][2]circuit.NetID
	seen map[[2]circuit.NetID]bool
}

func (q *pairs) add(red, black circuit.NetID, eitherWay bool) {
	k := [2]circuit.NetID{red, black}
	if red == black || red == "" || black == "" || q.seen[k] || eitherWay && q.seen[[2]circuit.NetID{black, red}] {
		return
	}
	q.seen[k] = true
	q.list = append(q.list, k)
}

// useful is the nets against the common one, then across the parts.
func (p *Predictor) useful() *pairs {
	q := &pairs{seen: map[[2]circuit.NetID]bool{}}
	common := p.model.Reference()
	for _, n := range p.model.Nets() {
		q.add(n, common, true)
	}
	for _, part := range p.circuit.Parts {
		for i, a := range part.Leads {
			for _, b := range part.Leads[i+1:] {
				q.add(a.Net, b.Net, true)
			}
		}
	}
	return q
}

func (p *Predictor) unpowered(state string) []Check {
	var out []Check
	for _, pair := range p.useful().list {
		out = append(out, Check{meter.Ohms, pair[0], pair[1], state})
	}
	forward := &pairs{seen: map[[2]circuit.NetID]bool{}}
	for _, part := range p.circuit.Parts {
		for _, j := range junctionsOf(part.Kind) {
			forward.add(part.Net(j[0]), part.Net(j[1]), false)
		}
	}
	for _, pair := range forward.list {
		out = append(out, Check{meter.Junction, pair[0], pair[1], state})
	}
	return out
}

// junctionsOf are the junctions of a kind, anode first.
func junctionsOf(k circuit.Kind) [][2]circuit.LeadName {
	switch k {
	case circuit.Diode, circuit.LED, circuit.Zener:
		return [][2]circuit.LeadName{{"a", "k"}, {"k", "a"}}
	case circuit.Bridge:
		return [][2]circuit.LeadName{{"ac1", "+"}, {"ac2", "+"}, {"-", "ac1"}, {"-", "ac2"}}
	case circuit.NPN:
		return [][2]circuit.LeadName{{"b", "e"}, {"b", "c"}}
	case circuit.PNP:
		return [][2]circuit.LeadName{{"e", "b"}, {"c", "b"}}
	}
	return nil
}

func (p *Predictor) powered(state string) []Check {
	var out []Check
	for _, pair := range p.useful().list {
		out = append(out, Check{meter.VoltsDC, pair[0], pair[1], state})
	}
	return out
}
