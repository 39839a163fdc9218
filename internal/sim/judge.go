package sim

import "math"

// judge chooses the unknowns that steps are judged by: voltages of nodes and
// currents of coils. A capacitor's current may jump and is none.
func (r *run) judge() {
	largest := 0.0
	for _, e := range r.in.elements {
		if s, ok := e.element.(*source); ok {
			largest = max(largest, math.Abs(s.volts))
		}
	}
	for _, v := range r.at.x[:r.in.nodes+1] {
		largest = max(largest, math.Abs(v))
	}
	r.largest = largest
	for k := range r.in.nodes + 1 {
		r.judged[k], r.floor[k] = k > 0, max(r.coarse*leastVolts*largest, 1e-9)
	}
	for _, n := range r.in.helpers {
		r.judged[n] = false
	}
	for _, e := range r.in.storing {
		c, ok := e.(winding)
		if !ok {
			continue
		}
		for _, w := range c.wound().coils {
			r.judged[w.branch], r.floor[w.branch] = true, max(r.coarse*leastAmperes*largest, 1e-12)
		}
	}
}

// share is what of the tolerance a single step may use. With the second order
// the number of steps goes with the third root of what one may use, so that
// their sum is in proportion to the tolerance when the share goes with its
// square root. The true error of a step of fourth order is smaller than what
// is judged, and its sum is in proportion by itself.
func (r *run) share() float64 {
	if r.step.by.twice {
		return fourthPerStep
	}
	return min(perStep*math.Sqrt(r.opt.Tolerance/DefaultTolerance), mostPerStep)
}

// ratio is the largest error of the step over what is allowed.
func (r *run) ratio(h float64) float64 {
	r.rounding(h)
	most := 0.0
	allowed := r.share() * r.opt.Tolerance
	for k, e := range r.in.sys.f {
		if !r.judged[k] {
			continue
		}
		within := max(allowed*r.scale(int32(k)), r.noise[k])
		if q := math.Abs(e) / within; !(q <= most) {
			most = q
		}
	}
	return most
}

// scale is what an unknown's error is judged against.
func (r *run) scale(k int32) float64 {
	return max(r.peak[k], math.Abs(r.try.x[k]), r.floor[k])
}

// rounding tells what of the voltages is rounding in a step of length h: a
// share of the largest, and at the ends of a winding, whose voltage is the
// slope of its flux, the last figures of that flux over the step. Without it
// ever shorter steps would make such a voltage ever rougher.
func (r *run) rounding(h float64) {
	for k := 1; k <= int(r.in.nodes); k++ {
		r.noise[k] = noiseShare * r.largest
	}
	for _, e := range r.in.storing {
		wound, ok := e.(winding)
		if !ok {
			continue
		}
		c := wound.wound()
		for k, w := range c.coils {
			v := fluxFigures * math.Abs(c.linkage(r.try.x, k)) / (h + c.lag)
			for _, n := range []int32{w.a.node, w.b.node} {
				r.noise[n] = max(r.noise[n], v)
			}
		}
	}
}
