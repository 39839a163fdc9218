package photo

import (
	"context"
	"image"
	"image/color"
	"image/draw"

	"foilside/internal/num/raster"
)

// opaque converts any decoded image to RGBA from (0, 0), on white where it
// was transparent.
func opaque(src image.Image) *image.RGBA {
	b := src.Bounds()
	if rgba, ok := src.(*image.RGBA); ok && rgba.Opaque() && b.Min == (image.Point{}) && rgba.Stride == 4*b.Dx() {
		return rgba
	}
	dst := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	op := draw.Src
	if o, ok := src.(interface{ Opaque() bool }); ok && !o.Opaque() {
		draw.Draw(dst, dst.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
		op = draw.Over
	}
	raster.Rows(b.Dy(), func(y0, y1 int) {
		draw.Draw(dst, image.Rect(0, y0, b.Dx(), y1), src, b.Min.Add(image.Pt(0, y0)), op)
	})
	return dst
}

// turning says where the pixel at (0, 0) of the upright photo comes from and
// how the source moves with each step to the right and down, in source pixels.
type turning struct {
	x0, y0         int // as fractions of the source's last column and row: 0 or 1
	rightX, rightY int
	downX, downY   int
}

// turningFor gives the EXIF orientation as steps.
//
// Source: EXIF 2.32 (CIPA DC-008), tag 274: where the stored rows and columns
// lie as seen. 6 for example: the first row is the visual right-hand side.
func turningFor(orientation int) turning {
	switch orientation {
	case 2:
		return turning{1, 0, -1, 0, 0, 1}
	case 3:
		return turning{1, 1, -1, 0, 0, -1}
	case 4:
		return turning{0, 1, 1, 0, 0, -1}
	case 5:
		return turning{0, 0, 0, 1, 1, 0}
	case 6:
		return turning{0, 1, 0, -1, 1, 0}
	case 7:
		return turning{1, 1, 0, -1, -1, 0}
	case 8:
		return turning{1, 0, 0, 1, -1, 0}
	}
	return turning{0, 0, 1, 0, 0, 1}
}

// turnTile keeps both the reads and the writes of a quarter turn in cache.
const turnTile = 64

// turnUpright applies an EXIF orientation; 0 and 1 return src itself.
func turnUpright(ctx context.Context, src *image.RGBA, orientation int) (*image.RGBA, error) {
	if orientation <= 1 || orientation > 8 {
		return src, ctx.Err()
	}
	sw, sh := src.Rect.Dx(), src.Rect.Dy()
	t := turningFor(orientation)
	w, h := sw, sh
	if t.rightX == 0 {
		w, h = sh, sw
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	first := t.y0*(sh-1)*src.Stride + t.x0*(sw-1)*4
	right := t.rightY*src.Stride + t.rightX*4
	down := t.downY*src.Stride + t.downX*4
	raster.Rows(h, func(y0, y1 int) {
		for ty := y0; ty < y1 && ctx.Err() == nil; ty += turnTile {
			for tx := 0; tx < w; tx += turnTile {
				for y := ty; y < min(ty+turnTile, y1); y++ {
					from := first + y*down + tx*right
					to := y*dst.Stride + tx*4
					for range min(turnTile, w-tx) {
						copy(dst.Pix[to:to+4], src.Pix[from:from+4])
						from += right
						to += 4
					}
				}
			}
		}
	})
	return dst, ctx.Err()
}
