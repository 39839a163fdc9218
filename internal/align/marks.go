package align

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"foilside/internal/num/geom"
)

// markKind says what a mark is on the foil side, and so what it should be on
// the component side.
type markKind int

const (
	boreMark   markKind = iota // a hole for a screw: seen through from both sides
	holeMark                   // an empty hole for a lead
	jointMark                  // solder or a pad, concentric with its hole
	handMark                   // a person's
	cornerMark                 // of the outline
	markKinds
	noMark // nothing found
)

// mark is a round place of one photo with its centre between pixels.
type mark struct {
	at     geom.Point // photo pixels, of the centre on the board
	radius float64    // levelled pixels
	sd     float64    // of the centre, pixels a coordinate
	cover  float64
	kind   markKind
}

// Bores are looked for at larger radii than joints, against the longer side:
// 3 mm screws on boards of 60 to 200 mm.
const (
	leastBore = 0.007
	mostBore  = 0.045
	mostBores = 40
)

// Shares of a round's border that must be seen for it to be a mark.
const (
	markCover  = 0.55
	entryCover = 0.34 // a lead lies over the rest
)

// foilMarks finds the centres between pixels of what the foil photo's blobs
// point at.
func foilMarks(ctx context.Context, f *face, board outline, blobs []blob) ([]mark, error) {
	bores, err := findBores(ctx, f, board)
	if err != nil {
		return nil, err
	}
	rings, err := findRings(ctx, f.img, board, jointRims())
	if err != nil {
		return nil, err
	}
	blobs = slices.DeleteFunc(slices.Clone(blobs), func(b blob) bool { return !b.dark })
	found := make([]mark, len(blobs)+len(rings))
	err = eachOf(ctx, len(found), func(i int) {
		if i < len(blobs) {
			found[i] = f.hole(blobs[i])
		} else {
			found[i] = f.joint(rings[i-len(blobs)])
		}
	})
	return dedupe(append(bores, found...), markCover), err
}

// eachOf calls do for 0 … n-1, on two processors.
func eachOf(ctx context.Context, n int, do func(i int)) error {
	var wg sync.WaitGroup
	for half := range 2 {
		wg.Go(func() {
			for i := half; i < n && ctx.Err() == nil; i += 2 {
				do(i)
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// hole is the rim of an empty hole at a dark blob; cover 0 where there is none.
func (f *face) hole(b blob) mark {
	return f.look(b.at, wanted{least: math.Max(2, 0.5*b.radius), most: math.Max(5, 1.8*b.radius),
		reach: math.Max(2, b.radius), side: darkInside}, holeMark)
}

// joint is the rim at a ring, between pixels.
func (f *face) joint(r ring) mark {
	return f.look(r.at, wanted{least: 0.75 * r.radius, most: 1.3 * r.radius, reach: math.Max(2, 0.25*r.radius), side: eitherSide}, jointMark)
}

// votingRadius is the largest radius, in pixels, of a circle that is voted
// for: larger ones are looked for in a coarser patch and then polished.
const votingRadius = 12.0

// look finds the best circle round a photo pixel.
func (f *face) look(at geom.Point, w wanted, kind markKind) mark {
	level := f.level.Apply(at)
	if !level.Finite() {
		return mark{}
	}
	step := math.Max(1, w.most/votingRadius)
	c, ok := findCircle(f.patch(level, w.most+w.reach+5*step, step), level, w)
	if ok && step > 1 && c.cover >= entryCover {
		c, ok = f.polish(c, w)
	}
	if !ok {
		return mark{}
	}
	return f.markOf(c, kind)
}

// markOf takes a circle back to the photo.
func (f *face) markOf(c circle, kind markKind) mark {
	j := f.back.Jacobian(c.at)
	scale := math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	m := mark{at: f.back.Apply(c.at), radius: c.radius, cover: c.cover, kind: kind,
		sd: scale * math.Sqrt((c.cov[0]+c.cov[2])/2)}
	if kind == jointMark {
		m.sd = math.Hypot(m.sd, scale*solderSD(c))
	}
	return m
}

// solderSD is how far solder's rim lets its joint's centre be off, pixels a
// coordinate: rims with tracks, tails and glints on them are seen in part, and
// then badly. The figures are of joints on made boards (TestStudyAutomatic).
func solderSD(c circle) float64 {
	return 0.012 * c.radius * math.Exp(6*(0.85-c.cover))
}

// findBores finds the large dark holes of a board.
func findBores(ctx context.Context, f *face, board outline) ([]mark, error) {
	spots, err := bigBlobs(ctx, f.img, board)
	if err != nil {
		return nil, err
	}
	found := make([]mark, len(spots))
	err = eachOf(ctx, len(spots), func(i int) { found[i] = f.bore(spots[i].at, spots[i].radius, 0.7) })
	return found, err
}

// bore looks for a large hole's near rim, its centre no farther from at than
// reach times its radius.
func (f *face) bore(at geom.Point, radius, reach float64) mark {
	return f.look(at, wanted{least: 0.6 * radius, most: 1.6 * radius, reach: math.Max(3, reach*radius), side: darkInside, outermost: true}, boreMark)
}

// dedupe keeps marks with enough of a border, and of several of a kind at one
// place the one with most.
func dedupe(found []mark, cover float64) []mark {
	found = slices.DeleteFunc(found, func(m mark) bool { return !(m.cover >= cover) || !m.at.Finite() })
	slices.SortStableFunc(found, func(a, b mark) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(b.cover, a.cover), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	var kept []mark
	for _, m := range found {
		if !slices.ContainsFunc(kept, func(k mark) bool { return k.kind == m.kind && k.at.Dist(m.at) < 0.7*math.Max(k.radius, m.radius) }) {
			kept = append(kept, m)
		}
	}
	return kept
}

// componentMarks finds the holes of the component photo, leads in them or not.
func componentMarks(ctx context.Context, f *face, board outline, blobs []blob) ([]mark, error) {
	rings, err := findRings(ctx, f.img, board, holeRims())
	if err != nil {
		return nil, err
	}
	blobs = slices.DeleteFunc(slices.Clone(blobs), func(b blob) bool { return !b.dark })
	for _, r := range rings { // a lead's end may be bright, its hole's rim is not
		blobs = append(blobs, blob{at: r.at, radius: r.radius})
	}
	found := make([]mark, len(blobs))
	err = eachOf(ctx, len(found), func(i int) { found[i] = f.hole(blobs[i]) })
	return dedupe(found, entryCover), err
}

// Radii of a lead's hole against those of what is seen of it on the foil side.
const (
	leastEntry = 0.25
	mostEntry  = 0.75
)

// entry looks, on the component side, for the hole of a foil mark whose place
// is known within reach; scale is component pixels per foil pixel there.
func (f *face) entry(m mark, at geom.Point, reach, scale float64) mark {
	r := m.radius * scale
	switch m.kind {
	case boreMark:
		return f.look(at, wanted{least: 0.85 * r, most: 1.15 * r, reach: reach, side: darkInside, outermost: true}, boreMark)
	case holeMark:
		return f.look(at, wanted{least: math.Max(2, 0.75*r), most: math.Max(3, 1.3*r), reach: reach, side: darkInside}, holeMark)
	}
	return f.look(at, wanted{least: math.Max(2, leastEntry*r), most: math.Max(3, mostEntry*r), reach: reach, side: darkInside}, jointMark)
}

// exit looks, on the foil side, for the empty hole or the joint of a component
// hole whose place is known within reach; scale is foil pixels per component
// pixel there.
func (f *face) exit(m mark, at geom.Point, reach, scale float64) mark {
	r := m.radius * scale
	hole := f.look(at, wanted{least: math.Max(2, 0.75*r), most: math.Max(3, 1.3*r), reach: reach, side: darkInside}, holeMark)
	if hole.cover >= markCover {
		return hole
	}
	return f.look(at, wanted{least: r / mostEntry, most: r / leastEntry, reach: reach, side: eitherSide}, jointMark)
}
