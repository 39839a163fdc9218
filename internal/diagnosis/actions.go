package diagnosis

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/num/bayes"
)

// Deed is what a person can do beside taking a reading.
type Deed string

// The deeds.
const (
	LiftLead   Deed = "lift"       // lift a lead and measure the part alone
	Substitute Deed = "substitute" // put a known good one across it
	Clean      Deed = "clean"      // clean or reseat a contact, or the board between two nets
	Resolder   Deed = "resolder"
	Cool       Deed = "cool" // chill it and see whether a reading comes back
	Tap        Deed = "tap"  // tap it while a reading is watched
)

// Action is a deed worth doing: where no reading tells the members of a group
// apart, or where it cures as likely as it tells.
type Action struct {
	Deed        Deed             `json:"do"`
	Part        *circuit.PartRef `json:"part"`           // null for the board between two nets
	Nets        []circuit.NetID  `json:"nets,omitempty"` //
	CostSeconds float64          `json:"cost_seconds"`
	GainBits    float64          `json:"gain_bits"`
	Cure        float64          `json:"cure"` // chance that the unit works afterwards
	Text        string           `json:"text"`
}

// treatment is what a deed does to some faults of some parts.
type treatment struct {
	deed  Deed
	cost  func(Cost) float64
	fits  func(f Fault, k circuit.Kind) bool
	cures float64 // chance to cure such a fault
	tells float64 // how surely it says whether the fault was one of these
	text  string  // with the place
}

// treatments are common practice throughout; the chances are tuned by judgement.
func treatments() []treatment {
	return []treatment{
		{Resolder, func(c Cost) float64 { return c.Resolder }, func(f Fault, _ circuit.Kind) bool { return f.Name == DryJoint || len(f.Away) > 0 }, 0.9, 0.9,
			"resolder the joints of %s, and look along the tracks to them for cracks"},
		{Clean, func(c Cost) float64 { return c.Clean }, dirtyContact, 0.6, 0.7, "work the contacts of %s to and fro, clean or reseat them"},
		{Clean, func(c Cost) float64 { return c.Clean }, func(f Fault, _ circuit.Kind) bool { return f.Part == "" && len(f.Nets) == 2 }, 0.8, 0.9,
			"look between %s with a lens, cut solder away and wash the board there"},
		{Substitute, func(c Cost) float64 { return c.Substitute }, func(f Fault, k circuit.Kind) bool {
			return isCapacitor(k) && (f.Name == Open || f.Name == ValueLow)
		}, 0, 0.95, "put a known good capacitor across %s, power off in between"},
		{Cool, func(c Cost) float64 { return c.Cool }, func(f Fault, k circuit.Kind) bool {
			return len(junctionsOf(k)) > 0 && (f.Name == Leaky || f.Name == LowGain)
		}, 0, 0.4,
			"chill %s with a cold spray and watch the last reading: a leaking junction comes back while it is cold"},
		{Tap, func(c Cost) float64 { return c.Tap }, func(f Fault, k circuit.Kind) bool { return valve(k) || f.Name == HighResistance || f.Name == DryJoint }, 0, 0.3,
			"tap %s with something insulated and watch the last reading"},
		{LiftLead, func(c Cost) float64 { return c.Lift }, func(f Fault, _ circuit.Kind) bool { return f.Part != "" && f.Name != DryJoint }, 0, 0.97,
			"lift one lead of %s and measure it alone"},
	}
}

func dirtyContact(f Fault, k circuit.Kind) bool {
	switch k {
	case circuit.Switch, circuit.Changeover, circuit.Relay, circuit.Potentiometer, circuit.Fuse, circuit.Lamp, circuit.Battery:
		return f.Name == HighResistance || k != circuit.Fuse && k != circuit.Lamp && f.Name == Open && f.Lead != "coil1"
	}
	return false
}

func valve(k circuit.Kind) bool { return k == circuit.Triode || k == circuit.Pentode }

const (
	// mostActions are listed.
	mostActions = 5
	// cureBits is what a cure is worth against telling.
	cureBits = 1
)

// actions lists the deeds that tell or cure most for their time.
func (s *study) actions() []Action {
	type place struct {
		deed  int
		where string
	}
	held := map[place]float64{}
	of := map[place]Fault{}
	var order []place
	list := treatments()
	for i, f := range s.a.faults {
		fault := s.p.faults[f]
		part, _ := s.p.circuit.Part(fault.Part)
		for d, t := range list {
			if fault.Name == None || !t.fits(fault, part.Kind) {
				continue
			}
			k := place{d, string(fault.Part)}
			if fault.Part == "" {
				k.where = fmt.Sprint(fault.Nets)
			}
			if _, known := of[k]; !known {
				of[k] = fault
				order = append(order, k)
			}
			held[k] += s.a.prob[i]
		}
	}
	out := []Action{}
	for _, k := range order {
		t, p := list[k.deed], held[k]
		f := of[k]
		a := Action{Deed: t.deed, Nets: f.Nets, CostSeconds: t.cost(s.p.opt.Cost), Cure: t.cures * p, GainBits: t.tells * bayes.Entropy([]float64{p, 1 - p})}
		where := string(f.Part)
		if f.Part != "" {
			ref := f.Part
			a.Part = &ref
		} else {
			where = strings.Join(netWords(f.Nets), " and ")
		}
		a.Text = fmt.Sprintf(t.text, where)
		out = append(out, a)
	}
	slices.SortStableFunc(out, func(a, b Action) int { return cmp.Compare(b.worth(), a.worth()) })
	return out[:min(len(out), mostActions)]
}

// worth is bits in each second, a cure counted in.
func (a Action) worth() float64 { return (a.GainBits + cureBits*a.Cure) / (a.CostSeconds + handling) }

func netWords(nets []circuit.NetID) []string {
	var out []string
	for _, n := range nets {
		out = append(out, string(n))
	}
	return out
}
