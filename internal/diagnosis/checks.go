package diagnosis

import (
	"context"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/meter"
)

// candidates lists every reading that may be worth taking: each net against
// the common one and across each part, ohms and junction without power in
// every setting of the switches, volts with it in every state. It is made
// once. In a further setting without power only what it changes is listed.
func (p *Predictor) candidates(ctx context.Context) ([]*column, error) {
	if p.listed != nil {
		return p.listed, nil
	}
	var unpowered, powered []*column
	seen := map[string]bool{}
	for _, name := range p.states() {
		_, key, err := p.electrical(meter.Ohms, name)
		if err != nil {
			return nil, err
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		further := p.columnsOf(p.unpowered(name))
		if unpowered != nil {
			if further, err = p.changed(ctx, further, name); err != nil {
				return nil, err
			}
		}
		unpowered = append(unpowered, further...)
	}
	for _, name := range p.states() {
		_, key, err := p.electrical(meter.VoltsDC, name)
		if err != nil {
			return nil, err
		}
		state, _ := p.circuit.State(name)
		how, err := p.motion(ctx, state, key)
		if err != nil {
			return nil, err
		}
		if !seen[key] && p.live(name) && how != wild {
			seen[key] = true
			powered = append(powered, p.columnsOf(p.powered(name))...)
		}
	}
	p.listed = append(unpowered, powered...)
	return p.listed, nil
}

func (p *Predictor) columnsOf(checks []Check) []*column {
	out := make([]*column, len(checks))
	for i, c := range checks {
		out[i] = p.column(columnKey{c, 0})
	}
	return out
}

// changed keeps the columns that read otherwise in a good unit than in the
// first state without power, or touch what stands otherwise.
func (p *Predictor) changed(ctx context.Context, further []*column, name string) ([]*column, error) {
	first := make([]*column, len(further))
	for i, c := range further {
		check := c.key.Check
		check.State = p.states()[0]
		first[i] = p.column(columnKey{check, 0})
	}
	both := append(append([]*column{}, further...), first...)
	if err := p.fill(ctx, both, []int{healthyRung}, 1, nil); err != nil {
		return nil, err
	}
	touched := p.turnedNets(p.states()[0], name)
	var out []*column
	for i, c := range further {
		a, b := c.cells[healthyRung][0], first[i].cells[healthyRung][0]
		const same = 0.05 // of the scale: nothing that a meter shows
		if a.kind != b.kind || math.Abs(a.g-b.g) > same || touched[c.key.Red] || touched[c.key.Black] {
			out = append(out, c)
		}
	}
	return out, nil
}

// turnedNets are the nets at switches and controls that two states set
// otherwise, the common net left out.
func (p *Predictor) turnedNets(one, other string) map[circuit.NetID]bool {
	a, _ := p.circuit.State(one)
	b, _ := p.circuit.State(other)
	out := map[circuit.NetID]bool{}
	for _, part := range p.circuit.Parts {
		if isSource(part.Kind) || a.Setting(part) == b.Setting(part) {
			continue
		}
		for _, l := range part.Leads {
			out[l.Net] = true
		}
	}
	delete(out, p.model.Reference())
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

// crowd is the number of leads above which a net is no mere middle of a path.
const crowd = 4

// chains adds pairs two parts apart: one reading then looks at both.
func (p *Predictor) chains(q *pairs) {
	for _, net := range p.circuit.Nets() {
		if net.ID == p.model.Reference() || len(net.Leads) > crowd {
			continue
		}
		var far []circuit.NetID
		for _, l := range net.Leads {
			part, _ := p.circuit.Part(l.Part)
			for _, other := range part.Leads {
				if other.Net != net.ID && !isSource(part.Kind) {
					far = append(far, other.Net)
				}
			}
		}
		for i, a := range far {
			for _, b := range far[i+1:] {
				q.add(a, b, true)
			}
		}
	}
}

func (p *Predictor) unpowered(state string) []Check {
	var out []Check
	q := p.useful()
	p.chains(q)
	for _, pair := range q.list {
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
