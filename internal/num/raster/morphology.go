package raster

// Dilate is the largest value in the (2r+1)×(2r+1) box around each pixel.
//
// Cost: about three comparisons a pixel and direction whatever r is.
// Source: van Herk 1992; Gil and Werman 1993.
func Dilate(p Plane, r int) Plane { return boxExtreme(p, r, false) }

// Erode is the smallest value in the (2r+1)×(2r+1) box around each pixel.
func Erode(p Plane, r int) Plane { return boxExtreme(p, r, true) }

// Open erodes, then dilates: bright spots narrower than 2r+1 vanish.
func Open(p Plane, r int) Plane { return Dilate(Erode(p, r), r) }

// Close dilates, then erodes: dark spots narrower than 2r+1 vanish.
func Close(p Plane, r int) Plane { return Erode(Dilate(p, r), r) }

func boxExtreme(p Plane, r int, smallest bool) Plane {
	if r <= 0 {
		return p.Clone()
	}
	pick := func(a, b float32) float32 { return max(a, b) }
	if smallest {
		pick = func(a, b float32) float32 { return min(a, b) }
	}
	tmp := NewPlane(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		h := newHerk(p.W, r)
		for y := y0; y < y1; y++ {
			copy(h.line(), p.Row(y))
			h.run(tmp.Row(y), pick)
		}
	})
	out := NewPlane(p.W, p.H)
	Rows(p.W, func(x0, x1 int) {
		h := newHerk(p.H, r)
		col := make([]float32, p.H)
		for x := x0; x < x1; x++ {
			line := h.line()
			for y := range line {
				line[y] = tmp.Pix[y*p.W+x]
			}
			h.run(col, pick)
			for y, v := range col {
				out.Pix[y*p.W+x] = v
			}
		}
	})
	return out
}

// herk is the working room of one line: the line with r replicated pixels on
// each side, rounded up to whole blocks of 2r+1, and its extremes running
// forward and backward within each block.
type herk struct {
	n, r                 int
	padded, ahead, after []float32
}

func newHerk(n, r int) *herk {
	w := 2*r + 1
	size := (n + 2*r + w - 1) / w * w
	return &herk{n, r, make([]float32, size), make([]float32, size), make([]float32, size)}
}

// line is where the caller puts the n values of the line.
func (h *herk) line() []float32 { return h.padded[h.r : h.r+h.n] }

func (h *herk) run(dst []float32, pick func(a, b float32) float32) {
	w := 2*h.r + 1
	for i := range h.r {
		h.padded[i] = h.padded[h.r]
	}
	for i := h.r + h.n; i < len(h.padded); i++ {
		h.padded[i] = h.padded[h.r+h.n-1]
	}
	for b := 0; b < len(h.padded); b += w {
		h.ahead[b] = h.padded[b]
		for i := b + 1; i < b+w; i++ {
			h.ahead[i] = pick(h.ahead[i-1], h.padded[i])
		}
		h.after[b+w-1] = h.padded[b+w-1]
		for i := b + w - 2; i >= b; i-- {
			h.after[i] = pick(h.after[i+1], h.padded[i])
		}
	}
	for x := range h.n {
		dst[x] = pick(h.after[x], h.ahead[x+w-1])
	}
}
