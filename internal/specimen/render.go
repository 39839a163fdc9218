package specimen

import (
	"context"
	"errors"
	"fmt"
	"image"

	"foilside/internal/num/geom"
)

// Specimen is one board photographed, with the truth about it.
type Specimen struct {
	Component Photograph
	Foil      Photograph
	Truth     Truth
}

const (
	fringe    = 12.0 // mm of the painted face around the board, for wires and shadows
	finer     = 1.0  // painted pixels per photo pixel where the photo is largest
	maxPixels = 60e6
)

// Render photographs both faces of b.
//
// Errors: a board without size or copper, a picture too small or too large,
// or the context's error.
func Render(ctx context.Context, b Board, shot Shot) (*Specimen, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	if shot.Width < 200 {
		return nil, fmt.Errorf("specimen %s: picture %d pixels wide: give at least 200", b.Name, shot.Width)
	}
	text, err := newLettering()
	if err != nil {
		return nil, err
	}
	wired, islands, labels := wireUp(&b)
	out := &Specimen{}
	up := newUpperWork(&b)
	comp, bands, upper, err := shootComponent(&wired, up, shot, text)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	foil, masks, err := shootFoil(&wired, shot, labels, text)
	if err != nil {
		return nil, err
	}
	out.Component, out.Foil = comp, foil
	out.Truth = newTruth(&b, &wired, islands, labels, comp.View, foil.View, bands, masks)
	out.Truth.addUpper(up, upper)
	out.Truth.addWires(&wired, labels)
	return out, ctx.Err()
}

func (b *Board) check() error {
	if b.Size.X <= 0 || b.Size.Y <= 0 {
		return fmt.Errorf("specimen %s: board has no size: give size in mm", b.Name)
	}
	if len(b.Pads) == 0 {
		return errors.New("specimen " + b.Name + ": board has no pads: lay it out first")
	}
	for _, p := range b.Parts {
		if len(p.Leads) == 0 {
			return fmt.Errorf("specimen %s: part %s has no leads", b.Name, p.Ref)
		}
	}
	return nil
}

// Face is one more photograph of a face, beside the main pair.
type Face struct {
	Photograph
	// Class and Copper are as in Truth, nil for a component side without copper.
	Class  *image.Gray
	Copper *image.Gray16
}

// RenderFace takes one more photograph of a face: a close-up (Camera.Zoom and
// Aim), a tile of a larger board, or one with light from behind
// (Light.Behind). Height 0 stands for three quarters of the width.
//
// Errors: those of Render.
func RenderFace(ctx context.Context, b Board, foil bool, f FaceShot, width, height int, seed uint64) (Face, error) {
	if err := b.check(); err != nil {
		return Face{}, err
	}
	if height == 0 {
		height = width * 3 / 4
	}
	text, err := newLettering()
	if err != nil {
		return Face{}, err
	}
	wired, _, labels := wireUp(&b)
	shot := Shot{Width: width, Height: height, Seed: seed, Component: f, Foil: f}
	if !foil {
		p, _, m, err := shootComponent(&wired, newUpperWork(&b), shot, text)
		return Face{p, m.class, m.copper}, errors.Join(err, ctx.Err())
	}
	p, m, err := shootFoil(&wired, shot, labels, text)
	return Face{p, m.class, m.copper}, errors.Join(err, ctx.Err())
}

// paintGrid is the grid on which a face is painted for view v: the board and
// its fringe, as far as the photograph shows them.
func paintGrid(b *Board, v View) grid {
	rim := fringe
	if b.Look != nil { // wires, fingers and things around the board reach far
		rim = 3 * b.Size.Norm()
	}
	lo, hi := geom.Point{X: -rim, Y: -rim}, b.Size.Add(geom.Point{X: rim, Y: rim})
	w, h := float64(v.Width), float64(v.Height)
	seen := []geom.Point{{}, {X: w}, {Y: h}, {X: w, Y: h}, {X: w / 2}, {X: w / 2, Y: h}, {Y: h / 2}, {X: w, Y: h / 2}}
	for i, p := range seen {
		seen[i] = v.ToBoard(p)
	}
	a, z := bounds(seen)
	lo = geom.Point{X: max(lo.X, a.X-1), Y: max(lo.Y, a.Y-1)}
	hi = geom.Point{X: min(hi.X, z.X+1), Y: min(hi.Y, z.Y+1)}
	return gridOver(lo, hi, finer*v.pixelsPerMM(b.Size))
}

// pixelsPerMM is the photo's scale in the board's middle.
func (v View) pixelsPerMM(size geom.Point) float64 {
	m := size.Scale(0.5)
	a := v.ToPixel(m).Dist(v.ToPixel(m.Add(geom.Point{X: 1})))
	c := v.ToPixel(m).Dist(v.ToPixel(m.Add(geom.Point{Y: 1})))
	return (a + c) / 2
}

func viewOf(b *Board, mirrored bool, f FaceShot, shot Shot) (View, error) {
	v, err := newView(b.Size, mirrored, f.Camera, shot.Width, shot.Height)
	if err == nil && v.Width*v.Height > maxPixels {
		err = fmt.Errorf("specimen %s: picture of %d × %d pixels: at most 60 million", b.Name, v.Width, v.Height)
	}
	return v, err
}

func shootComponent(b *Board, up *upperWork, shot Shot, text *lettering) (Photograph, map[string][]BandPlace, masks, error) {
	v, err := viewOf(b, false, shot.Component, shot)
	if err != nil {
		return Photograph{}, nil, masks{}, err
	}
	s, bands, face := paintComponent(paintGrid(b, v), b, up, v, shot.Component.Light, text)
	jpg, err := shoot(s, v, shot.Component, shot.Seed*2)
	var m masks
	if face != nil {
		m = project(v, face)
	}
	return Photograph{jpg, v}, bands, m, err
}

func shootFoil(b *Board, shot Shot, labels map[string]uint16, text *lettering) (Photograph, masks, error) {
	v, err := viewOf(b, true, shot.Foil, shot)
	if err != nil {
		return Photograph{}, masks{}, err
	}
	f := paintFoil(paintGrid(b, v), b, labels, v, shot.Foil, text)
	jpg, err := shoot(f.surface, v, shot.Foil, shot.Seed*2+1)
	return Photograph{jpg, v}, project(v, f), err
}

// shoot lights, exposes and develops one painted face.
func shoot(s *surface, v View, f FaceShot, seed uint64) ([]byte, error) {
	lit := s.lit(v, newLookups(f.Light, f.Scene, newRand(seed, 61)))
	r := expose(v, s, lit, f.Light, f.Scene, newBench(f, seed))
	return develop(r, f, v, seed)
}

// masks are the truth about the pixels of the foil photograph.
type masks struct {
	class  *image.Gray
	copper *image.Gray16
}

// project takes the painted truth into the photograph, nearest place first.
func project(v View, f *foilFace) masks {
	r := image.Rect(0, 0, v.Width, v.Height)
	m := masks{image.NewGray(r), image.NewGray16(r)}
	eachPixel(v, func(i int, mm geom.Point) {
		if k, ok := f.at(mm); ok {
			m.class.Pix[i] = f.class[k]
			c := f.copper[k]
			m.copper.Pix[2*i], m.copper.Pix[2*i+1] = uint8(c>>8), uint8(c)
		}
	})
	return m
}
