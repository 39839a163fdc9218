package align

import (
	"foilside/internal/num/geom"

	"gonum.org/v1/gonum/mat"
)

// slips are what moves marks of one sort all alike, beside the map: solder
// stands where pads and the lacquer's openings are, which are never quite where
// the drill was; and what one face shows as its rim lies a little outwards or
// inwards of what the other shows. They are found along with the map, so that
// many joints don't pass for as many proofs of where the map lies.
type slips struct {
	joint geom.Point // of joints against holes, foil pixels
	rim   float64    // of the component's rim outwards of the foil's, foil pixels

	jointSD, rimSD float64 // standard deviations beforehand; 0: there are none
	joints         []bool  // pairs that are joints, by index
}

const slipParams = 3

// Standard deviations of the slips beforehand. A drill is set to within a tenth
// of a millimetre, on boards of 100 mm and more; steps of brightness are placed
// a quarter of a pixel towards their dark side, which differs from face to face.
const (
	jointSlip = 0.0005 // of the longer side, a coordinate
	rimSlip   = 0.2    // pixels
	rimShare  = 0.00004
)

func newSlips(longer float64) slips {
	return slips{jointSD: jointSlip * longer, rimSD: rimSlip + rimShare*longer}
}

// params is the number of unknowns that slips add.
func (s *slips) params() int {
	if s.jointSD == 0 {
		return 0
	}
	return slipParams
}

// of is the slip of a pair.
func (s *slips) of(i int) geom.Point {
	if s.jointSD == 0 || !s.joints[i] {
		return geom.Point{}
	}
	return s.joint
}

// moved adds a step to the slips.
func (s slips) moved(step []float64) slips {
	if s.jointSD != 0 {
		s.joint = s.joint.Add(geom.Point{X: step[0], Y: step[1]})
		s.rim += step[2]
	}
	return s
}

// cost is minus twice the log of the slips' prior.
func (s *slips) cost() float64 {
	if s.jointSD == 0 {
		return 0
	}
	return square(s.joint.Norm()/s.jointSD) + square(s.rim/s.rimSD)
}

// addTo adds the prior to the last rows of the normal equations.
func (s *slips) addTo(normal *mat.SymDense, right []float64, first int) {
	if s.jointSD == 0 {
		return
	}
	for k, v := range [slipParams]struct{ at, sd float64 }{{s.joint.X, s.jointSD}, {s.joint.Y, s.jointSD}, {s.rim, s.rimSD}} {
		r := first + k
		normal.SetSym(r, r, normal.At(r, r)+1/square(v.sd))
		right[r] -= v.at / square(v.sd)
	}
}
