package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// strand is a stretch of a thinned mask between two knots: free ends or
// meetings of several strands.
type strand struct {
	path []geom.Point // pixels
	from int          // number of the knot at its beginning
	to   int
}

// knot is a free end or a meeting.
type knot struct {
	at      geom.Point
	strands []int // those that end here; a loop counts twice
}

// web of strands of one thinned mask.
type strands struct {
	knots   []knot
	strands []strand
}

// strandsOf takes a thinned mask apart. Pixels with more than two arms
// that touch make one knot.
func strandsOf(m raster.Mask) strands {
	var out strands
	knotAt := map[int]int{}
	branch := raster.NewMask(m.W, m.H)
	for i, v := range m.Pix {
		if v != 0 && arms(m, i) > 2 {
			branch.Pix[i] = 1
		}
	}
	meetings := raster.Components(branch, true)
	out.knots = make([]knot, len(meetings.Areas)-1)
	for i, k := range meetings.Of {
		if k != 0 {
			knotAt[i] = int(k) - 1
			kn := &out.knots[k-1]
			kn.at = kn.at.Add(pixel(m.W, i).Scale(1 / float64(meetings.Areas[k])))
		}
	}
	for i, v := range m.Pix {
		if v != 0 && arms(m, i) == 1 {
			knotAt[i] = len(out.knots)
			out.knots = append(out.knots, knot{at: pixel(m.W, i)})
		}
	}
	out.walk(m, knotAt)
	return out
}

func pixel(w, i int) geom.Point { return geom.Point{X: float64(i % w), Y: float64(i / w)} }

// arms counts the lines that leave a pixel: its neighbours in runs that hang
// together, so that the corner of a stair is one.
func arms(m raster.Mask, i int) int {
	c := circle(m, i)
	n := 0
	for k, v := range c {
		if v == 0 && c[(k+1)%8] != 0 {
			n++
		}
	}
	return n
}

// walk follows the line from every knot to the next one.
func (s *strands) walk(m raster.Mask, knotAt map[int]int) {
	var starts []int
	for i := range knotAt {
		starts = append(starts, i)
	}
	slices.Sort(starts)
	used := map[int]bool{}
	for _, i := range starts {
		for _, d := range around(m.W) {
			j := i + d
			if m.Pix[j] == 0 || used[j] {
				continue
			}
			if k, ok := knotAt[j]; ok { // two knots side by side
				if k != knotAt[i] && j > i {
					s.add([]geom.Point{pixel(m.W, i), pixel(m.W, j)}, knotAt[i], k)
				}
				continue
			}
			s.follow(m, i, j, knotAt, used)
		}
	}
}

// around are the steps to the eight neighbours, the straight ones first.
func around(w int) [8]int { return [8]int{-w, 1, w, -1, -w + 1, w + 1, w - 1, -w - 1} }

// follow goes from knot pixel i over j on, until a knot or nothing comes.
func (s *strands) follow(m raster.Mask, i, j int, knotAt map[int]int, used map[int]bool) {
	path := []geom.Point{pixel(m.W, i), pixel(m.W, j)}
	from, last := knotAt[i], i
	used[j] = true
	for {
		next, end := -1, -1
		for _, d := range around(m.W) {
			n := j + d
			if m.Pix[n] == 0 || n == last {
				continue
			}
			if k, ok := knotAt[n]; ok && (k != from || len(path) > 3) {
				end = n
				break
			} else if !ok && !used[n] && next < 0 {
				next = n
			}
		}
		switch {
		case end >= 0:
			s.add(append(path, pixel(m.W, end)), from, knotAt[end])
			return
		case next < 0:
			s.knots = append(s.knots, knot{at: pixel(m.W, j)})
			s.add(path, from, len(s.knots)-1)
			return
		}
		used[next] = true
		path = append(path, pixel(m.W, next))
		last, j = j, next
	}
}

func (s *strands) add(path []geom.Point, from, to int) {
	k := len(s.strands)
	s.strands = append(s.strands, strand{path, from, to})
	s.knots[from].strands = append(s.knots[from].strands, k)
	s.knots[to].strands = append(s.knots[to].strands, k)
}

// leaving is the direction in which strand k leaves a knot, taken over some
// pixels of its way.
func (s *strands) leaving(k, knot int, over float64) geom.Point {
	p := s.strands[k].path
	if s.strands[k].from != knot {
		p = reversedPath(p)
	}
	far := p[len(p)-1]
	for _, q := range p {
		if q.Dist(s.knots[knot].at) >= over {
			far = q
			break
		}
	}
	v := far.Sub(s.knots[knot].at)
	if n := v.Norm(); n > 0 {
		return v.Scale(1 / n)
	}
	return geom.Point{}
}

func reversedPath(p []geom.Point) []geom.Point {
	out := slices.Clone(p)
	slices.Reverse(out)
	return out
}

// prune takes away free ends shorter than limit: frays of thinning.
func (s *strands) prune(limit float64) {
	for k := range s.strands {
		st := &s.strands[k]
		a, b := len(s.knots[st.from].strands), len(s.knots[st.to].strands)
		if (a == 1) == (b == 1) || length(st.path) >= limit {
			continue
		}
		for _, n := range []int{st.from, st.to} {
			s.knots[n].strands = slices.DeleteFunc(s.knots[n].strands, func(o int) bool { return o == k })
		}
		st.path = nil
	}
}

func length(path []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(path); i++ {
		sum += path[i].Dist(path[i-1])
	}
	return sum
}

// collapse makes one knot of meetings that a strand shorter than limit joins:
// where wide wires cross, thinning leaves two meetings side by side.
func (s *strands) collapse(limit float64) {
	for k := range s.strands {
		st := &s.strands[k]
		if st.path == nil || st.from == st.to || length(st.path) >= limit || len(s.knots[st.from].strands) < 3 || len(s.knots[st.to].strands) < 3 {
			continue
		}
		keep, gone := st.from, st.to
		st.path = nil
		s.knots[keep].at = s.knots[keep].at.Add(s.knots[gone].at).Scale(0.5)
		s.knots[keep].strands = append(s.knots[keep].strands, s.knots[gone].strands...)
		s.knots[gone].strands = nil
		for i := range s.strands {
			if s.strands[i].from == gone {
				s.strands[i].from = keep
			}
			if s.strands[i].to == gone {
				s.strands[i].to = keep
			}
		}
		s.knots[keep].strands = slices.DeleteFunc(s.knots[keep].strands, func(o int) bool { return o == k })
	}
}

// straightest pairs the strands that meet at a knot: the straightest first,
// none that would bend by more than limit. It returns for each the other one,
// or -1.
func (s *strands) straightest(knot int, over, limit float64) map[int]int {
	type pair struct {
		a, b int
		bend float64
	}
	ends := s.knots[knot].strands
	out := map[int]int{}
	var pairs []pair
	for i, a := range ends {
		out[a] = -1
		for _, b := range ends[:i] {
			if a == b {
				continue
			}
			u, v := s.leaving(a, knot, over), s.leaving(b, knot, over)
			if bend := math.Pi - angle(u, v); bend <= limit || len(ends) == 2 {
				pairs = append(pairs, pair{a, b, bend})
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(p.bend, q.bend) })
	for _, p := range pairs {
		if out[p.a] < 0 && out[p.b] < 0 {
			out[p.a], out[p.b] = p.b, p.a
		}
	}
	return out
}
