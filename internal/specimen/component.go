package specimen

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// bodyPainter draws parts onto the component face as the camera of v sees
// them: what stands above the board is moved away from the camera's foot.
type bodyPainter struct {
	s      *surface
	b      *Board
	v      View
	shadow geom.Point // where the shadow of a point 1 mm high falls
	r      *rand.Rand
	text   *lettering
	bands  map[string][]BandPlace // by part
}

// BandPlace is one colour band as rendered.
type BandPlace struct {
	Colour string     `json:"colour"`
	At     geom.Point `json:"at"` // component-side pixel of its middle
}

func paintComponent(g grid, b *Board, up *upperWork, v View, l Light, text *lettering) (*surface, map[string][]BandPlace, *foilFace) {
	r := newRand(b.Wear.Seed, 51)
	p := &bodyPainter{s: newSurface(g), b: b, v: v, r: r, text: text, bands: map[string][]BandPlace{}}
	p.shadow = l.shadow()
	var face *foilFace
	if up != nil {
		face = up.paint(g)
		p.s = face.surface
	} else {
		paintLaminate(p.s, b, newTile(r, 32), newTile(r, 4))
		p.ghost()
	}
	if b.Legend {
		p.legend()
	}
	if face != nil {
		p.s.class, p.s.now = face.class, HoleClass
	}
	p.holes()
	p.s.now = WireClass
	wear(p.s, &Board{Size: b.Size, Corner: b.Corner, Pads: b.Pads,
		Wear: Wear{Flux: b.Wear.Flux * 0.3, Dirt: b.Wear.Dirt, Burns: b.Wear.Burns / 2, Seed: b.Wear.Seed}}, 3)
	p.castAll()
	order := slices.Clone(b.Parts)
	slices.SortStableFunc(order, func(a, c Part) int {
		// Links lie on the board, under everything; then what stands farther
		// from the camera's foot is hidden by what stands nearer.
		if la, lc := a.Body == LinkBody, c.Body == LinkBody; la != lc {
			return boolOrder(la)
		}
		return -cmp.Compare(a.middle().Dist(v.Foot), c.middle().Dist(v.Foot))
	})
	for _, part := range order {
		if !part.Missing {
			p.part(part)
		}
	}
	p.s.class = nil
	return p.s, p.bands, face
}

func boolOrder(first bool) int {
	if first {
		return -1
	}
	return 1
}

// ghost lets the copper shine through a thin pale board.
func (p *bodyPainter) ghost() {
	if p.b.Laminate != Epoxy {
		return
	}
	g := grid{p.s.origin, p.s.scale / 4, p.s.w/4 + 1, p.s.h/4 + 1}
	labels := map[string]uint16{}
	f := copperField(g, p.b, labels)
	p.s.box(geom.Point{}, p.b.Size, func(i int, q geom.Point) {
		if k, ok := g.at(q); ok {
			t := float32(smooth(0.5 - float64(f.d[k])/0.8))
			p.s.mat[i].colour = p.s.mat[i].colour.scale(1 - 0.22*t)
		}
	})
}

func (p *bodyPainter) holes() {
	dark := material{colour: rgb{0.02, 0.017, 0.014}, rough: 1}
	for _, pad := range p.b.Pads {
		if pad.Top.Spread > 0 {
			continue
		}
		p.s.sweep(pad.At, pad.At, pad.Hole/2+0.1, func(i int, q geom.Point) {
			p.s.lay(i, p.s.cover(q.Dist(pad.At)-pad.Hole/2), dark, 0, 0)
		})
	}
	groundShadow(p.s, p.b, p.shadow)
	for _, m := range p.b.Mounts {
		bore(p.s, p.b, p.v, m)
	}
}

func (p Part) middle() geom.Point {
	var m geom.Point
	for _, l := range p.Leads {
		m = m.Add(l.At)
	}
	return m.Scale(1 / float64(len(p.Leads)))
}

// axis is the unit vector from the first lead to the last, and its normal.
func (p Part) axis() (along, across geom.Point) {
	along = p.Leads[len(p.Leads)-1].At.Sub(p.Leads[0].At)
	if n := along.Norm(); n > 0 {
		along = along.Scale(1 / n)
	} else {
		along = geom.Point{X: 1}
	}
	return along, geom.Point{X: -along.Y, Y: along.X}
}

// castAll darkens the board where bodies keep the lamp's light off.
func (p *bodyPainter) castAll() {
	g := grid{p.s.origin, p.s.scale / 4, p.s.w/4 + 1, p.s.h/4 + 1}
	f := newField(g)
	for _, part := range p.b.Parts {
		if part.Missing || part.Body == LinkBody || part.Body == PinBody || part.Body == WiresBody {
			continue
		}
		a, b, r := part.core()
		off := p.shadow.Scale(part.height() * 0.8)
		n := math.Ceil(off.Norm()/r) + 1
		for k := 0.0; k <= n; k++ {
			o := off.Scale(k / n)
			f.taper(a.Add(o), b.Add(o), 2*r, 2*r, 1)
		}
	}
	for i := range p.s.shade {
		x, y := i%p.s.w/4, i/p.s.w/4
		d := float64(f.d[y*g.w+x])
		if d < band {
			p.s.shade[i] *= float32(1 - 0.55*smooth(0.5-d/0.9))
		}
	}
}

// core is the stroke that a body roughly covers.
func (p Part) core() (a, b geom.Point, r float64) {
	m := p.middle()
	u, _ := p.axis()
	d := bodySize(p.Body, p.Size)
	switch p.Body {
	case AxialBody, RectifierBody, ChokeBody, GlassDiodeBody, AxialCanBody, NeonBody, FuseBody:
		h := p.bodyLength() / 2
		return m.Sub(u.Scale(h)), m.Add(u.Scale(h)), p.bodyRadius()
	case DiscBody:
		h := d/2 - 1
		return m.Sub(u.Scale(h)), m.Add(u.Scale(h)), 1
	case FilmBody:
		h := d/2 - d*0.15
		return m.Sub(u.Scale(h)), m.Add(u.Scale(h)), d * 0.15
	default:
		return m, m, math.Max(1.8, d/2)
	}
}

// bodyLength is the length of a lying body.
func (p Part) bodyLength() float64 {
	d := bodySize(p.Body, p.Size)
	span := p.Leads[len(p.Leads)-1].At.Dist(p.Leads[0].At) - 2
	switch p.Body {
	case GlassDiodeBody:
		return math.Min(span, 4)
	case RectifierBody:
		return math.Min(span, 5.2)
	case AxialCanBody:
		return math.Min(span, 2.2*d)
	case NeonBody:
		return math.Min(span, 9)
	case FuseBody:
		return math.Min(span, 20)
	default:
		return math.Min(span, 2.7*d)
	}
}

func (p Part) bodyRadius() float64 {
	switch p.Body {
	case GlassDiodeBody:
		return 0.95
	case NeonBody:
		return 2.4
	case FuseBody:
		return 2.5
	default:
		return bodySize(p.Body, p.Size) / 2
	}
}
