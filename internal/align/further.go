package align

import (
	"cmp"
	"context"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
)

// Numbers of the search for one photo within another of the same face.
const (
	// detailSpots and mainSpots are how many of the strongest spots take part.
	detailSpots = 70
	mainSpots   = 600
	// settleSpots is how many of the further photo's spots the map is fitted
	// to once its place is known.
	settleSpots = 400
	// Radii of spots against the photo's longer side: those of a close-up are
	// larger.
	leastDetail = 0.002
	mostDetail  = 0.06
	mostMain    = 0.03
	// neighbours is how many of a spot's nearest make pairs with it.
	neighbours = 7
	// alikeSize is the factor within which a spot's size tells the zoom.
	alikeSize = 1.6
	// onSpot is how far, against the distance of a pair, a spot may lie from
	// where a pair puts it, and onSpotLeast that in pixels of the main photo.
	onSpot      = 0.06
	onSpotLeast = 3.0
	// mostZoom bounds the zoom each way.
	mostZoom = 12.0
	// fewestShared spots, and the share of those that fall into the main photo,
	// that must agree; and by which factor they must exceed the next map's.
	fewestShared = 10
	leastShared  = 0.25
	exceedsNext  = 1.4
)

// FurtherOptions says what is known of the photo beside the main one.
type FurtherOptions struct {
	// Backlit is set where light comes through the board: what is dark in one
	// photo may then be bright in the other.
	Backlit bool
	// Progress, if given, is told how far the work is (0 to 1) and what it does.
	Progress func(done float64, what string)
}

// Further lays a further photo of a face (a close-up, a tile of a large board,
// a backlit one) over the face's main photo. The map goes from the further
// photo's pixels to the main one's; ToFoil applies it and ToComponent undoes
// it. It turns and zooms as the photos do and never mirrors.
//
// Method: two neighbouring spots of the one photo laid on two of the other
// give turn, zoom and place, which the other spots confirm or not; the best is
// fitted to all spots that agree (FromPairs' robust least squares).
//
// Errors: *Problem of kind Unsure where no place stands out; ctx.Err().
func Further(ctx context.Context, further, main *photo.Photo, opts FurtherOptions) (Alignment, error) {
	Options{Progress: opts.Progress}.report(0, "looking for spots in both photos")
	sizes := Sizes{sizeOf(further), sizeOf(main)}
	detail, whole, err := both(func(isMain bool) ([]blob, error) {
		if isMain {
			found, err := blobsOf(ctx, main.Pixels, wholePhoto(sizes.Foil), smallestBlob, mostMain)
			return thin(found, mainSpots), err
		}
		found, err := blobsOf(ctx, further.Pixels, wholePhoto(sizes.Component), leastDetail, mostDetail)
		return thin(found, settleSpots), err
	})
	if err != nil {
		return Alignment{}, err
	}
	Options{Progress: opts.Progress}.report(0.5, "looking for the place")
	s := &within{all: detail, detail: detail[:min(len(detail), detailSpots)], main: newBlobIndex(whole, 0.02*float64(max(sizes.Foil.Width, sizes.Foil.Height))), sizes: sizes, backlit: opts.Backlit}
	best, next, err := s.search(ctx)
	if err != nil {
		return Alignment{}, err
	}
	if best.shared < fewestShared || float64(best.shared) < leastShared*float64(best.inside) || float64(best.shared) < exceedsNext*float64(next.shared) {
		return Alignment{}, notFound()
	}
	return s.settle(ctx, best)
}

func notFound() error {
	return &Problem{Kind: Unsure, Reason: "the place that this photo shows can't be told with certainty in the face's main photo",
		Advice: "take it from nearer to the main photo's direction, with more of the board in it and all of it sharp"}
}

func wholePhoto(s Size) outline { return outline{quad: [4]geom.Point(s.corners())} }

// within looks for one photo's spots in another's.
type within struct {
	all     []blob // spots of the further photo
	detail  []blob // the strongest of them
	main    *blobIndex
	sizes   Sizes
	backlit bool
}

// placing is one similarity under trial.
type placing struct {
	m      geom.Projective
	zoom   float64 // main pixels to a detail pixel
	shared int     // spots that agree
	inside int     // spots that fall into the main photo
}

// search tries all pairs of neighbouring spots on all others.
func (s *within) search(ctx context.Context) (best, next placing, err error) {
	pairs, others := neighbourPairs(s.detail), neighbourPairs(s.main.blobs)
	for _, a := range pairs {
		if err := ctx.Err(); err != nil {
			return best, next, err
		}
		p, q := s.detail[a[0]], s.detail[a[1]]
		for _, b := range others {
			for _, c := range [2][2]int{b, {b[1], b[0]}} {
				m, ok := s.place(p, q, s.main.blobs[c[0]], s.main.blobs[c[1]])
				if !ok || !s.confirm(&m, best.shared) {
					continue
				}
				best, next = better(m, best, next, s.sizes)
			}
		}
	}
	return best, next, nil
}

// better keeps the best placing and the best of another place.
func better(m, best, next placing, sizes Sizes) (placing, placing) {
	middle := sizes.Component.centre()
	same := best.shared > 0 && m.m.Apply(middle).Dist(best.m.Apply(middle)) < 0.1*m.zoom*sizes.Component.diagonal()
	switch {
	case m.shared > best.shared && same:
		return m, next
	case m.shared > best.shared:
		return m, best
	case m.shared > next.shared && !same:
		return best, m
	}
	return best, next
}

// neighbourPairs lists each spot with its nearest ones.
func neighbourPairs(blobs []blob) [][2]int {
	var list [][2]int
	for i, b := range blobs {
		near := everyIndex(len(blobs))
		slices.SortStableFunc(near, func(k, l int) int {
			return cmp.Compare(blobs[k].at.Dist(b.at), blobs[l].at.Dist(b.at))
		})
		for _, k := range near[1:min(len(near), neighbours+1)] {
			if k > i || !slices.Contains(list, [2]int{k, i}) {
				list = append(list, [2]int{i, k})
			}
		}
	}
	return list
}

// place is the similarity that lays spots p and q on a and b; false where
// their sizes or kinds speak against it.
func (s *within) place(p, q, a, b blob) (placing, bool) {
	if !s.backlit && (p.dark != a.dark || q.dark != b.dark) {
		return placing{}, false
	}
	d, e := q.at.Sub(p.at), b.at.Sub(a.at)
	n := d.X*d.X + d.Y*d.Y
	if n == 0 {
		return placing{}, false
	}
	re, im := (e.X*d.X+e.Y*d.Y)/n, (e.Y*d.X-e.X*d.Y)/n
	zoom := math.Hypot(re, im)
	for _, r := range [2]float64{a.radius / p.radius, b.radius / q.radius} {
		if r > alikeSize*zoom || r < zoom/alikeSize {
			return placing{}, false
		}
	}
	if zoom > mostZoom || zoom < 1/mostZoom {
		return placing{}, false
	}
	m := geom.Projective{re, -im, a.at.X - re*p.at.X + im*p.at.Y, im, re, a.at.Y - im*p.at.X - re*p.at.Y, 0, 0, 1}
	return placing{m: m, zoom: zoom}, true
}

// confirm counts the spots that a placing lays on spots of their kind and
// size; false as soon as it can't exceed atLeast any more by much.
func (s *within) confirm(m *placing, atLeast int) bool {
	for i, b := range s.detail {
		at := m.m.Apply(b.at)
		if !s.sizes.Foil.contains(at) {
			continue
		}
		m.inside++
		if _, ok := s.partner(b, at, m.zoom); ok {
			m.shared++
		}
		// A right placing shows early: a third of the first dozen spots.
		if i == 12 && 4*m.shared < m.inside || i == 30 && 2*m.shared < atLeast {
			return false
		}
	}
	return true
}

// partner is the main spot nearest to a place if it is of the same kind and
// size.
func (s *within) partner(b blob, at geom.Point, zoom float64) (int, bool) {
	k, _, ok := s.main.nearest(at, math.Max(onSpotLeast, onSpot*b.radius*zoom*8))
	if !ok {
		return 0, false
	}
	o := s.main.blobs[k]
	ratio := o.radius / (b.radius * zoom)
	return k, (s.backlit || o.dark == b.dark) && ratio < alikeSize && ratio > 1/alikeSize
}

// settle fits the map to all spots that agree, once from where the placing
// puts them and twice from where the map does.
func (s *within) settle(ctx context.Context, p placing) (Alignment, error) {
	var f fitted
	var pairs []Pair
	toMain := p.m.Apply
	for range 3 {
		pairs = pairs[:0]
		for _, b := range s.all {
			if k, ok := s.partner(b, toMain(b.at), p.zoom); ok {
				pairs = append(pairs, Pair{b.at, s.main.blobs[k].at})
			}
		}
		if len(pairs) < fewestShared {
			return Alignment{}, notFound()
		}
		var ok bool
		var err error
		f, ok, err = robustFit(ctx, newModel(pairs, s.sizes), pairs, prior{params: plainParams})
		if err != nil {
			return Alignment{}, err
		}
		if !ok || len(f.used) < fewestShared || areaSign(f.model) < 0 {
			return Alignment{}, notFound()
		}
		m := f.model
		toMain = func(p geom.Point) geom.Point { q, _ := m.apply(p); return q }
	}
	exact, plain, chance, err := withLens(ctx, f, pairs)
	if err != nil {
		return Alignment{}, err
	}
	a := assemble(exact, plain, chance, pairs, s.sizes)
	a.Found, a.Left, a.Kept = FoundAutomatic, nil, nil
	return a, nil
}
