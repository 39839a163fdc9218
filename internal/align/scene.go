package align

import (
	"math"

	"foilside/internal/num/geom"
)

// scene is what candidates are judged on.
type scene struct {
	component []blob
	class     []int         // of each component blob
	foil      [2]*blobIndex // bright and dark
	density   [2][]float64  // of foil blobs of its kind round each foil blob, per square pixel
	corners   [4]geom.Point // of the component quad
	middle    geom.Point    // of the foil quad
	longer    float64       // of the foil quad, foil pixels
	outlined  bool          // both outlines were seen
	reach     reach
	base      model // the unit coordinates, without a map
	sharp     *sharpener
}

func newScene(component, foil []blob, on, under outline, sizes Sizes) *scene {
	s := &scene{component: component, class: classify(component), corners: on.quad,
		middle: mean(under.quad[:]), longer: under.longer(), outlined: on.seen && under.seen, reach: reachOf(on, under)}
	s.base = newModel([]Pair{{mean(on.quad[:]), s.middle}}, sizes)
	for l := range s.foil {
		var kind []blob
		for _, b := range foil {
			if b.dark == (l == 1) {
				kind = append(kind, b)
			}
		}
		s.foil[l] = newBlobIndex(kind, 0.02*s.longer)
		s.density[l] = densities(s.foil[l], densityReach*s.longer)
	}
	return s
}

// classify gives blobs, which are sorted by contrast, their class.
func classify(blobs []blob) []int {
	class := make([]int, len(blobs))
	for i, b := range blobs {
		class[i] = i * 3 / len(blobs)
		if b.dark {
			class[i] += 3
		}
	}
	return class
}

// densityReach is how far round a blob its density is counted, against the
// foil quad's longer side.
const densityReach = 0.05

// densities counts the blobs within reach of each, over the area, with one
// added for good measure: a lone blob isn't proof of an empty neighbourhood.
func densities(x *blobIndex, within float64) []float64 {
	list := make([]float64, len(x.blobs))
	for i, b := range x.blobs {
		count := 1.0
		x.near(b.at, within, func(k int) {
			if x.blobs[k].at.Dist(b.at) < within {
				count++
			}
		})
		list[i] = count / (math.Pi * within * within)
	}
	return list
}

// apart is how far two maps put the corners of the component quad from each
// other, the mean over them, against the foil quad's longer side.
func (s *scene) apart(m, n geom.Projective) float64 {
	sum := 0.0
	for _, p := range s.corners {
		sum += m.Apply(p).Dist(n.Apply(p))
	}
	return sum / float64(len(s.corners)) / s.longer
}

// Candidates of one turn whose corners lie this near, against the longer side,
// are one map. Without outlines it must stay below the pitch of a grid of
// holes, which is 0.8 % of a long card; with them, a shift by a hole shows.
const (
	sameMap         = 0.006
	sameMapOutlined = 0.015
)

// same reports whether two candidates are one map up to details: they turn
// alike, and lie near each other or give half of the blobs that the poorer one
// explains the same partner. Maps shifted by a step of a grid share none.
func (s *scene) same(c, d *candidate) bool {
	if c.turn != d.turn {
		return false
	}
	if s.sharp != nil && s.sharp.snug {
		return true // the edges leave each turn one map
	}
	shared, ofC, ofD := 0, 0, 0
	for i, k := range c.partner {
		if k >= 0 {
			ofC++
		}
		if d.partner[i] >= 0 {
			ofD++
		}
		if k >= 0 && k == d.partner[i] {
			shared++
		}
	}
	within := sameMap
	if s.outlined {
		within = sameMapOutlined
	}
	return 2*shared >= min(ofC, ofD) || s.apart(c.model.matrix(), d.model.matrix()) < within
}

// reach is how far the first guess may be off: a shift against the foil quad's
// longer side, a scale, and an angle in radians; and the distance by which it
// typically is.
type reach struct{ shift, scale, angle, typical float64 }

// reachOf is little where both outlines were seen, more where the photo's edge
// stands in for one.
func reachOf(component, foil outline) reach {
	if component.seen && foil.seen {
		return reach{0.03, 0.03, 1.5 * math.Pi / 180, 0.01}
	}
	return reach{0.06, 0.06, 3.75 * math.Pi / 180, 0.04}
}

// against is what the outlines have against a map that lies so far from the
// guess: minus the logarithm of Student's t with four degrees of freedom, in
// two dimensions.
func (r reach) against(apart float64) float64 {
	return 3 * math.Log1p(square(apart/r.typical)/4)
}
