package copper

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// Further is one more photo of the face beside the main one: a close-up, a tile
// of a large board, or one with light from behind.
type Further struct {
	Pixels *image.RGBA
	// FromMain takes a pixel of the main photo to this one's; ToComponent of the
	// alignment that align.Further gives does.
	FromMain func(geom.Point) geom.Point
	// Backlit is set where light comes through the board.
	Backlit bool
}

const (
	// furtherRim is how far, in working pixels, the rim of a further photo isn't
	// used, and furtherLocal the standard deviation over which its light and
	// colour are made the main photo's.
	furtherRim   = 24
	furtherLocal = 12.0
	// detailSigma separates detail from shape, detailLocal is where it is
	// compared, in working pixels, and detailNoise the squared grey steps of it
	// that noise makes.
	detailSigma = 1.2
	detailLocal = 8.0
	detailNoise = 8.0
	// sharperFrom and sharperAll are the ratios of detail from which a further
	// photo begins to be used and from which it alone is.
	sharperFrom = 1.15
	sharperAll  = 1.5
)

// laid is a further photo as the main photo's working copy shows the board.
type laid struct {
	rgb    [3]raster.Plane // 0 to 255
	covers raster.Mask
}

// lay resamples a further photo for a working copy of w×h pixels, each of scale
// photo pixels.
func (f Further) lay(ctx context.Context, w, h, scale int) (laid, error) {
	img, n := f.Pixels, f.density(w, h, scale)
	if n > 1 {
		small, err := photo.Shrink(ctx, img, n)
		if err != nil {
			return laid{}, err
		}
		img = small
	}
	out := laid{covers: raster.NewMask(w, h)}
	for k := range out.rgb {
		out.rgb[k] = raster.NewPlane(w, h)
	}
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1 && ctx.Err() == nil; y++ {
			for x := range w {
				at := photo.ShrunkPixel(f.FromMain(photo.PixelAt(geom.Point{X: float64(x), Y: float64(y)}, scale)), n)
				if c, ok := sampleRGB(img, at); ok {
					i := y*w + x
					out.covers.Pix[i] = 1
					out.rgb[0].Pix[i], out.rgb[1].Pix[i], out.rgb[2].Pix[i] = c[0], c[1], c[2]
				}
			}
		}
	})
	return out, ctx.Err()
}

// density is how many pixels of the further photo go on one of the working
// copy, at least 1, where the middle of the further photo lies in it.
func (f Further) density(w, h, scale int) int {
	most := 1.0
	for _, c := range [5][2]float64{{0.5, 0.5}, {0.25, 0.25}, {0.75, 0.25}, {0.25, 0.75}, {0.75, 0.75}} {
		p := geom.Point{X: c[0] * float64(w*scale), Y: c[1] * float64(h*scale)}
		if d := f.FromMain(p).Dist(f.FromMain(geom.Point{X: p.X + float64(scale), Y: p.Y})); d > most && !math.IsInf(d, 0) {
			most = d
		}
	}
	return max(1, int(most))
}

// sampleRGB is the colour between pixels; false outside.
func sampleRGB(img *image.RGBA, at geom.Point) (mixed, bool) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if !at.Finite() || at.X < 0 || at.Y < 0 || at.X > float64(w-1) || at.Y > float64(h-1) {
		return mixed{}, false
	}
	x, y := min(int(at.X), max(w-2, 0)), min(int(at.Y), max(h-2, 0))
	fx, fy := float32(at.X-float64(x)), float32(at.Y-float64(y))
	right, down := 4*min(1, w-1), img.Stride*min(1, h-1)
	p := img.Pix[y*img.Stride+4*x:]
	var c mixed
	for k := range c {
		top := float32(p[k]) + fx*(float32(p[right+k])-float32(p[k]))
		bottom := float32(p[down+k]) + fx*(float32(p[down+right+k])-float32(p[down+k]))
		c[k] = top + fy*(bottom-top)
	}
	return c, true
}

// sharpened takes the detail of a further photo into the working copy where it
// has more of it; light and colour stay the main photo's.
func sharpened(small *image.RGBA, f laid) *image.RGBA {
	main := planesOf(small)
	for k, p := range f.rgb {
		for i, c := range f.covers.Pix {
			if c == 0 {
				p.Pix[i] = main[k].Pix[i]
			}
		}
	}
	share := sharperShare(detailOf(main[1]), detailOf(f.rgb[1]), f.covers.Eroded(furtherRim))
	out := image.NewRGBA(small.Rect)
	copy(out.Pix, small.Pix)
	for k := range main {
		mine, its := raster.Smooth(main[k], furtherLocal), raster.Smooth(f.rgb[k], furtherLocal)
		for i, s := range share.Pix {
			if s > 0 {
				v := f.rgb[k].Pix[i] - its.Pix[i] + mine.Pix[i]
				v = main[k].Pix[i] + s*(v-main[k].Pix[i])
				out.Pix[4*i+k] = uint8(min(max(v+0.5, 0), 255))
			}
		}
	}
	return out
}

// planesOf are the three colours of a working copy.
func planesOf(img *image.RGBA) (rgb [3]raster.Plane) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for k := range rgb {
		rgb[k] = raster.NewPlane(w, h)
		for i := range rgb[k].Pix {
			rgb[k].Pix[i] = float32(img.Pix[i/w*img.Stride+i%w*4+k])
		}
	}
	return rgb
}

// detailOf is how much fine detail lies around each pixel.
func detailOf(p raster.Plane) raster.Plane {
	fine := raster.Gaussian(p, detailSigma)
	for i, v := range fine.Pix {
		d := p.Pix[i] - v
		fine.Pix[i] = d * d
	}
	return raster.Smooth(fine, detailLocal)
}

// sharperShare is the share that the second photo gets by its detail, within a
// mask.
func sharperShare(mine, its raster.Plane, within raster.Mask) raster.Plane {
	share := raster.NewPlane(mine.W, mine.H)
	for i, w := range within.Pix {
		if w != 0 {
			ratio := (its.Pix[i] + detailNoise) / (mine.Pix[i] + detailNoise)
			share.Pix[i] = min(max((ratio-sharperFrom)/(sharperAll-sharperFrom), 0), 1)
		}
	}
	return raster.Smooth(share, detailLocal)
}
