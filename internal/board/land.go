package board

import (
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Landing is where a lead was placed, carried to the foil photo.
type Landing struct {
	Lead  circuit.LeadRef
	At    geom.Point // foil pixel
	Sigma float64    // how far it may be off, one standard deviation in pixels
}

// Name is a name that a person gave to the copper at a place.
type Name struct {
	Net circuit.NetID
	At  geom.Point // foil pixel
}

// Input is what Land works from.
type Input struct {
	Copper   *copper.Copper
	Landings []Landing
	Names    []Name
	Taken    []circuit.NetID // names in use for nets that have no place here
}

// Placed is a lead on its joint.
type Placed struct {
	Lead       circuit.LeadRef `json:"lead"`
	At         geom.Point      `json:"at"`         // the joint, or the place itself where none is near; foil pixels
	Copper     copper.NetID    `json:"copper"`     // the copper net it is on
	Net        circuit.NetID   `json:"net"`        // that net's name
	Confidence float64         `json:"confidence"` // that it is this net, 0 to 1
}

// Landed is every lead on its net.
type Landed struct {
	Nets     map[circuit.LeadRef]circuit.NetID
	Names    map[copper.NetID]circuit.NetID // of every copper net that a lead or a name is on
	Placed   []Placed
	Problems []circuit.Problem
}

// pointing is how far off a person points at a lead, one standard deviation,
// in pixels: a finger's breadth on a screen that shows a 12-megapixel photo.
const pointing = 6.0

// Land puts every lead on the net of the joint it most likely is in.
func Land(in Input) Landed {
	out := Landed{Nets: map[circuit.LeadRef]circuit.NetID{}}
	for _, l := range in.Landings {
		p, ok := landOne(in.Copper, l)
		if !ok {
			out.Problems = append(out.Problems, circuit.Problem{Part: l.Lead.Part, Warning: true,
				Text: fmt.Sprintf("lead %s of %s lands on no copper at foil pixel %.0f, %.0f; move it onto its joint, or mark the copper there", l.Lead.Lead, l.Lead.Part, l.At.X, l.At.Y)})
			continue
		}
		out.Placed = append(out.Placed, p)
	}
	out.name(in)
	for i, p := range out.Placed {
		out.Placed[i].Net = out.Names[p.Copper]
		out.Nets[p.Lead] = out.Names[p.Copper]
	}
	out.Problems = append(out.Problems, shared(out.Placed)...)
	return out
}

// landOne weighs the joints near the place: each by how likely a pointing that
// far off is. Where there is none, the copper at the place itself is taken.
func landOne(c *copper.Copper, l Landing) (Placed, bool) {
	sigma := math.Hypot(pointing, l.Sigma)
	weight := map[copper.NetID]float64{}
	best, bestW, sum := copper.Joint{}, 0.0, 0.0
	for _, j := range c.Joints {
		d := geom.Point{X: j.X, Y: j.Y}.Dist(l.At) / sigma
		if j.Net == nil || d > 4 {
			continue
		}
		w := math.Exp(-d * d / 2)
		weight[*j.Net] += w
		sum += w
		if w > bestW {
			best, bestW = j, w
		}
	}
	if bestW > 0 {
		return Placed{Lead: l.Lead, At: geom.Point{X: best.X, Y: best.Y}, Copper: *best.Net, Confidence: weight[*best.Net] / sum}, true
	}
	a := c.At(l.At)
	if a.Net == nil {
		return Placed{}, false
	}
	return Placed{Lead: l.Lead, At: l.At, Copper: *a.Net, Confidence: a.Confidence}, true
}

// name gives every copper net that matters its name.
func (out *Landed) name(in Input) {
	out.Names = map[copper.NetID]circuit.NetID{}
	taken := map[circuit.NetID]bool{}
	for _, n := range in.Taken {
		taken[n] = true
	}
	for _, n := range in.Names {
		a := in.Copper.At(n.At)
		if a.Net == nil {
			out.Problems = append(out.Problems, circuit.Problem{Net: n.Net, Warning: true,
				Text: fmt.Sprintf("the name %s stands on no copper at foil pixel %.0f, %.0f; put it onto the net it names", n.Net, n.At.X, n.At.Y)})
			continue
		}
		taken[n.Net] = true
		if other, ok := out.Names[*a.Net]; ok && other != n.Net {
			out.Problems = append(out.Problems, circuit.Problem{Net: n.Net, Warning: true,
				Text: fmt.Sprintf("%s and %s name the same copper; if they are two nets, a cut is missing between them", other, n.Net)})
			continue
		}
		out.Names[*a.Net] = n.Net
	}
	var used []copper.NetID
	for _, p := range out.Placed {
		used = append(used, p.Copper)
	}
	slices.Sort(used)
	next := 1
	for _, id := range slices.Compact(used) {
		if _, ok := out.Names[id]; ok {
			continue
		}
		for taken[numbered(next)] {
			next++
		}
		out.Names[id] = numbered(next)
		next++
	}
}

func numbered(n int) circuit.NetID { return circuit.NetID(fmt.Sprintf("N%d", n)) }

// shared warns of two leads in one joint: a part stands in two holes, and most
// joints hold one lead.
func shared(all []Placed) []circuit.Problem {
	var out []circuit.Problem
	for i, a := range all {
		for _, b := range all[:i] {
			if a.At != b.At {
				continue
			}
			text := fmt.Sprintf("%s.%s and %s.%s are placed on the same joint", b.Lead.Part, b.Lead.Lead, a.Lead.Part, a.Lead.Lead)
			if a.Lead.Part == b.Lead.Part {
				text += "; a part does not stand with two leads in one hole"
			}
			out = append(out, circuit.Problem{Part: a.Lead.Part, Net: a.Net, Warning: true, Text: text})
		}
	}
	return out
}
