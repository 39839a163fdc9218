package render

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"foilside/internal/lettering"
	"foilside/internal/schematic"
)

// maxPixels bounds a PNG: a sheet of A3 at 300 dots per inch has 17 million.
const maxPixels = 60e6

// PNG paints the drawing at so many dots per inch of its natural size, in
// which a drawing unit is a quarter millimetre.
//
// Errors:  a resolution that is not positive or needs too many pixels.
func PNG(d schematic.Drawing, look Look, dpi float64) ([]byte, error) {
	k := dpi / 25.4 / 4
	w, h := math.Ceil(d.Width*k), math.Ceil(d.Height*k)
	if !(k > 0) || !(w*h <= maxPixels) {
		return nil, fmt.Errorf("a drawing of %.0f × %.0f mm can't be painted at %g dots per inch; choose between 30 and %.0f",
			d.Width/4, d.Height/4, dpi, math.Sqrt(maxPixels/math.Max(d.Width*d.Height, 1))*4*25.4)
	}
	img := image.NewRGBA(image.Rect(0, 0, int(w), int(h)))
	draw.Draw(img, img.Bounds(), image.NewUniform(look.Paper), image.Point{}, draw.Src)
	l := listOf(d)
	paintLines(img, l.lines, k, look.Ink)
	if err := paintTexts(img, l.texts, k, look); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil, fmt.Errorf("encoding the PNG: %w", err)
	}
	return out.Bytes(), nil
}

// paintLines fills all strokes in one pass. Every piece of a line is a
// rectangle, with a round where it meets a slanted one, all turned the same way
// round, so that where they overlap the winding adds up and nothing is cut out.
func paintLines(img *image.RGBA, lines []line, k float64, ink color.RGBA) {
	b := img.Bounds()
	r := vector.NewRasterizer(b.Dx(), b.Dy())
	for _, s := range lines {
		pts := flat(s.Stroke)
		if s.Filled {
			polygon(r, pts, k)
		}
		if s.width == 0 {
			continue
		}
		runs := [][]schematic.Point{pts}
		if s.Dashed {
			runs = dashed(pts, 3, 2.4)
		}
		for _, run := range runs {
			strokeRun(r, run, s.width/2, k)
		}
	}
	r.Draw(img, b, image.NewUniform(ink), image.Point{})
}

// strokeRun strokes a polyline. Upright and level pieces meet edge to edge: where
// two overlapped, their soft edges would add up to a knot on the line.
func strokeRun(r *vector.Rasterizer, pts []schematic.Point, half, k float64) {
	for i := 1; i < len(pts); i++ {
		p, q := pts[i-1], pts[i]
		if l := math.Hypot(q.X-p.X, q.Y-p.Y); l > 0 {
			u := schematic.Point{X: (q.X - p.X) / l, Y: (q.Y - p.Y) / l}
			a, b := cornerReach(pts, i-1, i, half), cornerReach(pts, i, i-1, half)
			p, q = schematic.Point{X: p.X - a*u.X, Y: p.Y - a*u.Y}, schematic.Point{X: q.X + b*u.X, Y: q.Y + b*u.Y}
			nx, ny := -u.Y*half, u.X*half
			polygon(r, []schematic.Point{{X: p.X - nx, Y: p.Y - ny}, {X: q.X - nx, Y: q.Y - ny}, {X: q.X + nx, Y: q.Y + ny}, {X: p.X + nx, Y: p.Y + ny}}, k)
		}
	}
	for i, p := range pts {
		if i > 0 && slanted(pts[i-1], p) || i+1 < len(pts) && slanted(p, pts[i+1]) || len(pts) == 1 {
			polygon(r, flat(disc(p, half)), k)
		}
	}
}

// cornerReach is how far the piece between two neighbouring points goes beyond
// the first of them: a level piece fills the corner, an upright one leaves it.
func cornerReach(pts []schematic.Point, at, other int, half float64) float64 {
	next := 2*at - other
	if closed := pts[0] == pts[len(pts)-1]; closed && len(pts) > 3 {
		n := len(pts) - 1
		next = ((next % n) + n) % n
	}
	if next < 0 || next >= len(pts) || slanted(pts[at], pts[other]) || slanted(pts[at], pts[next]) {
		return 0
	}
	level := pts[at].Y == pts[other].Y
	switch {
	case level == (pts[at].Y == pts[next].Y): // straight on
		return 0
	case level:
		return half
	}
	return -half
}

// slanted tells whether a piece is neither level nor upright.
func slanted(p, q schematic.Point) bool { return p.X != q.X && p.Y != q.Y }

// polygon adds a filled outline, turned to run clockwise.
func polygon(r *vector.Rasterizer, pts []schematic.Point, k float64) {
	area := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		area += p.X*q.Y - q.X*p.Y
	}
	at := func(i int) (float32, float32) {
		if area < 0 {
			i = len(pts) - 1 - i
		}
		return float32(pts[i].X * k), float32(pts[i].Y * k)
	}
	r.MoveTo(at(0))
	for i := 1; i < len(pts); i++ {
		r.LineTo(at(i))
	}
	r.ClosePath()
}

// paintTexts sets the lettering.
func paintTexts(img *image.RGBA, texts []schematic.Text, k float64, look Look) error {
	type key struct {
		bold bool
		size float64
	}
	faces := map[key]font.Face{}
	for _, t := range texts {
		kk := key{t.Bold, t.Size}
		if faces[kk] == nil {
			w := lettering.Plain
			if t.Bold {
				w = lettering.Bold
			}
			f, err := opentype.Parse(lettering.TTF(w))
			if err != nil {
				return fmt.Errorf("the built-in font can't be read: %w", err)
			}
			face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: t.Size * k, DPI: 72, Hinting: font.HintingNone})
			if err != nil {
				return fmt.Errorf("the built-in font can't be set at %g: %w", t.Size*k, err)
			}
			faces[kk] = face
		}
		ink := look.Ink
		if t.Role == schematic.VoltageText {
			ink = look.Faint
		}
		d := font.Drawer{Dst: img, Src: image.NewUniform(ink), Face: faces[kk],
			Dot: fixed.Point26_6{X: fixed.Int26_6(t.At.X * k * 64), Y: fixed.Int26_6(t.At.Y * k * 64)}}
		d.DrawString(t.Text)
	}
	return nil
}
