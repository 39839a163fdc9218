package pixelnet

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/raster"
)

// Class is what a pixel shows.
type Class uint8

// The classes, in the network's order.
const (
	Background Class = iota
	Bare             // board without metal
	Track            // copper, bare or under its mask
	Solder
	Hole
	Wire // a wire or a part in front of the board
	classes
)

// Seen is what the network sees in a picture.
type Seen struct {
	// Metal is the log odds of copper or solder, also under a wire.
	Metal raster.Plane
	// Class is the probability of each class, 0..255 for 0..1.
	Class [classes]raster.Mask
	// Joint is the log odds that a joint's centre lies in a cell of Cell×Cell
	// pixels; DX and DY are its place in the cell from the middle, in pixels.
	Joint, DX, DY raster.Plane
}

// Cell is the side in pixels of a cell of Seen.Joint.
const Cell = 4

// Look runs the network over a picture.
func (n *Net) Look(ctx context.Context, img *image.RGBA) (Seen, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	pixels, joints := n.run(fold(img))
	if err := ctx.Err(); err != nil {
		return Seen{}, err
	}
	s := Seen{Metal: raster.NewPlane(w, h)}
	for k := range s.Class {
		s.Class[k] = raster.NewMask(w, h)
	}
	shares := newShareTable()
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			s.unfold(pixels, y, w, shares)
		}
	})
	cw, ch := (w+Cell-1)/Cell, (h+Cell-1)/Cell
	s.Joint, s.DX, s.DY = raster.NewPlane(cw, ch), raster.NewPlane(cw, ch), raster.NewPlane(cw, ch)
	for y := range ch {
		for x := range cw {
			v := joints.row(y)[3*x:]
			i := y*cw + x
			s.Joint.Pix[i], s.DX.Pix[i], s.DY.Pix[i] = v[0], Cell*v[1], Cell*v[2]
		}
	}
	return s, nil
}

// fold lays 2×2 pixels end to end, channel by channel, from -½ to ½; the
// picture grows to a multiple of Grain by its last row and column.
func fold(img *image.RGBA) tensor {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	t := newTensor((w+Grain-1)/Grain*Grain/2, (h+Grain-1)/Grain*Grain/2, 12)
	raster.Rows(t.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := t.row(y)
			for x := range t.w {
				for k := range 4 {
					px := img.PixOffset(min(2*x+k%2, w-1)+img.Rect.Min.X, min(2*y+k/2, h-1)+img.Rect.Min.Y)
					for c := range 3 {
						row[x*12+c*4+k] = float32(img.Pix[px+c])/255 - 0.5
					}
				}
			}
		}
	})
	return t
}

// shareTable is exp(-d) in parts of 2^16, for a d in sixteenths: the same on
// every machine.
type shareTable [shareTop * shareSteps]int

const (
	shareTop   = 12 // from where the share rounds to nothing
	shareSteps = 16
)

func newShareTable() *shareTable {
	var t shareTable
	for i := range t {
		t[i] = int(math.Round(math.Exp(-float64(i)/shareSteps) * (1 << 16)))
	}
	return &t
}

// at reads the table for d >= 0.
func (t *shareTable) at(d float32) int {
	if i := int(d*shareSteps + 0.5); i < len(t) {
		return t[i]
	}
	return 0
}

// unfold spreads the scores of row y.
func (s *Seen) unfold(pixels tensor, y, w int, shares *shareTable) {
	row := pixels.row(y / 2)
	for x := range w {
		at := row[x/2*pixels.c+y%2*2+x%2:]
		i := y*w + x
		s.Metal.Pix[i] = at[4*classes]
		top := at[0]
		for k := 1; k < int(classes); k++ {
			top = max(top, at[4*k])
		}
		var e [classes]int
		sum := 0
		for k := range e {
			e[k] = shares.at(top - at[4*k])
			sum += e[k]
		}
		for k := range e {
			s.Class[k].Pix[i] = uint8((255*e[k] + sum/2) / sum)
		}
	}
}
