package charge

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/sim"
)

// Options set how stores are judged.
type Options struct {
	Shelf    sim.Shelf
	Progress func(done float64, what string) // may be nil
}

// Store is one capacitor with the worst that it may hold.
type Store struct {
	Part          circuit.PartRef `json:"part"`
	Plus          circuit.NetID   `json:"plus"`
	Minus         circuit.NetID   `json:"minus"`
	Farads        float64         `json:"capacitance"` // with the tolerance added
	Voltage       float64         `json:"voltage"`     // an upper bound, computed and not measured
	Energy        float64         `json:"energy"`
	Charge        float64         `json:"charge"`
	SecondsToSafe *float64        `json:"seconds_to_safe"` // null: by itself perhaps never
	Hazardous     bool            `json:"hazardous"`
	Caution       bool            `json:"caution"`
	Rule          string          `json:"rule"`
	Because       string          `json:"because"` // what the voltage is the worst of
}

// Report is the stored charge of a unit and how to make it safe.
type Report struct {
	Stores   []Store  `json:"stores"` // greatest energy first
	Steps    []Step   `json:"steps"`
	Refused  string   `json:"refused,omitempty"` // why no guidance is given
	Cautions []string `json:"cautions"`
}

// Notice stands over every report: a computed voltage proves nothing.
const Notice = "These voltages are computed for faults that were thought of. Only your meter on the capacitor itself shows that it is discharged."

// voltMargin is added to computed voltages for what the model leaves out.
const voltMargin = 1.05

// Assess judges every capacitor over the faults that are not excluded, any
// single part open, and every state.
//
// Errors: the context's. A circuit that can't be simulated is judged by what
// its sources can give at most, and Because says so.
func Assess(ctx context.Context, c *circuit.Circuit, possible []diagnosis.Fault, opt Options) (Report, error) {
	r := Report{Stores: []Store{}, Steps: []Step{}, Cautions: []string{Notice}}
	cells := capacitors(c)
	if len(cells) == 0 {
		r.Refused = refusal(c, nil)
		return r, nil
	}
	worst, err := worstVoltages(ctx, c, possible, cells, opt)
	if err != nil {
		return r, err
	}
	for i := range cells {
		cells[i].volts = worst[i].volts
	}
	for i, cell := range cells {
		r.Stores = append(r.Stores, storeOf(cell, worst[i].because))
	}
	addTimes(c, cells, r.Stores)
	slices.SortStableFunc(r.Stores, func(a, b Store) int { return cmp.Compare(b.Energy, a.Energy) })
	if r.Refused = refusal(c, r.Stores); r.Refused == "" {
		r.Steps = steps(c, r.Stores)
	}
	return r, nil
}

// Danger is what package diagnosis needs to price and guard readings.
func (r Report) Danger() diagnosis.Danger {
	d := diagnosis.Danger{Judged: true, Refused: r.Refused}
	for _, s := range r.Stores {
		d.Stores = append(d.Stores, diagnosis.Store{Part: s.Part, Volts: s.Voltage, Joules: s.Energy, Hazardous: s.Hazardous})
	}
	for _, s := range r.Steps {
		d.Steps = append(d.Steps, s.Text)
	}
	return d
}

func storeOf(c cell, because string) Store {
	v := Judge(c.volts, c.farads)
	return Store{Part: c.part, Plus: c.a, Minus: c.b, Farads: c.farads, Voltage: c.volts,
		Energy: c.farads * c.volts * c.volts / 2, Charge: c.farads * c.volts,
		Hazardous: v.Hazardous, Caution: v.Caution, Rule: v.Rule, Because: because}
}

// unknownFarads stands for a capacitor whose value nobody gave: large enough
// that its voltage alone decides.
const unknownFarads = 1e-3

// capacitors lists the stores of a circuit at the upper limit of their value.
func capacitors(c *circuit.Circuit) []cell {
	var out []cell
	for _, p := range c.Parts {
		if p.Kind != circuit.Capacitor && p.Kind != circuit.Electrolytic {
			continue
		}
		farads, ok := p.Amount("value")
		if !ok || farads <= 0 {
			farads = unknownFarads
		}
		farads *= 1 + toleranceOf(p)
		out = append(out, cell{part: p.Ref, a: p.Leads[0].Net, b: p.Leads[1].Net, farads: farads})
	}
	return out
}

// addTimes fills in how long each store needs by itself, in the slowest state
// with the worst single part open.
func addTimes(c *circuit.Circuit, cells []cell, stores []Store) {
	networks := slowNetworks(c, cells)
	for i := range stores {
		seconds, ok := 0.0, true
		safe := SafeVolts(cells[i].farads)
		for _, n := range networks {
			if cells[i].volts <= safe {
				break
			}
			if n == nil {
				ok = false
				break
			}
			t, falls := n.secondsTo(i, safe)
			if !falls {
				ok = false
				break
			}
			seconds = math.Max(seconds, t)
		}
		if ok {
			stores[i].SecondsToSafe = &seconds
		}
	}
}

// slowNetworks are the discharge networks of every state with nothing and with
// every single part open; nil for one that can't be solved.
func slowNetworks(c *circuit.Circuit, cells []cell) []*decay {
	if !slices.ContainsFunc(cells, func(c cell) bool { return c.volts > SafeVolts(c.farads) }) {
		return nil
	}
	var out []*decay
	seen := map[string]bool{}
	for _, s := range statesOf(c) {
		all := paths(c, s)
		key := fmt.Sprint(all)
		if seen[key] {
			continue
		}
		seen[key] = true
		open := []circuit.PartRef{""}
		for _, b := range all {
			if !slices.Contains(open, b.part) {
				open = append(open, b.part)
			}
		}
		for _, ref := range open {
			left := slices.DeleteFunc(slices.Clone(all), func(b branch) bool { return ref != "" && b.part == ref })
			d, ok := newDecay(cells, left)
			if !ok {
				d = nil
			}
			out = append(out, d)
		}
	}
	return out
}

// statesOf are the states of the job, or the one where nothing is said.
func statesOf(c *circuit.Circuit) []circuit.State {
	if len(c.States) == 0 {
		return []circuit.State{{}}
	}
	return c.States
}
