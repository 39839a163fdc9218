package board

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Landing is where a lead was placed, carried to the foil photo.
type Landing struct {
	Lead circuit.LeadRef
	At   geom.Point    // foil pixel
	Cov  [2][2]float64 // of the alignment there, foil pixels²; zero: exact
	// Hand is how far off the person points, one standard deviation of a
	// coordinate in foil pixels; 0: as usual on a photo of that size.
	Hand float64
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
	Nets   map[circuit.LeadRef]circuit.NetID
	Names  map[copper.NetID]circuit.NetID // of every copper net that a lead or a name is on
	Placed []Placed
	// Questions are the leads that may be in one of several joints; each is
	// among the problems too.
	Questions []Question
	Problems  []circuit.Problem
}

// Question is a lead that may be in one of several joints on different nets.
type Question struct {
	Lead  circuit.LeadRef `json:"lead"`
	Seats []Seat          `json:"seats"` // the likeliest first
}

// Land puts every lead on the net of the joint it most likely is in, and asks
// where that is no matter of course.
func Land(in Input) Landed {
	out := Landed{Nets: map[circuit.LeadRef]circuit.NetID{}}
	s := seatLeads(in.Copper, in.Landings)
	for i, l := range in.Landings {
		p, ok := out.land(s, i)
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
	for _, q := range out.Questions {
		for i := range q.Seats {
			q.Seats[i].Net = out.Names[q.Seats[i].Copper]
		}
		out.Problems = append(out.Problems, circuit.Problem{Part: q.Lead.Part, Warning: true, Text: q.Text()})
	}
	out.Problems = append(out.Problems, shared(out.Placed)...)
	return out
}

// Limits of a question.
const (
	sureSeat    = 0.95 // a lead is on its net as good as surely
	seatCounts  = 0.03 // a joint that is worth naming
	seatsNoMore = 3    // joints that a question names
)

// land weighs the joints near a lead's place. Where it is in none of them, the
// copper at the place itself is taken.
func (out *Landed) land(s *seating, i int) (Placed, bool) {
	l := s.leads[i]
	seats, nets, none := s.ranked(i)
	if len(seats) == 0 || none > seats[0].Probability {
		a := s.c.At(l.At)
		if a.Net == nil {
			return Placed{}, false
		}
		return Placed{Lead: l.Lead, At: l.At, Copper: *a.Net, Confidence: a.Confidence}, true
	}
	best := seats[0]
	for _, x := range seats {
		if nets[x.Copper] > nets[best.Copper] {
			best = x // two joints of one net outweigh one of another
		}
	}
	if p := nets[best.Copper]; p < sureSeat*(1-none) {
		q := Question{Lead: l.Lead}
		for _, x := range seats {
			if len(q.Seats) < seatsNoMore && x.Probability >= seatCounts {
				q.Seats = append(q.Seats, x)
			}
		}
		out.Questions = append(out.Questions, q)
	}
	return Placed{Lead: l.Lead, At: best.At, Copper: best.Copper, Confidence: math.Min(1, nets[best.Copper])}, true
}

// Text is the question in words.
func (q Question) Text() string {
	var names []string
	for _, x := range q.Seats {
		names = append(names, fmt.Sprintf("joint %d at foil pixel %.0f, %.0f (%.0f %%)", x.Joint, x.At.X, x.At.Y, 100*x.Probability))
	}
	return fmt.Sprintf("lead %s of %s could be in %s, which are on different nets; point at its joint on the foil side",
		q.Lead.Lead, q.Lead.Part, strings.Join(names, " or "))
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
