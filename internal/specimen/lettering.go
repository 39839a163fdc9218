package specimen

import (
	"image"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"foilside/internal/num/geom"
)

// lettering draws words from outlines.
type lettering struct {
	face *sfnt.Font
	more []*lettering // in other faces
}

func newLettering() (*lettering, error) {
	l := &lettering{}
	var err error
	if l.face, err = sfnt.Parse(gomonobold.TTF); err != nil {
		return nil, err
	}
	for _, ttf := range [][]byte{goregular.TTF, gomedium.TTF, gobold.TTF, gomono.TTF, goitalic.TTF} {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			return nil, err
		}
		l.more = append(l.more, &lettering{face: f})
	}
	return l, nil
}

// in is the lettering in another face; 0 and numbers that no face has are the
// usual one.
func (l *lettering) in(face int) *lettering {
	if face < 1 || face > len(l.more) {
		return l
	}
	return l.more[face-1]
}

const em = 64 // units in which outlines are asked for, per em

// write prints text with its middle at c, running along u, letters height mm
// high, in the given material. Unknown letters are left out.
func (l *lettering) write(s *surface, text string, c, u geom.Point, height float64, m material) {
	l.each(s.grid, text, c, u, geom.Point{X: -u.Y, Y: u.X}, height, func(i int, a float32) {
		if s.alpha[i] > 0.9 {
			s.tint(i, a*0.9, m)
		}
	})
}

// each visits the pixels of text that runs along u, its lines downward along
// v, with the share of each pixel that the letters cover.
func (l *lettering) each(g grid, text string, c, u, v geom.Point, height float64, f func(i int, a float32)) {
	if text == "" || height*g.scale < 4 {
		return
	}
	mask, box := l.mask(text, height*g.scale)
	k := g.scale
	half := box.Scale(0.5 / k)
	g.sweep(c.Sub(u.Scale(half.X)), c.Add(u.Scale(half.X)), half.Y*1.1, func(i int, p geom.Point) {
		d := p.Sub(c)
		x := int(math.Round((d.X*u.X + d.Y*u.Y + half.X) * k))
		y := int(math.Round((d.X*v.X + d.Y*v.Y + half.Y) * k))
		if a := mask.AlphaAt(x, y).A; a > 0 {
			f(i, float32(a)/255)
		}
	})
}

// tint prints m over what is there, keeping its inclination and shade.
func (s *surface) tint(i int, cov float32, m material) {
	nx, ny, sh, class := s.nx[i], s.ny[i], s.shade[i], s.class
	s.class = nil
	s.lay(i, cov, m, nx, ny)
	s.shade[i], s.class = sh, class
}

// mask draws text with capital letters px pixels high, and gives its size.
func (l *lettering) mask(text string, px float64) (*image.Alpha, geom.Point) {
	const capShare = 0.72 // of the em
	scale := px / capShare / em
	var buf sfnt.Buffer
	advance := fixed.I(0)
	ras := vector.NewRasterizer(1, 1)
	width := 0.0
	for range text {
		width += 0.62 * px / capShare
	}
	w, h := int(width)+4, int(px*1.5)+2
	ras.Reset(w, h)
	for _, r := range text {
		g, err := l.face.GlyphIndex(&buf, r)
		if err != nil || g == 0 {
			continue
		}
		segs, err := l.face.LoadGlyph(&buf, g, fixed.I(em), nil)
		if err != nil {
			continue
		}
		outline(ras, segs, float32(scale), float32(float64(advance)/64*scale)+2, float32(px*1.2))
		adv, err := l.face.GlyphAdvance(&buf, g, fixed.I(em), font.HintingNone)
		if err != nil {
			continue
		}
		advance += adv
	}
	mask := image.NewAlpha(image.Rect(0, 0, w, h))
	ras.DrawOp = draw.Src
	ras.Draw(mask, mask.Bounds(), image.Opaque, image.Point{})
	return mask, geom.Point{X: float64(w), Y: float64(h)}
}

func outline(ras *vector.Rasterizer, segs sfnt.Segments, k, dx, dy float32) {
	at := func(p fixed.Point26_6) (float32, float32) {
		return dx + k*float32(p.X)/64, dy + k*float32(p.Y)/64
	}
	for _, s := range segs {
		x, y := at(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			ras.MoveTo(x, y)
		case sfnt.SegmentOpLineTo:
			ras.LineTo(x, y)
		case sfnt.SegmentOpQuadTo:
			x2, y2 := at(s.Args[1])
			ras.QuadTo(x, y, x2, y2)
		case sfnt.SegmentOpCubeTo:
			x2, y2 := at(s.Args[1])
			x3, y3 := at(s.Args[2])
			ras.CubeTo(x, y, x2, y2, x3, y3)
		}
	}
}

// legend prints outlines and references beside the parts.
func (p *bodyPainter) legend() {
	ink := material{colour: hex(0xdcdccf), rough: 0.7}
	if p.b.Laminate == Cream && p.b.Mask == NoMask {
		ink.colour = hex(0x33302b)
	}
	for _, t := range p.b.Parts {
		if t.Body == LinkBody {
			continue
		}
		a, b, r := t.core()
		if t.Body != WiresBody && t.Body != PinBody {
			p.outlineOf(a, b, r+0.7, ink)
		}
		u := geom.Point{X: 1}
		_, n := t.axis()
		if n.Y < 0 || (n.Y == 0 && n.X < 0) {
			n = n.Scale(-1)
		}
		p.text.write(p.s, t.Ref, t.middle().Add(n.Scale(r+1.7)), u, 1.3, ink)
	}
}

func (p *bodyPainter) outlineOf(a, b geom.Point, r float64, ink material) {
	p.s.sweep(a, b, r+0.3, func(i int, q geom.Point) {
		_, d := along(a, b, q)
		if p.s.alpha[i] == 1 {
			p.s.tint(i, p.s.cover(math.Abs(d-r)-0.1)*0.85, ink)
		}
	})
}
