package copper

import "foilside/internal/num/raster"

// parts is a tree cut into nets. A net goes by one of its leaves.
type parts struct {
	of    []int32 // per leaf: the leaf by which its net goes
	solid []int32 // per such leaf: pixels at or above cutLevel
	marks []int32 // per such leaf: joints
}

// cut joins what the merges that are whole join: each the basins on the two
// sides of its pass.
func (t *tree) cut(whole func(merge int32) bool) parts {
	sets := raster.NewDisjointSets(t.leaves)
	for i := t.leaves; i < len(t.nodes); i++ {
		if n := &t.nodes[i]; whole(int32(i)) {
			sets.Union(n.sides[0], n.sides[1])
		}
	}
	p := parts{make([]int32, t.leaves), make([]int32, t.leaves), make([]int32, t.leaves)}
	for i := range p.of {
		r := sets.Find(int32(i))
		p.of[i] = r
		p.solid[r] += t.nodes[i].solid
		p.marks[r] += t.nodes[i].marks
	}
	return p
}

// evenOdds says of a merge whether it lies at even odds or above.
func (t *tree) evenOdds(merge int32) bool { return t.nodes[merge].level >= cutLevel }
