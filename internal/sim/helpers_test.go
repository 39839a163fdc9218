package sim_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// build makes a circuit from one line for each part:
//
//	R1 resistor supply base value=4k7 tolerance=5%
//	D1 diode base gnd forward_drop=0.7@0.001
//
// nets in the order of the kind's leads, amounts as plain SI numbers, percent
// or letter codes.
func build(t testing.TB, lines ...string) *circuit.Circuit {
	t.Helper()
	c := &circuit.Circuit{Common: "gnd"}
	for _, line := range lines {
		c.Parts = append(c.Parts, parsePart(t, line))
	}
	return c
}

func parsePart(t testing.TB, line string) circuit.Part {
	t.Helper()
	f := strings.Fields(line)
	p := circuit.Part{Ref: circuit.PartRef(f[0]), Kind: circuit.Kind(f[1]), Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	var nets []string
	for _, word := range f[2:] {
		name, value, ok := strings.Cut(word, "=")
		if !ok {
			nets = append(nets, word)
			continue
		}
		parseParameter(t, &p, strings.ReplaceAll(name, "_", " "), value)
	}
	names := circuit.LeadNames(p.Kind, p.Windings, p.Poles())
	if len(names) != len(nets) && names != nil {
		t.Fatalf("%s: %d nets for leads %v", line, len(nets), names)
	}
	for i, n := range nets {
		name := circuit.LeadName(fmt.Sprint(i + 1))
		if names != nil {
			name = names[i]
		}
		p.Leads = append(p.Leads, circuit.Lead{Name: name, Net: circuit.NetID(n)})
	}
	return p
}

func parseParameter(t testing.TB, p *circuit.Part, name, value string) {
	t.Helper()
	info, ok := circuit.Lookup(p.Kind)
	if !ok {
		t.Fatalf("no kind %s", p.Kind)
	}
	if name == "type" {
		p.Type = value
		return
	}
	if p.Kind == circuit.Transformer && strings.HasPrefix(name, "winding ") {
		p.Windings = append(p.Windings, winding(t, strings.TrimPrefix(name, "winding "), value))
		return
	}
	param, ok := info.Param(name)
	if !ok {
		t.Fatalf("%s has no parameter %q", p.Kind, name)
	}
	if len(param.Units) == 0 {
		p.Words[name] = value
		return
	}
	value, at, conditioned := strings.Cut(value, "@")
	a := circuit.Amount{Value: number(t, value), Unit: param.Units[0]}
	if conditioned {
		i := number(t, at)
		a.At = &i
	}
	p.Amounts[name] = a
}

// winding reads "ohms", "ohms,turns" or "ohms,turns,henries"; 100 turns where
// nothing is said.
func winding(t testing.TB, name, text string) circuit.Winding {
	t.Helper()
	w := circuit.Winding{Name: name, Turns: 100}
	for k, word := range strings.Split(text, ",") {
		v := number(t, word)
		switch k {
		case 0:
			w.Resistance = &v
		case 1:
			w.Turns = v
		case 2:
			w.Inductance = &v
		}
	}
	return w
}

// number reads 4700, 4.7k, 4k7, 5%.
func number(t testing.TB, s string) float64 {
	t.Helper()
	u := quantity.Ohm
	if strings.HasSuffix(s, "%") {
		u = quantity.Percent
	}
	v, err := quantity.Parse(s, u)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// settings reads "S1=closed RV1=0.2 B1=off K=no" as a state.
func settings(t testing.TB, text string) circuit.State {
	t.Helper()
	s := circuit.State{Name: text, Settings: map[circuit.PartRef]circuit.Setting{}}
	for _, word := range strings.Fields(text) {
		ref, how, _ := strings.Cut(word, "=")
		set := circuit.Setting{Form: circuit.SettingForm(how)}
		switch how {
		case "on", "off", "open", "closed":
		case "no", "nc":
			set = circuit.Setting{Form: circuit.Thrown, Contact: circuit.LeadName(how)}
		default:
			set = circuit.Setting{Form: circuit.Control, Position: number(t, how)}
		}
		s.Settings[circuit.PartRef(ref)] = set
	}
	return s
}

func compile(t tb, c *circuit.Circuit) *sim.Model {
	t.Helper()
	m, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func solve(t tb, c *circuit.Circuit, state circuit.State, v sim.Variant) *sim.Solution {
	t.Helper()
	s, err := compile(t, c).OperatingPoint(context.Background(), state, sim.Run{Variant: v})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func volts(t tb, s *sim.Solution, net circuit.NetID) float64 {
	t.Helper()
	v, ok := s.Voltage(net)
	if !ok {
		t.Fatalf("net %s has no voltage", net)
	}
	return v
}

func amps(t testing.TB, s *sim.Solution, part circuit.PartRef, lead circuit.LeadName) float64 {
	t.Helper()
	i, ok := s.Current(part, lead)
	if !ok {
		t.Fatalf("%s has no lead %s", part, lead)
	}
	return i
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.7g, want %.7g ± %.2g", what, got, want, within)
	}
}

// tb is what testing.T, testing.B and rapid.T have in common.
type tb interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}
