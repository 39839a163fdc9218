package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// Class says what a pixel of the foil photograph shows.
type Class uint8

// The classes.
const (
	Background Class = iota
	BareBoard
	CopperClass
	SolderClass
	HoleClass
	WireClass
)

// foilFace is the foil side painted flat, with its truth.
type foilFace struct {
	*surface
	class  []uint8
	copper []uint16 // label of the copper or solder there, also under wires; 0: none
}

// foilPainter holds what painting the foil side passes from step to step.
type foilPainter struct {
	b      *Board // its nets are islands
	face   *foilFace
	labels map[string]uint16
	cu     *field // copper
	open   *field // mask openings
	solder *field // solder on the copper
	hole   *field
	solids []bead    // solder.label is 1 + an index into it
	bump   []float32 // height, mm
	coarse *tile
	fine   *tile
	milky  float32 // share of what lies below that shows through the rods being laid
}

// newFoilPainter has the copper and nothing painted yet.
func newFoilPainter(g grid, b *Board, labels map[string]uint16) *foilPainter {
	r := newRand(b.Wear.Seed, 1)
	n := g.w * g.h
	return &foilPainter{
		b: b, labels: labels,
		face:   &foilFace{newSurface(g), make([]uint8, n), make([]uint16, n)},
		cu:     copperField(g, b, labels),
		open:   newField(g),
		solder: newField(g),
		hole:   newField(g),
		bump:   make([]float32, n),
		coarse: newTile(r, 32), fine: newTile(r, 4),
	}
}

func paintFoil(g grid, b *Board, labels map[string]uint16, v View, f FaceShot, text *lettering) *foilFace {
	l := f.Light
	p := newFoilPainter(g, b, labels)
	p.ragged()
	p.openMask()
	p.joints()
	p.holes()
	if f.Scene != nil {
		p.things(f.Scene.Clutter, l.shadow(), Background)
	}
	p.base()
	p.etched(text)
	p.metal()
	p.domes()
	p.grain()
	if b.Look != nil {
		p.waves()
	}
	p.face.incline(p.bump)
	if b.Look != nil {
		p.prints(text)
		p.lookLeads(l.shadow())
		p.wires(l.shadow())
		p.things(b.Look.Fronts, l.shadow(), WireClass)
	} else {
		p.leads()
		p.legend(text)
		p.jumpers()
	}
	wear(p.face.surface, b, 2)
	if b.Look != nil {
		p.halos()
		p.pools()
	}
	p.drillMarks()
	p.blocked()
	groundShadow(p.face.surface, b, l.shadow())
	for _, m := range b.Mounts {
		bore(p.face.surface, b, v, m)
	}
	if b.Look != nil {
		p.nuts(l.shadow())
		p.covers(text)
		p.fingers(l.shadow())
	}
	return p.face
}

// openMask cuts the mask's openings, a little larger than the pads and a
// little beside them, as masks are.
func (p *foilPainter) openMask() {
	if p.b.Mask == NoMask {
		return
	}
	r := newRand(p.b.Wear.Seed, 4)
	grow := between(r, 0.05, 0.3)
	off := geom.Point{X: between(r, -0.12, 0.12), Y: between(r, -0.12, 0.12)}
	for _, pad := range p.b.Pads {
		pad.At = pad.At.Add(off)
		p.open.pad(pad, grow, 1)
	}
}

// ragged moves the etched edges in and out a little.
func (p *foilPainter) ragged() {
	k := float32(p.b.Wear.Ragged)
	if k == 0 {
		return
	}
	g := p.cu.grid
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			if d := p.cu.d[i]; d > -0.5 && d < 0.5 {
				mx, my := float64(x)/g.scale, float64(y)/g.scale
				p.cu.d[i] += k * (p.coarse.at(mx*9, my*9) + 0.5*p.fine.at(mx*6, my*6))
			}
		}
	}
}

// bead is one stroke of solder.
type bead struct {
	a, b   geom.Point
	radius float64
	shape  Solder
	own    uint16 // the copper it wets
}

// beads lists all solder: joints, their tails, and drops on tracks.
func (p *foilPainter) beads() []bead {
	var out []bead
	for k, pad := range p.b.Pads {
		s := pad.Solder
		if s.Spread <= 0 {
			continue
		}
		own := p.labels[pad.Net]
		a, b, r := pad.blob(p.b.Wear.Seed, k)
		out = append(out, bead{a, b, r, s, own})
		if s.Tail > 0 {
			sin, cos := math.Sincos(s.Toward)
			end := pad.At.Add(geom.Point{X: cos, Y: sin}.Scale(s.Tail))
			out = append(out, bead{pad.At, end, r * 0.8, s, own})
		}
	}
	for _, d := range p.b.Drops {
		out = append(out, bead{d.At, d.At, d.Solder.Spread, d.Solder, p.labels[d.Net]})
	}
	if p.b.Look != nil {
		out = append(out, p.runs()...)
	}
	return out
}

// joints wets the copper. Solder stays on its own copper, under a mask within
// the opening, so that it never bridges.
func (p *foilPainter) joints() {
	p.solids = p.beads()
	over := 0.0 // how far solder hangs over the edge
	if p.b.Look != nil {
		over = p.b.Look.Bulge
	}
	for k, s := range p.solids {
		p.cu.sweep(s.a, s.b, s.radius*1.2, func(i int, q geom.Point) {
			if p.cu.label[i] != s.own {
				return
			}
			_, d := along(s.a, s.b, q)
			d -= s.radius * wobble(q.Sub(s.a), k)
			d = math.Max(d, float64(p.cu.d[i])-over)
			if p.b.Mask != NoMask {
				d = math.Max(d, float64(p.open.d[i])-over)
			}
			p.solder.put(i, d, uint16(k+1))
		})
	}
}

// blob is the stroke of radius r that the solder of a pad covers.
func (p Pad) blob(seed uint64, k int) (a, b geom.Point, r float64) {
	q := newRand(seed, 1000+uint64(k))
	s, c := math.Sincos(p.Angle)
	slip := math.Max(0, p.Length-p.Diameter)/2 + between(q, 0, 0.15)*p.Diameter
	v := geom.Point{X: c * slip, Y: s * slip}
	return p.At.Sub(v), p.At.Add(v), p.Solder.Spread
}

// wobble makes blobs unround.
func wobble(v geom.Point, k int) float64 {
	t := math.Atan2(v.Y, v.X)
	return 1 + 0.06*math.Sin(2*t+float64(k)) + 0.05*math.Sin(3*t+2.3*float64(k))
}

func (p *foilPainter) holes() {
	for k, pad := range p.b.Pads {
		if pad.Solder.Spread <= 0 {
			p.hole.taper(pad.At, pad.At, pad.Hole, pad.Hole, uint16(k+1))
		}
	}
	for _, m := range p.b.Mounts {
		p.hole.taper(m.At, m.At, m.Hole, m.Hole, 0)
	}
}

// base lays the laminate.
func (p *foilPainter) base() {
	if p.b.Look != nil {
		p.paintLook()
		return
	}
	paintLaminate(p.face.surface, p.b, p.coarse, p.fine)
	for i, a := range p.face.alpha {
		if a >= 0.5 {
			p.face.class[i] = uint8(BareBoard)
		}
	}
}

// foilText writes as it is read from the foil side: against x.
func (l *lettering) foilText(g grid, text string, at geom.Point, height float64, f func(i int, a float32)) {
	l.each(g, text, at, geom.Point{X: -1}, geom.Point{Y: 1}, height, f)
}

// etched leaves lettering in copper. It is copper to the eye and to Class, but
// no conductor of the truth's.
func (p *foilPainter) etched(text *lettering) {
	s := p.face.surface
	for _, e := range p.b.Etched {
		text.foilText(s.grid, e.Text, e.At, e.Height, func(i int, a float32) {
			if p.cu.d[i] < 0.3 || s.alpha[i] < 1 {
				return
			}
			m := p.b.copperMaterial(0)
			if p.b.Look != nil {
				m = p.lookCopper(i, s.point(i), 0)
			}
			s.lay(i, a, m, 0, 0)
			if a >= 0.5 {
				p.face.class[i] = uint8(CopperClass)
				p.bump[i] = 0.05
			}
		})
	}
}

// legend prints references beside the parts.
func (p *foilPainter) legend(text *lettering) {
	if !p.b.FoilLegend {
		return
	}
	s := p.face.surface
	ink := material{colour: hex(0xd8d3b8), rough: 0.7}
	for _, t := range p.b.Parts {
		text.foilText(s.grid, t.Ref, t.middle(), 1.5, func(i int, a float32) {
			if c := Class(p.face.class[i]); c == BareBoard || c == CopperClass {
				s.tint(i, a*0.85, ink)
			}
		})
	}
}

// metal lays copper, solder and holes, and writes the truth.
func (p *foilPainter) metal() {
	s := p.face.surface
	g := s.grid
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			if s.alpha[i] == 0 {
				continue
			}
			if p.cu.d[i] < 0.2 || p.solder.d[i] < 0.1 {
				p.metalAt(i, float64(x)/g.scale, float64(y)/g.scale)
			}
			if p.hole.d[i] < 0.3 {
				p.holeAt(i)
			}
		}
	}
}

func (p *foilPainter) metalAt(i int, x, y float64) {
	s := p.face.surface
	age := p.coarse.at(x*3.1, y*3.1) + 0.4*p.fine.at(x*8, y*8)
	cu, so := float64(p.cu.d[i]), float64(p.solder.d[i])
	cov := s.cover(cu) * s.alpha[i]
	if cov > 0 {
		s.lay(i, cov, p.copperAt(i, age), 0, 0)
		p.bump[i] += float32(edgeRise(cu)) * 0.05
	}
	if cu <= 0 {
		p.face.class[i] = uint8(CopperClass)
		p.face.copper[i] = p.cu.label[i]
	}
	if so < 0.1 {
		dull := float32(p.solids[p.solder.label[i]-1].shape.Dull)
		m := solderMaterial(dull, age)
		if p.b.Look != nil {
			m = p.b.Look.solderAt(dull, age)
		}
		s.lay(i, s.cover(so), m, 0, 0)
		if so <= 0 {
			p.face.class[i] = uint8(SolderClass)
			p.face.copper[i] = p.cu.label[i]
		}
	}
}

// copperAt is the metal in the open or under the mask.
func (p *foilPainter) copperAt(i int, age float32) material {
	if p.b.Look != nil {
		return p.lookCopper(i, p.face.point(i), age)
	}
	if p.b.Mask != NoMask && p.open.d[i] < 0 {
		m := material{colour: hex(0xc2c3c0), metal: 0.7, rough: 0.7 + 0.2*age}
		if p.b.Finish != Tinned {
			bare := Board{Finish: p.b.Finish}
			m = bare.copperMaterial(age)
		}
		return m
	}
	return p.b.copperMaterial(age)
}

// edgeRise goes from 0 outside to 1 inside over the slope of an etched edge.
func edgeRise(d float64) float64 {
	t := math.Max(0, math.Min(1, 0.5-d/0.12))
	return t * t * (3 - 2*t)
}

func (p *foilPainter) holeAt(i int) {
	s := p.face.surface
	d := float64(p.hole.d[i])
	if cov := s.cover(d); cov > 0 {
		deep := material{colour: rgb{0.012, 0.011, 0.01}, rough: 1, glow: 60}
		s.lay(i, cov, deep, 0, 0)
	}
	if d <= 0 {
		p.face.class[i] = uint8(HoleClass)
		p.face.copper[i] = 0
	}
}

// domes raises tinned tracks and solder.
func (p *foilPainter) domes() {
	skin := float32(between(newRand(p.b.Wear.Seed, 3), 0.01, 0.09))
	for i, d := range p.cu.d {
		if d < 0 && p.b.Finish == Tinned && p.b.Mask == NoMask {
			p.bump[i] += skin * dome(float64(-d), 0.8, 0.7)
		}
	}
	for i, d := range p.solder.d {
		if d < 0 {
			s := &p.solids[p.solder.label[i]-1]
			p.bump[i] += float32(s.shape.Height) * dome(float64(-d), s.radius, s.shape.Convex)
		}
	}
	smear(p.bump, p.face.grid, int(math.Round(0.1*p.face.scale)))
}

// smear is a box mean of 2n+1 pixels both ways, done twice: surface tension.
func smear(v []float32, g grid, n int) {
	if n < 1 {
		return
	}
	line := make([]float32, max(g.w, g.h))
	for range 2 {
		for y := range g.h {
			slide(v[y*g.w:], 1, g.w, n, line)
		}
	}
	cols := make([]float32, g.w)
	for range 2 {
		slideDown(v, g, n, cols)
	}
}

func slide(v []float32, stride, count, n int, line []float32) {
	for i := range count {
		line[i] = v[i*stride]
	}
	sum := float32(0)
	for i := range min(n, count) {
		sum += line[i]
	}
	k := 1 / float32(2*n+1)
	for i := range count {
		if i+n < count {
			sum += line[i+n]
		}
		if i-n-1 >= 0 {
			sum -= line[i-n-1]
		}
		v[i*stride] = sum * k
	}
}

// slideDown does the same down the columns, row by row.
func slideDown(v []float32, g grid, n int, sum []float32) {
	clear(sum)
	src := append([]float32(nil), v...)
	k := 1 / float32(2*n+1)
	add := func(y int, sign float32) {
		if y >= 0 && y < g.h {
			for x, s := range src[y*g.w : (y+1)*g.w] {
				sum[x] += sign * s
			}
		}
	}
	for y := range n {
		add(y, 1)
	}
	for y := range g.h {
		add(y+n, 1)
		add(y-n-1, -1)
		for x, s := range sum {
			v[y*g.w+x] = s * k
		}
	}
}

// dome is the height at distance t inside the rim of a blob of radius r.
func dome(t, r, convex float64) float32 {
	u := math.Min(1, t/r)
	round := math.Sqrt(1 - (1-u)*(1-u))
	hollow := u * u * (1.6 - 0.6*u)
	return float32(convex*round + (1-convex)*hollow)
}

// grain is the unevenness that makes metal look like metal.
func (p *foilPainter) grain() {
	g := p.face.grid
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			mx, my := float64(x)/g.scale, float64(y)/g.scale
			switch Class(p.face.class[i]) {
			case SolderClass:
				dull := float32(p.solids[p.solder.label[i]-1].shape.Dull)
				p.bump[i] += 0.05*p.coarse.at(mx*16, my*16) + (0.004+0.016*dull)*p.fine.at(mx*22, my*22)
			case CopperClass:
				p.bump[i] += 0.012*p.coarse.at(mx*7, my*12) + 0.003*p.fine.at(mx*25, my*25)
			case BareBoard:
				p.bump[i] += 0.002 * p.fine.at(mx*12, my*12)
			}
		}
	}
}

// leads draws the cut ends of leads in their joints.
func (p *foilPainter) leads() {
	for k, pad := range p.b.Pads {
		if pad.Solder.Spread <= 0 {
			continue
		}
		r := newRand(p.b.Wear.Seed, 5000+uint64(k))
		s, c := math.Sincos(pad.Solder.Toward)
		tip := pad.At.Add(geom.Point{X: c, Y: s}.Scale(math.Max(pad.Solder.Lead, between(r, 0.05, 0.3))))
		p.lead(pad.At, tip, math.Min(0.35, pad.Hole*0.4), float32(between(r, -0.5, 0.5)), float32(between(r, -0.5, 0.5)))
	}
}

func (p *foilPainter) lead(a, b geom.Point, radius float64, tx, ty float32) {
	f := p.face
	f.sweep(a, b, radius+0.3, func(i int, q geom.Point) {
		if Class(f.class[i]) != SolderClass && Class(f.class[i]) != CopperClass {
			return
		}
		t, d := along(a, b, q)
		n := q.Sub(a).Sub(b.Sub(a).Scale(t)).Scale(1 / radius)
		flat := float32(1)
		if t > 0.85 {
			flat = 0.3
		}
		m := solderMaterial(0.3, 0)
		f.lay(i, f.cover(d-radius)*0.85, m, float32(n.X)*0.8*flat+tx*(1-flat), float32(n.Y)*0.8*flat+ty*(1-flat))
		if d > radius {
			f.shade[i] *= float32(1 - 0.35*(1-(d-radius)/0.3))
		}
	})
}

func (p *foilPainter) drillMarks() {
	r := newRand(p.b.Wear.Seed, 9)
	for range p.b.Wear.Drills {
		at := geom.Point{X: r.Float64() * p.b.Size.X, Y: r.Float64() * p.b.Size.Y}
		pit(p.face.surface, at, between(r, 0.2, 0.6))
	}
}

// blocked keeps light from behind where bodies stand on the other side.
func (p *foilPainter) blocked() {
	g := grid{p.face.origin, p.face.scale / 4, p.face.w/4 + 1, p.face.h/4 + 1}
	f := newField(g)
	for _, t := range p.b.Parts {
		if !t.Missing && t.Body != WiresBody {
			a, b, r := t.core()
			f.taper(a, b, 2*r, 2*r, 1)
		}
	}
	for i := range p.face.mat {
		if p.face.mat[i].glow > 0 {
			d := float64(f.d[i/p.face.w/4*g.w+i%p.face.w/4])
			p.face.mat[i].glow *= float32(0.35 + 0.65*smooth(d/1.5+0.5))
		}
	}
}

// jumpers lays insulated wires over everything.
func (p *foilPainter) jumpers() {
	for _, j := range p.b.Jumpers {
		path := smoothPath(j.Path)
		layWire(p.face.surface, path, j.Width/2, namedColour(j.Colour), 0.8)
		for k := 1; k < len(path); k++ {
			p.face.sweep(path[k-1], path[k], j.Width/2, func(i int, q geom.Point) {
				if _, d := along(path[k-1], path[k], q); d <= j.Width/2 {
					p.face.class[i] = uint8(WireClass)
				}
			})
		}
	}
}
