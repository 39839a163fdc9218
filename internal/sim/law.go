package sim

import "math"

// Physical constants, exact in the SI of 2019.
const (
	boltzmann = 1.380649e-23    // J/K
	electron  = 1.602176634e-19 // C
)

// thermalVoltage is k·T/q in volts.
func thermalVoltage(kelvin float64) float64 { return boltzmann * kelvin / electron }

// law is an exponential junction with a resistance in series:
//
//	i = Is·(exp((v − i·Rs)/nv) − 1)
//
// It is kept by the logarithm of Is, which for a breakdown may lie far below
// the smallest float64. Rs is never zero.
type law struct {
	logIs float64 // of amperes
	is    float64 // amperes; 0 where it underflows
	nv    float64 // volts: emission coefficient × thermal voltage
	rs    float64 // ohms
	shift float64 // ln(Is·Rs/nv)
	limit float64 // volts: below it Newton steps need no care
}

// leastSeries keeps every junction's series resistance above zero, so that
// its law has a closed form. 0.1 mΩ is less than any lead.
const leastSeries = 1e-4

// fit returns the law that drops v volts at i amperes.
func fit(v, i, nv, rs float64) law {
	rs = max(rs, leastSeries)
	// A series resistance that alone would drop it all leaves no junction.
	junction := max(v-i*rs, v/2)
	rs = (v - junction) / i
	return newLaw(math.Log(i)-logExpm1(junction/nv)-junction/nv, nv, max(rs, leastSeries))
}

// logExpm1 is ln((eˣ − 1)/eˣ), small and negative for large x.
func logExpm1(x float64) float64 { return math.Log(-math.Expm1(-x)) }

func newLaw(logIs, nv, rs float64) law {
	return law{logIs: logIs, is: math.Exp(logIs), nv: nv, rs: rs, shift: logIs + math.Log(rs/nv), limit: nv * math.Max(0, math.Log(nv/math.Sqrt2)-logIs)}
}

// shifted returns the law with its drop larger by dv volts.
func (l law) shifted(dv float64) law { return newLaw(l.logIs-dv/l.nv, l.nv, l.rs) }

// at returns current and differential conductance at v volts.
//
// Method: i = ω·nv/Rs − Is with ω + ln ω = v/nv + Is·Rs/nv + ln(Is·Rs/nv),
// the Wright omega function, so no iteration over i is left.
// Source: T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291–292
// (from memory).
func (l law) at(v float64) (i, g float64) {
	u := (v+l.is*l.rs)/l.nv + l.shift
	if u < -45 {
		// ω = eᵘ to the last digit. Near no drop at all the difference to
		// −Is is taken without cancellation.
		x := v / l.nv
		if x < -40 {
			return -l.is, 0
		}
		if x < 1 {
			return l.is * math.Expm1(x), l.is * math.Exp(x) / l.nv
		}
		e := math.Exp(l.logIs + x)
		return e - l.is, e / l.nv
	}
	w := omega(u)
	return w*l.nv/l.rs - l.is, w / (1 + w) / l.rs
}

// volts is the inverse of at, for i > −Is.
func (l law) volts(i float64) float64 {
	if l.is == 0 {
		return l.nv*(math.Log(i)-l.logIs) + i*l.rs
	}
	return l.nv*math.Log1p(i/l.is) + i*l.rs
}

// tame moves a Newton step from v to next so that the current, not the
// voltage, becomes what the straight line at v foretold. It turns the
// overshoot of an exponential into a few steps.
func (l law) tame(v, next float64) float64 {
	if next <= l.limit && v <= l.limit {
		return next
	}
	i, g := l.at(v)
	return l.tameFrom(v, i, g, next)
}

// tameFrom is tame where at(v) is known.
func (l law) tameFrom(v, i, g, next float64) float64 {
	if next <= l.limit && v <= l.limit {
		return next
	}
	foretold := i + g*(next-v)
	if foretold <= 0 {
		if next > l.limit {
			return l.limit
		}
		return next
	}
	if knee := l.limit - belowCritical*l.nv; v < knee {
		return min(max(l.volts(foretold), knee), next)
	}
	return min(l.volts(foretold), max(next, l.limit))
}

// lately is a law's last answer: an iteration asks for it again.
type lately struct {
	v, i, g float64
	known   bool
}

// at is that of the law.
func (a *lately) at(l *law, v float64) (i, g float64) {
	if !a.known || a.v != v {
		i, g := l.at(v)
		*a = lately{v, i, g, true}
	}
	return a.i, a.g
}

// omega is the Wright omega function of a real number: ω + ln ω = u.
//
// Accuracy: 1e-15 relative for −45 < u < 1e15.
// Source: F. N. Fritsch, R. E. Shafer, W. P. Crowley, Comm. ACM 16 (1973)
// 123–124 (from memory).
func omega(u float64) float64 {
	var w float64
	switch {
	case u > 2:
		ln := math.Log(u)
		w = u - ln + ln/u
	case u < -1.5:
		// The series of Lambert's function about nothing.
		e := math.Exp(u)
		w = e * (1 - e*(1-e*(3.0/2-e*8.0/3)))
		if u < -12 {
			return w
		}
	default:
		w = 0.56714 + u*(0.36190+u*0.0734)
	}
	for range 2 {
		r := u - w - math.Log(w)
		q := 2 * (1 + w) * (1 + w + r*2/3)
		w *= 1 + r/(1+w)*(q-r)/(q-2*r)
		if math.Abs(r) < 1e-4*(1+w) {
			break // the error falls with the fourth power
		}
	}
	return w
}

// softExp is eˣ, continued by its tangent above 80 so that it never overflows.
func softExp(x float64) float64 {
	if x > 80 {
		return math.Exp(80) * (x - 79)
	}
	return math.Exp(x)
}
