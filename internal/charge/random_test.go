package charge_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"foilside/internal/charge"
	"foilside/internal/circuit"
)

// randomStores draws a network of resistors and capacitors about one or two
// supplies.
func randomStores(t *rapid.T) *circuit.Circuit {
	nets := []circuit.NetID{"0", "s", "a", "b", "c", "d"}
	net := rapid.IntRange(0, len(nets)-1)
	value := func(low, high float64, what string) float64 {
		return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, what))
	}
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", value(40, 600, "volts"), "resistance", 10.0, "tolerance", 0.0)}}
	two := func() (circuit.NetID, circuit.NetID) {
		i := net.Draw(t, "one net")
		j := rapid.IntRange(1, len(nets)-1).Draw(t, "other net")
		return nets[i], nets[(i+j)%len(nets)]
	}
	for i := range rapid.IntRange(3, 9).Draw(t, "resistors") {
		a, b := two()
		c.Parts = append(c.Parts, part(circuit.PartRef(fmt.Sprintf("R%d", i+1)), circuit.Resistor, a, b, "value", value(1e3, 3e6, "ohms"), "tolerance", 0.0))
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "capacitors") {
		a, b := two()
		c.Parts = append(c.Parts, part(circuit.PartRef(fmt.Sprintf("C%d", i+1)), circuit.Capacitor, a, b, "value", value(10e-9, 100e-6, "farads"), "tolerance", 0.0))
	}
	return c
}

// TestStatedVoltageAndTimeAreUpperBounds: with any single part open, charging
// and discharging by an integrator of its own never exceed what is stated.
func TestStatedVoltageAndTimeAreUpperBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := randomStores(t)
		report, err := charge.Assess(context.Background(), c, nil, charge.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for open := range c.Parts {
			checkBounds(t, c, open, report)
		}
	})
}

func checkBounds(t *rapid.T, c *circuit.Circuit, open int, report charge.Report) {
	run := newRun(c, open)
	top := run.charge()
	start := append([]float64(nil), run.v...)
	for _, s := range report.Stores {
		k, ok := run.cap[s.Part]
		if !ok {
			continue
		}
		if top[k] > s.Voltage+2 { // less does no harm, and may be rounding of the integrator
			t.Fatalf("%s open: %s reaches %.2f V, stated %.2f V because %s", c.Parts[open].Ref, s.Part, top[k], s.Voltage, s.Because)
		}
		if s.SecondsToSafe == nil {
			continue
		}
		run.v = append(run.v[:0], start...)
		if left := run.discharge(*s.SecondsToSafe)[k]; left > charge.CautionVolts*1.01 {
			t.Fatalf("%s open: %s still holds %.2f V after the stated %.3f s", c.Parts[open].Ref, s.Part, left, *s.SecondsToSafe)
		}
	}
}

// run integrates one network by implicit Euler steps that grow.
type run struct {
	at    map[circuit.NetID]int
	parts []circuit.Part
	cap   map[circuit.PartRef]int
	v     []float64 // of the capacitors
}

func newRun(c *circuit.Circuit, open int) *run {
	r := &run{at: map[circuit.NetID]int{"0": -1}, cap: map[circuit.PartRef]int{}}
	for i, p := range c.Parts {
		for _, l := range p.Leads {
			if _, ok := r.at[l.Net]; !ok {
				r.at[l.Net] = len(r.at) - 1
			}
		}
		if i == open {
			continue
		}
		if p.Kind == circuit.Capacitor {
			r.cap[p.Ref] = len(r.v)
			r.v = append(r.v, 0)
		}
		r.parts = append(r.parts, p)
	}
	return r
}

// step moves the capacitors on by h seconds and tells every node's voltage.
func (r *run) step(h float64, powered bool) []float64 {
	n := len(r.at) - 1
	g, rhs := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	add := func(a, b int, siemens, amps float64) {
		for _, x := range []struct {
			i, j int
			sign float64
		}{{a, b, 1}, {b, a, -1}} {
			if x.i < 0 {
				continue
			}
			g.Set(x.i, x.i, g.At(x.i, x.i)+siemens)
			if x.j >= 0 {
				g.Set(x.i, x.j, g.At(x.i, x.j)-siemens)
			}
			rhs.SetVec(x.i, rhs.AtVec(x.i)+x.sign*amps)
		}
	}
	for i := range n {
		g.Set(i, i, 1e-17) // nothing: it only keeps a floating net solvable
	}
	for _, p := range r.parts {
		a, b := r.at[p.Leads[0].Net], r.at[p.Leads[1].Net]
		switch p.Kind {
		case circuit.Resistor:
			ohms, _ := p.Amount("value")
			add(a, b, 1/ohms, 0)
		case circuit.Supply:
			volts, _ := p.Amount("voltage")
			ohms, _ := p.Amount("resistance")
			if powered {
				add(a, b, 1/ohms, volts/ohms)
			}
		case circuit.Capacitor:
			farads, _ := p.Amount("value")
			add(a, b, farads/h, farads/h*r.v[r.cap[p.Ref]])
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(g, rhs); err != nil && x.Len() == 0 {
		panic(err)
	}
	volts := func(i int) float64 {
		if i < 0 {
			return 0
		}
		return x.AtVec(i)
	}
	for _, p := range r.parts {
		if p.Kind == circuit.Capacitor {
			r.v[r.cap[p.Ref]] = volts(r.at[p.Leads[0].Net]) - volts(r.at[p.Leads[1].Net])
		}
	}
	return x.RawVector().Data
}

// charge runs from empty for a long time and returns each capacitor's greatest
// voltage.
func (r *run) charge() []float64 {
	top := make([]float64, len(r.v))
	for h := 1e-6; h < 1e4; h *= 1.4 {
		for range 2 {
			r.step(h, true)
			for k, v := range r.v {
				top[k] = math.Max(top[k], math.Abs(v))
			}
		}
	}
	return top
}

// discharge runs without power for a time and returns what is left.
func (r *run) discharge(seconds float64) []float64 {
	if seconds == 0 {
		return absolute(r.v)
	}
	const steps = 150
	for range steps {
		r.step(seconds/steps, false)
	}
	return absolute(r.v)
}

func absolute(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = math.Abs(v[i])
	}
	return out
}

// A capacitor that hangs on the supply by capacitors alone holds, for a moment,
// what no operating point shows; one in parallel must not hide that.
func TestACapacitorFilledThroughOthers(t *testing.T) {
	cap := func(ref circuit.PartRef, a, b circuit.NetID) circuit.Part {
		return part(ref, circuit.Capacitor, a, b, "value", 1e-6, "tolerance", 0.0)
	}
	c := &circuit.Circuit{Common: "0", Parts: []circuit.Part{
		part("PS1", circuit.Supply, "s", "0", "voltage", 400.0, "resistance", 10.0, "tolerance", 0.0),
		cap("C1", "s", "c"), cap("C2", "c", "a"), cap("C3", "a", "0"), cap("C4", "a", "0"),
		part("R1", circuit.Resistor, "a", "0", "value", 1e3, "tolerance", 0.0),
	}}
	report, err := charge.Assess(context.Background(), c, nil, charge.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := newRun(c, -1)
	top := r.charge()
	for _, s := range report.Stores {
		if got := top[r.cap[s.Part]]; got < 50 || s.Voltage < got {
			t.Errorf("%s holds up to %.0f V (more than 50 wanted of this circuit), stated %.0f V", s.Part, got, s.Voltage)
		}
	}
}
