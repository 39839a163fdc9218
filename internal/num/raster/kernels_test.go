package raster

import "testing"

// discs is the picture of crosscheck/copper_speed.py: 12 megapixels with a disc
// in each square of 64 pixels.
func discs() Plane {
	p := NewPlane(4000, 3000)
	for y := range p.H {
		for x := range p.W {
			dx, dy := x%64-32, y%64-32
			v := (x + y) % 50
			if dx*dx+dy*dy < 400 {
				v += 150
			}
			p.Set(x, y, float32(v))
		}
	}
	return p
}

// The primitives of copper, whose ratios to OpenCV's crosscheck/copper_speed.py
// prints.
func BenchmarkKernel(b *testing.B) {
	p := discs()
	m := p.Threshold(120)
	for _, k := range []struct {
		name string
		work func()
	}{
		{"Blur", func() { Gaussian(p, 0.8) }},
		{"Components", func() { Components(m, true) }},
		{"Distance", func() { Distance(m) }},
		{"Dilate", func() { m.Dilated(5) }},
		{"Open", func() { m.Opened(2) }},
	} {
		b.Run(k.name, func(b *testing.B) {
			for b.Loop() {
				k.work()
			}
		})
	}
}
