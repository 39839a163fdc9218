package raster

import (
	"fmt"
	"runtime"
	"sync"
)

// Plane is a W×H grid of float32 values, row by row.
type Plane struct {
	W, H int
	Pix  []float32 // len W·H
}

// Mask is a W×H grid of bytes, row by row: 0 is no, anything else is yes.
type Mask struct {
	W, H int
	Pix  []uint8 // len W·H
}

// NewPlane returns a plane of zeros.
func NewPlane(w, h int) Plane {
	checkSize(w, h)
	return Plane{w, h, make([]float32, w*h)}
}

// NewMask returns a mask that is no everywhere.
func NewMask(w, h int) Mask {
	checkSize(w, h)
	return Mask{w, h, make([]uint8, w*h)}
}

func checkSize(w, h int) {
	if w <= 0 || h <= 0 {
		panic(fmt.Sprintf("raster: %d×%d is no plane", w, h))
	}
}

// At returns the value at (x, y), which must lie inside.
func (p Plane) At(x, y int) float32 { return p.Pix[y*p.W+x] }

// Set stores the value at (x, y), which must lie inside.
func (p Plane) Set(x, y int, v float32) { p.Pix[y*p.W+x] = v }

// Row is the y-th row, shared with the plane.
func (p Plane) Row(y int) []float32 { return p.Pix[y*p.W : (y+1)*p.W] }

// Clone returns a copy that shares nothing.
func (p Plane) Clone() Plane {
	return Plane{p.W, p.H, append([]float32(nil), p.Pix...)}
}

// Fill sets every pixel to v.
func (p Plane) Fill(v float32) {
	for i := range p.Pix {
		p.Pix[i] = v
	}
}

// Threshold is yes where the plane is at least t.
func (p Plane) Threshold(t float32) Mask {
	m := NewMask(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		for i := y0 * p.W; i < y1*p.W; i++ {
			if p.Pix[i] >= t {
				m.Pix[i] = 1
			}
		}
	})
	return m
}

// Yes reports whether (x, y) lies inside and is set.
func (m Mask) Yes(x, y int) bool {
	return x >= 0 && y >= 0 && x < m.W && y < m.H && m.Pix[y*m.W+x] != 0
}

// Count is the number of pixels that are set.
func (m Mask) Count() int {
	n := 0
	for _, v := range m.Pix {
		if v != 0 {
			n++
		}
	}
	return n
}

// Not returns the complement of the mask, as zeros and ones.
func (m Mask) Not() Mask {
	r := NewMask(m.W, m.H)
	for i, v := range m.Pix {
		if v == 0 {
			r.Pix[i] = 1
		}
	}
	return r
}

// Rows calls do for bands of rows that together are 0..h, on all processors.
// Bands never overlap, so do may write to its own rows.
func Rows(h int, do func(y0, y1 int)) {
	n := min(runtime.GOMAXPROCS(0), h)
	if n <= 1 {
		do(0, h)
		return
	}
	var wg sync.WaitGroup
	for k := range n {
		wg.Add(1)
		go func() {
			defer wg.Done()
			do(k*h/n, (k+1)*h/n)
		}()
	}
	wg.Wait()
}
