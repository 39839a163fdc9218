package align

import "math"

// assemble fills in the result from the two fits.
func assemble(exact, plain fitted, chance float64, pairs []Pair, sizes Sizes) Alignment {
	a := Alignment{Sizes: sizes, Found: FoundPoints, Plain: plain.model.matrix(), Exact: exact.model.matrix(),
		Lens: exact.model.lens, PlainLens: plainLens(plain, exact, chance, pairs), NoisePx: exact.noise, fit: exact}
	kept := make([]bool, len(pairs))
	sum := 0.0
	for _, i := range exact.used {
		kept[i] = true
		a.Kept = append(a.Kept, i+1)
		sum += square(exact.residual(pairs[i]).Norm())
	}
	a.ResidualPx = math.Sqrt(sum / float64(len(exact.used)))
	for i, p := range pairs {
		if !kept[i] {
			a.Left = append(a.Left, Misfit{Pair: i + 1, DistancePx: finite(exact.residual(p).Norm())})
		}
	}
	return a
}

// finite replaces a distance to a place beyond the horizon by the largest
// number, since results hold finite numbers only.
func finite(d float64) float64 {
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return math.MaxFloat64
	}
	return d
}

// plainLens fits the lens terms with the plain matrix held still, for readers
// that use the two together, and takes them as far as a lens is likely.
func plainLens(plain, exact fitted, chance float64, pairs []Pair) Lenses {
	if exact.model.lens.flat() {
		return exact.model.lens
	}
	m := plain.model
	for range 5 {
		// Two unknowns: normal equations by hand.
		var a, b, d, r, s float64
		for _, i := range plain.used {
			q, _ := m.apply(pairs[i].Component)
			x, y := m.jacobian(pairs[i].Component, lensParams)
			e := pairs[i].Foil.Sub(q)
			a += x[8]*x[8] + y[8]*y[8]
			b += x[8]*x[9] + y[8]*y[9]
			d += x[9]*x[9] + y[9]*y[9]
			r += x[8]*e.X + y[8]*e.Y
			s += x[9]*e.X + y[9]*e.Y
		}
		ridge := square(plain.noise / k1SD)
		a, d = a+ridge, d+ridge
		r -= ridge * m.lens.Component.K1
		s -= ridge * m.lens.Foil.K1
		det := a*d - b*b
		if !(det > 0) {
			return noLensesLike(m.lens)
		}
		m.lens.Component.K1 += (d*r - b*s) / det
		m.lens.Foil.K1 += (a*s - b*r) / det
	}
	m.lens.Component.K1 *= chance
	m.lens.Foil.K1 *= chance
	if !m.lens.usable() {
		return noLensesLike(m.lens)
	}
	return m.lens
}

func noLensesLike(l Lenses) Lenses {
	l.Component.K1, l.Foil.K1 = 0, 0
	return l
}
