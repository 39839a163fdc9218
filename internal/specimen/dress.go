package specimen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"foilside/internal/quantity"
)

// leadOrder is the order in which a kind's leads stand in its footprint.
func leadOrder(c CircuitPart) []string {
	switch c.Kind {
	case "potentiometer":
		return []string{"1", "w", "2"}
	case "electrolytic", "battery", "supply", "signal":
		return []string{"+", "-"}
	case "diode", "led", "zener":
		return []string{"a", "k"}
	case "bridge":
		return []string{"ac1", "ac2", "+", "-"}
	case "npn", "pnp":
		return []string{"e", "b", "c"}
	case "changeover":
		return []string{"nc", "c", "no"}
	case "transformer", "connector", "test-point":
		var names []string
		for n := range c.Leads {
			names = append(names, n)
		}
		slices.Sort(names)
		return names
	default:
		return []string{"1", "2"}
	}
}

// dress gives a circuit's part a body as the trade would fit, with its leads
// in footprint order and not yet placed.
func dress(c CircuitPart, r *rand.Rand) (Part, error) {
	p := Part{Ref: c.Ref}
	for _, n := range leadOrder(c) {
		net, ok := c.Leads[n]
		if !ok {
			return p, fmt.Errorf("part %s: lead %s is missing", c.Ref, n)
		}
		p.Leads = append(p.Leads, Lead{Name: n, Net: net})
	}
	if len(c.Leads) != len(p.Leads) {
		return p, fmt.Errorf("part %s: a %s has leads %s", c.Ref, c.Kind, strings.Join(leadOrder(c), " "))
	}
	if err := p.clothe(c, r); err != nil {
		return p, err
	}
	if b := c.Params["body"]; b != "" {
		p.Body = Body(b)
	}
	return p, nil
}

func (p *Part) clothe(c CircuitPart, r *rand.Rand) error {
	switch c.Kind {
	case "resistor", "thermistor", "photocell":
		return p.clotheResistor(c, r)
	case "capacitor":
		return p.clotheCapacitor(c, r)
	case "electrolytic":
		return p.clotheElectrolytic(c, r)
	case "npn", "pnp":
		p.Body = TO92Body
		if strings.HasPrefix(c.Params["type"], "BC10") || c.Params["material"] == "germanium" {
			p.Body = MetalCanBody
		}
		p.Text = c.Params["type"]
	case "diode", "zener":
		p.Body = GlassDiodeBody
		if strings.HasPrefix(c.Params["type"], "1N400") {
			p.Body = RectifierBody
		}
	default:
		body, ok := plainBodies()[c.Kind]
		if !ok {
			return fmt.Errorf("part %s: no body is drawn for the kind %q", c.Ref, c.Kind)
		}
		p.Body = body
	}
	return nil
}

// plainBodies are the kinds that come in one body only.
func plainBodies() map[string]Body {
	return map[string]Body{
		"potentiometer": TrimmerBody, "inductor": ChokeBody, "transformer": TransformerBody,
		"led": LEDBody, "bridge": BridgeBody, "switch": SwitchBody, "changeover": SwitchBody,
		"fuse": FuseBody, "lamp": NeonBody, "neon": NeonBody,
		"battery": WiresBody, "supply": WiresBody, "signal": WiresBody, "connector": WiresBody,
		"speaker": WiresBody, "earphone": WiresBody, "meter-movement": WiresBody, "test-point": PinBody,
	}
}

func (p *Part) clotheResistor(c CircuitPart, r *rand.Rand) error {
	v, err := quantity.Parse(c.Params["value"], quantity.Ohm)
	if err != nil {
		return fmt.Errorf("part %s: value: %w", c.Ref, err)
	}
	tol := 0.05
	if t := c.Params["tolerance"]; t != "" {
		if tol, err = quantity.Parse(t, quantity.Percent); err != nil {
			return fmt.Errorf("part %s: tolerance: %w", c.Ref, err)
		}
	}
	p.Body, p.Size = AxialBody, 2.4
	if w, err := quantity.Parse(c.Params["power"], quantity.Watt); err == nil && w > 0.3 {
		p.Size = math.Min(5, 3+0.8*w)
	}
	p.Bands, err = BandColours(v, tol)
	if err != nil {
		return fmt.Errorf("part %s: %w", c.Ref, err)
	}
	p.Colour = oneOf(r, "beige", "beige", "beige", "ochre")
	if tol < 0.045 {
		p.Colour = "sky"
	}
	return nil
}

func (p *Part) clotheCapacitor(c CircuitPart, r *rand.Rand) error {
	v, err := quantity.Parse(c.Params["value"], quantity.Farad)
	if err != nil {
		return fmt.Errorf("part %s: value: %w", c.Ref, err)
	}
	u, err := quantity.Parse(c.Params["voltage"], quantity.Volt)
	if err != nil {
		u = 63
	}
	p.Text = strings.ReplaceAll(c.Params["value"], " ", "")
	if v < 20e-9 && u < 200 {
		p.Body, p.Size = DiscBody, 5+2*math.Min(1, v/1e-8)
		p.Colour = oneOf(r, "ochre", "ochre", "sky", "green")
		return nil
	}
	p.Body = FilmBody
	p.Size = math.Round(math.Max(7, math.Min(26, 6+6*math.Pow(v/220e-9, 0.4)+u/90)))
	p.Colour = oneOf(r, "maroon", "yellow", "blue", "orange")
	return nil
}

func (p *Part) clotheElectrolytic(c CircuitPart, r *rand.Rand) error {
	v, err := quantity.Parse(c.Params["value"], quantity.Farad)
	if err != nil {
		return fmt.Errorf("part %s: value: %w", c.Ref, err)
	}
	u, err := quantity.Parse(c.Params["voltage"], quantity.Volt)
	if err != nil {
		u = 25
	}
	// The can's volume grows with the energy that it can hold.
	energy := v * u * u / 2
	p.Body, p.Size = CanBody, math.Round(2*math.Max(5, math.Min(22, 4+12.5*math.Cbrt(energy))))/2
	p.Colour = oneOf(r, "blue", "black", "maroon", "blue")
	p.Text = strings.ReplaceAll(c.Params["value"], " ", "")
	return nil
}
