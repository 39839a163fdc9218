package specimen

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
)

// develop turns linear light into a JPEG with the camera's faults.
func develop(r raw, f FaceShot, v View, seed uint64) ([]byte, error) {
	vignette(r, v, f.Vignette)
	if f.Scene != nil {
		f.Scene.Camera.spoil(r)
	}
	blurRaw(r, f.Blur)
	img := expand(r, f, seed)
	if f.Scene != nil {
		f.Scene.Camera.finish(img.Pix, r.w, r.h, seed)
	}
	var out bytes.Buffer
	err := jpeg.Encode(&out, img, &jpeg.Options{Quality: f.Quality})
	return out.Bytes(), err
}

func vignette(r raw, v View, loss float64) {
	if loss == 0 {
		return
	}
	for y := range r.h {
		dy := (float64(y) - v.Lens.Centre.Y) / v.Lens.Norm
		for x := range r.w {
			dx := (float64(x) - v.Lens.Centre.X) / v.Lens.Norm
			k := float32(1 - loss*(dx*dx+dy*dy))
			p := r.v[3*(y*r.w+x):]
			p[0] *= k
			p[1] *= k
			p[2] *= k
		}
	}
}

// blurRaw is a Gaussian of the given sigma, in place.
func blurRaw(r raw, sigma float64) {
	if sigma < 0.2 {
		return
	}
	k := gauss(sigma)
	line := make([]float32, 3*max(r.w, r.h))
	for y := range r.h {
		blurLine(r.v[3*y*r.w:], 3, r.w, k, line)
	}
	blurColumns(r, k)
}

// gauss is half a normalised kernel, the middle first.
func gauss(sigma float64) []float32 {
	n := int(math.Ceil(2.5 * sigma))
	k := make([]float64, n+1)
	sum := 0.0
	for i := range k {
		k[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += k[i]
		if i > 0 {
			sum += k[i]
		}
	}
	out := make([]float32, n+1)
	for i := range k {
		out[i] = float32(k[i] / sum)
	}
	return out
}

// blurLine blurs n pixels of three channels each, stride apart.
func blurLine(v []float32, stride, n int, k, line []float32) {
	for i := range n {
		copy(line[3*i:3*i+3], v[i*stride:i*stride+3])
	}
	for i := range n {
		a0, a1, a2 := line[3*i]*k[0], line[3*i+1]*k[0], line[3*i+2]*k[0]
		for j := 1; j < len(k); j++ {
			l, h := 3*max(0, i-j), 3*min(n-1, i+j)
			a0 += k[j] * (line[l] + line[h])
			a1 += k[j] * (line[l+1] + line[h+1])
			a2 += k[j] * (line[l+2] + line[h+2])
		}
		o := v[i*stride : i*stride+3]
		o[0], o[1], o[2] = a0, a1, a2
	}
}

// blurColumns blurs downwards, row after row so that memory is read in order.
func blurColumns(r raw, k []float32) {
	n := len(k) - 1
	row := 3 * r.w
	ring := make([][]float32, 2*n+1) // copies of the untouched rows y-n .. y+n
	for j := range ring {
		ring[j] = make([]float32, row)
	}
	keep := func(y int) {
		yy := max(0, min(r.h-1, y))
		copy(ring[(y+4*len(ring))%len(ring)], r.v[yy*row:(yy+1)*row])
	}
	for y := -n; y < n; y++ {
		keep(y)
	}
	for y := range r.h {
		keep(y + n)
		o := r.v[y*row : (y+1)*row]
		mid := ring[(y+4*len(ring))%len(ring)]
		for i := range o {
			o[i] = mid[i] * k[0]
		}
		for j := 1; j <= n; j++ {
			a, b := ring[(y-j+4*len(ring))%len(ring)], ring[(y+j)%len(ring)]
			for i := range o {
				o[i] += k[j] * (a[i] + b[i])
			}
		}
	}
}

// expand applies exposure, white balance, noise, tone and the sRGB curve.
func expand(r raw, f FaceShot, seed uint64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, r.w, r.h))
	curve := toneCurve(f.Contrast)
	noise := noiseTable(seed)
	rnd := newRand(seed, 31)
	var gain [3]float32
	for c := range gain {
		gain[c] = float32(f.Exposure * f.White[c])
	}
	// A mid grey of 118 lies where the curve climbs about 255·0.9 steps a unit.
	sigma := float32(f.Noise / 255)
	for y := range r.h {
		at := rnd.IntN(len(noise))
		for x := range r.w {
			i := 3 * (y*r.w + x)
			o := img.Pix[4*(y*r.w+x) : 4*(y*r.w+x)+4]
			for c := range 3 {
				v := r.v[i+c] * gain[c]
				at = (at + 1) & (len(noise) - 1)
				v += noise[at] * sigma * (0.35 + 1.2*v)
				o[c] = curve[max(0, min(len(curve)-1, int(v*curveUnit)))]
			}
			o[3] = 255
		}
	}
	if f.Sharpen > 0 {
		sharpen(img, f.Sharpen)
	}
	return img
}

const curveUnit = 1024 // table steps per unit of light

// toneCurve maps linear light to 8-bit sRGB with a soft shoulder above 0.8,
// so that glare clips as cameras clip it.
func toneCurve(contrast float64) []uint8 {
	out := make([]uint8, 4*curveUnit)
	for i := range out {
		v := float64(i) / curveUnit
		if v > 0.7 {
			v = 0.7 + 0.3*(1-math.Exp(-(v-0.7)/0.3))
		}
		e := 1.055*math.Pow(v, 1/2.4) - 0.055
		if v <= 0.0031308 {
			e = 12.92 * v
		}
		e += contrast * 0.35 * (e*e*(3-2*e) - e)
		out[i] = uint8(math.Max(0, math.Min(255, math.Round(e*255))))
	}
	return out
}

func noiseTable(seed uint64) []float32 {
	r := newRand(seed, 41)
	t := make([]float32, 1<<16)
	for i := range t {
		t[i] = float32(r.NormFloat64())
	}
	return t
}

// sharpen adds the difference from the four neighbours, as cameras do.
func sharpen(img *image.RGBA, amount float64) {
	src := append([]uint8(nil), img.Pix...)
	k := int(amount * 64)
	w, h, s := img.Rect.Dx(), img.Rect.Dy(), img.Stride
	for y := 1; y < h-1; y++ {
		for i := y*s + 4; i < y*s+4*(w-1); i++ {
			if i&3 == 3 {
				continue
			}
			v := int(src[i])
			d := 4*v - int(src[i-4]) - int(src[i+4]) - int(src[i-s]) - int(src[i+s])
			img.Pix[i] = uint8(max(0, min(255, v+d*k/256)))
		}
	}
}
