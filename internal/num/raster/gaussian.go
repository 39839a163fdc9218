package raster

import "math"

// Gaussian returns the plane smoothed with a Gaussian of the given standard
// deviation in pixels; sigma <= 0 returns a copy. The kernel is cut at 4 sigma
// and its weights sum to 1.
func Gaussian(p Plane, sigma float64) Plane {
	if sigma <= 0 {
		return p.Clone()
	}
	k := gaussianKernel(sigma)
	tmp := NewPlane(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		padded := make([]float32, p.W+2*(len(k)-1))
		for y := y0; y < y1; y++ {
			convolveRow(tmp.Row(y), p.Row(y), padded, k)
		}
	})
	out := NewPlane(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			convolveColumns(out.Row(y), tmp, y, k)
		}
	})
	return out
}

// gaussianKernel returns the centre weight followed by those of one side.
func gaussianKernel(sigma float64) []float32 {
	r := int(math.Ceil(4 * sigma))
	w := make([]float64, r+1)
	sum := 0.0
	for i := range w {
		w[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += 2 * w[i]
	}
	sum -= w[0]
	k := make([]float32, r+1)
	for i := range k {
		k[i] = float32(w[i] / sum)
	}
	return k
}

// convolveRow writes the smoothed row src to dst. padded has room for the row
// and len(k)-1 replicated pixels on each side.
func convolveRow(dst, src, padded, k []float32) {
	r, n := len(k)-1, len(src)
	for i := range r {
		padded[i], padded[r+n+i] = src[0], src[n-1]
	}
	copy(padded[r:], src)
	for x, v := range src {
		dst[x] = k[0] * v
	}
	for i := 1; i <= r; i++ {
		addPair(dst, padded[r-i:], padded[r+i:], k[i])
	}
}

// convolveColumns writes row y of src smoothed along the columns to dst.
func convolveColumns(dst []float32, src Plane, y int, k []float32) {
	for x, v := range src.Row(y) {
		dst[x] = k[0] * v
	}
	for i := 1; i < len(k); i++ {
		addPair(dst, src.Row(max(y-i, 0)), src.Row(min(y+i, src.H-1)), k[i])
	}
}

// addPair adds w·(a+b), value by value.
func addPair(dst, a, b []float32, w float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for x := range dst {
		dst[x] += w * (a[x] + b[x])
	}
}

// Smooth approximates a Gaussian of standard deviation sigma by three box
// means, in time that doesn't grow with sigma. It is meant for sigma >= 4, where whole
// radii come close enough.
//
// Source: Wells 1986, "Efficient synthesis of Gaussian filters by cascaded
// uniform filters"; the box widths follow from matching the variance.
func Smooth(p Plane, sigma float64) Plane {
	for _, r := range boxRadii(sigma, 3) {
		p = BoxMean(p, r)
	}
	return p
}

// boxRadii chooses n box radii whose variances sum to about sigma².
// A box of radius r has the variance r(r+1)/3.
func boxRadii(sigma float64, n int) []int {
	want := 3 * sigma * sigma / float64(n)
	low := int(math.Floor((-1 + math.Sqrt(1+4*want)) / 2))
	// The first m boxes have the radius low, the others low+1.
	gap := float64(2 * (low + 1))
	m := n - int(math.Round((want-float64(low*(low+1)))*float64(n)/gap))
	radii := make([]int, n)
	for i := range radii {
		radii[i] = low
		if i >= m {
			radii[i]++
		}
	}
	return radii
}

// BoxMean is the mean over the (2r+1)×(2r+1) box around each pixel.
func BoxMean(p Plane, r int) Plane {
	if r <= 0 {
		return p.Clone()
	}
	tmp := NewPlane(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			boxRow(tmp.Row(y), p.Row(y), r)
		}
	})
	out := NewPlane(p.W, p.H)
	Rows(p.W, func(x0, x1 int) { boxColumns(out, tmp, x0, x1, r) })
	return out
}

func boxRow(dst, src []float32, r int) {
	n := len(src)
	sum := float64(src[0]) * float64(r)
	for i := 0; i <= r; i++ {
		sum += float64(src[min(i, n-1)])
	}
	scale := 1 / float64(2*r+1)
	for x := range dst {
		dst[x] = float32(sum * scale)
		sum += float64(src[min(x+r+1, n-1)]) - float64(src[max(x-r, 0)])
	}
}

// boxColumns runs the column sums of columns x0..x1 down the plane.
func boxColumns(dst, src Plane, x0, x1, r int) {
	sum := make([]float64, x1-x0)
	add := func(y int, k float64) {
		for i, v := range src.Row(y)[x0:x1] {
			sum[i] += k * float64(v)
		}
	}
	add(0, float64(r))
	for i := 0; i <= r; i++ {
		add(min(i, src.H-1), 1)
	}
	scale := 1 / float64(2*r+1)
	for y := range src.H {
		row := dst.Row(y)[x0:x1]
		for i := range row {
			row[i] = float32(sum[i] * scale)
		}
		add(min(y+r+1, src.H-1), 1)
		add(max(y-r, 0), -1)
	}
}
