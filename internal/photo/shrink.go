package photo

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"math"

	"foilside/internal/num/geom"

	"foilside/internal/num/raster"
)

// Shrink averages n×n blocks of pixels (box filter, so nothing aliases).
// The rest of a row or column that doesn't fill a block is left out.
// n ≤ 1 returns the image itself, which may be a part (SubImage) of another.
// Averages are of the stored sRGB values.
func Shrink(ctx context.Context, img *image.RGBA, n int) (*image.RGBA, error) {
	if n <= 1 {
		return img, ctx.Err()
	}
	w, h := max(1, img.Rect.Dx()/n), max(1, img.Rect.Dy()/n)
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	raster.Rows(h, func(y0, y1 int) {
		sums := make([]uint32, 4*w)
		for y := y0; y < y1 && ctx.Err() == nil; y++ {
			clear(sums)
			rows := sumRows(img, sums, y*n, n)
			half := uint32(rows*min(n, img.Rect.Dx())) / 2
			count := uint32(rows * min(n, img.Rect.Dx()))
			out := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
			for i := range out {
				out[i] = uint8((sums[i] + half) / count)
			}
		}
	})
	return dst, ctx.Err()
}

// sumRows adds rows y … y+n-1 of img into the sums of w blocks of n columns,
// and returns how many rows there were.
func sumRows(img *image.RGBA, sums []uint32, y, n int) int {
	rows := min(n, img.Rect.Dy()-y)
	across := min(n, img.Rect.Dx())
	for dy := range rows {
		row := img.Pix[(y+dy)*img.Stride:]
		for b := 0; b < len(sums); b += 4 {
			px := row[b*across : (b+4)*across]
			var r, g, bl, a uint32
			for len(px) >= 4 {
				r += uint32(px[0])
				g += uint32(px[1])
				bl += uint32(px[2])
				a += uint32(px[3])
				px = px[4:]
			}
			sums[b] += r
			sums[b+1] += g
			sums[b+2] += bl
			sums[b+3] += a
		}
	}
	return rows
}

// Working returns the photo shrunk by the least whole factor n that leaves at
// most maxPixels, and that factor.
func Working(ctx context.Context, img *image.RGBA, maxPixels int) (*image.RGBA, int, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	n := 1
	for (w/n)*(h/n) > maxPixels && n < min(w, h) {
		n++
	}
	small, err := Shrink(ctx, img, n)
	return small, n, err
}

// PixelAt is the place in the photo of point p of a copy shrunk by n. Both
// count from the centre of their first pixel.
func PixelAt(p geom.Point, n int) geom.Point {
	k, shift := float64(n), (float64(n)-1)/2
	return geom.Point{X: p.X*k + shift, Y: p.Y*k + shift}
}

// ShrunkPixel is the inverse of PixelAt.
func ShrunkPixel(p geom.Point, n int) geom.Point {
	k, shift := float64(n), (float64(n)-1)/2
	return geom.Point{X: (p.X - shift) / k, Y: (p.Y - shift) / k}
}

// Pyramid holds the photo and its halves: level i is shrunk by 2^i.
type Pyramid []*image.RGBA

// NewPyramid halves img until its longer side is at most smallest pixels.
func NewPyramid(ctx context.Context, img *image.RGBA, smallest int) (Pyramid, error) {
	levels := Pyramid{img}
	for {
		last := levels[len(levels)-1]
		if max(last.Rect.Dx(), last.Rect.Dy()) <= max(smallest, 2) {
			return levels, ctx.Err()
		}
		half, err := Shrink(ctx, last, 2)
		if err != nil {
			return nil, err
		}
		levels = append(levels, half)
	}
}

// Level is the level of the pyramid whose longer side is nearest to, but not
// below, want pixels; the photo itself where it is smaller than that.
func (p Pyramid) Level(want int) int {
	for i := len(p) - 1; i > 0; i-- {
		if max(p[i].Rect.Dx(), p[i].Rect.Dy()) >= want {
			return i
		}
	}
	return 0
}

// JPEG encodes img for showing; quality 1 to 100 (90 is good for a photo).
func JPEG(img image.Image, quality int) ([]byte, error) {
	var buf bytes.Buffer
	quality = int(math.Min(100, math.Max(1, float64(quality))))
	if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}
