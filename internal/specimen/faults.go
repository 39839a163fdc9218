package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// Faults are what a small camera does beyond FaceShot. The zero value does
// nothing.
type Faults struct {
	Motion   geom.Point `json:"motion,omitzero"`    // pixels of shake
	Defocus  float64    `json:"defocus,omitempty"`  // sigma at the worst place, pixels
	Focus    geom.Point `json:"focus,omitzero"`     // the sharp place, shares of the picture
	FocusDir geom.Point `json:"focusDir,omitzero"`  // length 1: across the sharp band; 0: round
	Chroma   float64    `json:"chroma,omitempty"`   // sigma of coloured noise, 8-bit steps
	Blotch   float64    `json:"blotch,omitempty"`   // pixels across which noise hangs together
	Halo     float64    `json:"halo,omitempty"`     // strength of wide sharpening
	HaloWide int        `json:"haloWide,omitempty"` // its radius, pixels
	Bleed    int        `json:"bleed,omitempty"`    // radius over which colour is spread, pixels
	Flare    float64    `json:"flare,omitempty"`    // share of the mean light over everything
	Vivid    float64    `json:"vivid,omitempty"`    // -1 grey .. 0 as it is .. 1 doubled
}

// spoil applies to light what happens before the sensor.
func (f *Faults) spoil(r raw) {
	if f.Flare > 0 {
		f.flare(r)
	}
	if f.Motion.Norm() > 0.5 {
		shake(r, f.Motion)
	}
	if f.Defocus > 0.3 {
		f.defocus(r)
	}
}

func (f *Faults) flare(r raw) {
	var mean [3]float64
	for i, v := range r.v {
		mean[i%3] += float64(v)
	}
	n := float64(len(r.v) / 3)
	for i := range r.v {
		r.v[i] = r.v[i]*float32(1-f.Flare) + float32(f.Flare*mean[i%3]/n)
	}
}

// shake is the mean along a short straight way.
func shake(r raw, way geom.Point) {
	n := max(2, int(math.Ceil(way.Norm()))+1)
	src := append([]float32(nil), r.v...)
	clear(r.v)
	k := 1 / float32(n)
	for j := range n {
		t := float64(j)/float64(n-1) - 0.5
		dx, dy := int(math.Round(way.X*t)), int(math.Round(way.Y*t))
		for y := range r.h {
			yy := max(0, min(r.h-1, y+dy))
			shiftRow(r.v[3*y*r.w:3*(y+1)*r.w], src[3*yy*r.w:3*(yy+1)*r.w], dx, k)
		}
	}
}

// shiftRow adds k times a row of pixels moved by dx.
func shiftRow(to, from []float32, dx int, k float32) {
	w := len(to) / 3
	for x := range w {
		xx := 3 * max(0, min(w-1, x+dx))
		to[3*x] += k * from[xx]
		to[3*x+1] += k * from[xx+1]
		to[3*x+2] += k * from[xx+2]
	}
}

// defocus mixes in a blurred copy the more, the farther from the sharp place.
func (f *Faults) defocus(r raw) {
	soft := raw{r.w, r.h, append([]float32(nil), r.v...)}
	blurRaw(soft, f.Defocus)
	for y := range r.h {
		v := float64(y)/float64(r.h) - f.Focus.Y
		for x := range r.w {
			u := float64(x)/float64(r.w) - f.Focus.X
			d := math.Abs(u*f.FocusDir.X + v*f.FocusDir.Y)
			if f.FocusDir == (geom.Point{}) {
				d = math.Sqrt(u*u + v*v)
			}
			t := float32(min(1, 2.2*d*d))
			for i := 3 * (y*r.w + x); i < 3*(y*r.w+x)+3; i++ {
				r.v[i] += t * (soft.v[i] - r.v[i])
			}
		}
	}
}

// finish applies to the 8-bit picture what the camera's maker does.
func (f *Faults) finish(pix []uint8, w, h int, seed uint64) {
	if f.Chroma > 0 || f.Vivid != 0 {
		f.colours(pix, w, seed)
	}
	if f.Bleed > 0 {
		bleed(pix, w, h, f.Bleed)
	}
	if f.Halo > 0 && f.HaloWide > 0 {
		halo(pix, w, h, f.HaloWide, f.Halo)
	}
}

// colours shifts colours by noise that hangs together over some pixels, and
// makes them more or less vivid.
func (f *Faults) colours(pix []uint8, w int, seed uint64) {
	t := newTile(newRand(seed, 43), 2)
	step := 1 / math.Max(1, f.Blotch)
	k := float32(3 * f.Chroma)
	vivid := float32(1 + f.Vivid)
	for i := 0; i < len(pix); i += 4 {
		x, y := float64(i/4%w)*step, float64(i/4/w)*step
		a, b, c := k*t.at(x, y), k*t.at(x+87.3, y+31.7), k*t.at(x+19.1, y+133.9)
		r, g, l := float32(pix[i]), float32(pix[i+1]), float32(pix[i+2])
		grey := 0.3*r + 0.59*g + 0.11*l
		mean := (a + b + c) / 3 * 0.6
		pix[i] = byteOf(grey + vivid*(r-grey) + a - mean)
		pix[i+1] = byteOf(grey + vivid*(g-grey) + b - mean)
		pix[i+2] = byteOf(grey + vivid*(l-grey) + c - mean)
	}
}

func byteOf(v float32) uint8 { return uint8(max(0, min(255, v+0.5))) }

// bleed spreads colour, not brightness, over 2n+1 pixels both ways.
func bleed(pix []uint8, w, h, n int) {
	g := grid{w: w, h: h}
	cb, cr, luma := make([]float32, w*h), make([]float32, w*h), make([]float32, w*h)
	for i := range luma {
		r, g, b := float32(pix[4*i]), float32(pix[4*i+1]), float32(pix[4*i+2])
		luma[i] = 0.299*r + 0.587*g + 0.114*b
		cb[i], cr[i] = b-luma[i], r-luma[i]
	}
	smear(cb, g, n)
	smear(cr, g, n)
	for i, y := range luma {
		pix[4*i] = byteOf(y + cr[i])
		pix[4*i+1] = byteOf(y - 0.509*cr[i] - 0.194*cb[i])
		pix[4*i+2] = byteOf(y + cb[i])
	}
}

// halo adds the difference from a wide mean of the brightness.
func halo(pix []uint8, w, h, n int, amount float64) {
	wide := make([]float32, w*h)
	for i := range wide {
		wide[i] = 0.3*float32(pix[4*i]) + 0.59*float32(pix[4*i+1]) + 0.11*float32(pix[4*i+2])
	}
	sharp := append([]float32(nil), wide...)
	smear(wide, grid{w: w, h: h}, n)
	k := float32(amount)
	for i := range wide {
		d := k * (sharp[i] - wide[i])
		for c := 4 * i; c < 4*i+3; c++ {
			pix[c] = byteOf(float32(pix[c]) + d)
		}
	}
}
