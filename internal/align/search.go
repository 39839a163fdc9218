package align

import (
	"cmp"
	"context"
	"math"
	"slices"

	"foilside/internal/num/geom"
)

// turn is one way in which the foil photo may show the board of the component
// photo: which corner of the foil quad the component quad's first corner is,
// and whether the board was turned over between the photos, as it must be.
type turn struct {
	mirrored bool
	corner   int // 0 to 3
}

// everyTurn lists the four mirrored turns and the four that keep the face,
// which no honest pair of photos shows: they serve as a measure of how well a
// wrong map can be made to look.
func everyTurn() []turn {
	var list []turn
	for _, mirrored := range []bool{true, false} {
		for corner := range 4 {
			list = append(list, turn{mirrored, corner})
		}
	}
	return list
}

// guess is the map that lays one quad over the other under a turn.
func (t turn) guess(component, foil outline) (geom.Projective, bool) {
	var to [4]geom.Point
	for i := range to {
		k := t.corner + i
		if t.mirrored {
			k = t.corner - i
		}
		to[i] = foil.quad[((k%4)+4)%4]
	}
	return geom.FourPoint(component.quad, to)
}

// mostStretched is the largest ratio of the two axes of a map's stretch, at
// the middle of the board, that two photos of one board are taken to show:
// both tilted by 45° crosswise give 1.41.
const mostStretched = 1.5

// stretched is the ratio of the larger to the smaller singular value of the
// map's derivative at p.
func stretched(m geom.Projective, p geom.Point) float64 {
	j := m.Jacobian(p)
	sum := j[0]*j[0] + j[1]*j[1] + j[2]*j[2] + j[3]*j[3]
	det := math.Abs(j[0]*j[3] - j[1]*j[2])
	if det == 0 {
		return math.Inf(1)
	}
	half := sum / (2 * det)
	return half + math.Sqrt(math.Max(0, half*half-1))
}

// blobIndex finds the blobs near a place: a grid over the box that holds them
// all, the blobs of each cell one after the other.
type blobIndex struct {
	blobs  []blob
	cell   float64
	corner geom.Point // of the box
	nx, ny int
	first  []int // of each cell in items; one more for the end
	items  []int
}

func newBlobIndex(blobs []blob, cell float64) *blobIndex {
	x := &blobIndex{blobs: blobs, cell: cell, nx: 1, ny: 1, items: make([]int, len(blobs))}
	for i, b := range blobs {
		if i == 0 {
			x.corner = b.at
		}
		x.corner = geom.Point{X: math.Min(x.corner.X, b.at.X), Y: math.Min(x.corner.Y, b.at.Y)}
	}
	for _, b := range blobs {
		cx, cy := x.place(b.at)
		x.nx, x.ny = max(x.nx, cx+1), max(x.ny, cy+1)
	}
	x.first = make([]int, x.nx*x.ny+1)
	for _, b := range blobs {
		cx, cy := x.place(b.at)
		x.first[cy*x.nx+cx+1]++
	}
	for c := range x.nx * x.ny {
		x.first[c+1] += x.first[c]
	}
	next := slices.Clone(x.first)
	for i, b := range blobs {
		cx, cy := x.place(b.at)
		x.items[next[cy*x.nx+cx]] = i
		next[cy*x.nx+cx]++
	}
	return x
}

// place is the cell of p, which may lie outside the grid.
func (x *blobIndex) place(p geom.Point) (cx, cy int) {
	return int(math.Floor((p.X - x.corner.X) / x.cell)), int(math.Floor((p.Y - x.corner.Y) / x.cell))
}

// near calls do with every blob in the cells within reach of p.
func (x *blobIndex) near(p geom.Point, reach float64, do func(i int)) {
	if !p.Finite() {
		return
	}
	x0, y0 := x.place(p.Sub(geom.Point{X: reach, Y: reach}))
	x1, y1 := x.place(p.Add(geom.Point{X: reach, Y: reach}))
	x0, x1 = max(x0, 0), min(x1, x.nx-1)
	for cy := max(y0, 0); cy <= min(y1, x.ny-1) && x0 <= x1; cy++ {
		row := cy * x.nx
		for _, i := range x.items[x.first[row+x0]:x.first[row+x1+1]] {
			do(i)
		}
	}
}

// nearest is the blob nearest to p within reach; false where there is none.
func (x *blobIndex) nearest(p geom.Point, reach float64) (best int, distance float64, ok bool) {
	distance = reach
	x.near(p, reach, func(i int) {
		if d := x.blobs[i].at.Dist(p); d <= distance {
			best, distance, ok = i, d, true
		}
	})
	return best, distance, ok
}

// binShare is the width of a vote's bin against the foil quad's longer side.
const binShare = 0.005

// Steps of scale and angle (radians) that are tried: half a step moves a place
// half the board's length from its middle by less than a bin.
const (
	scaleNudge = 0.015
	angleNudge = 0.75 * math.Pi / 180
)

// nudges lists the best small similarities that make the guess fit the blobs:
// for each scale and angle in reach, every pair of a component blob and a foil
// blob near it votes for the shift between them.
//
// Source: generalised Hough transform, Ballard, Pattern Recognit. 13 (1981).
func (s *scene) nudges(ctx context.Context, guess geom.Projective) ([]geom.Projective, error) {
	var peaks []nudge
	votes := newBallot(s.reach.shift*s.longer, binShare*s.longer)
	voters := s.component[:min(len(s.component), mostVoters)]
	for k := -s.reach.scale; k <= s.reach.scale+1e-9; k += scaleNudge {
		for a := -s.reach.angle; a <= s.reach.angle+1e-9; a += angleNudge {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			m := about(s.middle, 1+k, a).Mul(guess)
			votes.clear()
			for _, b := range voters {
				p := m.Apply(b.at)
				for _, foil := range s.foil {
					foil.near(p, votes.reach, func(i int) { votes.cast(foil.blobs[i].at.Sub(p)) })
				}
			}
			for _, v := range votes.top(2) {
				move := geom.Projective{1, 0, v.at.X, 0, 1, v.at.Y, 0, 0, 1}
				peaks = append(peaks, nudge{v.votes, move.Mul(m)})
			}
		}
	}
	slices.SortStableFunc(peaks, func(a, b nudge) int { return cmp.Compare(b.votes, a.votes) })
	var list []geom.Projective
	for _, p := range peaks {
		known := func(m geom.Projective) bool { return s.apart(m, p.m) < 2*binShare }
		if len(list) < tries && !slices.ContainsFunc(list, known) {
			list = append(list, p.m)
		}
	}
	return list, nil
}

// nudge is a map near the guess with its votes.
type nudge struct {
	votes float64
	m     geom.Projective
}

const (
	// mostVoters bounds the component blobs that vote, the strongest first.
	mostVoters = 400
	// tries is how many places of each turn are refined.
	tries = 4
)

// about scales and turns round a point.
func about(p geom.Point, scale, angle float64) geom.Projective {
	c, d := scale*math.Cos(angle), scale*math.Sin(angle)
	return geom.Projective{c, -d, p.X - c*p.X + d*p.Y, d, c, p.Y - d*p.X - c*p.Y, 0, 0, 1}
}

// ballot counts votes for shifts within reach.
type ballot struct {
	reach, bin float64
	n          int
	count      []float64
}

func newBallot(reach, bin float64) *ballot {
	n := 2*int(math.Ceil(reach/bin)) + 1
	return &ballot{reach: reach, bin: bin, n: n, count: make([]float64, n*n)}
}

func (b *ballot) clear() { clear(b.count) }

func (b *ballot) cast(shift geom.Point) {
	x, y := int(math.Round(shift.X/b.bin))+b.n/2, int(math.Round(shift.Y/b.bin))+b.n/2
	if x >= 0 && y >= 0 && x < b.n && y < b.n {
		b.count[y*b.n+x]++
	}
}

// tally is a bin with its neighbours.
type tally struct {
	votes float64
	at    geom.Point
}

// top gives the k bins with most votes, each with its eight neighbours, that
// don't touch one another.
func (b *ballot) top(k int) []tally {
	var all []tally
	for y := range b.n {
		for x := range b.n {
			sum := 0.0
			for yy := max(0, y-1); yy <= min(b.n-1, y+1); yy++ {
				for xx := max(0, x-1); xx <= min(b.n-1, x+1); xx++ {
					sum += b.count[yy*b.n+xx]
				}
			}
			all = append(all, tally{sum, geom.Point{X: float64(x-b.n/2) * b.bin, Y: float64(y-b.n/2) * b.bin}})
		}
	}
	slices.SortStableFunc(all, func(a, c tally) int { return cmp.Compare(c.votes, a.votes) })
	var list []tally
	for _, t := range all {
		if len(list) == k {
			break
		}
		if !slices.ContainsFunc(list, func(u tally) bool { return u.at.Dist(t.at) < 3*b.bin }) {
			list = append(list, t)
		}
	}
	return list
}
