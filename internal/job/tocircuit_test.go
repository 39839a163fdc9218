package job_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/job"
)

func read(t testing.TB, text string) job.Document {
	t.Helper()
	d, problems := job.ReadText([]byte(text), "")
	if bad := job.Errors(problems); len(bad) > 0 {
		t.Fatal(bad)
	}
	return d
}

// nets writes a circuit as "R1.1=a R1.2=b …".
func nets(c *circuit.Circuit) string {
	var out []string
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			out = append(out, fmt.Sprintf("%s.%s=%s", p.Ref, l.Name, l.Net))
		}
	}
	return strings.Join(out, " ")
}

func TestMakesTheCircuit(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"leads in the order of the kind, parts in natural order": {
			"parts: {R10: {kind: resistor, leads: {2: b, 1: a}}, R2: {kind: resistor, leads: {1: a, 2: c}}, Q1: {kind: npn, leads: {e: x, c: y, b: z}}}",
			"Q1.c=y Q1.b=z Q1.e=x R2.1=a R2.2=c R10.1=a R10.2=b"},
		"a part that is placed on a photo is left out": {
			"parts: {R1: {kind: resistor, leads: {1: {at: [1, 2]}, 2: b}}, R2: {kind: resistor, leads: {1: a, 2: b}}}",
			"R2.1=a R2.2=b"},
		"windings": {
			"parts: {T1: {kind: transformer, windings: {p: {leads: [a, b], turns: 1}, s: {leads: [c, d], turns: 9}}}}",
			"T1.p.1=a T1.p.2=b T1.s.1=c T1.s.2=d"},
		"a second pole": {
			"parts: {S1: {kind: switch, poles: 2, leads: {2.b: d, 1.b: c, 2: b, 1: a}}}",
			"S1.1=a S1.2=b S1.1.b=c S1.2.b=d"},
		"nets that a wire joins have the name of its first end": {
			"parts: {R1: {kind: resistor, leads: {1: a, 2: b}}}\nwires: [{from: a, to: b}]",
			"R1.1=a R1.2=a"},
		"or the common's": {
			"common: b\nparts: {R1: {kind: resistor, leads: {1: a, 2: b}}}\nwires: [{from: a, to: b}]",
			"R1.1=b R1.2=b"},
		"over a chain of wires": {
			"common: d\nparts: {R1: {kind: resistor, leads: {1: a, 2: b}}, R2: {kind: resistor, leads: {1: c, 2: d}}}\nwires: [{from: a, to: b}, {from: c, to: b}, {from: c, to: d}, {from: d, to: a}]",
			"R1.1=d R1.2=d R2.1=d R2.2=d"},
	} {
		t.Run(name, func(t *testing.T) {
			got, problems := job.Circuit(read(t, c.text))
			if nets(got) != c.want || slices.ContainsFunc(problems, func(p circuit.Problem) bool { return !p.Warning }) {
				t.Errorf("got  %s\nwant %s\n%v", nets(got), c.want, problems)
			}
		})
	}
}

func TestPlacedLeadsGetTheirNets(t *testing.T) {
	d := read(t, "parts: {R1: {kind: resistor, leads: {1: {at: [1, 2]}, 2: {joint: [3, 4]}}}, R2: {kind: resistor, leads: {1: {at: [5, 6]}, 2: b}}}")
	placed := d.PlacedLeads()
	if len(placed) != 3 || *placed[1].Joint != (job.Pixel{3, 4}) || *placed[2].At != (job.Pixel{5, 6}) {
		t.Errorf("placed: %+v", placed)
	}
	lead := func(p circuit.PartRef, l circuit.LeadName) circuit.LeadRef { return circuit.LeadRef{Part: p, Lead: l} }
	c, problems := job.CircuitWith(d, map[circuit.LeadRef]circuit.NetID{lead("R1", "1"): "b", lead("R1", "2"): "N7"})
	if nets(c) != "R1.1=b R1.2=N7" {
		t.Errorf("got %s", nets(c))
	}
	if !slices.ContainsFunc(problems, func(p circuit.Problem) bool {
		return p.Part == "R2" && p.Warning && strings.Contains(p.Text, "its lead 1 is on no net")
	}) {
		t.Errorf("R2 is left out without a word: %v", problems)
	}
}

func TestWhatIsSaidOfAPartReachesTheCircuit(t *testing.T) {
	d := read(t, `parts:
  V1: {kind: triode, type: ECC83, mutual conductance: 1.6 mS, at: 1.2 mA, leads: {a: a, g: g, k: k}}
  V2: {kind: triode, mutual conductance: 1.6 mS at 2 mA, at: 1.2 mA, leads: {a: a, g: g, k: k}}
  RV1: {kind: potentiometer, value: 10k, taper: log, leads: {1: a, w: g, 2: k}}
  T1: {kind: transformer, windings: {p: {leads: [a, k], turns: 12, resistance: 0.2 Ω}}, inductance: {p: 220 µH}, coupling: 0.9}
states:
  loud: {RV1: 0.9}
`)
	c, problems := job.Circuit(d)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	v1, _ := c.Part("V1")
	v2, _ := c.Part("V2")
	rv1, _ := c.Part("RV1")
	t1, _ := c.Part("T1")
	if at := v1.Amounts["mutual conductance"].At; v1.Type != "ECC83" || at == nil || *at != 1.2e-3 {
		t.Errorf("V1 is %+v", v1)
	}
	if at := v2.Amounts["mutual conductance"].At; at == nil || *at != 2e-3 {
		t.Errorf("V2 has the condition %v, and its own words should win", at)
	}
	if rv1.Words["taper"] != "log" || rv1.Amounts["value"].Value != 10e3 || c.States[0].Setting(rv1).Position != 0.9 {
		t.Errorf("RV1 is %+v, set %+v", rv1, c.States[0].Setting(rv1))
	}
	if w := t1.Windings[0]; w.Turns != 12 || *w.Resistance != 0.2 || *w.Inductance != 220e-6 || t1.Amounts["coupling"].Value != 0.9 {
		t.Errorf("T1 is %+v", t1)
	}
}

func TestFindsLeadsByName(t *testing.T) {
	d := contract(t)
	for text, want := range map[string]circuit.LeadRef{
		"R1.2": {Part: "R1", Lead: "2"}, "T1.primary.1": {Part: "T1", Lead: "primary.1"}, "C1.+": {Part: "C1", Lead: "+"},
	} {
		if got, ok := d.LeadNamed(text); !ok || got != want {
			t.Errorf("%s is %+v", text, got)
		}
		if p := d.PlaceOf(want.Part, want.Lead); p == nil || p.Net == "" {
			t.Errorf("%s is at %v", text, p)
		}
	}
	if _, ok := d.LeadNamed("R1.3"); ok || d.PlaceOf("R1", "3") != nil || d.PlaceOf("R77", "1") != nil || d.PlaceOf("T1", "tertiary.1") != nil {
		t.Error("a lead that is not there was found")
	}
	d.PlaceOf("T1", "secondary.2").Net = "elsewhere"
	if t1, _ := d.Part("T1"); t1.Windings[1].Leads[1].Net != "elsewhere" {
		t.Error("a change at a lead's place did not reach the winding")
	}
}
