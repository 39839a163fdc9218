package sim

import (
	"context"
	"fmt"

	"foilside/internal/circuit"
)

// Place is where a meter lead touches: a net, or one lead of a part, which is
// another place only where a dry joint parts them.
type Place struct {
	Net  circuit.NetID    `json:"net,omitempty"`
	Part circuit.PartRef  `json:"part,omitempty"`
	Lead circuit.LeadName `json:"lead,omitempty"`
}

// OnNet is the place on a net.
func OnNet(n circuit.NetID) Place { return Place{Net: n} }

// String names the place.
func (p Place) String() string {
	if p.Part != "" {
		return string(p.Part) + "." + string(p.Lead)
	}
	return string(p.Net)
}

// placeNode finds the node of a place.
func (in *Instance) placeNode(p Place) (int32, error) {
	if p.Part == "" {
		i, ok := in.model.netIndex[p.Net]
		if !ok {
			return 0, fmt.Errorf("there is no net %q", p.Net)
		}
		return in.netNode[i], nil
	}
	at, ok := in.model.partIndex[p.Part]
	if !ok {
		return 0, fmt.Errorf("there is no part %q", p.Part)
	}
	l := in.model.parts[at].lead(p.Lead)
	if l < 0 {
		return 0, fmt.Errorf("%s has no lead %q", p.Part, p.Lead)
	}
	return in.leadNode[in.leadBase[at]+int32(l)], nil
}

// Loaded is what a probe sees in the circuit.
type Loaded struct {
	Volts   float64 // across the probe, first place over second
	Amperes float64 // into the probe at the first place
	// Apart: nothing but the probe joins the two places, so no current flows.
	Apart bool
}

// Measure solves the circuit with a probe between two places. from must be a
// solution of this instance, whose draw the instance still has; nil starts
// cold with the nominal circuit.
//
// Errors: an unknown place, *ConvergenceError, the context's.
func (in *Instance) Measure(ctx context.Context, from *Solution, red, black Place, p Probe) (Loaded, error) {
	a, err := in.placeNode(red)
	if err != nil {
		return Loaded{}, err
	}
	b, err := in.placeNode(black)
	if err != nil {
		return Loaded{}, err
	}
	if a == b {
		i, _ := p.At(0)
		return Loaded{Amperes: i}, nil
	}
	if in.island[a] != in.island[b] {
		return Loaded{Apart: true}, nil
	}
	if from != nil {
		in.restoreModes(from.modes)
	} else {
		in.restHinges()
	}
	in.usePivots(from.pivotsOf())
	at := &attached{probe: p, a: a, b: b}
	if _, err := in.search(ctx, in.start(from), at); err != nil {
		return Loaded{}, err
	}
	v := in.sys.x[a] - in.sys.x[b]
	i, _ := p.At(v)
	return Loaded{Volts: v, Amperes: i}, nil
}

// Resistance is the resistance between two places for a small change about a
// solution of this instance; apart where nothing joins them.
func (in *Instance) Resistance(at *Solution, a, b Place) (ohms float64, apart bool, err error) {
	from, err := in.placeNode(a)
	if err != nil {
		return 0, false, err
	}
	to, err := in.placeNode(b)
	if err != nil {
		return 0, false, err
	}
	if in.island[from] != in.island[to] {
		return 0, true, nil
	}
	copy(in.sys.x, at.x)
	in.restoreModes(at.modes)
	for _, e := range in.bent {
		e.begin(in.sys.x, false)
	}
	in.assemble(trial{})
	if err := in.factor(); err != nil {
		return 0, false, err
	}
	z := in.unit(from, to)
	return z[from] - z[to], false, nil
}

// unit solves for the voltages of one ampere from node a to node b through
// the circuit as last factored.
func (in *Instance) unit(a, b int32) []float64 {
	z := in.probeCol
	clear(z)
	z[a]++
	z[b]--
	in.backsolve(z, in.links)
	return z
}
