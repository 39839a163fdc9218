package pixelnet

// lanes is how many outputs are summed side by side: with two pixels, as many
// sums as a processor holds in its registers.
const lanes = 4

// dense is a layer that mixes a pixel's inputs: out = w·in + b.
type dense struct {
	in, out int
	w       []float32 // per group of lanes outputs: in runs of lanes weights
	b       []float32 // as many as groups·lanes
	rectify bool
}

// newDense takes the weights as out rows of in and lays them out for apply.
func newDense(in, out int, w, b []float32, rectify bool) dense {
	groups := (out + lanes - 1) / lanes
	d := dense{in: in, out: out, w: make([]float32, groups*in*lanes), b: make([]float32, groups*lanes), rectify: rectify}
	copy(d.b, b)
	for o := range out {
		g, l := o/lanes, o%lanes
		for i := range in {
			d.w[(g*in+i)*lanes+l] = w[o*in+i]
		}
	}
	return d
}

// apply mixes every run of d.in values of x into d.out values of y.
func (d dense) apply(x, y []float32) {
	n := len(x) / d.in
	for i := 0; i < n; i += 2 {
		a := x[i*d.in : (i+1)*d.in]
		ya := y[i*d.out : (i+1)*d.out]
		b, yb := a, ya
		if i+1 < n {
			b, yb = x[(i+1)*d.in:(i+2)*d.in], y[(i+1)*d.out:(i+2)*d.out]
		}
		d.pair(a, b, ya, yb)
	}
	if d.rectify {
		for i, v := range y[:n*d.out] {
			y[i] = max(v, 0)
		}
	}
}

// pair mixes two pixels.
func (d dense) pair(a, b, ya, yb []float32) {
	for g := 0; g*lanes < d.out; g++ {
		s, t := mix(d.w[g*d.in*lanes:(g+1)*d.in*lanes], a, b, [lanes]float32(d.b[g*lanes:]))
		copy(ya[g*lanes:], s[:])
		copy(yb[g*lanes:], t[:])
	}
}

// mix sums the products of two pixels with a group's weights onto its bias.
// Each product is rounded by itself: float32(…) keeps it from being fused.
func mix(w, a, b []float32, bias [lanes]float32) (s, t [lanes]float32) {
	a0, a1, a2, a3 := bias[0], bias[1], bias[2], bias[3]
	b0, b1, b2, b3 := a0, a1, a2, a3
	for len(w) >= lanes && len(a) > 0 && len(b) > 0 {
		u, v := a[0], b[0]
		p := w[0]
		a0 += float32(p * u)
		b0 += float32(p * v)
		p = w[1]
		a1 += float32(p * u)
		b1 += float32(p * v)
		p = w[2]
		a2 += float32(p * u)
		b2 += float32(p * v)
		p = w[3]
		a3 += float32(p * u)
		b3 += float32(p * v)
		w, a, b = w[lanes:], a[1:], b[1:]
	}
	return [lanes]float32{a0, a1, a2, a3}, [lanes]float32{b0, b1, b2, b3}
}
