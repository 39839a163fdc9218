package align

import (
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// LeadSpread says how exactly a lead and the joints are known.
type LeadSpread struct {
	// Lead is the standard deviation, component pixels a coordinate, of where
	// the lead was pointed at against where it enters the board.
	Lead float64
	// Joint is the same of the joints' places, foil pixels.
	Joint float64
	// Stray is the probability, before anything is seen, that the lead's joint
	// is not among those given.
	Stray float64
}

// JointsOf gives, for a lead pointed at on the component photo, the
// probability that each of the foil joints (foil pixels) is the lead's. What is
// missing to 1 is the probability that none of them is.
//
// Each joint is as likely beforehand; a lead whose joint isn't listed lies
// anywhere, as densely as joints do. No joints, or a place that the map can't
// show: all 0.
func (a *Alignment) JointsOf(lead geom.Point, joints []geom.Point, s LeadSpread) []float64 {
	out := make([]float64, len(joints))
	at := a.ToFoil(lead)
	if len(joints) == 0 || !at.Finite() {
		return out
	}
	xx, xy, yy := a.leadCov(lead, s)
	det := xx*yy - xy*xy
	if !(det > 0) {
		return out
	}
	none := math.Min(0.99, math.Max(0, s.Stray)) * jointDensity(joints)
	sum := none
	for i, j := range joints {
		d := j.Sub(at)
		form := (yy*d.X*d.X - 2*xy*d.X*d.Y + xx*d.Y*d.Y) / det
		out[i] = (1 - math.Min(0.99, math.Max(0, s.Stray))) * math.Exp(-form/2) / (2 * math.Pi * math.Sqrt(det))
		sum += out[i]
	}
	for i := range out {
		if sum > 0 {
			out[i] /= sum
		}
	}
	return out
}

// leadCov is the covariance of a lead's mapped place against a joint: the
// map's own, the pointing through the map's slope, the joint's.
func (a *Alignment) leadCov(lead geom.Point, s LeadSpread) (xx, xy, yy float64) {
	c := a.Uncertainty(lead).Cov
	const h = 0.5
	dx := a.ToFoil(lead.Add(geom.Point{X: h})).Sub(a.ToFoil(lead.Sub(geom.Point{X: h})))
	dy := a.ToFoil(lead.Add(geom.Point{Y: h})).Sub(a.ToFoil(lead.Sub(geom.Point{Y: h})))
	v := s.Lead * s.Lead
	xx = c[0][0] + v*(dx.X*dx.X+dy.X*dy.X) + s.Joint*s.Joint
	xy = c[0][1] + v*(dx.X*dx.Y+dy.X*dy.Y)
	yy = c[1][1] + v*(dx.Y*dx.Y+dy.Y*dy.Y) + s.Joint*s.Joint
	return xx, xy, yy
}

// jointDensity is how many joints there are to a square pixel among
// neighbours: one to the disc that reaches to the next.
func jointDensity(joints []geom.Point) float64 {
	var nearest []float64
	for i, p := range joints {
		least := math.Inf(1)
		for k, q := range joints {
			if k != i {
				least = math.Min(least, p.Dist(q))
			}
		}
		nearest = append(nearest, least)
	}
	slices.Sort(nearest)
	d := nearest[len(nearest)/2]
	if math.IsInf(d, 0) || d == 0 {
		d = 1
	}
	return 1 / (math.Pi * d * d)
}
