package pixelnet

import "foilside/internal/num/raster"

// conv3 is a 3×3 convolution over all channels.
type conv3 struct{ dense }

// apply convolves x; outside it is zero.
func (l conv3) apply(x tensor) tensor {
	out := newTensor(x.w, x.h, l.out)
	raster.Rows(x.h, func(y0, y1 int) {
		patch := make([]float32, x.w*9*x.c)
		for y := y0; y < y1; y++ {
			x.patches(y, patch)
			l.dense.apply(patch, out.row(y))
		}
	})
	return out
}

// patches lays the 3×3 surroundings of every pixel of row y end to end.
func (t tensor) patches(y int, to []float32) {
	n := 9 * t.c
	for dy := range 3 {
		yy := y + dy - 1
		for x := range t.w {
			at := to[x*n+dy*3*t.c : x*n+(dy+1)*3*t.c]
			if yy < 0 || yy >= t.h {
				clear(at)
				continue
			}
			t.three(x, yy, at)
		}
	}
}

// three copies pixels x-1 to x+1 of row y; outside they are zero.
func (t tensor) three(x, y int, to []float32) {
	row := t.row(y)
	from, upto := (x-1)*t.c, (x+2)*t.c
	if x > 0 && x+1 < t.w {
		copy(to, row[from:upto])
		return
	}
	clear(to)
	lo, hi := max(from, 0), min(upto, len(row))
	copy(to[lo-from:], row[lo:hi])
}

// separable is a depthwise convolution of side k and the mixing after it, with
// a shortcut around both where shapes allow one.
type separable struct {
	k, stride int
	w         []float32 // k·k runs of one weight a channel
	b         []float32
	mix       dense
	short     bool
}

func (l separable) apply(x tensor) tensor {
	w, h := (x.w+l.stride-1)/l.stride, (x.h+l.stride-1)/l.stride
	out := newTensor(w, h, l.mix.out)
	raster.Rows(h, func(y0, y1 int) {
		deep := make([]float32, w*x.c)
		for y := y0; y < y1; y++ {
			l.deep(x, y, w, deep)
			row := out.row(y)
			l.mix.apply(deep, row)
			if l.short {
				for i, v := range x.row(y) {
					row[i] += v
				}
			}
		}
	})
	return out
}

// deep convolves each channel by itself for row y of the output.
func (l separable) deep(x tensor, y, w int, to []float32) {
	half := l.k / 2
	for i := range w {
		sum := to[i*x.c : (i+1)*x.c]
		copy(sum, l.b)
		cx := i*l.stride - half
		for ky := range l.k {
			yy := y*l.stride + ky - half
			if yy < 0 || yy >= x.h {
				continue
			}
			row := x.row(yy)
			if l.k == 3 && cx >= 0 && cx+3 <= x.w {
				weigh3(sum, row[cx*x.c:(cx+3)*x.c], l.w[ky*3*x.c:(ky+1)*3*x.c])
				continue
			}
			for kx := range l.k {
				if xx := cx + kx; xx >= 0 && xx < x.w {
					weigh(sum, row[xx*x.c:(xx+1)*x.c], l.w[(ky*l.k+kx)*x.c:(ky*l.k+kx+1)*x.c])
				}
			}
		}
	}
}

// weigh adds x, each channel with its weight.
func weigh(sum, x, w []float32) {
	x, w = x[:len(sum)], w[:len(sum)]
	for c, s := range sum {
		sum[c] = s + float32(w[c]*x[c])
	}
}

// weigh3 is weigh for three pixels in a row.
func weigh3(sum, x, w []float32) {
	n := len(sum)
	x0, x1, x2 := x[:n], x[n:][:n], x[2*n:][:n]
	w0, w1, w2 := w[:n], w[n:][:n], w[2*n:][:n]
	for c, s := range sum {
		s += float32(w0[c] * x0[c])
		s += float32(w1[c] * x1[c])
		sum[c] = s + float32(w2[c]*x2[c])
	}
}

// chain applies layers one after the other.
type chain []separable

func (l chain) apply(x tensor) tensor {
	for _, s := range l {
		x = s.apply(x)
	}
	return x
}

// rise brings a coarser plane up to a finer one and adds it to that.
type rise struct{ dense }

func (l rise) apply(x, fine tensor) tensor {
	raster.Rows(x.h, func(y0, y1 int) {
		mixed := make([]float32, x.w*l.out)
		for y := y0; y < y1; y++ {
			l.dense.apply(x.row(y), mixed)
			for yy := 2 * y; yy < min(2*y+2, fine.h); yy++ {
				row := fine.row(yy)
				for xx := range fine.w {
					to, from := row[xx*l.out:(xx+1)*l.out], mixed[xx/2*l.out:(xx/2+1)*l.out]
					for c, v := range from {
						to[c] += v
					}
				}
			}
		}
	})
	return fine
}

// everywhere mixes every pixel by itself.
func (d dense) everywhere(x tensor) tensor {
	out := newTensor(x.w, x.h, d.out)
	raster.Rows(x.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			d.apply(x.row(y), out.row(y))
		}
	})
	return out
}
