package specimen

import (
	"strings"
	"testing"
)

func TestBodies(t *testing.T) {
	for _, k := range []struct {
		name  string
		part  CircuitPart
		body  Body
		leads string
		bands string
	}{
		{"quarter-watt resistor", CircuitPart{Kind: "resistor", Params: map[string]string{"value": "4k7"}, Leads: map[string]string{"1": "a", "2": "b"}}, AxialBody, "1 2", "yellow violet red gold"},
		{"metal film resistor", CircuitPart{Kind: "resistor", Params: map[string]string{"value": "4.7 kΩ", "tolerance": "1%"}, Leads: map[string]string{"1": "a", "2": "b"}}, AxialBody, "1 2", "yellow violet black brown brown"},
		{"small capacitor", CircuitPart{Kind: "capacitor", Params: map[string]string{"value": "1 nF"}, Leads: map[string]string{"1": "a", "2": "b"}}, DiscBody, "1 2", ""},
		{"small capacitor for high voltage", CircuitPart{Kind: "capacitor", Params: map[string]string{"value": "1 nF", "voltage": "630 V"}, Leads: map[string]string{"1": "a", "2": "b"}}, FilmBody, "1 2", ""},
		{"electrolytic", CircuitPart{Kind: "electrolytic", Params: map[string]string{"value": "100u", "voltage": "16 V"}, Leads: map[string]string{"+": "a", "-": "b"}}, CanBody, "+ -", ""},
		{"transistor", CircuitPart{Kind: "npn", Params: map[string]string{"type": "BC547B"}, Leads: map[string]string{"c": "a", "b": "b", "e": "d"}}, TO92Body, "e b c", ""},
		{"germanium transistor", CircuitPart{Kind: "pnp", Params: map[string]string{"material": "germanium"}, Leads: map[string]string{"c": "a", "b": "b", "e": "d"}}, MetalCanBody, "e b c", ""},
		{"rectifier", CircuitPart{Kind: "diode", Params: map[string]string{"type": "1N4003"}, Leads: map[string]string{"a": "a", "k": "b"}}, RectifierBody, "a k", ""},
		{"body named by hand", CircuitPart{Kind: "electrolytic", Params: map[string]string{"value": "10 µF", "body": "axial-can"}, Leads: map[string]string{"+": "a", "-": "b"}}, AxialCanBody, "+ -", ""},
	} {
		t.Run(k.name, func(t *testing.T) {
			p, err := dress(k.part, newRand(1, 1))
			if err != nil {
				t.Fatal(err)
			}
			var leads []string
			for _, l := range p.Leads {
				leads = append(leads, l.Name)
			}
			if p.Body != k.body || strings.Join(leads, " ") != k.leads || strings.Join(p.Bands, " ") != k.bands {
				t.Errorf("%s with leads %v and bands %v; want %s, %s, %s", p.Body, leads, p.Bands, k.body, k.leads, k.bands)
			}
		})
	}
}

// Higher voltage or capacitance needs a larger can.
func TestCansGrowWithWhatTheyHold(t *testing.T) {
	size := func(value, volts string) float64 {
		p, err := dress(CircuitPart{Kind: "electrolytic", Params: map[string]string{"value": value, "voltage": volts},
			Leads: map[string]string{"+": "a", "-": "b"}}, newRand(1, 1))
		if err != nil {
			t.Fatal(err)
		}
		return p.Size
	}
	if a, b, c := size("10 µF", "16 V"), size("470 µF", "16 V"), size("470 µF", "63 V"); a >= b || b >= c {
		t.Errorf("diameters %g, %g and %g mm for 10 µF 16 V, 470 µF 16 V and 470 µF 63 V", a, b, c)
	}
}

func TestFootprintsKeepLeadsApart(t *testing.T) {
	for _, body := range []Body{AxialBody, CanBody, AxialCanBody, DiscBody, FilmBody, TO92Body, MetalCanBody, GlassDiodeBody,
		RectifierBody, LEDBody, BridgeBody, TransformerBody, ChokeBody, TrimmerBody, SwitchBody, FuseBody, NeonBody, WiresBody, PinBody, DIPBody} {
		n := 4
		if fixed := footprintOf(body, 0, 4).leads; len(fixed) > 0 {
			n = len(fixed)
		}
		leads := footprintOf(body, 0, n).leads
		for i := range leads {
			for j := range i {
				if leads[i].Dist(leads[j]) < 1 {
					t.Errorf("%s: leads %d and %d are nearer than one pitch", body, j, i)
				}
			}
		}
	}
}

func TestReadCircuit(t *testing.T) {
	parts, err := ReadCircuit([]byte(`
parts:
  R1: {kind: resistor, value: 4k7, leads: {1: supply, 2: base}}
  T1: {kind: transformer, windings: {primary: {leads: [p1, p2]}, secondary: {leads: [s1, s2]}}}
  Q1: {kind: npn, gain: 290, leads: {c: supply, b: base, e: out}}
`))
	if err != nil {
		t.Fatal(err)
	}
	if len(parts) != 3 || parts[0].Ref != "R1" || parts[1].Ref != "T1" || parts[2].Ref != "Q1" {
		t.Fatalf("parts are %+v, want R1, T1, Q1 in this order", parts)
	}
	if parts[0].Params["value"] != "4k7" || parts[0].Leads["1"] != "supply" {
		t.Errorf("R1 is %+v", parts[0])
	}
	if parts[1].Leads["primary.1"] != "p1" || parts[1].Leads["secondary.2"] != "s2" {
		t.Errorf("T1 has leads %v", parts[1].Leads)
	}
	if parts[2].Params["gain"] != "290" {
		t.Errorf("Q1 has gain %q", parts[2].Params["gain"])
	}
}

func TestReadCircuitRefuses(t *testing.T) {
	for _, k := range []struct{ name, text string }{
		{"no YAML", "parts: {R1: ["},
		{"part without keys", "parts: {R1: 5}"},
		{"leads that are none", "parts: {R1: {kind: resistor, leads: 5}}"},
		{"winding with one end", "parts: {T1: {kind: transformer, windings: {primary: {leads: [p1]}}}}"},
	} {
		t.Run(k.name, func(t *testing.T) {
			if _, err := ReadCircuit([]byte(k.text)); err == nil {
				t.Error("want an error")
			}
		})
	}
}
