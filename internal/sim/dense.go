package sim

import "math"

// Between the ends of a step of fourth order a voltage is the cubic through
// both and its stages:
//
//	v(θ) = v(0) + θ·(v(1) − v(0)) + p·(θ² − θ) + q·(θ³ − θ)     θ from 0 to 1
//
// A stage is off by a known multiple of the third derivative where a state
// decides it, and not where a source does; how much of it, is the third
// unknown of the fit.

// curve is what a cubic has beside the straight line.
type curve struct{ p, q float64 }

// cubic is the inverse of what p, q and the third unknown make of the stages 1
// to 3, its rows of p and q.
type cubic struct {
	at       [3]float64
	ofP, ofQ [3]float64
}

// cubicOf is that of a method with stages enough.
func cubicOf(m *method) cubic {
	var f cubic
	var rows [3][3]float64
	for i := range rows {
		c := m.at[i+1]
		half := m.implicit * c * c / 2
		for j := range i + 1 {
			half += m.shares[i+1][j] * m.at[j] * m.at[j] / 2
		}
		f.at[i] = c
		rows[i] = [3]float64{c*c - c, c*c*c - c, c*c*c/6 - half}
	}
	a, b, c := rows[0], rows[1], rows[2]
	bc, ca, ab := cross(b, c), cross(c, a), cross(a, b)
	det := a[0]*bc[0] + a[1]*bc[1] + a[2]*bc[2]
	f.ofP = [3]float64{bc[0] / det, ca[0] / det, ab[0] / det}
	f.ofQ = [3]float64{bc[1] / det, ca[1] / det, ab[1] / det}
	return f
}

// cross is the vector product.
func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// of is the curve of unknown k over a step.
func (f *cubic) of(s *stepper, from, to *point, k int32) curve {
	v, rise := from.x[k], to.x[k]-from.x[k]
	var c curve
	for i, at := range f.at {
		d := s.inner[i+1].x[k] - v - at*rise
		c.p += f.ofP[i] * d
		c.q += f.ofQ[i] * d
	}
	return c
}

// bend is the largest second derivative.
func (c curve) bend() float64 { return max(math.Abs(2*c.p), math.Abs(2*c.p+6*c.q)) }

// Limits of what is drawn between the ends of a step.
const (
	// straightShare is how far a straight piece of a waveform may be from the
	// cubic, of the tolerance.
	straightShare = 0.5
	mostPieces    = 100
	// cornerReach is how far a corner between two cubics reaches into them:
	// the largest of θ·(1 − θ)².
	cornerReach = 4.0 / 27
	// cornerPace is the step, of the run, below which corners are too small to
	// be seen.
	cornerPace = 1e-4
)

// curves fits the waveforms of a step tried. Where they would leave the ones
// before at a corner that matters, it says how much shorter the step must be.
func (r *run) curves(h float64) (shorter float64) {
	worst := 0.0
	for k, n := range r.watched {
		c := r.cubic.of(r.step, &r.at, &r.try, n)
		r.curve[k] = c
		if !math.IsNaN(r.leaving[k]) && h > cornerPace*r.pace {
			begins := r.try.x[n] - r.at.x[n] - c.p - c.q
			corner := cornerReach * math.Abs(begins-h*r.leaving[k])
			worst = max(worst, corner/(r.scale(n)*r.opt.Tolerance+cornerNoise*r.noise[n]))
		}
	}
	if worst <= 1 {
		return 1
	}
	return max(0.25, 0.9/math.Sqrt(worst))
}

// cornerNoise is how much of a voltage's rounding the cubic makes.
const cornerNoise = 50

// fill notes the waveforms within the step tried, in pieces as straight as
// the tolerance asks for.
func (r *run) fill() {
	h := r.try.t - r.at.t
	most := 0.0
	for k, n := range r.watched {
		c := r.curve[k]
		most = max(most, c.bend()/(8*straightShare*r.opt.Tolerance*r.scale(n)))
		r.leaving[k] = (r.try.x[n] - r.at.x[n] + c.p + 2*c.q) / h
	}
	pieces := math.Ceil(math.Sqrt(min(most, mostPieces*mostPieces)))
	for j := 1.0; j < pieces; j++ {
		r.trace.time = append(r.trace.time, r.at.t+j/pieces*h)
	}
	for k, n := range r.watched {
		v, rise, c, values := r.at.x[n], r.try.x[n]-r.at.x[n], r.curve[k], r.trace.values[k]
		for j := 1.0; j < pieces; j++ {
			x := j / pieces
			values = append(values, v+x*(rise+(x-1)*(c.p+c.q*(x+1))))
		}
		r.trace.values[k] = values
	}
}

// cornerUnknown forgets how the waveforms leave the last step.
func (r *run) cornerUnknown() {
	for k := range r.leaving {
		r.leaving[k] = math.NaN()
	}
}
