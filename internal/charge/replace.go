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
	Volts    float64 `json:"voltage,omitempty"`
	Amps     float64 `json:"current,omitempty"`
	Watts    float64 `json:"power,omitempty"`
	Surge    float64 `json:"surge,omitempty"` // A for a moment
	Derating string  `json:"derating"`        // what the load was raised by, and on whose word
	Text     string  `json:"text"`
}

// Option is one thing that may be fitted instead.
type Option struct {
	Text   string    `json:"text"`
	Type   string    `json:"type,omitempty"`   // a type number
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
	Reform   *Reform         `json:"reform,omitempty"` // of an electrolytic that has lain for years
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
	fuseShare        = 0.75
	shortOverload    = 6.25  // times the power for 5 s: 2.5 times the continuous voltage (G54)
	surgeTimes       = 10.0  // times its current that a rectifier surely stands for a moment; common practice
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
	if r.Stress, err = stressOf(ctx, m, p, opt.Shelf); err != nil {
		return Replacement{}, fmt.Errorf("replacing %s: %w", ref, err)
	}
	r.Required = required(p, r.Stress)
	if r.Options, err = options(ctx, m, p, r.Required); err != nil {
		return Replacement{}, fmt.Errorf("replacing %s: %w", ref, err)
	}
	r.Notes = append(r.Notes, notes(p, r.Stress)...)
	r.Reform = reformOf(p)
	return r, nil
}

func required(p circuit.Part, s Stress) Required {
	var r Required
	l := s.Load
	peak := math.Max(l.Volts, l.Pulse.Volts)
	switch p.Kind {
	case circuit.Resistor, circuit.Potentiometer, circuit.Thermistor, circuit.Photocell:
		r.Watts = math.Max(l.Watts/resistorPower, l.Pulse.Watts/shortOverload)
		if peak > everyResistor {
			r.Volts = peak
		}
		r.Derating = "half its rated power (common practice); for a moment 6.25 times it (makers' 5 s overload of 2.5 times the voltage)"
	case circuit.Capacitor, circuit.Electrolytic:
		r.Volts = peak / capacitorVolts
		if s.Swings {
			r.Amps = l.Amps // its ripple current
		}
		r.Derating = "80 % of its rated voltage at the peak (common practice)"
	case circuit.Diode, circuit.LED, circuit.Bridge:
		r.Volts, r.Amps = peak/junctionVolts, math.Max(l.Amps/currentShare, l.Pulse.Amps/surgeTimes)
		r.Surge = l.Pulse.Amps
		r.Derating = "half its rated reverse voltage, 70 % of its current (common practice)"
	case circuit.Zener:
		r.Watts, r.Surge = l.Watts/transistorPower, l.Pulse.Amps
		r.Derating = "half its rated power (common practice)"
	case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.SCR, circuit.Triac:
		r.Volts, r.Amps, r.Watts = peak/transistorVolts, math.Max(l.Amps, l.Pulse.Amps)/currentShare, l.Watts/transistorPower
		r.Derating = "70 % of its rated voltage and current, half its power (common practice)"
	case circuit.Fuse:
		r.Amps = l.Amps / fuseShare
		r.Derating = "75 % of its rated current (common practice)"
	case circuit.Battery, circuit.Supply, circuit.Signal:
	default:
		r.Volts, r.Amps = l.Volts/capacitorVolts, l.Amps/currentShare
		r.Derating = "80 % of its rated voltage, 70 % of its current (common practice)"
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
			text += fmt.Sprintf("%s %s", quantity.Format(v, u, 3), what)
		}
	}
	add(r.Volts, quantity.Volt, "rated voltage")
	add(r.Amps, quantity.Ampere, "rated current")
	add(r.Watts, quantity.Watt, "rated power")
	add(r.Surge, quantity.Ampere, "for a moment")
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
		out := append(capacitorOptions(p, value, r), capacitorPairs(p, value, r)...)
		return out, ranked(ctx, m, p, value, out)
	case p.Kind == circuit.Inductor && ok && value > 0:
		return []Option{{Value: value, Text: inductorText(p, value, r)}}, nil
	}
	return append([]Option{{Type: p.Type, Text: classText(p, r)}}, substitutes(p, r)...), nil
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
		if share < 1-toleranceOf(p) || share > most || math.Abs(share-1) < 1e-6 && len(out) > 0 {
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

func notes(p circuit.Part, s Stress) []string {
	var out []string
	switch p.Kind {
	case circuit.Electrolytic:
		out = []string{"Mind the polarity.",
			fmt.Sprintf("A rating of up to %.0f times the voltage needed is fine.", electrolyticMost),
			"One that has lain for years is reformed first, by the steps, or replaced."}
	case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.SCR, circuit.Triac:
		out = []string{"Leads of other types stand in another order: look them up before soldering.",
			"Ratings of the parts shelf are from memory: hold them against the maker's data sheet."}
	case circuit.Diode, circuit.Zener, circuit.Bridge:
		out = []string{"Ratings of the parts shelf are from memory: hold them against the maker's data sheet.",
			"In a converter or at high frequency a slow rectifier does not serve for a fast one, whatever its ratings."}
	case circuit.Resistor:
		out = []string{"A resistor that burned was overloaded: find by what before you fit a new one."}
	case circuit.Fuse:
		out = []string{"Never fit a larger fuse or another characteristic than was marked: find what blew it."}
	}
	if w := s.RatedWatts; w != nil && p.Kind == circuit.Resistor && s.Pulse.Watts > shortOverload**w {
		out = append(out, fmt.Sprintf("%s, %s stand on it for a moment: take a type that is made for pulses (wirewound, carbon composition).", s.Pulse.When, quantity.Format(s.Pulse.Watts, quantity.Watt, 2)))
	}
	if s.Swings {
		out = append(out, "The unit swings: loads are those of its settled cycle.")
	}
	return out
}
