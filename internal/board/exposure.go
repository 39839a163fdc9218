package board

import (
	"cmp"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// Exposure is how two nets lie beside each other: how near, along what length,
// and with it how much they are exposed to solder and dirt between them.
type Exposure struct {
	Nets  [2]copper.NetID // the smaller number first
	Width float64         // where they are nearest, foil pixels
	Run   float64         // along which they face each other within reach, foil pixels
	At    geom.Point      // in the middle of the nearest gap
	// Weight is the length of facing edges, each stretch over the square of its
	// gap: the area in which a spot of solder must lie to bridge them, when
	// spots of every size are as many as the cube of their size is small.
	//
	// Source: C. H. Stapper, IBM J. Res. Dev. 27 (1983) 549–557 (from memory).
	Weight float64
}

// Exposures lists the pairs of nets that face each other within reach foil
// pixels with no third between them, the most exposed first.
func Exposures(l copper.Labels, reach float64) []Exposure {
	all := map[[2]copper.NetID]*Exposure{}
	k := float64(l.Scale)
	growNets(l, reach, func(pair [2]copper.NetID, width float64, i int32) {
		if width > reach {
			return
		}
		e, ok := all[pair]
		if !ok {
			e = &Exposure{Nets: pair, Width: math.Inf(1)}
			all[pair] = e
		}
		e.Run += k / 2 // both sides report it
		e.Weight += k / 2 / math.Max(width*width, k*k)
		if width < e.Width {
			e.Width, e.At = width, middle(l, i)
		}
	})
	var out []Exposure
	for _, e := range all {
		out = append(out, *e)
	}
	slices.SortFunc(out, func(a, b Exposure) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Nets[0], b.Nets[0]), cmp.Compare(a.Nets[1], b.Nets[1]))
	})
	return out
}

// Stretch is copper between two joints of a net that no third lies between:
// where it cracks, the joints of Away part from the others.
type Stretch struct {
	Net    copper.NetID
	Ends   [2]int  // numbers of joints
	Length float64 // along the copper, foil pixels
	Width  float64 // at its narrowest, foil pixels
	Away   []int   // joints on the smaller side
}

// Weight is how likely the stretch is to crack against others: the longer and
// the narrower, the likelier. Common practice.
func (s Stretch) Weight() float64 {
	w := math.Max(s.Width, 1)
	return s.Length / (w * w)
}

// Stretches cuts every net into stretches between its joints, by the shortest
// ways along the copper. A net that runs in a ring is taken as cut open at its
// longest stretch, which no single crack parts.
func Stretches(c *copper.Copper) []Stretch {
	joints := map[copper.NetID][]int{}
	for i, j := range c.Joints {
		if j.Net != nil {
			joints[*j.Net] = append(joints[*j.Net], i)
		}
	}
	var out []Stretch
	for n := range c.Nets {
		id := copper.NetID(n + 1)
		if on := joints[id]; len(on) > 1 {
			out = append(out, stretchesOf(c, id, on)...)
		}
	}
	return out
}

// reached is one working pixel of a net on the way from a joint.
type reached struct {
	joint  int // its place in the list, −1 for none yet
	steps  int32
	narrow float32 // least depth of copper on the way, working pixels
}

func stretchesOf(c *copper.Copper, id copper.NetID, on []int) []Stretch {
	v, ok := viewOf(c.Labels, id, 2)
	if !ok {
		return nil
	}
	deep, _ := raster.NearestSet(v.mask.Not())
	at := make([]reached, len(v.mask.Pix))
	for i := range at {
		at[i].joint = -1
	}
	var front []int32
	for k, j := range on {
		if i, ok := v.nearestPixel(geom.Point{X: c.Joints[j].X, Y: c.Joints[j].Y}); ok && at[i].joint < 0 {
			at[i] = reached{joint: k, narrow: float32(math.Inf(1))}
			front = append(front, int32(i))
		}
	}
	links := map[[2]int]Stretch{}
	for len(front) > 0 {
		var next []int32
		for _, i := range front {
			for _, j := range v.sides(int(i)) {
				switch {
				case v.mask.Pix[j] == 0:
				case at[j].joint < 0:
					at[j] = reached{at[i].joint, at[i].steps + 1, min(at[i].narrow, deep.Pix[j])}
					next = append(next, int32(j))
				case at[j].joint != at[i].joint:
					link(links, c, id, on, at[i], at[j])
				}
			}
		}
		front = next
	}
	return tree(links, on)
}

// link notes the shortest way between two joints.
func link(links map[[2]int]Stretch, c *copper.Copper, id copper.NetID, on []int, a, b reached) {
	pair := [2]int{min(a.joint, b.joint), max(a.joint, b.joint)}
	k := float64(c.Labels.Scale)
	length := k * float64(a.steps+b.steps+1)
	if known, ok := links[pair]; ok && known.Length <= length {
		return
	}
	links[pair] = Stretch{Net: id, Ends: [2]int{on[pair[0]], on[pair[1]]}, Length: length, Width: 2 * k * float64(min(a.narrow, b.narrow))}
}

// tree keeps the shortest stretches that join all joints, and says what each
// parts.
func tree(links map[[2]int]Stretch, on []int) []Stretch {
	var all []Stretch
	for _, s := range links {
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b Stretch) int {
		return cmp.Or(cmp.Compare(a.Length, b.Length), cmp.Compare(a.Ends[0], b.Ends[0]), cmp.Compare(a.Ends[1], b.Ends[1]))
	})
	group := map[int]int{}
	for _, j := range on {
		group[j] = j
	}
	var kept []Stretch
	for _, s := range all {
		a, b := group[s.Ends[0]], group[s.Ends[1]]
		if a == b {
			continue
		}
		for _, j := range on {
			if group[j] == b {
				group[j] = a
			}
		}
		kept = append(kept, s)
	}
	for i := range kept {
		kept[i].Away = parted(kept, i, on)
	}
	return kept
}

// parted are the joints on the smaller side of a stretch of a tree.
func parted(kept []Stretch, without int, on []int) []int {
	side := map[int]bool{kept[without].Ends[0]: true}
	for changed := true; changed; {
		changed = false
		for i, s := range kept {
			if i != without && side[s.Ends[0]] != side[s.Ends[1]] {
				side[s.Ends[0]], side[s.Ends[1]], changed = true, true, true
			}
		}
	}
	var in, off []int
	for _, j := range on {
		if side[j] {
			in = append(in, j)
		} else {
			off = append(off, j)
		}
	}
	if len(in) <= len(off) {
		return in
	}
	return off
}

// nearestPixel is the pixel of the net nearest to a place of the photo, within
// a few working pixels; a joint's hole is no copper.
func (v view) nearestPixel(p geom.Point) (int, bool) {
	const reach = 25
	k := float64(v.l.Scale)
	cx, cy := int((p.X+0.5)/k)-v.x0, int((p.Y+0.5)/k)-v.y0
	best, far := -1, math.Inf(1)
	for y := max(cy-reach, 0); y <= min(cy+reach, v.mask.H-1); y++ {
		for x := max(cx-reach, 0); x <= min(cx+reach, v.mask.W-1); x++ {
			if d := math.Hypot(float64(x-cx), float64(y-cy)); v.mask.Pix[y*v.mask.W+x] != 0 && d < far {
				best, far = y*v.mask.W+x, d
			}
		}
	}
	return best, best >= 0
}

// sides are the up to four pixels beside one.
func (v view) sides(i int) []int {
	w := v.mask.W
	out := make([]int, 0, 4)
	if i%w > 0 {
		out = append(out, i-1)
	}
	if i%w < w-1 {
		out = append(out, i+1)
	}
	if i >= w {
		out = append(out, i-w)
	}
	if i+w < len(v.mask.Pix) {
		out = append(out, i+w)
	}
	return out
}
