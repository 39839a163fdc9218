package circuit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"foilside/internal/quantity"
	"github.com/google/go-cmp/cmp"
)

// divider is a battery with two resistors, the smallest unit that works.
func divider() *Circuit {
	part := func(ref PartRef, k Kind, a, b LeadName, na, nb NetID) Part {
		return Part{Ref: ref, Kind: k, Leads: []Lead{{a, na}, {b, nb}}}
	}
	return &Circuit{Common: "chassis", Parts: []Part{
		part("B1", Battery, "+", "-", "supply", "chassis"),
		part("R1", Resistor, "1", "2", "supply", "tap"),
		part("R2", Resistor, "1", "2", "tap", "chassis"),
	}}
}

// Every kind of the contract is in the table, with letter, noun and sound
// parameters.
func TestTableIsComplete(t *testing.T) {
	if got := len(Kinds()); got != 47 {
		t.Errorf("%d kinds", got)
	}
	for _, k := range Kinds() {
		info, ok := Lookup(k)
		if !ok || info.Letter == "" || info.Noun == "" || (len(info.Leads) == 0) != info.AnyLead {
			t.Errorf("%s: %+v", k, info)
		}
		for _, p := range info.Params {
			if (len(p.Units) == 0) != (len(p.Words) > 0) {
				t.Errorf("%s: %s is neither a word nor an amount", k, p.Name)
			}
			if p.Default != nil && p.Default.Source == "" {
				t.Errorf("%s: the default of %s has no source", k, p.Name)
			}
		}
	}
}

func TestLookupUnknownKind(t *testing.T) {
	if _, ok := Lookup("flux-capacitor"); ok {
		t.Error("an unknown kind is found")
	}
}

func TestLeadNames(t *testing.T) {
	for _, row := range []struct {
		name     string
		kind     Kind
		windings []Winding
		poles    int
		want     []LeadName
	}{
		{"resistor", Resistor, nil, 1, []LeadName{"1", "2"}},
		{"two-pole changeover", Changeover, nil, 2, []LeadName{"c", "no", "nc", "c.b", "no.b", "nc.b"}},
		{"two-pole relay has one coil", Relay, nil, 2, []LeadName{"coil1", "coil2", "c", "no", "nc", "c.b", "no.b", "nc.b"}},
		{"transformer", Transformer, []Winding{{Name: "primary"}, {Name: "out"}}, 1, []LeadName{"primary.1", "primary.2", "out.1", "out.2"}},
		{"connector names its own", Connector, nil, 1, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := LeadNames(row.kind, row.windings, row.poles); !slices.Equal(got, row.want) {
				t.Errorf("got %v", got)
			}
		})
	}
}

func TestNaturalCompare(t *testing.T) {
	got := []string{"R10", "R2", "C1", "R1", "TP3", "R2a", "R02", "", "N12", "N9"}
	slices.SortStableFunc(got, NaturalCompare)
	want := []string{"", "C1", "N9", "N12", "R1", "R2", "R02", "R2a", "R10", "TP3"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestNets(t *testing.T) {
	var got []string
	for _, n := range divider().Nets() {
		var leads []string
		for _, l := range n.Leads {
			leads = append(leads, string(l.Part)+"."+string(l.Lead))
		}
		got = append(got, string(n.ID)+": "+strings.Join(leads, " "))
	}
	want := []string{"chassis: B1.- R2.2", "supply: B1.+ R1.1", "tap: R1.2 R2.1"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestSettingDefaults(t *testing.T) {
	s := State{Settings: map[PartRef]Setting{"S1": {Form: Closed}}}
	for _, row := range []struct {
		p    Part
		want Setting
	}{
		{Part{Ref: "B1", Kind: Battery}, Setting{Form: On}},
		{Part{Ref: "S1", Kind: Switch}, Setting{Form: Closed}},
		{Part{Ref: "S2", Kind: Switch}, Setting{Form: Open}},
		{Part{Ref: "S3", Kind: Changeover}, Setting{Form: Thrown, Contact: "nc"}},
		{Part{Ref: "RV1", Kind: Potentiometer}, Setting{Form: Control, Position: 0.5}},
	} {
		if got := s.Setting(row.p); got != row.want {
			t.Errorf("%s: %+v", row.p.Ref, got)
		}
	}
}

func TestValidate(t *testing.T) {
	if got := divider().Validate(); len(got) != 0 {
		t.Fatalf("a sound circuit: %v", got)
	}
	for _, row := range []struct {
		name  string
		spoil func(*Circuit)
		says  string
	}{
		{"reference twice", func(c *Circuit) { c.Parts[2].Ref = "R1" }, "R1 stands twice"},
		{"unknown kind", func(c *Circuit) { c.Parts[1].Kind = "resister" }, `no kind "resister"`},
		{"lead missing", func(c *Circuit) { c.Parts[1].Leads = c.Parts[1].Leads[:1] }, "lead 2 of a resistor is missing"},
		{"net with one lead", func(c *Circuit) { c.Parts[1].Leads[1].Net = "lost" }, "net lost has one lead only"},
		{"amount of another kind", func(c *Circuit) {
			c.Parts[1].Amounts = map[string]Amount{"gain": {Value: 100}}
		}, `no amount "gain"`},
		{"not a number", func(c *Circuit) {
			c.Parts[1].Amounts = map[string]Amount{"value": {Value: math.NaN(), Unit: quantity.Ohm}}
		}, "value is no number"},
		{"state of a part that is gone", func(c *Circuit) {
			c.States = []State{{Name: "on", Settings: map[PartRef]Setting{"S9": {Form: Closed}}}}
		}, "state on sets S9"},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := divider()
			row.spoil(c)
			var texts []string
			for _, p := range c.Validate() {
				texts = append(texts, p.Text)
			}
			if !strings.Contains(strings.Join(texts, "\n"), row.says) {
				t.Errorf("%q does not say %q", texts, row.says)
			}
		})
	}
}

func TestCloneIsDeep(t *testing.T) {
	c := divider()
	c.Parts[1].Amounts = map[string]Amount{"value": {Value: 1}}
	d := c.Clone()
	d.Parts[1].Amounts["value"] = Amount{Value: 2}
	d.Parts[1].Leads[0].Net = "elsewhere"
	if v, _ := c.Parts[1].Amount("value"); v != 1 || c.Parts[1].Net("1") != "supply" {
		t.Error("a change of the copy reached the original")
	}
}
