package board

import (
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Expectation is what a continuity check should show.
type Expectation string

// The two expectations.
const (
	Joined   Expectation = "joined"
	Separate Expectation = "separate"
)

// Check is one continuity check: a lead on either place.
type Check struct {
	Red     string      `json:"red"`   // the lead there, R1.2, or the net's name
	Black   string      `json:"black"` //
	RedAt   geom.Point  `json:"red_at"`
	BlackAt geom.Point  `json:"black_at"`
	Expect  Expectation `json:"expect"`
	Why     string      `json:"why"`
	Caution string      `json:"caution,omitempty"` // what may mislead here
	// Probability that the photograph gives to the two being joined.
	Probability float64 `json:"probability_joined"`
}

// BuzzInput is what Buzz works from.
type BuzzInput struct {
	Copper  *copper.Copper
	Landed  Landed
	Circuit *circuit.Circuit // to know what beeps through a part; may be nil
	Done    []Done           // checks that were taken already
}

// Done is a check that was taken, by its two places.
type Done struct{ A, B geom.Point }

// Buzz lists the continuity checks that confirm the nets: the doubtful places
// first, then every gap between neighbours, narrowest first. Places far from
// each other are never asked about: copper and dirt join neighbours only.
func Buzz(in BuzzInput) []Check {
	p := planner{in: in, asked: map[[2]copper.NetID]bool{}}
	out := []Check{}
	for _, d := range in.Copper.Doubtful {
		out = p.add(out, p.doubtful(d))
	}
	// Half a hand's breadth on the largest photos; wider gaps have no bridges.
	widest := 0.06 * math.Hypot(float64(in.Copper.Labels.W), float64(in.Copper.Labels.H)) * float64(in.Copper.Labels.Scale)
	for _, g := range Gaps(in.Copper.Labels, widest) {
		if c, ok := p.neighbours(g); ok {
			out = p.add(out, c)
		}
	}
	return out
}

type planner struct {
	in    BuzzInput
	asked map[[2]copper.NetID]bool
}

// add appends a check that was not taken yet.
func (p *planner) add(out []Check, c Check) []Check {
	for _, d := range p.in.Done {
		const same = 8 // pixels: the same place pointed at again
		if d.A.Dist(c.RedAt) < same && d.B.Dist(c.BlackAt) < same || d.A.Dist(c.BlackAt) < same && d.B.Dist(c.RedAt) < same {
			return out
		}
	}
	return append(out, c)
}

func (p *planner) doubtful(d copper.Doubt) Check {
	c := Check{RedAt: d.Between[0], BlackAt: d.Between[1], Probability: d.ProbabilityJoined, Expect: Separate}
	if d.ProbabilityJoined > 0.5 {
		c.Expect = Joined
	}
	c.Why = fmt.Sprintf("the photograph leaves it open at %.0f, %.0f: joined with probability %.2f", d.X, d.Y, d.ProbabilityJoined)
	p.asked[ordered(d.Nets)] = d.Nets[0] != d.Nets[1]
	return p.named(c, d.Nets)
}

// neighbours asks about a gap between two nets that each have a joint.
func (p *planner) neighbours(g Gap) (Check, bool) {
	if p.asked[g.Nets] {
		return Check{}, false
	}
	a, okA := p.nearestJoint(g.Nets[0], g.At)
	b, okB := p.nearestJoint(g.Nets[1], g.At)
	if !okA || !okB {
		return Check{}, false
	}
	p.asked[g.Nets] = true
	c := Check{RedAt: a, BlackAt: b, Expect: Separate,
		Why: fmt.Sprintf("they run %.0f pixels apart at %.0f, %.0f: solder or dirt may join them", g.Width, g.At.X, g.At.Y)}
	return p.named(c, g.Nets), true
}

func ordered(n [2]copper.NetID) [2]copper.NetID {
	return [2]copper.NetID{min(n[0], n[1]), max(n[0], n[1])}
}

func (p *planner) nearestJoint(id copper.NetID, to geom.Point) (geom.Point, bool) {
	best, d := geom.Point{}, math.Inf(1)
	for _, j := range p.in.Copper.Joints {
		at := geom.Point{X: j.X, Y: j.Y}
		if j.Net != nil && *j.Net == id && at.Dist(to) < d {
			best, d = at, at.Dist(to)
		}
	}
	return best, !math.IsInf(d, 1)
}

// named says which leads the probes touch, and what may beep through a part.
func (p *planner) named(c Check, nets [2]copper.NetID) Check {
	c.Red, c.Black = p.word(c.RedAt, nets[0]), p.word(c.BlackAt, nets[1])
	a, b := p.in.Landed.Names[nets[0]], p.in.Landed.Names[nets[1]]
	if p.in.Circuit != nil && a != "" && b != "" && a != b {
		c.Caution = beepsThrough(p.in.Circuit, a, b)
	}
	return c
}

func (p *planner) word(at geom.Point, id copper.NetID) string {
	const touching = 12 // pixels
	for _, l := range p.in.Landed.Placed {
		if l.At.Dist(at) < touching {
			return string(l.Lead.Part) + "." + string(l.Lead.Lead)
		}
	}
	if n, ok := p.in.Landed.Names[id]; ok {
		return string(n)
	}
	return fmt.Sprintf("the copper at %.0f, %.0f", at.X, at.Y)
}

// beepBelow is what the default meter calls joined.
const beepBelow = 50.0

// beepsThrough names a part between two nets that a continuity function takes
// for a joint.
func beepsThrough(c *circuit.Circuit, a, b circuit.NetID) string {
	for _, part := range c.Parts {
		for _, way := range lowWays(part) {
			x, y := part.Net(way.from), part.Net(way.to)
			if x == a && y == b || x == b && y == a {
				return fmt.Sprintf("it will beep through %s of %s: lift one of its leads, or use ohms and expect %s", way.what, part.Ref, way.reads)
			}
		}
	}
	return ""
}

// lowWay is a path through a part of less than about fifty ohms.
type lowWay struct {
	from, to    circuit.LeadName
	what, reads string
}

func lowWays(p circuit.Part) []lowWay {
	info, _ := circuit.Lookup(p.Kind)
	low := func(name, what string) []lowWay {
		ohms, ok := p.Amount(name)
		if !ok {
			ohms, ok = info.Default(name)
		}
		if !ok || ohms >= beepBelow {
			return nil
		}
		return []lowWay{{p.Leads[0].Name, p.Leads[1].Name, what, fmt.Sprintf("some %.3g Ω", ohms)}}
	}
	switch p.Kind {
	case circuit.Resistor:
		return low("value", "the resistance")
	case circuit.Inductor:
		return low("resistance", "the winding")
	case circuit.Speaker, circuit.Motor, circuit.Buzzer, circuit.Heater:
		return low("resistance", "the winding")
	case circuit.Fuse, circuit.Lamp:
		return []lowWay{{p.Leads[0].Name, p.Leads[1].Name, "the filament", "a few ohms"}}
	case circuit.Switch:
		return []lowWay{{p.Leads[0].Name, p.Leads[1].Name, "the contact, if it is closed,", "under an ohm"}}
	case circuit.Transformer:
		return windingWays(p)
	}
	return nil
}

func windingWays(p circuit.Part) []lowWay {
	var out []lowWay
	for _, w := range p.Windings {
		if w.Resistance == nil || *w.Resistance < beepBelow {
			reads := "its winding resistance"
			if w.Resistance != nil {
				reads = fmt.Sprintf("some %.3g Ω", *w.Resistance)
			}
			out = append(out, lowWay{w.First(), w.Second(), "the winding " + w.Name, reads})
		}
	}
	return slices.Clip(out)
}
