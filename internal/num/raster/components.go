package raster

// Labels numbers the connected pieces of a mask: 0 where the mask is no,
// 1..len(Areas)-1 elsewhere, in reading order of each piece's first pixel.
type Labels struct {
	W, H  int
	Of    []int32 // len W·H
	Areas []int   // pixels of each label; Areas[0] counts the rest
}

// Components finds the connected pieces of m, through edges and corners
// (eight neighbours) or through edges only (four).
//
// Method: two passes over the rows with a union-find of provisional labels.
func Components(m Mask, eight bool) Labels {
	of := make([]int32, len(m.Pix))
	var sets DisjointSets
	sets.Add() // label 0 is the rest
	for y := range m.H {
		labelRow(m, of, y, eight, &sets)
	}
	names := make([]int32, sets.Len())
	areas := []int{0}
	for i, l := range of {
		if l == 0 {
			areas[0]++
			continue
		}
		root := sets.Find(l)
		if names[root] == 0 {
			names[root] = int32(len(areas))
			areas = append(areas, 0)
		}
		of[i] = names[root]
		areas[names[root]]++
	}
	return Labels{m.W, m.H, of, areas}
}

// labelRow gives the pixels of row y provisional labels from the pixels
// before and above them.
func labelRow(m Mask, of []int32, y int, eight bool, sets *DisjointSets) {
	row := y * m.W
	for x := range m.W {
		i := row + x
		if m.Pix[i] == 0 {
			continue
		}
		label := int32(0)
		meet := func(l int32) {
			switch {
			case l == 0:
			case label == 0:
				label = l
			default:
				sets.Union(label, l)
			}
		}
		if x > 0 {
			meet(of[i-1])
		}
		if y > 0 {
			meet(of[i-m.W])
			if eight && x > 0 {
				meet(of[i-m.W-1])
			}
			if eight && x+1 < m.W {
				meet(of[i-m.W+1])
			}
		}
		if label == 0 {
			label = sets.Add()
		}
		of[i] = label
	}
}

// DisjointSets is a union-find with path halving and union by size.
// The zero value has no elements.
type DisjointSets struct {
	up []int32 // parent, or -size at a root
}

// NewDisjointSets returns n sets of one element each.
func NewDisjointSets(n int) *DisjointSets {
	s := &DisjointSets{make([]int32, n)}
	for i := range s.up {
		s.up[i] = -1
	}
	return s
}

// Len is the number of elements.
func (s *DisjointSets) Len() int { return len(s.up) }

// Add makes a new set of one element and returns it.
func (s *DisjointSets) Add() int32 {
	s.up = append(s.up, -1)
	return int32(len(s.up) - 1)
}

// Find returns the element that stands for a's set.
func (s *DisjointSets) Find(a int32) int32 {
	for s.up[a] >= 0 {
		if p := s.up[s.up[a]]; p >= 0 {
			s.up[a] = p
		}
		a = s.up[a]
	}
	return a
}

// Union joins the sets of a and b and returns the element that stands for the
// joined set.
func (s *DisjointSets) Union(a, b int32) int32 {
	a, b = s.Find(a), s.Find(b)
	if a == b {
		return a
	}
	if s.up[a] > s.up[b] {
		a, b = b, a
	}
	s.up[a] += s.up[b]
	s.up[b] = a
	return a
}

// Size is the number of elements in a's set.
func (s *DisjointSets) Size(a int32) int { return int(-s.up[s.Find(a)]) }
