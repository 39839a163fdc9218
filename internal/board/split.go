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
	seen, walk := []int32(nil), int32(0)
	if len(within) > 0 {
		seen = make([]int32, len(l.Of))
	}
	for _, n := range w.c.Nets {
		if list := within[n.ID]; len(list) > 0 {
			s := &splitting{web: w, net: n.ID, doubts: list, pixels: pixels[n.ID], seen: seen, walk: walk}
			s.run()
			walk = s.walk
		}
	}
}

// splitting is one net being parted.
type splitting struct {
	*web
	net    copper.NetID
	doubts []copper.Doubt
	pixels []int32
	ends   [][2]int32
	seen   []int32 // by which walk a pixel was reached
	walk   int32
}

const unparted = -2 // a pixel of the net that no flood has reached yet

func (s *splitting) run() {
	for _, i := range s.pixels {
		s.of[i] = unparted
	}
	for i, d := range s.doubts {
		s.ends = append(s.ends, [2]int32{s.pixelAt(d.Between[0]), s.pixelAt(d.Between[1])})
		s.disc(i, narrow)
	}
	for i := range s.doubts {
		if !s.parted(i, narrow) {
			s.disc(i, s.radius(i))
		}
	}
	s.keep(s.flood())
}

// narrow is the radius of the smallest disc, in working pixels.
const narrow = 1.5

// radius is that of the smallest disc, within a third, that parts the two sides
// of a doubtful place: or of the largest there may be, where none does.
func (s *splitting) radius(i int) float64 {
	low, high := narrow, math.Max(narrow, s.farthest(i))
	if !s.parted(i, high) {
		return high
	}
	for high > 1.3*low {
		if mid := math.Sqrt(low * high); s.parted(i, mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// parted reports whether the discs part the two sides of a doubtful place if
// its own has radius r. It walks from both at once, so that it ends soon where
// they meet near by.
func (s *splitting) parted(i int, r float64) bool {
	own := s.around(i, r)
	e := s.ends[i]
	if e[0] < 0 || e[1] < 0 || s.of[e[0]] != unparted || s.of[e[1]] != unparted {
		return true // nothing to tell apart
	}
	s.walk += 2
	fronts := [2][]int32{{e[0]}, {e[1]}}
	s.seen[e[0]], s.seen[e[1]] = s.walk, s.walk+1
	if e[0] == e[1] {
		return false
	}
	for len(fronts[0]) > 0 && len(fronts[1]) > 0 {
		for side := range fronts {
			mine, other := s.walk+int32(side), s.walk+1-int32(side)
			var next []int32
			for _, p := range fronts[side] {
				for _, q := range s.beside(p) {
					switch {
					case q < 0 || s.of[q] != unparted || s.seen[q] == mine || own(q):
					case s.seen[q] == other:
						return false
					default:
						s.seen[q] = mine
						next = append(next, q)
					}
				}
			}
			fronts[side] = next
		}
	}
	return true
}

// around tells the working pixels within r of a doubtful place.
func (s *splitting) around(i int, r float64) func(p int32) bool {
	k, w := float64(s.c.Labels.Scale), int32(s.c.Labels.W)
	cx, cy := (s.doubts[i].X+0.5)/k-0.5, (s.doubts[i].Y+0.5)/k-0.5
	return func(p int32) bool {
		dx, dy := float64(p%w)-cx, float64(p/w)-cy
		return dx*dx+dy*dy <= r*r
	}
}

// beside are the pixels of the net to the four sides of one, -1 for none.
func (s *splitting) beside(p int32) [4]int32 {
	l := s.c.Labels
	w, h := int32(l.W), int32(l.H)
	x, y := p%w, p/w
	out := [4]int32{p - 1, p + 1, p - w, p + w}
	for k, inside := range [4]bool{x > 0, x < w-1, y > 0, y < h-1} {
		if !inside || l.Of[out[k]] != s.net {
			out[k] = -1
		}
	}
	return out
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
	count := int32(0)
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
			for _, q := range s.beside(p) {
				if q >= 0 && s.of[q] == unparted {
					s.of[q] = count
					stack = append(stack, q)
				}
			}
		}
		count++
	}
	return int(count)
}

// disc takes the pixels around a doubtful place out.
func (s *splitting) disc(i int, r float64) {
	l := s.c.Labels
	at := geom.Point{X: s.doubts[i].X, Y: s.doubts[i].Y}
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
