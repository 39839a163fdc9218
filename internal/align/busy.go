package align

import (
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// Where a joint is on the foil side, the component side shows a hole, a lead
// or a part, hardly ever the bare board; a wrong turn lays joints anywhere. How
// busy a place looks against places at large says which, also where no rim is
// seen sharply: its brightness is uneven, or its colour isn't the bare board's.
const (
	// busyShare is the radius of the place looked at, against the joint's.
	busyShare   = 0.5
	busyTaps    = 24  // places within it whose colours are compared
	placesAtAll = 400 // places at large
	// busyPower: a joint's rank u among places at large has the density
	// busyPower·u^(busyPower-1). Of 2800 joints on made boards 0.5 % look less
	// busy than two fifths of the board, 5 % than three fifths.
	busyPower = 4.5
	// The shares of foil places that are the joints or holes they are taken
	// for, as found on made boards: specks pass for empty holes.
	trueSolder = 0.75
	trueJoints = 0.65
	trueHoles  = 0.15
	mostJoints = 120 // marks asked
	// darkShare is what a change of brightness by the factor e counts against
	// one of chromaticity by 1: shadows are no parts.
	darkShare = 0.15
)

// jointPlace is a foil place that may be a joint's.
type jointPlace struct {
	at     geom.Point
	radius float64
	share  float64 // of such places that are joints
}

// jointPlaces are the foil places that may be joints, the likelier first.
func (s *sharpener) jointPlaces() []jointPlace {
	var list []jointPlace
	add := func(at geom.Point, radius, share float64) {
		if !slices.ContainsFunc(list, func(p jointPlace) bool { return p.at.Dist(at) < math.Max(p.radius, radius) }) {
			list = append(list, jointPlace{at, radius, share})
		}
	}
	for _, r := range s.solder {
		add(r.at, r.radius, trueSolder)
	}
	for _, m := range s.marks {
		if m.kind == jointMark {
			add(m.at, m.radius, trueJoints)
		}
	}
	for _, m := range s.marks {
		if m.kind == holeMark {
			add(m.at, m.radius, trueHoles)
		}
	}
	return list[:min(len(list), mostJoints)]
}

// busyness is the log likelihood, over places at large, of how the component
// photo looks where a map puts the foil joints. What tells is by how much it
// exceeds that of the other turns.
func (s *sharpener) busyness(m model) float64 {
	back, err := m.matrix().Inverse()
	if err != nil {
		return 0
	}
	var at []geom.Point
	var share, radii []float64
	for _, j := range s.jointPlaces() {
		p := m.lens.Component.Distort(back.Apply(m.lens.Foil.Undistort(j.at)))
		if s.component.size.contains(p) {
			at, radii, share = append(at, p), append(radii, j.radius), append(share, j.share)
		}
	}
	if len(at) < MinPairs {
		return 0
	}
	rest := s.component.atLarge(at, busyShare*medianOfAll(radii)/areaScale(m, mean(at)))
	sum := 0.0
	for i, p := range at {
		sum += math.Log(1 - share[i] + share[i]*busyPower*math.Pow(rest.rank(p), busyPower-1))
	}
	return sum
}

// looks is how a place looks: the spread of its brightness, and its mean colour.
type looks struct {
	spread, bright float64
	tint           [2]float64 // chromaticities
}

func (f *face) looks(at geom.Point, radius float64) looks {
	var sum, squares float64
	var mean [3]float64
	for k := range busyTaps {
		// Sunflower places: even over the disc.
		r := radius * math.Sqrt((float64(k)+0.5)/busyTaps)
		sin, cos := math.Sincos(2.399963 * float64(k))
		c := f.colour(geom.Point{X: at.X + r*cos, Y: at.Y + r*sin})
		v := 0.299*float64(c[0]) + 0.587*float64(c[1]) + 0.114*float64(c[2])
		sum += v
		squares += v * v
		for i := range mean {
			mean[i] += float64(c[i]) / busyTaps
		}
	}
	// A little is added so that near black, where noise rules, no tint is seen.
	bright := mean[0] + mean[1] + mean[2] + 30
	return looks{
		spread: math.Sqrt(math.Max(0, squares/busyTaps-square(sum/busyTaps))), bright: bright,
		tint: [2]float64{(mean[0] - mean[1]) / bright, (mean[2] - mean[1]) / bright},
	}
}

// atLarge is how places all over a part of a board look: the measure of what
// is busy.
type atLarge struct {
	f       *face
	radius  float64
	bare    looks // the median
	spreads []float64
	odd     []float64 // distances from the bare board's colour
	busy    []float64 // the larger of both ranks
}

// atLarge looks at places all over the part of the board that has the joints.
func (f *face) atLarge(joints []geom.Point, radius float64) *atLarge {
	lo, hi := joints[0], joints[0]
	for _, p := range joints {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	rng := rand.New(rand.NewPCG(uint64(len(joints)), 9))
	all := make([]looks, placesAtAll)
	columns := [3][]float64{}
	for i := range all {
		l := f.looks(geom.Point{X: lo.X + rng.Float64()*(hi.X-lo.X), Y: lo.Y + rng.Float64()*(hi.Y-lo.Y)}, radius)
		all[i] = l
		for c, v := range [3]float64{l.bright, l.tint[0], l.tint[1]} {
			columns[c] = append(columns[c], v)
		}
	}
	a := &atLarge{f: f, radius: radius, bare: looks{bright: medianOfAll(columns[0]), tint: [2]float64{medianOfAll(columns[1]), medianOfAll(columns[2])}}}
	for _, l := range all {
		a.spreads, a.odd = append(a.spreads, l.spread), append(a.odd, a.oddness(l))
	}
	slices.Sort(a.spreads)
	slices.Sort(a.odd)
	for _, l := range all {
		a.busy = append(a.busy, a.busiest(l))
	}
	slices.Sort(a.busy)
	return a
}

// oddness is how far a place's colour is from the bare board's.
func (a *atLarge) oddness(l looks) float64 {
	return math.Hypot(l.tint[0]-a.bare.tint[0], l.tint[1]-a.bare.tint[1]) + darkShare*math.Abs(math.Log(l.bright/a.bare.bright))
}

func (a *atLarge) busiest(l looks) float64 {
	return math.Max(rankIn(a.spreads, l.spread), rankIn(a.odd, a.oddness(l)))
}

// rank is the share of places at large that look less busy.
func (a *atLarge) rank(p geom.Point) float64 {
	return rankIn(a.busy, a.busiest(a.f.looks(p, a.radius)))
}

func rankIn(sorted []float64, v float64) float64 {
	k, _ := slices.BinarySearch(sorted, v)
	return (float64(k) + 0.5) / float64(len(sorted)+1)
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

func medianOfAll(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
}
