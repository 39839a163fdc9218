package board

import (
	"math"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// split parts the nets into pieces at the doubtful places within them.
//
// Method: a net's pixels without a small disc at each of its doubtful places
// fall apart; a disc grows until its two sides do. What is left of the copper
// between the pieces belongs to the nearest.
func (w *web) split() {
	l := w.c.Labels
	w.of = make([]int32, len(l.Of))
	within := map[copper.NetID][]copper.Doubt{}
	for _, d := range w.c.Doubtful {
		if d.Nets[0] == d.Nets[1] {
			within[d.Nets[0]] = append(within[d.Nets[0]], d)
		}
	}
	first := map[copper.NetID]int{}
	for _, n := range w.c.Nets {
		if len(within[n.ID]) == 0 {
			first[n.ID] = len(w.pieces)
			w.pieces = append(w.pieces, piece{net: n.ID})
		}
	}
	pixels := map[copper.NetID][]int32{}
	for i, id := range l.Of {
		w.of[i] = -1
		if p, whole := first[id]; whole {
			w.of[i] = int32(p)
		} else if id != 0 {
			pixels[id] = append(pixels[id], int32(i))
		}
	}
	for _, n := range w.c.Nets {
		if list := within[n.ID]; len(list) > 0 {
			(&splitting{web: w, net: n.ID, doubts: list, pixels: pixels[n.ID]}).run()
		}
	}
}

// splitting is one net being parted.
type splitting struct {
	*web
	net    copper.NetID
	doubts []copper.Doubt
	pixels []int32
	radius []float64 // per doubtful place, working pixels
	ends   [][2]int32
}

const unparted = -2 // a pixel of the net that no flood has reached yet

func (s *splitting) run() {
	s.radius = make([]float64, len(s.doubts))
	for i, d := range s.doubts {
		s.radius[i] = 1.5
		s.ends = append(s.ends, [2]int32{s.pixelAt(d.Between[0]), s.pixelAt(d.Between[1])})
	}
	const rounds = 12 // from 1.5 pixels, by 1.6 every round: 400 pixels
	for range rounds {
		count := s.flood()
		grown := false
		for i, e := range s.ends {
			if e[0] >= 0 && e[1] >= 0 && s.of[e[0]] == s.of[e[1]] && s.of[e[0]] >= 0 && s.radius[i] < s.farthest(i) {
				s.radius[i] = math.Min(s.radius[i]*1.6, s.farthest(i))
				grown = true
			}
		}
		if !grown {
			s.keep(count)
			return
		}
	}
	s.keep(s.flood())
}

// farthest is how large a disc may grow without swallowing a place to probe.
func (s *splitting) farthest(i int) float64 {
	d := s.doubts[i]
	at := geom.Point{X: d.X, Y: d.Y}
	return 0.9 * math.Min(at.Dist(d.Between[0]), at.Dist(d.Between[1])) / float64(s.c.Labels.Scale)
}

// pixelAt is the pixel of the net nearest to a place, -1 for none near.
func (s *splitting) pixelAt(at geom.Point) int32 {
	l := s.c.Labels
	k := float64(l.Scale)
	cx, cy := (at.X+0.5)/k-0.5, (at.Y+0.5)/k-0.5
	r := math.Max(3, seekProbe*math.Hypot(float64(l.W), float64(l.H)))
	best, bestD := int32(-1), r
	for y := max(0, int(cy-r)); y <= min(l.H-1, int(cy+r)+1); y++ {
		for x := max(0, int(cx-r)); x <= min(l.W-1, int(cx+r)+1); x++ {
			if d := math.Hypot(float64(x)-cx, float64(y)-cy); l.Of[y*l.W+x] == s.net && d < bestD {
				best, bestD = int32(y*l.W+x), d
			}
		}
	}
	return best
}

// flood numbers the parts of the net that the discs leave, from 0, in w.of.
func (s *splitting) flood() int {
	l := s.c.Labels
	for _, i := range s.pixels {
		s.of[i] = unparted
	}
	for k, d := range s.doubts {
		s.disc(geom.Point{X: d.X, Y: d.Y}, s.radius[k])
	}
	count := int32(0)
	w, h := int32(l.W), int32(l.H)
	var stack []int32
	for _, i := range s.pixels {
		if s.of[i] != unparted {
			continue
		}
		s.of[i] = count
		stack = append(stack[:0], i)
		for len(stack) > 0 {
			p := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			x, y := p%w, p/w
			for _, q := range [4]struct {
				at     int32
				inside bool
			}{{p - 1, x > 0}, {p + 1, x < w-1}, {p - w, y > 0}, {p + w, y < h-1}} {
				if q.inside && s.of[q.at] == unparted && l.Of[q.at] == s.net {
					s.of[q.at] = count
					stack = append(stack, q.at)
				}
			}
		}
		count++
	}
	return int(count)
}

// disc takes the pixels around a foil pixel out.
func (s *splitting) disc(at geom.Point, r float64) {
	l := s.c.Labels
	k := float64(l.Scale)
	cx, cy := (at.X+0.5)/k-0.5, (at.Y+0.5)/k-0.5
	for y := max(0, int(cy-r)); y <= min(l.H-1, int(cy+r)+1); y++ {
		for x := max(0, int(cx-r)); x <= min(l.W-1, int(cx+r)+1); x++ {
			if i := y*l.W + x; l.Of[i] == s.net && math.Hypot(float64(x)-cx, float64(y)-cy) <= r {
				s.of[i] = -1
			}
		}
	}
}

// keep makes the parts that matter pieces: those with a place to probe of a
// doubtful place, and the largest of the others with which a person joined
// them. Crumbs between discs are nobody's.
func (s *splitting) keep(count int) {
	number := make([]int32, count)
	for i := range number {
		number[i] = -1
	}
	for _, e := range s.ends {
		for _, p := range e {
			if p < 0 || s.of[p] < 0 || number[s.of[p]] >= 0 {
				continue
			}
			number[s.of[p]] = int32(len(s.pieces))
			s.pieces = append(s.pieces, piece{net: s.net})
		}
	}
	if slot := s.anyOf(number); slot >= 0 {
		s.adopt(number, slot)
	}
	for _, i := range s.pixels {
		if s.of[i] >= 0 {
			s.of[i] = number[s.of[i]]
		}
	}
}

// anyOf is the first piece that was kept, -1 for none.
func (s *splitting) anyOf(number []int32) int32 {
	for _, n := range number {
		if n >= 0 {
			return n
		}
	}
	return -1
}

// adopt puts parts with joints that no doubtful place touches, such as copper
// that a person joined to the net, on a piece of the net.
func (s *splitting) adopt(number []int32, to int32) {
	for _, j := range s.c.Joints {
		if j.Net == nil || *j.Net != s.net {
			continue
		}
		if i := s.pixelAt(geom.Point{X: j.X, Y: j.Y}); i >= 0 && s.of[i] >= 0 && number[s.of[i]] < 0 {
			number[s.of[i]] = to
		}
	}
}
