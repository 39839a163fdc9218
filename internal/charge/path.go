package charge

import (
	"math"

	"foilside/internal/circuit"
)

// branch is a resistance between two nets with the supplies off, at the upper
// limit of its tolerance: the slow end.
type branch struct {
	part circuit.PartRef
	a, b circuit.NetID
	ohms float64
}

// paths lists what surely conducts in the unpowered unit in one state.
// Junctions, valves and gas tubes are left out: they conduct one way or not
// below a voltage, so without them the time to discharge is an upper bound.
// Whatever has no known resistance is left out for the same reason.
func paths(c *circuit.Circuit, s circuit.State) []branch {
	var out []branch
	for _, p := range c.Parts {
		out = append(out, partPaths(p, s.Setting(p))...)
	}
	return out
}

func partPaths(p circuit.Part, set circuit.Setting) []branch {
	join := func(a, b circuit.LeadName, ohms float64) []branch {
		if p.Net(a) == p.Net(b) || math.IsInf(ohms, 0) {
			return nil
		}
		return []branch{{p.Ref, p.Net(a), p.Net(b), math.Max(ohms, 1e-3)}}
	}
	switch p.Kind {
	case circuit.Resistor, circuit.Thermistor, circuit.Photocell:
		return join("1", "2", upper(p))
	case circuit.Potentiometer:
		x := set.Position
		return append(join("1", "w", x*upper(p)), join("w", "2", (1-x)*upper(p))...)
	case circuit.Inductor, circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor, circuit.MeterMovement:
		return join("1", "2", known(p, "resistance"))
	case circuit.Lamp, circuit.Fuse, circuit.Heater:
		return join("1", "2", ratedOhms(p))
	case circuit.Relay:
		return append(join("coil1", "coil2", known(p, "coil resistance")), join("c", "nc", contactOhms)...)
	case circuit.Transformer:
		return windingPaths(p)
	case circuit.Switch, circuit.Changeover:
		return contactPaths(p, set, join)
	}
	return nil
}

const contactOhms = 1.0 // a closed contact, not a good one

func contactPaths(p circuit.Part, set circuit.Setting, join func(a, b circuit.LeadName, ohms float64) []branch) []branch {
	var out []branch
	for pole := range p.Poles() {
		switch set.Form {
		case circuit.Closed:
			out = append(out, join(circuit.PoleLead("1", pole), circuit.PoleLead("2", pole), contactOhms)...)
		case circuit.Thrown:
			out = append(out, join(circuit.PoleLead("c", pole), circuit.PoleLead(set.Contact, pole), contactOhms)...)
		}
	}
	return out
}

func windingPaths(p circuit.Part) []branch {
	var out []branch
	for _, w := range p.Windings {
		ohms := 1e3 // an unknown winding; common practice for a fine one
		if w.Resistance != nil {
			ohms = *w.Resistance
		}
		if a, b := p.Net(w.First()), p.Net(w.Second()); a != b {
			out = append(out, branch{p.Ref, a, b, math.Max(ohms, 1e-3)})
		}
	}
	return out
}

// upper is the part's value at the upper limit of its tolerance, infinite
// where it isn't known.
func upper(p circuit.Part) float64 {
	v, ok := p.Amount("value")
	if !ok || v < 0 {
		return math.Inf(1)
	}
	return v * (1 + toleranceOf(p))
}

func toleranceOf(p circuit.Part) float64 {
	if t, ok := p.Amount("tolerance"); ok {
		return math.Abs(t)
	}
	info, _ := circuit.Lookup(p.Kind)
	t, _ := info.Default("tolerance")
	return t
}

// known is a parameter with its default from the table of kinds.
func known(p circuit.Part, name string) float64 {
	if v, ok := p.Amount(name); ok {
		return v
	}
	info, _ := circuit.Lookup(p.Kind)
	if v, ok := info.Default(name); ok {
		return v
	}
	return math.Inf(1)
}

// ratedOhms is a lamp's, fuse's or heater's resistance when it works as
// rated; cold it is less.
func ratedOhms(p circuit.Part) float64 {
	if v, ok := p.Amount("resistance"); ok {
		return v
	}
	volts, okV := p.Amount("voltage")
	amps, okA := p.Amount("current")
	switch {
	case p.Kind == circuit.Fuse && okA && amps > 0:
		return 0.5 / amps // common practice: a fuse drops less than 0.5 V at its rating
	case p.Kind == circuit.Fuse:
		return 5
	case okV && okA && amps > 0:
		return volts / amps
	}
	return math.Inf(1)
}
