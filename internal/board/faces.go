package board

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Holes says how the holes of a board with copper on both faces are made.
type Holes string

// The kinds of holes.
const (
	PlainHoles  Holes = "plain"  // drilled: leads and wires soldered on both faces join them
	PlatedHoles Holes = "plated" // every hole joins both faces
)

// FacesInput is what JoinFaces works from. The component side's copper is
// traced from the component photo and lives in its pixels.
type FacesInput struct {
	Foil, Upper *copper.Copper
	// ToUpper maps a foil pixel to the component pixel of the same place. A
	// point that is not finite says that there is none.
	ToUpper func(foil geom.Point) geom.Point
	// Sigma is how far ToUpper may be off at a foil pixel: one standard
	// deviation of a coordinate, component pixels. nil: exact.
	Sigma func(foil geom.Point) float64
	Holes Holes
	// Soldered is the probability that a joint is soldered on a face, given its
	// pixel there. nil: not looked. Only plain holes hang on it.
	Soldered func(upper bool, at geom.Point) float64
	// Front is where parts and wires hide the board on the component photo, in
	// the working pixels of Upper.Labels; nil: nowhere. Copper that goes under a
	// part is followed there as far as it can be told.
	Front *raster.Mask
	// Told are answers of a person or a meter; they outweigh what is seen.
	Told []Told
}

// Told says that the two faces are joined at a place, or that they are not.
type Told struct {
	At     geom.Point // foil pixel
	Joined bool
}

// Bond is a joint at which copper of the two faces meets.
type Bond struct {
	X         float64      `json:"x"` // foil pixel
	Y         float64      `json:"y"`
	Component [2]float64   `json:"component"` // the same place on the component photo
	Foil      copper.NetID `json:"foil"`      // copper of the foil side
	Upper     copper.NetID `json:"upper"`     // copper of the component side
	// ProbabilityJoined counts both whether this copper stands here and whether
	// the hole, the lead or the wire joins it.
	ProbabilityJoined float64 `json:"probability_joined"`
}

// FaceNet is one conductor over both faces.
type FaceNet struct {
	ID     int            `json:"id"` // from 1, in the order of its first copper
	Foil   []copper.NetID `json:"foil"`
	Upper  []copper.NetID `json:"upper"`
	Joints int            `json:"joints"` // of the foil side
}

// FacesJoined is one net list over both faces.
type FacesJoined struct {
	Holes Holes     `json:"holes"`
	Nets  []FaceNet `json:"nets"`
	Bonds []Bond    `json:"bonds"` // every joint where copper of both faces meets
	// Doubtful are the bonds worth a continuity check between the two faces:
	// those that decide whether nets are joined, the least sure first.
	Doubtful []Bond `json:"doubtful"`
	// Hidden are the stretches under parts that may join pieces of the component
	// side's copper, the least sure first.
	Hidden []HiddenJoin `json:"hidden"`

	ofFoil, ofUpper map[copper.NetID]int
	piece           map[copper.NetID]int // of the component side: what hidden stretches join
}

// OfFoil is the net over both faces of a foil-side net, 0 for one unknown.
func (j *FacesJoined) OfFoil(id copper.NetID) int { return j.ofFoil[id] }

// OfUpper is the net over both faces of a component-side net.
func (j *FacesJoined) OfUpper(id copper.NetID) int { return j.ofUpper[id] }

// How likely a hole joins the copper that stands around it on both faces,
// where nothing else is known.
const (
	platedJoins = 0.995 // a plated wall may be broken (common practice: rare)
	// plainJoins: who put a track to a pad of the component side soldered it
	// there, or the unit never worked; a joint may have been missed or undone.
	plainJoins  = 0.93
	sureEnough  = 0.97 // bonds less sure than this, and more than 1 minus this, are doubtful
	toldWeight  = 0.99 // of an answer
	toldWithin  = 2.0  // pad radii between an answer and its joint
	leastPad    = 3    // working pixels: radius of a pad too small to measure
	greatestPad = 24   // working pixels
)

// JoinFaces joins the coppers of the two faces into one net list.
//
// At every joint of the foil side it looks which copper of the component side
// stands at the same place, and weighs the looks over where the alignment may
// be off. Copper that meets at a joint is joined with the probability that the
// hole joins it; even odds decide.
//
// Errors: a kind of holes that is none.
func JoinFaces(in FacesInput) (FacesJoined, error) {
	if in.Holes != PlainHoles && in.Holes != PlatedHoles {
		return FacesJoined{}, errors.New(`holes: "` + string(in.Holes) + `": say plated or plain`)
	}
	if f := in.Front; f != nil && (f.W != in.Upper.Labels.W || f.H != in.Upper.Labels.H) {
		return FacesJoined{}, errors.New("the mask of what hides the component side has another size than its copper")
	}
	out := FacesJoined{Holes: in.Holes, Hidden: []HiddenJoin{}}
	for _, j := range in.Foil.Joints {
		if j.Net != nil {
			out.Bonds = append(out.Bonds, in.bondsAt(geom.Point{X: j.X, Y: j.Y}, *j.Net)...)
		}
	}
	if in.Front != nil {
		out.followHidden(in)
	}
	out.number(in)
	out.doubt()
	return out, nil
}

// bondsAt are the bonds of one joint: one for each copper of the component
// side that may stand there.
func (in *FacesInput) bondsAt(at geom.Point, foil copper.NetID) []Bond {
	pad := padRadius(in.Foil.Labels, foil, at)
	middle := in.ToUpper(at)
	if !finite(middle) {
		return nil
	}
	var out []Bond
	joins := in.joins(at, middle, pad)
	for net, p := range in.standing(at, pad) {
		if p < 0.02 {
			continue
		}
		out = append(out, Bond{X: at.X, Y: at.Y, Component: [2]float64{middle.X, middle.Y}, Foil: foil, Upper: net, ProbabilityJoined: p * joins})
	}
	slices.SortFunc(out, func(a, b Bond) int { return cmp.Compare(a.Upper, b.Upper) })
	return out
}

// joins is the probability that the hole at a joint joins the two faces.
func (in *FacesInput) joins(foil, upper geom.Point, pad float64) float64 {
	for _, t := range in.Told {
		if t.At.Dist(foil) <= toldWithin*pad {
			if t.Joined {
				return toldWeight
			}
			return 1 - toldWeight
		}
	}
	if in.Holes == PlatedHoles {
		return platedJoins
	}
	if in.Soldered == nil {
		return plainJoins
	}
	return in.Soldered(false, foil) * in.Soldered(true, upper)
}

// standing is, for every copper of the component side, the probability that
// it is the one around the joint: the share of the places where the joint may
// lie at which that copper covers the most of the pad.
func (in *FacesInput) standing(at geom.Point, pad float64) map[copper.NetID]float64 {
	sigma := 0.0
	if in.Sigma != nil {
		sigma = in.Sigma(at)
	}
	out := map[copper.NetID]float64{}
	for _, s := range gaussPoints() {
		if net := in.most(at, pad, s.by.Scale(sigma)); net != 0 {
			out[net] += s.weight
		}
	}
	return out
}

// gaussPoint is one place of nine that stand for a Gaussian in the plane.
type gaussPoint struct {
	by     geom.Point // standard deviations
	weight float64
}

// gaussPoints are the product of the three-point Gauss–Hermite rule with itself
// (Abramowitz and Stegun 1964, table 25.10): exact for polynomials to degree 5.
func gaussPoints() []gaussPoint {
	var out []gaussPoint
	nodes := [3]float64{-math.Sqrt(3), 0, math.Sqrt(3)}
	weights := [3]float64{1.0 / 6, 2.0 / 3, 1.0 / 6}
	for i, x := range nodes {
		for j, y := range nodes {
			out = append(out, gaussPoint{geom.Point{X: x, Y: y}, weights[i] * weights[j]})
		}
	}
	return out
}

// least share of the ring around a joint that its copper covers.
const ringShare = 0.3

// most is the copper that covers the most of the pad around a joint, moved by
// some component pixels; 0 where none covers enough. The middle of the pad is
// left out: a hole or a lead is there.
func (in *FacesInput) most(at geom.Point, pad float64, by geom.Point) copper.NetID {
	votes := map[copper.NetID]int{}
	n := 0
	for _, r := range []float64{0.6, 0.8, 0.95} {
		for k := range 16 {
			s, c := math.Sincos(float64(k) * math.Pi / 8)
			n++
			q := in.ToUpper(at.Add(geom.Point{X: c, Y: s}.Scale(r * pad)))
			if !finite(q) {
				continue
			}
			if net := in.Upper.Labels.At(q.Add(by)); net != 0 {
				votes[net]++
			}
		}
	}
	best := copper.NetID(0)
	for net, v := range votes {
		if float64(v) >= ringShare*float64(n) && (best == 0 || v > votes[best] || v == votes[best] && net < best) {
			best = net
		}
	}
	return best
}

func finite(p geom.Point) bool {
	return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X+p.Y, 0)
}

// padRadius is how far copper of the joint's own net reaches around it on all
// sides, in photo pixels: a track leaves on one side, so that the ring is held
// for pad while most of it is covered.
func padRadius(l copper.Labels, net copper.NetID, at geom.Point) float64 {
	best := 0.0
	for r := 1; r <= greatestPad; r++ {
		d := float64(r * l.Scale)
		own := 0
		for k := range 24 {
			s, c := math.Sincos(float64(k) * math.Pi / 12)
			if l.At(at.Add(geom.Point{X: c, Y: s}.Scale(d))) == net {
				own++
			}
		}
		if own >= 20 {
			best = d
		} else if best > 0 {
			break
		}
	}
	return math.Max(best, float64(leastPad*l.Scale))
}
