package charge

import (
	"context"
	"fmt"
	"math"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/sim"
)

// Required is what a replacement must stand. A zero field asks for nothing.
type Required struct {
	Volts float64 `json:"voltage,omitempty"`
	Amps  float64 `json:"current,omitempty"`
	Watts float64 `json:"power,omitempty"`
	Text  string  `json:"text"`
}

// Option is one thing that may be fitted instead.
type Option struct {
	Text   string    `json:"text"`
	Value  float64   `json:"value,omitempty"`  // of the whole, in the part's unit
	Values []float64 `json:"values,omitempty"` // of its parts, in series or parallel
	Joined string    `json:"joined,omitempty"` // "series" or "parallel"
	Effect float64   `json:"effect"`           // largest change of a reading, as a share of what tolerances allow
}

// Replacement is what may be fitted in place of a part.
type Replacement struct {
	Part     circuit.PartRef `json:"part"`
	Stress   Stress          `json:"stress"`
	Required Required        `json:"required"`
	Options  []Option        `json:"options"`
	Notes    []string        `json:"notes"`
}

// Derating is how far below its rating a part should be worked.
//
// Source: usual derating, common practice.
const (
	resistorPower    = 0.5
	capacitorVolts   = 0.8
	junctionVolts    = 0.5
	transistorVolts  = 0.7
	transistorPower  = 0.5
	currentShare     = 0.7
	everyResistor    = 100.0 // volts that any leaded resistor stands (G48–G50)
	electrolyticMost = 3.0   // times the rating needed, above which an oxide layer is never formed
)

// Replace says how a part is worked and what may be fitted instead.
//
// Errors: no such part; a circuit that can't be simulated, with the reason.
func Replace(ctx context.Context, c *circuit.Circuit, ref circuit.PartRef, opt Options) (Replacement, error) {
	p, ok := c.Part(ref)
	if !ok {
		return Replacement{}, fmt.Errorf("there is no part %s in the circuit", ref)
	}
	m, err := sim.Compile(c, sim.Options{Shelf: opt.Shelf})
	if err != nil {
		return Replacement{}, fmt.Errorf("replacing %s: %w", ref, err)
	}
	r := Replacement{Part: ref, Options: []Option{}, Notes: []string{}}
	if r.Stress, err = stressOf(ctx, m, p); err != nil {
		return Replacement{}, fmt.Errorf("replacing %s: %w", ref, err)
	}
	r.Required = required(p, r.Stress.Load)
	if r.Options, err = options(ctx, m, p, r.Required); err != nil {
		return Replacement{}, fmt.Errorf("replacing %s: %w", ref, err)
	}
	r.Notes = append(r.Notes, notes(p)...)
	return r, nil
}

func required(p circuit.Part, l Load) Required {
	var r Required
	switch p.Kind {
	case circuit.Resistor, circuit.Potentiometer, circuit.Thermistor, circuit.Photocell:
		r.Watts = l.Watts / resistorPower
		if l.Volts > everyResistor {
			r.Volts = l.Volts
		}
	case circuit.Capacitor, circuit.Electrolytic:
		r.Volts = l.Volts / capacitorVolts
	case circuit.Diode, circuit.LED, circuit.Bridge:
		r.Volts, r.Amps = l.Volts/junctionVolts, l.Amps/currentShare
	case circuit.Zener:
		r.Watts = l.Watts / transistorPower
	case circuit.NPN, circuit.PNP:
		r.Volts, r.Amps, r.Watts = l.Volts/transistorVolts, l.Amps/currentShare, l.Watts/transistorPower
	case circuit.Battery, circuit.Supply, circuit.Signal:
	default:
		r.Volts, r.Amps = l.Volts/capacitorVolts, l.Amps/currentShare
	}
	r.Text = r.words()
	return r
}

func (r Required) words() string {
	text := ""
	add := func(v float64, u quantity.Unit, what string) {
		if v > 0 {
			if text != "" {
				text += ", "
			}
			text += fmt.Sprintf("%s %s", quantity.Format(v, u, 2), what)
		}
	}
	add(r.Volts, quantity.Volt, "rated voltage")
	add(r.Amps, quantity.Ampere, "rated current")
	add(r.Watts, quantity.Watt, "rated power")
	if text == "" {
		return "Nothing beyond what is marked on it."
	}
	return "At least " + text + ", at usual derating."
}

// options lists what may be fitted, the least change of the readings first.
func options(ctx context.Context, m *sim.Model, p circuit.Part, r Required) ([]Option, error) {
	value, ok := p.Amount("value")
	switch {
	case p.Kind == circuit.Resistor && ok && value > 0:
		return resistorOptions(ctx, m, p, value, r)
	case (p.Kind == circuit.Capacitor || p.Kind == circuit.Electrolytic) && ok && value > 0:
		return capacitorOptions(p, value, r), nil
	}
	return []Option{{Text: classText(p, r)}}, nil
}

// classText says by class what serves in place of a part with a type number.
func classText(p circuit.Part, r Required) string {
	info, _ := circuit.Lookup(p.Kind)
	text := "any " + info.Noun
	if w := p.Words["material"]; w != "" {
		text = "any " + w + " " + info.Noun
	}
	if p.Type != "" {
		text = p.Type + ", or " + text
	}
	if v, ok := p.Amount("zener voltage"); ok {
		text += fmt.Sprintf(" of %s", quantity.Format(v, quantity.Volt, 3))
	}
	if g, ok := p.Amount("gain"); ok {
		text += fmt.Sprintf(" with a gain of %.0f or more", g/2)
	}
	return text + ". " + r.Text
}

// standardVolts are the usual voltage ratings of capacitors. Common practice.
func standardVolts() []float64 {
	return []float64{6.3, 10, 16, 25, 35, 50, 63, 100, 160, 250, 400, 450, 630, 1000, 1600, 2000, 3150}
}

// capacitorOptions: the same value or, where it only has to be large enough,
// the next ones of E6 up to twice as much.
func capacitorOptions(p circuit.Part, value float64, r Required) []Option {
	rated := ratingAbove(math.Max(r.Volts, 0))
	if v, ok := p.Amount("voltage"); ok {
		rated = math.Max(rated, v)
	}
	out := []Option{}
	near, err := quantity.E6.Near(value, 8)
	if err != nil {
		return out
	}
	most := 1 + toleranceOf(p)
	if p.Kind == circuit.Electrolytic {
		most = 2.2
	}
	for _, v := range append([]float64{value}, near...) {
		share := v / value
		if share < 1-toleranceOf(p) || share > most || share == 1 && len(out) > 0 {
			continue
		}
		out = append(out, Option{Value: v, Text: fmt.Sprintf("%s, %s", quantity.Format(v, quantity.Farad, 3), quantity.Format(rated, quantity.Volt, 3))})
	}
	return out
}

func ratingAbove(volts float64) float64 {
	for _, v := range standardVolts() {
		if v >= volts {
			return v
		}
	}
	return math.Ceil(volts/1000) * 1000
}

func notes(p circuit.Part) []string {
	switch p.Kind {
	case circuit.Electrolytic:
		return []string{"Mind the polarity.",
			fmt.Sprintf("A rating of up to %.0f times the voltage needed is fine.", electrolyticMost),
			"One that has lain for years: bring it up to its voltage through 10 kΩ over half an hour before you trust it."}
	case circuit.NPN, circuit.PNP:
		return []string{"Leads of other types stand in another order: look them up before soldering."}
	case circuit.Resistor:
		return []string{"A resistor that burned was overloaded: find by what before you fit a new one."}
	}
	return nil
}
