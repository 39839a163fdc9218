package board

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// faceTree joins coppers of both faces: foil-side nets first.
type faceTree struct {
	up   []int
	foil int // number of foil-side nets
}

func newFaceTree(foil, upper int) faceTree {
	t := faceTree{make([]int, foil+upper), foil}
	for i := range t.up {
		t.up[i] = i
	}
	return t
}

func (t faceTree) ofFoil(id copper.NetID) int  { return int(id) - 1 }
func (t faceTree) ofUpper(id copper.NetID) int { return t.foil + int(id) - 1 }

func (t faceTree) root(i int) int {
	for t.up[i] != i {
		t.up[i] = t.up[t.up[i]]
		i = t.up[i]
	}
	return i
}

func (t faceTree) join(i, j int) {
	i, j = t.root(i), t.root(j)
	t.up[max(i, j)] = min(i, j)
}

// followHidden adds what goes on under parts: copper to copper, and copper to
// the joints whose pads are hidden.
func (j *FacesJoined) followHidden(in FacesInput) {
	bonded := map[geom.Point]bool{}
	for _, b := range j.Bonds {
		bonded[geom.Point{X: b.X, Y: b.Y}] = true
	}
	var pads []upperPad
	var joints []copper.Joint
	var unseen []int
	for _, o := range in.Foil.Joints {
		pad, ok := in.upperPad(o)
		if !ok {
			continue
		}
		if !bonded[geom.Point{X: o.X, Y: o.Y}] && pad.covered(*in.Front) {
			unseen = append(unseen, len(pads))
		}
		pads, joints = append(pads, pad), append(joints, o)
	}
	joins, ends := hiddenCopper(in.Upper.Labels, *in.Front, pads, unseen)
	j.Hidden = joins
	for i, k := range unseen {
		o := joints[k]
		foil, upper := geom.Point{X: o.X, Y: o.Y}, fromWorking(in.Upper.Labels, pads[k].at)
		joined := in.joins(foil, upper, padRadius(in.Foil.Labels, *o.Net, foil))
		for _, net := range slices.Sorted(maps.Keys(ends[i])) {
			if p := ends[i][net]; p >= 0.02 {
				j.Bonds = append(j.Bonds, Bond{X: o.X, Y: o.Y, Component: [2]float64{upper.X, upper.Y}, Foil: *o.Net, Upper: net, ProbabilityJoined: p * joined})
			}
		}
	}
}

// upperPad is where a foil-side joint stands on the component photo. ok is
// false where it is on no copper, or on no place of that photo.
func (in *FacesInput) upperPad(j copper.Joint) (pad upperPad, ok bool) {
	if j.Net == nil {
		return pad, false
	}
	at := geom.Point{X: j.X, Y: j.Y}
	r := padRadius(in.Foil.Labels, *j.Net, at)
	p, side := in.ToUpper(at), in.ToUpper(at.Add(geom.Point{X: r}))
	if !finite(p) || !finite(side) {
		return pad, false
	}
	return upperPad{working(in.Upper.Labels, p), p.Dist(side) / float64(in.Upper.Labels.Scale)}, true
}

// number joins what is more likely joined than not, and numbers the nets.
func (j *FacesJoined) number(in FacesInput) {
	t := newFaceTree(len(in.Foil.Nets), len(in.Upper.Nets))
	for _, b := range j.Bonds {
		if b.ProbabilityJoined >= 0.5 {
			t.join(t.ofFoil(b.Foil), t.ofUpper(b.Upper))
		}
	}
	j.piece = map[copper.NetID]int{}
	over := newFaceTree(0, len(in.Upper.Nets))
	for _, h := range j.Hidden {
		if h.ProbabilityJoined >= 0.5 {
			t.join(t.ofUpper(h.Upper[0]), t.ofUpper(h.Upper[1]))
			over.join(over.ofUpper(h.Upper[0]), over.ofUpper(h.Upper[1]))
		}
	}
	for _, n := range in.Upper.Nets {
		j.piece[n.ID] = over.root(over.ofUpper(n.ID))
	}
	j.ofFoil, j.ofUpper = map[copper.NetID]int{}, map[copper.NetID]int{}
	ids := map[int]int{}
	of := func(i int) *FaceNet {
		root := t.root(i)
		if ids[root] == 0 {
			j.Nets = append(j.Nets, FaceNet{ID: len(j.Nets) + 1, Foil: []copper.NetID{}, Upper: []copper.NetID{}})
			ids[root] = len(j.Nets)
		}
		return &j.Nets[ids[root]-1]
	}
	for _, n := range in.Foil.Nets {
		f := of(t.ofFoil(n.ID))
		f.Foil = append(f.Foil, n.ID)
		f.Joints += n.Joints
		j.ofFoil[n.ID] = f.ID
	}
	for _, n := range in.Upper.Nets {
		f := of(t.ofUpper(n.ID))
		f.Upper = append(f.Upper, n.ID)
		j.ofUpper[n.ID] = f.ID
	}
}

// doubt lists the bonds that are unsure and that decide something: taking the
// bond away, or putting it in, changes which foil-side nets are joined.
func (j *FacesJoined) doubt() {
	j.Doubtful = []Bond{}
	for i, b := range j.Bonds {
		if p := b.ProbabilityJoined; p < sureEnough && p > 1-sureEnough && j.decides(i) {
			j.Doubtful = append(j.Doubtful, b)
		}
	}
	slices.SortStableFunc(j.Doubtful, func(a, b Bond) int {
		return cmp.Compare(math.Abs(a.ProbabilityJoined-0.5), math.Abs(b.ProbabilityJoined-0.5))
	})
	slices.SortStableFunc(j.Hidden, func(a, b HiddenJoin) int {
		return cmp.Compare(math.Abs(a.ProbabilityJoined-0.5), math.Abs(b.ProbabilityJoined-0.5))
	})
}

// decides tells whether other copper of the foil side hangs on bond i: the
// copper of the component side reaches another foil-side net, and no surer
// bond at another joint joins the same two coppers.
func (j *FacesJoined) decides(i int) bool {
	b := j.Bonds[i]
	reaches := false
	for k, o := range j.Bonds {
		if k == i || j.piece[o.Upper] != j.piece[b.Upper] || o.ProbabilityJoined < 1-sureEnough {
			continue
		}
		if o.Foil != b.Foil {
			reaches = true
		} else if o.ProbabilityJoined >= sureEnough {
			return false
		}
	}
	return reaches
}
