package sim

import "math"

// judge chooses the unknowns that steps are judged by: voltages of nodes and
// currents of coils. A capacitor's current may jump and is none.
func (r *run) judge() {
	largest := 0.0
	for _, e := range r.in.elements {
		if s, ok := e.element.(*source); ok {
			largest = math.Max(largest, math.Abs(s.volts))
		}
	}
	for _, v := range r.at.x[:r.in.nodes+1] {
		largest = math.Max(largest, math.Abs(v))
	}
	r.noise = noiseShare * largest
	for _, e := range r.in.elements {
		// The voltage of a node that only coils touch is a slope of currents, and
		// its error mostly rounding over the step.
		if _, coils := e.element.(*core); coils {
			continue
		}
		e.nodes(func(a, b int32) {
			for _, k := range []int32{a, b} {
				r.judged[k], r.floor[k] = k > 0, math.Max(leastVolts*largest, 1e-9)
			}
		})
	}
	for _, e := range r.in.storing {
		c, ok := e.(*core)
		if !ok {
			continue
		}
		for _, w := range c.coils {
			r.judged[w.branch], r.floor[w.branch] = true, math.Max(leastAmperes*largest, 1e-12)
		}
	}
}

// share is what of the tolerance a single step may use. The number of steps
// goes with the third root of what one may use, so that their sum is in
// proportion to the tolerance when the share goes with its square root.
func (r *run) share() float64 {
	return math.Min(perStep*math.Sqrt(r.opt.Tolerance/DefaultTolerance), mostPerStep)
}

// ratio is the largest error of the step over what is allowed.
func (r *run) ratio() float64 {
	most := 0.0
	allowed := r.share() * r.opt.Tolerance
	for k, e := range r.in.sys.f {
		if !r.judged[k] {
			continue
		}
		scale := math.Max(math.Max(r.peak[k], math.Abs(r.try.x[k])), r.floor[k])
		within := allowed * scale
		if k <= int(r.in.nodes) {
			within = math.Max(within, r.noise)
		}
		if q := math.Abs(e) / within; !(q <= most) {
			most = q
		}
	}
	return most
}
