package align

import (
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// Where a joint is on the foil side, the component side shows a hole, a lead
// or a part, hardly ever the bare board; a wrong turn lays joints anywhere. How
// lively a place looks against places at large says which, also where no rim
// is seen sharply.
const (
	// textureShare is the radius of the place looked at, against the joint's.
	textureShare = 0.5
	textureTaps  = 24  // places within it whose brightness is compared
	placesAtAll  = 400 // places at large
	// lively is the share of joints that look livelier than places at large,
	// and livelyPower by how much: their rank u has the density
	// 1 - lively + lively·livelyPower·u^(livelyPower-1).
	lively      = 0.8
	livelyPower = 5.0
	mostJoints  = 120 // joints asked
)

// jointPlaces are the foil places taken for joints, with their radii.
func (s *sharpener) jointPlaces() []mark {
	var list []mark
	for _, m := range s.marks {
		if m.kind == jointMark || m.kind == holeMark {
			list = append(list, m)
		}
	}
	return list[:min(len(list), mostJoints)]
}

// liveliness is the log likelihood, over places at large, of how the component
// photo looks where a map puts the foil joints. Many marks are no joints, so
// it is well below 0 for most maps; what tells is how much it exceeds that of
// the other turns.
func (s *sharpener) liveliness(m model) float64 {
	back, err := m.matrix().Inverse()
	if err != nil {
		return 0
	}
	joints := s.jointPlaces()
	if len(joints) < MinPairs {
		return 0
	}
	radii := make([]float64, len(joints))
	for i, j := range joints {
		radii[i] = j.radius
	}
	radius := textureShare * medianOfAll(radii)
	var at []geom.Point
	for _, j := range joints {
		p := m.lens.Component.Distort(back.Apply(m.lens.Foil.Undistort(j.at)))
		if s.component.size.contains(p) {
			at = append(at, p)
		}
	}
	if len(at) < MinPairs {
		return 0
	}
	radius /= areaScale(m, mean(at))
	rest := s.atLarge(at, radius)
	sum := 0.0
	for _, p := range at {
		k, _ := slices.BinarySearch(rest, s.component.texture(p, radius))
		u := (float64(k) + 0.5) / float64(len(rest)+1)
		sum += math.Log(1 - lively + lively*livelyPower*math.Pow(u, livelyPower-1))
	}
	return sum
}

// mixed is the log likelihood of places that are each, with the same unknown
// probability between least and most, what gives the ratio of likelihoods, and
// else chance.
func mixed(ratios []float64, share, least, most float64) float64 {
	sum := 0.0
	for range 20 {
		sum = 0
		partners := 0.0
		for _, r := range ratios {
			sum += math.Log(1 - share + share*r)
			partners += share * r / (1 - share + share*r)
		}
		share = math.Min(most, math.Max(least, partners/float64(len(ratios))))
	}
	return sum
}

// atLarge is the sorted texture of places all over the part of the board that
// has the joints.
func (s *sharpener) atLarge(joints []geom.Point, radius float64) []float64 {
	lo, hi := joints[0], joints[0]
	for _, p := range joints {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	rng := rand.New(rand.NewPCG(uint64(len(joints)), 9))
	var list []float64
	for range placesAtAll {
		p := geom.Point{X: lo.X + rng.Float64()*(hi.X-lo.X), Y: lo.Y + rng.Float64()*(hi.Y-lo.Y)}
		list = append(list, s.component.texture(p, radius))
	}
	slices.Sort(list)
	return list
}

// texture is the spread of brightness within a radius of a photo pixel.
func (f *face) texture(at geom.Point, radius float64) float64 {
	var sum, squares float64
	for k := range textureTaps {
		// Sunflower places: even over the disc.
		r := radius * math.Sqrt((float64(k)+0.5)/textureTaps)
		sin, cos := math.Sincos(2.399963 * float64(k))
		v := float64(f.brightness(geom.Point{X: at.X + r*cos, Y: at.Y + r*sin}))
		sum += v
		squares += v * v
	}
	return math.Sqrt(math.Max(0, squares/textureTaps-square(sum/textureTaps)))
}

func medianOfAll(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
}
