package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// Seat is a joint that a lead may be in.
type Seat struct {
	Joint       int           `json:"joint"` // its number in the copper's list, from 1
	At          geom.Point    `json:"at"`    // foil pixel
	Copper      copper.NetID  `json:"copper"`
	Net         circuit.NetID `json:"net,omitempty"`
	Probability float64       `json:"probability"`
}

// How far off a person points at a lead, one standard deviation of a
// coordinate: a finger's breadth on a screen that shows the whole photo, which
// is 6 pixels of one that is 4000 wide, and never less than 2.
const (
	pointing      = 6.0 / 4000 // of the longer side
	leastPointing = 2.0        // pixels
)

// hand is how far off a person points for a landing, in foil pixels.
func (l Landing) hand(c *copper.Copper) float64 {
	if l.Hand > 0 {
		return l.Hand
	}
	return math.Max(leastPointing, pointing*float64(max(c.Labels.W, c.Labels.H)*c.Labels.Scale))
}

// Beliefs about seats where nothing is seen of the lead itself.
const (
	// unseenJoint weighs that the lead is in none of the joints found, as much
	// as a joint 3.5 standard deviations of pointing away.
	unseenJoint = 0.0022
	// sharedHole and ownHole are how likely a second lead is in a joint, against
	// an empty one: of another part, and of the same part.
	// (common practice: a hole takes one lead)
	sharedHole = 0.05
	ownHole    = 0.01
)

// seating weighs, for every lead, the joints that it may be in.
type seating struct {
	c     *copper.Copper
	leads []Landing
	seats [][]Seat // by lead; what is missing to 1 is that it is in none
}

// seatLeads weighs the joints for every lead. The alignment errs the same for
// all leads of a part, pointing errs for each lead by itself.
func seatLeads(c *copper.Copper, leads []Landing) *seating {
	s := &seating{c: c, leads: leads, seats: make([][]Seat, len(leads))}
	parts := map[circuit.PartRef][]int{}
	for i, l := range leads {
		parts[l.Lead.Part] = append(parts[l.Lead.Part], i)
	}
	for i, l := range leads {
		if of := parts[l.Lead.Part]; of[0] == i {
			s.part(of)
		}
	}
	s.exclude()
	return s
}

// drift is one way that the alignment may be off, in standard deviations of
// its two axes, and how likely it is.
type drift struct{ u, v, weight float64 }

// drifts covers a normal distribution of two axes out to 2.8 standard
// deviations.
func drifts() []drift {
	const steps = 4 // to either side, each 0.7 standard deviations
	var out []drift
	for i := -steps; i <= steps; i++ {
		for j := -steps; j <= steps; j++ {
			u, v := 0.7*float64(i), 0.7*float64(j)
			out = append(out, drift{u, v, math.Exp(-(u*u + v*v) / 2)})
		}
	}
	return out
}

// part weighs the joints for the leads of one part under every drift that the
// alignment may have.
func (s *seating) part(leads []int) {
	cov := s.leads[leads[0]].Cov
	root := sqrtCov(cov)
	grid := drifts()
	if root == ([2][2]float64{}) {
		grid = []drift{{0, 0, 1}}
	}
	hand := s.leads[leads[0]].hand(s.c)
	reach := 4 * (hand + math.Sqrt(math.Max(0, cov[0][0])+math.Max(0, cov[1][1])))
	near := make([][]int, len(leads))
	sums := make([][]float64, len(leads))
	for k, i := range leads {
		for j, joint := range s.c.Joints {
			if joint.Net != nil && s.leads[i].At.Dist(geom.Point{X: joint.X, Y: joint.Y}) <= reach {
				near[k] = append(near[k], j)
			}
		}
		sums[k] = make([]float64, len(near[k]))
	}
	rivals := rivalsOf(near)
	total := 0.0
	for _, d := range grid {
		off := geom.Point{X: root[0][0]*d.u + root[0][1]*d.v, Y: root[1][0]*d.u + root[1][1]*d.v}
		w := d.weight
		share := make([][]float64, len(leads))
		for k, i := range leads {
			var sum float64
			share[k], sum = s.fit(s.leads[i].At.Add(off), near[k], hand)
			w *= sum
		}
		total += w
		crowd(share, rivals)
		for k := range leads {
			for n, v := range share[k] {
				sums[k][n] += w * v
			}
		}
	}
	for k, i := range leads {
		for n, j := range near[k] {
			joint := s.c.Joints[j]
			s.seats[i] = append(s.seats[i], Seat{Joint: j + 1, At: geom.Point{X: joint.X, Y: joint.Y}, Copper: *joint.Net, Probability: sums[k][n] / total})
		}
	}
}

// fit is the share of each joint in a lead at a place, and the likelihood of
// the place.
func (s *seating) fit(at geom.Point, joints []int, hand float64) ([]float64, float64) {
	out, sum := make([]float64, len(joints)), unseenJoint
	for n, j := range joints {
		d := at.Dist(geom.Point{X: s.c.Joints[j].X, Y: s.c.Joints[j].Y}) / hand
		out[n] = math.Exp(-d * d / 2)
		sum += out[n]
	}
	for n := range out {
		out[n] /= sum
	}
	return out, sum
}

// sqrtCov is the symmetric root of a covariance.
func sqrtCov(c [2][2]float64) [2][2]float64 {
	det := math.Sqrt(math.Max(0, c[0][0]*c[1][1]-c[0][1]*c[1][0]))
	t := math.Sqrt(math.Max(0, c[0][0]+c[1][1]+2*det))
	if t == 0 || math.IsNaN(t) || math.IsInf(t, 0) {
		return [2][2]float64{}
	}
	return [2][2]float64{{(c[0][0] + det) / t, c[0][1] / t}, {c[1][0] / t, (c[1][1] + det) / t}}
}

// rival is another lead's share in the same joint.
type rival struct{ lead, n int }

// rivalsOf lists, for every lead and each of its joints, the other leads that
// may be in that joint.
func rivalsOf(near [][]int) [][][]rival {
	out := make([][][]rival, len(near))
	for k, joints := range near {
		out[k] = make([][]rival, len(joints))
		for n, j := range joints {
			for o, others := range near {
				if m := slices.Index(others, j); o != k && m >= 0 {
					out[k][n] = append(out[k][n], rival{o, m})
				}
			}
		}
	}
	return out
}

// crowd lets the leads of one part make way for each other: a joint that one
// is in is unlikely to take a second.
//
// Method: mean field; every lead sees the others' probabilities, not their
// seats.
func crowd(share [][]float64, rivals [][][]rival) {
	if len(share) < 2 {
		return
	}
	alone := make([][]float64, len(share))
	for k := range share {
		alone[k] = slices.Clone(share[k])
	}
	const rounds = 4
	for range rounds {
		for k := range share {
			free := make([]float64, len(share[k]))
			for n := range free {
				free[n] = 1
				for _, r := range rivals[k][n] {
					free[n] *= 1 - share[r.lead][r.n]*(1-ownHole)
				}
			}
			makeWay(share[k], alone[k], free)
		}
	}
}

// makeWay weighs a lead's joints anew by how free each is. What the lead has in
// none of the joints found, it keeps.
func makeWay(share, alone, free []float64) {
	sum := 1.0
	for n, a := range alone {
		share[n] = a * free[n]
		sum += share[n] - a
	}
	for n := range share {
		share[n] /= math.Max(sum, math.SmallestNonzeroFloat64)
	}
}

// vacancy is how likely a joint takes one more lead.
func vacancy(others []occupant, lead int, second float64) float64 {
	p := 1.0
	for _, o := range others {
		if o.lead != lead {
			p *= 1 - o.p*(1-second)
		}
	}
	return p
}

// exclude lets the leads of different parts make way for each other.
func (s *seating) exclude() {
	alone := make([][]float64, len(s.seats)) // without the others
	share := make([][]float64, len(s.seats))
	for i, seats := range s.seats {
		for _, x := range seats {
			alone[i] = append(alone[i], x.Probability)
		}
		share[i] = slices.Clone(alone[i])
	}
	const rounds = 20
	for range rounds {
		taken := map[int][]occupant{}
		for i, seats := range s.seats {
			for n, x := range seats {
				taken[x.Joint] = append(taken[x.Joint], occupant{i, share[i][n]})
			}
		}
		for i, seats := range s.seats {
			free := make([]float64, len(seats))
			for n, x := range seats {
				free[n] = vacancy(s.strangers(taken[x.Joint], i), i, sharedHole)
			}
			makeWay(share[i], alone[i], free)
		}
	}
	for i, seats := range s.seats {
		for n := range seats {
			seats[n].Probability = share[i][n]
		}
	}
}

// strangers are the leads of other parts.
func (s *seating) strangers(all []occupant, lead int) []occupant {
	var out []occupant
	for _, o := range all {
		if s.leads[o.lead].Lead.Part != s.leads[lead].Lead.Part {
			out = append(out, o)
		}
	}
	return out
}

// occupant is a lead that may be in a joint.
type occupant struct {
	lead int
	p    float64
}

// ranked is a lead's seats, the likeliest first, and the probability of each
// net; none is that of no joint found.
func (s *seating) ranked(lead int) (seats []Seat, nets map[copper.NetID]float64, none float64) {
	seats = slices.Clone(s.seats[lead])
	slices.SortStableFunc(seats, func(a, b Seat) int { return cmp.Compare(b.Probability, a.Probability) })
	nets, none = map[copper.NetID]float64{}, 1
	for _, x := range seats {
		nets[x.Copper] += x.Probability
		none -= x.Probability
	}
	return seats, nets, math.Max(0, none)
}
