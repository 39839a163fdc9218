package specimen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// marks draws what lies on and is printed over the foil side.
func (v *variation) marks() {
	r := v.r
	if r.Float64() < 0.4 {
		v.legend()
	}
	if r.Float64() < 0.4 {
		v.moreWires()
	}
	if v.b.Mask == NoMask && r.Float64() < 0.35 || r.Float64() < 0.08 {
		v.runs()
	}
	if r.Float64() < 0.4 {
		v.drops()
	}
	if r.Float64() < 0.12 {
		v.stickers()
	}
	if r.Float64() < 0.35 {
		v.pools()
	}
	if r.Float64() < 0.12 {
		v.fronts()
	}
	if r.Float64() < 0.2 {
		v.nuts()
	}
	if r.Float64() < 0.3 {
		v.hairs()
	}
	if r.Float64() < 0.3 {
		v.halos()
	}
	if r.Float64() < 0.25 {
		v.outline()
	}
	if r.Float64() < 0.1 {
		v.hold()
	}
}

func (v *variation) anywhere() geom.Point {
	return geom.Point{X: v.r.Float64() * v.b.Size.X, Y: v.r.Float64() * v.b.Size.Y}
}

// runs tins some or all tracks thickly, by hand or by wave.
func (v *variation) runs() {
	r := v.r
	share := oneOf(r, 0.1, 0.3, 1, r.Float64())
	lumps, high, wide := r.Float64(), between(r, 0.05, 0.5), between(r, 0.6, 1.1)
	dull := r.Float64()
	for k, t := range v.b.Tracks {
		if r.Float64() > share {
			continue
		}
		from, to := 0.0, 1.0
		if r.Float64() < 0.4 {
			from = r.Float64() * 0.6
			to = from + r.Float64()*(1-from)
		}
		v.b.Look.Runs = append(v.b.Look.Runs, Run{k, from, to, t.Width / 2 * wide, lumps, Solder{
			Height: high * t.Width, Convex: between(r, 0.2, 1), Dull: math.Max(0, math.Min(1, dull+0.2*r.NormFloat64())),
		}})
	}
}

// drops lets large masses of solder fall on tracks and pours.
func (v *variation) drops() {
	r := v.r
	for range 1 + r.IntN(6) {
		if len(v.b.Tracks) == 0 {
			return
		}
		t := v.b.Tracks[r.IntN(len(v.b.Tracks))]
		at := t.Path[r.IntN(len(t.Path))]
		s := randomSolder(between(r, 2, 7), r.Float64(), r)
		s.Height = between(r, 0.3, 1.5)
		v.b.Drops = append(v.b.Drops, Drop{Net: t.Net, At: at, Solder: s})
	}
}

// legend prints references, values, outlines and lines.
func (v *variation) legend() {
	r, b := v.r, v.b
	ink := tone(r, oneOf[uint32](r, 0xe8e8e0, 0xe8e8e0, 0xd8d3b8, 0xe0c840, 0xd8b030, 0x201e1c, 0x1c2a60, 0x8c1d18), 0.1, 0.04)
	size, worn := between(r, 1, 2.6), math.Max(0, between(r, -0.4, 0.7))
	line, face := between(r, 0.12, 0.3), r.IntN(6)
	outlines, refs := r.Float64() < 0.6, r.Float64() < 0.8
	print := func(k Print) {
		k.Ink, k.Worn, k.Face = ink, worn, face
		b.Look.Prints = append(b.Look.Prints, k)
	}
	for _, t := range b.Parts {
		m := t.middle()
		turn := oneOf(r, 0, 0, math.Pi/2, -math.Pi/2)
		if refs {
			off := geom.Point{X: between(r, -2, 2), Y: between(r, -2, 2)}
			print(Print{Text: t.Ref, Path: []geom.Point{m.Add(off)}, Angle: turn, Size: size})
		}
		if outlines {
			for _, path := range symbol(r, t) {
				print(Print{Path: path, Size: line})
			}
		}
	}
	for range r.IntN(5) {
		text := oneOf(r, "+12V", "GND", "-", "+", "~", "IN", "OUT", "SPK", "BIAS", "T1", "OSC", "C", "B", "E", "FUSE 1A", "CAUTION", "REV 3", "DATE 0579")
		print(Print{Text: text, Path: []geom.Point{v.anywhere()}, Angle: oneOf(r, 0, math.Pi/2), Size: size * between(r, 0.8, 2)})
	}
}

// symbol is the outline of a part, or lines from lead to lead.
func symbol(r *rand.Rand, t Part) [][]geom.Point {
	a, b, w := t.core()
	u, n := t.axis()
	switch r.IntN(4) {
	case 0: // box
		p := oriented(a.Add(b).Scale(0.5), u, a.Dist(b)/2+w, w)
		return [][]geom.Point{append(p, p[0])}
	case 1: // ring
		var ring []geom.Point
		for k := range 21 {
			s, c := math.Sincos(float64(k) * math.Pi / 10)
			ring = append(ring, a.Add(geom.Point{X: c, Y: s}.Scale(w)))
		}
		return [][]geom.Point{ring}
	case 2: // two plates across a line
		m := t.middle()
		p, q := m.Add(u.Scale(0.4)), m.Sub(u.Scale(0.4))
		first, last := t.Leads[0].At, t.Leads[len(t.Leads)-1].At
		return [][]geom.Point{{first, q}, {p, last}, {p.Add(n.Scale(1.2)), p.Sub(n.Scale(1.2))}, {q.Add(n.Scale(1.2)), q.Sub(n.Scale(1.2))}}
	default: // zigzag from the first lead to the last
		p, q := t.Leads[0].At, t.Leads[len(t.Leads)-1].At
		path := []geom.Point{p}
		for k := range 8 {
			f := 0.25 + 0.5*float64(k)/7
			path = append(path, p.Add(q.Sub(p).Scale(f)).Add(n.Scale(0.7*float64(k%2*2-1))))
		}
		return [][]geom.Point{append(path, q)}
	}
}

// insulation is the colour of a wire.
func insulation(r *rand.Rand) Ink {
	return tone(r, oneOf[uint32](r, 0x1c1b1b, 0x5a3019, 0xb5231d, 0xde6a1b, 0xe0bd25, 0x2c7a3a, 0x24509c, 0x6e3f8c, 0x85868a, 0xe6e4de,
		0xe8e4d0, 0xd8d0a8, 0xcfa0a0, 0x86b4cf, 0x30a050, 0x2060d0, 0xd04050, 0xb8b8b4), 0.15, 0.08)
}

func (v *variation) randomWire(path []geom.Point) Wire {
	r := v.r
	w := Wire{
		Path: path, Width: between(r, 0.8, 2.2), Ink: insulation(r), Strip: [2]float64{between(r, 0.3, 4), between(r, 0.3, 4)},
		Lift: between(r, 0.3, 3), Gloss: between(r, 0.01, 0.1),
	}
	switch u := r.Float64(); {
	case u < 0.2:
		w.Bare, w.Width, w.Stiff, w.Lift = true, between(r, 0.4, 0.9), r.Float64() < 0.6, between(r, 0.1, 1)
	case u < 0.28:
		w.Milky = between(r, 0.2, 0.6)
	}
	return w
}

// drawnJumpers gives the jumpers that the layout needed their looks.
func (v *variation) drawnJumpers() {
	for i := range v.b.Jumpers {
		j := &v.b.Jumpers[i]
		w := v.randomWire(j.Path)
		j.Width = w.Width
		v.b.Look.Wires = append(v.b.Look.Wires, w)
	}
}

// moreWires adds wires within nets and wires that leave the board.
func (v *variation) moreWires() {
	r, b := v.r, v.b
	for range 1 + r.IntN(4+len(b.Pads)/12) {
		p := b.Pads[r.IntN(len(b.Pads))]
		if p.Solder.Spread <= 0 {
			continue
		}
		if r.Float64() < 0.45 {
			v.leave(p)
			continue
		}
		for _, k := range r.Perm(len(b.Pads)) {
			q := b.Pads[k]
			if q.Net == p.Net && q.At != p.At && q.Solder.Spread > 0 {
				v.link(p.At, q.At, p.Net)
				break
			}
		}
	}
}

// link lays a wire between two joints of a net.
func (v *variation) link(a, e geom.Point, net string) {
	w := v.randomWire(v.stray(a, e))
	v.b.Jumpers = append(v.b.Jumpers, Jumper{Net: net, Path: slices.Clone(w.Path), Width: w.Width, Colour: "grey"})
	v.b.Look.Wires = append(v.b.Look.Wires, w)
}

// leave leads a wire from a pad off the board.
func (v *variation) leave(p Pad) {
	s, c := math.Sincos(v.r.Float64() * 2 * math.Pi)
	out := p.At.Add(geom.Point{X: c, Y: s}.Scale(v.b.Size.Norm() * between(v.r, 0.7, 2)))
	w := v.randomWire(v.stray(p.At, out))
	w.Strip[1] = 0
	v.b.Look.Wires = append(v.b.Look.Wires, w)
}

// stray is a wandering path between two places.
func (v *variation) stray(a, b geom.Point) []geom.Point {
	path := []geom.Point{a}
	n := 1 + v.r.IntN(3)
	d := a.Dist(b)
	for k := 1; k <= n; k++ {
		m := a.Add(b.Sub(a).Scale(float64(k) / float64(n+1)))
		off := geom.Point{X: v.r.NormFloat64(), Y: v.r.NormFloat64()}.Scale(0.12 * d)
		path = append(path, m.Add(off))
	}
	return append(path, b)
}

func (v *variation) stickers() {
	r := v.r
	for range 1 + r.IntN(2) {
		c := Cover{At: v.anywhere(), Size: geom.Point{X: between(r, 6, 25), Y: between(r, 3, 12)}, Angle: oneOf(r, 0, math.Pi/2, r.NormFloat64()*0.2),
			Ink: tone(r, oneOf[uint32](r, 0xe8e6e0, 0xe8e6e0, 0xe0c850, 0xd8d8d0, 0x60a0d0, 0xc0a070), 0.1, 0.05), Gloss: between(r, 0, 0.08),
			Letter: tone(r, oneOf[uint32](r, 0x1c1b1b, 0x2040a0, 0xa02020), 0.1, 0.05)}
		for range r.IntN(3) {
			c.Text = append(c.Text, oneOf(r, "QC 12", "PASSED", "No. ", "SERIAL ", "TEST ")+fmt.Sprint(r.IntN(90000)))
		}
		v.b.Look.Covers = append(v.b.Look.Covers, c)
	}
}

// hold puts fingers over the board's edge.
func (v *variation) hold() {
	r, b := v.r, v.b
	skin := tone(r, oneOf[uint32](r, 0xd8a58a, 0xc68a6c, 0xe8c0a8, 0x8a5a40, 0x5a3828), 0.1, 0.04)
	radius := between(r, 6, 9)
	mid := b.Size.Scale(0.5)
	for range 1 + r.IntN(2) {
		s, c := math.Sincos(r.Float64() * 2 * math.Pi)
		out := geom.Point{X: c, Y: s}
		edge := mid.Add(geom.Point{X: c * b.Size.X / 2, Y: s * b.Size.Y / 2})
		v.b.Look.Fingers = append(v.b.Look.Fingers, Finger{edge.Add(out.Scale(60)), edge.Add(out.Scale(between(r, -8, 2))), radius, skin})
	}
}

// pools spill flux, glue and chalky residue.
func (v *variation) pools() {
	r := v.r
	for range 1 + r.IntN(8) {
		at := v.anywhere()
		if len(v.b.Pads) > 0 && r.Float64() < 0.7 {
			at = v.b.Pads[r.IntN(len(v.b.Pads))].At
		}
		q := Pool{At: at, Radius: math.Exp(between(r, 0.3, 2.2)), Ink: tone(r, oneOf[uint32](r, 0xe6d09a, 0xc89a50, 0xb07828, 0x8a5a28, 0xf0e8d0), 0.15, 0.08),
			Gloss: between(r, 0.02, 0.12), Rim: between(r, 0, 0.5)}
		if r.Float64() < 0.25 {
			q.Ink, q.Chalk, q.Gloss = tone(r, 0xe8e6dc, 0.1, 0.04), between(r, 0.1, 0.6), 0
		}
		v.b.Look.Pools = append(v.b.Look.Pools, q)
	}
}

// fronts solders small parts to the foil side.
func (v *variation) fronts() {
	r, b := v.r, v.b
	for range 1 + r.IntN(4) {
		p, q := b.Pads[r.IntN(len(b.Pads))], b.Pads[r.IntN(len(b.Pads))]
		d := p.At.Dist(q.At)
		if d < 5 || d > 30 || p.Solder.Spread <= 0 || q.Solder.Spread <= 0 {
			continue
		}
		b.Look.Wires = append(b.Look.Wires, Wire{Path: []geom.Point{p.At, q.At}, Width: 0.6, Bare: true, Stiff: true, Lift: 1})
		half := math.Min(d*0.3, between(r, 1.5, 6)) / d
		mid := p.At.Add(q.At).Scale(0.5)
		t := Thing{A: mid.Add(p.At.Sub(q.At).Scale(half)), B: mid.Add(q.At.Sub(p.At).Scale(half)), Radius: between(r, 0.9, 2), Ink: insulation(r), Gloss: 0.05}
		if r.Float64() < 0.3 {
			t.Size = geom.Point{X: half * d, Y: t.Radius}
		}
		b.Look.Fronts = append(b.Look.Fronts, t)
	}
}

// nuts leaves fixings on some mounting holes.
func (v *variation) nuts() {
	r := v.r
	metal := tone(r, oneOf[uint32](r, 0xb8b8b4, 0x9a9a96, 0xc0a860, 0x4a4846), 0.1, 0.04)
	for _, m := range v.b.Mounts {
		if r.Float64() < 0.6 {
			v.b.Look.Nuts = append(v.b.Look.Nuts, Nut{m.At, m.Hole * between(r, 0.75, 1.1), oneOf(r, 0, 6, 6), r.Float64() * 2, metal})
		}
	}
}

// hairs and fibres lie about.
func (v *variation) hairs() {
	r := v.r
	for range 1 + r.IntN(5) {
		a := v.anywhere()
		path := smoothPath(v.stray(a, a.Add(geom.Point{X: r.NormFloat64() * 6, Y: r.NormFloat64() * 6})))
		v.b.Look.Prints = append(v.b.Look.Prints, Print{Path: path, Size: between(r, 0.03, 0.1), Ink: tone(r, oneOf[uint32](r, 0x2a2420, 0xd8d4c8, 0x8a8478), 0.2, 0.05)})
	}
}

// halos brown the board around some joints.
func (v *variation) halos() {
	r := v.r
	ink := tone(r, oneOf[uint32](r, 0xd8a860, 0xc08040, 0xe0c080, 0x80502c, 0xb87838), 0.15, 0.06)
	share, wide := r.Float64(), between(r, 2, 7)
	for _, p := range v.b.Pads {
		if p.Solder.Spread > 0 && r.Float64() < share {
			v.b.Look.Halos = append(v.b.Look.Halos, Halo{p.At, wide * between(r, 0.5, 1.3), ink, between(r, 0.2, 1)})
		}
	}
}

// outline cuts corners, notches and windows out of the board where no copper is.
func (v *variation) outline() {
	r, b := v.r, v.b
	shapes := shapesOf(b)
	for range 1 + r.IntN(4) {
		c := Cut{At: v.anywhere(), Size: geom.Point{X: between(r, 1.5, 9), Y: between(r, 1.5, 9)}, Angle: oneOf(r, 0, 0, math.Pi/4, r.Float64()*3)}
		switch r.IntN(3) {
		case 0: // at a corner
			c.At = geom.Point{X: b.Size.X * float64(r.IntN(2)), Y: b.Size.Y * float64(r.IntN(2))}
		case 1: // at an edge
			c.At.Y = b.Size.Y * float64(r.IntN(2))
		default:
			if r.Float64() < 0.5 {
				c.Size.Y = 0
			}
		}
		if v.free(shapes, c) {
			b.Look.Cuts = append(b.Look.Cuts, c)
		}
	}
}

// free tells whether a cut touches neither copper nor a hole.
func (v *variation) free(shapes []shape, c Cut) bool {
	reach := c.Size.Norm() + 0.8
	spot := shape{strokes: []stroke{{c.At, c.At, 2 * reach, 2 * reach}}}
	for _, o := range shapes {
		if spot.near(o, 0.1) && spot.gap(o) <= 0 {
			return false
		}
	}
	for _, e := range v.b.Etched {
		if e.At.Dist(c.At) < reach+e.Height*float64(len(e.Text)) {
			return false
		}
	}
	for _, m := range v.b.Mounts {
		if m.At.Dist(c.At) < reach+m.Hole/2 {
			return false
		}
	}
	return true
}
