package sim

import "math"

// stop is the next time that a step must end at: an edge, or the end.
func (r *run) stop() float64 {
	stop := r.opt.For
	for _, w := range r.in.waves {
		stop = min(stop, w.edge())
	}
	if r.beat != nil {
		stop = min(stop, r.beat.strobe())
	}
	if r.opt.For-stop <= r.together() {
		return r.opt.For
	}
	return stop
}

// together is how near to each other edges count as one.
func (r *run) together() float64 { return 4 * r.shortest() }

// end is where the next step ends: it does not leave a rest that is shorter
// than itself before the stop, and halves what is left before an event.
func (r *run) end(stop float64) float64 {
	t, h := r.at.t, min(r.h, r.longest[0])
	if r.step.by.twice {
		h = min(r.h, r.longest[1])
	}
	if !math.IsInf(r.event, 1) {
		if r.event-t <= r.eventWidth() {
			return min(r.event, stop)
		}
		h = min(h, (r.event-t)/2)
	}
	switch left := stop - t; {
	case h >= left*(1-1e-9):
		return stop
	case 2*h > left:
		return t + left/2
	}
	return t + h
}

// eventWidth is how long a step may be in which a mode turns.
func (r *run) eventWidth() float64 { return max(eventShare*r.pace, 16*ulp(r.at.t)) }

// turnPieces lets the waves go on to the piece of a time.
func (r *run) turnPieces(t float64) {
	for _, w := range r.in.waves {
		for w.edge() <= t {
			w.piece++
		}
	}
}

// shortest is how long a step by Euler's rule is.
func (r *run) shortest() float64 { return max(backwardShare*r.pace, 4*ulp(r.at.t)) }
