package specimen

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// Varied invents a board and a photograph of its foil side, everything drawn
// as widely as real old boards and real photographs vary: for training what
// reads foil photographs. The board has 8 to 120 joints and fills 0.4 to 1.3
// of the picture.
//
// Errors: the context's error.
func Varied(ctx context.Context, seed uint64) (Board, FaceShot, error) {
	r := newRand(seed, 201)
	style := variedStyle(r)
	v := &variation{r: r, gap: style.Gap}
	if r.Float64() < 0.1 {
		v.perforated(style)
	} else if err := v.laidOut(ctx, style, seed); err != nil {
		return Board{}, FaceShot{}, fmt.Errorf("varied board %d: %w", seed, err)
	}
	v.b.Name = fmt.Sprintf("varied %d", seed)
	v.marks()
	return *v.b, v.shot(), ctx.Err()
}

// laidOut places and routes a circuit and changes its shapes.
func (v *variation) laidOut(ctx context.Context, style Style, seed uint64) error {
	r := v.r
	b, err := layoutOnce(ctx, variedCircuit(r, int(8*math.Pow(15, math.Pow(r.Float64(), 0.7)))), style, nil, seed)
	if err != nil {
		return err
	}
	v.b = &b
	v.shapes()
	v.rings()
	if r.Float64() < 0.4 {
		warpBoard(&b, r)
	}
	b.Look = v.look()
	v.drawnJumpers()
	b.Look.Bulge = math.Max(0, between(r, -0.15, 0.3)) * v.gap
	return nil
}

// variedCircuit invents a circuit of about the given number of joints, some
// of them of integrated circuits.
func variedCircuit(r *rand.Rand, joints int) []CircuitPart {
	var chips []int
	if r.Float64() < 0.3 {
		for left := joints * 2 / 3; left >= 8 && len(chips) < 4; {
			n := oneOf(r, 8, 14, 16)
			if n > left {
				break
			}
			chips = append(chips, n)
			left -= n
			joints -= n
		}
	}
	out := randomCircuit(r, max(8, joints))
	nets := map[string]bool{}
	var names []string
	for _, p := range out {
		for _, l := range leadOrder(p) {
			if n := p.Leads[l]; !nets[n] {
				nets[n] = true
				names = append(names, n)
			}
		}
	}
	for k, n := range chips {
		p := CircuitPart{Ref: fmt.Sprintf("IC%d", k+1), Kind: "connector", Params: map[string]string{"body": string(DIPBody)}, Leads: map[string]string{}}
		for i := range n {
			p.Leads[fmt.Sprintf("%02d", i+1)] = names[r.IntN(len(names))]
		}
		out = append(out, p)
	}
	return out
}

// RenderVaried photographs the foil side of the board of Varied, width pixels
// wide. It gives the photograph with Class and Copper.
func RenderVaried(ctx context.Context, seed uint64, width int) (Face, error) {
	b, shot, err := Varied(ctx, seed)
	if err != nil {
		return Face{}, err
	}
	return variedFace(ctx, b, true, shot, width, seed)
}

// VariedBoth is Varied for a board with copper on both faces, and a photograph
// of its component side.
func VariedBoth(ctx context.Context, seed uint64) (Board, FaceShot, error) {
	r := newRand(seed, 202)
	style := variedStyle(r)
	style.Both = oneOf(r, PlainHoles, PlatedHoles)
	style.Legend = r.Float64() < 0.5
	style.Missing = oneOf(r, 0, r.Float64())
	v := &variation{r: r, gap: style.Gap}
	if err := v.laidOut(ctx, style, seed); err != nil {
		return Board{}, FaceShot{}, fmt.Errorf("varied board %d: %w", seed, err)
	}
	v.b.Name = fmt.Sprintf("varied two-sided %d", seed)
	return *v.b, v.shot(), ctx.Err()
}

// RenderVariedUpper photographs the component side of the board of VariedBoth.
// Class says what is copper and what is a part in front of it.
func RenderVariedUpper(ctx context.Context, seed uint64, width int) (Face, error) {
	b, shot, err := VariedBoth(ctx, seed)
	if err != nil {
		return Face{}, err
	}
	return variedFace(ctx, b, false, shot, width, seed)
}

func variedFace(ctx context.Context, b Board, foil bool, shot FaceShot, width int, seed uint64) (Face, error) {
	r := newRand(seed, 203)
	aspect := oneOf(r, 0.75, 0.5625, 0.667, between(r, 0.45, 1.1))
	if r.Float64() < 0.5 { // cropped to the board
		aspect = max(0.4, min(1.1, b.Size.Y/b.Size.X*between(r, 0.95, 1.2)))
	}
	height := int(float64(width) * aspect)
	return RenderFace(ctx, b, foil, shot, width, height, seed)
}

// variation draws one varied board and its photograph.
type variation struct {
	r   *rand.Rand
	b   *Board
	gap float64
}

func variedStyle(r *rand.Rand) Style {
	s := Style{
		Laminate: Cream, Finish: oneOf(r, Bare, Tinned, Tinned, Oxidised),
		Width: between(r, 0.6, 1.5), Gap: between(r, 0.3, 0.9), Pad: between(r, 1.7, 3.0),
		Rounded: r.Float64() < 0.55, Teardrop: r.Float64() < 0.5, Pour: r.Float64() < 0.4,
		Fill: between(r, 0.3, 0.5), Aspect: between(r, 1, 2.6), Jumpers: 9,
		Joint: r.Float64(),
		Wear: Wear{
			Flux: r.Float64() * r.Float64() * 1.4, Dirt: between(r, 0, 1) * r.Float64(), Scratches: int(25 * math.Pow(r.Float64(), 2)),
			Burns: int(5 * math.Pow(r.Float64(), 3)), Drills: int(6 * math.Pow(r.Float64(), 3)),
			Ragged: between(r, 0, 0.06), Seed: r.Uint64(),
		},
	}
	s.Wide = s.Width + between(r, 0, 3)
	s.Gap = math.Min(s.Gap, 2.54*0.9-s.Width*0.5) // a track still passes between pads
	if r.Float64() < 0.5 {
		s.Mask = oneOf(r, GreenMask, BlueMask, BrownMask)
	}
	if r.Float64() < 0.5 {
		s.Etched = oneOf(r, "FOIL SIDE", "ISSUE 2", "A1047-B", "+ 9V -", "TP 3", "B 12", "PC 4402/3", "K", "1 2 3 4 5")
	}
	if r.Float64() < 0.45 {
		s.Missing = math.Pow(r.Float64(), 2)
	}
	return s
}

// shapes changes sizes of pads, holes and solder where there is room.
func (v *variation) shapes() {
	r, b := v.r, v.b
	d := newDraughtsman(b, v.gap)
	holes := between(r, 0.75, 1.25)
	share := r.Float64() * 0.4
	for i := range b.Pads {
		p := &b.Pads[i]
		p.Hole *= holes
		if r.Float64() > share {
			continue
		}
		grown := p.Diameter * between(r, 1.1, 2.4)
		for grown > p.Diameter*1.05 {
			if d.clear(Track{Net: p.Net, Width: grown, Path: []geom.Point{p.At, p.At}}) {
				p.Solder.Spread *= math.Sqrt(grown / p.Diameter)
				p.Diameter = grown
				break
			}
			grown *= 0.9
		}
	}
	v.solder()
	v.oblong(d)
	v.cuts()
	if r.Float64() < 0.15 {
		v.hatch()
	}
}

// hatch opens the wide copper in a grid of squares, as some planes are.
func (v *variation) hatch() {
	step, half := between(v.r, 1.6, 3.5), between(v.r, 0.35, 0.8)
	for i := range v.b.Areas {
		a := &v.b.Areas[i]
		whole := a.contours()
		lo, hi := bounds(a.Outline)
		for y := lo.Y; y < hi.Y; y += step {
			for x := lo.X; x < hi.X; x += step {
				c := geom.Point{X: x, Y: y}
				if within(whole, c, half+0.4) {
					a.Holes = append(a.Holes, oriented(c, geom.Point{X: 1}, half, half))
				}
			}
		}
	}
}

// within tells whether a square around c lies inside the contours: its
// corners, its sides' middles and points between.
func within(contours [][]geom.Point, c geom.Point, half float64) bool {
	for _, s := range []float64{-1, -0.5, 0, 0.5, 1} {
		for _, p := range []geom.Point{{X: s, Y: -1}, {X: s, Y: 1}, {X: -1, Y: s}, {X: 1, Y: s}} {
			if !inside(contours, c.Add(p.Scale(half))) {
				return false
			}
		}
	}
	return true
}

// oblong makes some pads longer than wide.
func (v *variation) oblong(d *draughtsman) {
	r := v.r
	if r.Float64() > 0.4 {
		return
	}
	share, long := r.Float64(), between(r, 1.2, 2)
	for i := range v.b.Pads {
		p := &v.b.Pads[i]
		q := *p
		q.Length = q.Diameter * long
		a, e := q.ends()
		if r.Float64() < share && d.clear(Track{Net: q.Net, Width: q.Diameter, Path: []geom.Point{a, e}}) {
			*p = q
		}
	}
}

// rings puts copper around some mounting holes.
func (v *variation) rings() {
	r, b := v.r, v.b
	if r.Float64() > 0.3 {
		return
	}
	d := newDraughtsman(&Board{Size: b.Size, Tracks: b.Tracks, Areas: b.Areas, Pads: b.Pads}, v.gap)
	wide := between(r, 1, 5)
	for i, m := range b.Mounts {
		ring := Pad{Net: fmt.Sprintf("ring %d", i+1), At: m.At, Diameter: m.Hole + wide, Hole: m.Hole}
		if d.clear(Track{Net: ring.Net, Width: ring.Diameter, Path: []geom.Point{m.At, m.At}}) {
			b.Pads = append(b.Pads, ring)
		}
	}
}

// solder gives the board's joints their own manner.
func (v *variation) solder() {
	r, b := v.r, v.b
	lean, dull, high := between(r, 0.8, 1.35), math.Pow(r.Float64(), 1.5), between(r, 0.6, 1.4)
	leads, tails := math.Pow(r.Float64(), 2), math.Pow(r.Float64(), 2)
	for i := range b.Pads {
		s := &b.Pads[i].Solder
		if s.Spread <= 0 {
			continue
		}
		if r.Float64() < 0.04 { // never soldered
			*s = Solder{}
			continue
		}
		s.Spread *= lean
		s.Height *= high
		s.Dull = math.Max(0, math.Min(1, dull+0.25*r.NormFloat64()))
		if s.Lead = 0; r.Float64() < leads {
			s.Lead = between(r, 0.7, 3)
		}
		if r.Float64() < tails {
			s.Tail = between(r, 0.5, 3) * b.Pads[i].Diameter
		}
		if r.Float64() < 0.3 {
			s.Toward += r.NormFloat64()
		}
	}
}

// cuts breaks a few tracks as a knife or a milling bit does.
func (v *variation) cuts() {
	if v.r.Float64() > 0.15 {
		return
	}
	for range 1 + v.r.IntN(3) {
		k := v.r.IntN(max(1, len(v.b.Tracks)))
		if k >= len(v.b.Tracks) {
			return
		}
		t := v.b.Tracks[k]
		total := pathLength(t.Path)
		if t.Taper > 0 || total < 6 {
			continue
		}
		at, half := between(v.r, 0.3, 0.7), (between(v.r, 0.3, 1.2)+t.Width)/2/total
		a, b := t, t
		a.Path, b.Path = part(t.Path, 0, at-half), part(t.Path, at+half, 1)
		v.b.Tracks[k] = a
		v.b.Tracks = append(v.b.Tracks, b)
	}
}

// part is the path between two shares of its length, cut exactly.
func part(path []geom.Point, from, to float64) []geom.Point {
	total := pathLength(path)
	a, b := from*total, to*total
	var out []geom.Point
	done := 0.0
	for i := 1; i < len(path); i++ {
		p, q := path[i-1], path[i]
		l := p.Dist(q)
		at := func(s float64) geom.Point { return p.Add(q.Sub(p).Scale((s - done) / math.Max(1e-12, l))) }
		if done+l >= a && len(out) == 0 {
			out = append(out, at(math.Max(a, done)))
		}
		if len(out) > 0 {
			if done+l >= b {
				return append(out, at(b))
			}
			out = append(out, q)
		}
		done += l
	}
	return out
}

// warpBoard bends everything on the board a little, as a hand draws it.
func warpBoard(b *Board, r *rand.Rand) {
	type wave struct {
		k, d  geom.Point
		phase float64
	}
	var waves []wave
	for range 3 {
		length := between(r, 15, 50)
		sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
		s2, c2 := math.Sincos(r.Float64() * 2 * math.Pi)
		amp := between(r, 0.1, 0.3) * length / 2 / math.Pi * 0.15
		waves = append(waves, wave{geom.Point{X: cos, Y: sin}.Scale(2 * math.Pi / length), geom.Point{X: c2, Y: s2}.Scale(amp), r.Float64() * 7})
	}
	bend := func(p geom.Point) geom.Point {
		q := p
		for _, w := range waves {
			q = q.Add(w.d.Scale(math.Sin(p.X*w.k.X + p.Y*w.k.Y + w.phase)))
		}
		return q
	}
	bendAll(b, bend)
}

func bendAll(b *Board, bend func(geom.Point) geom.Point) {
	each := func(path []geom.Point) []geom.Point {
		out := make([]geom.Point, len(path))
		for i, p := range path {
			out[i] = bend(p)
		}
		return out
	}
	copper := func(tracks []Track, areas []Area) {
		for i := range tracks {
			tracks[i].Path = each(divide(tracks[i].Path, 2.5))
		}
		for i := range areas {
			areas[i].Outline = each(areas[i].Outline)
			for j := range areas[i].Holes {
				areas[i].Holes[j] = each(areas[i].Holes[j])
			}
		}
	}
	copper(b.Tracks, b.Areas)
	if b.Upper != nil {
		copper(b.Upper.Tracks, b.Upper.Areas)
	}
	for i := range b.Pads {
		b.Pads[i].At = bend(b.Pads[i].At)
	}
	for i := range b.Mounts {
		b.Mounts[i].At = bend(b.Mounts[i].At)
	}
	for i := range b.Drops {
		b.Drops[i].At = bend(b.Drops[i].At)
	}
	for i := range b.Etched {
		b.Etched[i].At = bend(b.Etched[i].At)
	}
	for i := range b.Jumpers {
		b.Jumpers[i].Path = each(b.Jumpers[i].Path)
	}
	for i := range b.Parts {
		for j := range b.Parts[i].Leads {
			b.Parts[i].Leads[j].At = bend(b.Parts[i].Leads[j].At)
		}
	}
}
