package sim

import "math"

// method is an implicit one-step method of several stages, the first of them
// the point it begins at. By states y and rates f, stage i is at t + at[i]·h:
//
//	y(i) = y + h·Σ shares[i][j]·f(j) + implicit·h·f(i)
//
// All stages have the same matrix, the last is the end of the step.
type method struct {
	stages   int
	at       [mostStages]float64
	shares   [mostStages][mostStages - 1]float64
	implicit float64
	// wrong is the weights of the rates in the error of the states. Where there
	// are none the last but one stage ends with the step too, and the
	// difference between the two is the error.
	wrong [mostStages]float64
	twice bool
}

const mostStages = 6

// secondOrder is TR-BDF2: a trapezoidal stage to t + γ·h, then one by the
// second backward differentiation formula. It is L-stable. The difference to
// the weights of third order, passed through the matrix so that stiff parts do
// not inflate it, is the error.
//
// Source: R. E. Bank et al., IEEE Trans. Electron Devices 32 (1985)
// 1992–2007; estimate of M. E. Hosea, L. F. Shampine, Appl. Numer. Math. 20
// (1996) 21–37 (both from memory; TestRinging confirms order and estimate).
func secondOrder() method {
	const (
		gamma = 2 - math.Sqrt2
		d     = gamma / 2
		w     = math.Sqrt2 / 4
	)
	return method{
		stages:   3,
		at:       [mostStages]float64{0, gamma, 1},
		shares:   [mostStages][mostStages - 1]float64{1: {d}, 2: {w, w}},
		implicit: d,
		wrong:    [mostStages]float64{w - (1-w)/3, w - (3*w+1)/3, d - d/3},
	}
}

// fourthOrder is a method of five implicit stages, L-stable as is the one of
// third order that its last but one stage ends with.
//
// Source: C. A. Kennedy, M. H. Carpenter, Appl. Numer. Math. 146 (2019)
// 221–244, by the table in SUNDIALS 6.4.1 (ESDIRK43I6L2SA);
// TestMethodsHaveTheirOrder confirms the order conditions.
func fourthOrder() method {
	return method{
		stages: 6,
		at:     [mostStages]float64{0, 0.5, 0.14644660940672624, 0.58035915731398907, 1, 1},
		shares: [mostStages][mostStages - 1]float64{
			1: {0.25},
			2: {-0.051776695296636921, -0.051776695296636879},
			3: {-0.12100710522809066, -0.12100710522809056, 0.57237336777017467},
			4: {-0.61195040173360538, -0.61195040173360549, 1.3587904035004925, 0.61511039996671835},
			5: {0.066324612081910969, 0.066324612081910969, 0.22236269423069369, 0.50213093874834147, -0.10714285714285714},
		},
		implicit: 0.25,
		twice:    true,
	}
}
