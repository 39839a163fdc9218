package sim

import "math"

// numericSlopes fills the slopes of a behaviour whose currents are given by
// f, by central differences. Newton's method needs slopes only to a few
// figures; the answer is as exact as f.
func numericSlopes(v, current, slope []float64, f func(v, current []float64)) {
	n := len(v)
	f(v, current)
	var up, down [8]float64
	for c := range v {
		kept := v[c]
		h := 1e-7 * (1 + math.Abs(kept)*1e-2)
		clear(up[:n])
		clear(down[:n])
		v[c] = kept + h
		f(v, up[:n])
		v[c] = kept - h
		f(v, down[:n])
		v[c] = kept
		for r := range n {
			slope[n*r+c] += (up[r] - down[r]) / (2 * h)
		}
	}
}

// flows adds a current from end a to end b.
func flows(current []float64, a, b int, i float64) {
	current[a] += i
	current[b] -= i
}

// atLeast is the larger of x and low, rounded over w.
func atLeast(x, low, w float64) float64 {
	y, _ := smoothPositive(x-low, w)
	return low + y
}

// atMost is the smaller of x and high, rounded over w.
func atMost(x, high, w float64) float64 { return -atLeast(-x, -high, w) }
