package charge

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"foilside/internal/circuit"
)

// cell is a capacitor as a port of the discharge network.
type cell struct {
	part   circuit.PartRef
	a, b   circuit.NetID
	farads float64 // with the tolerance added
	volts  float64 // greatest voltage at the start
}

const (
	// portOhms stands in series with every capacitor, so that capacitors in
	// parallel don't make the equations singular. Small against any path that
	// matters, large enough that its difference to 1 GΩ is not lost in rounding.
	portOhms = 0.01
	// leakOhms holds every net against drifting freely: far more than any
	// insulation, so that it shortens no time that is stated.
	leakOhms = 1e15
	// longest is what counts as never: nobody waits for a day at the bench.
	longest = 24 * 3600.0
)

// decay is the discharge of all capacitors together through resistances:
// C·dv/dt = -Y·v, solved by its modes.
type decay struct {
	cells []cell
	rate  []float64  // per mode, 1/s
	modes *mat.Dense // orthonormal columns, over √C·v
}

// newDecay reduces the network to its capacitors.
//
// Shapes:   one mode for each cell.
// Accuracy: paths up to 1e9 Ω keep four figures (portOhms).
func newDecay(cells []cell, branches []branch) (*decay, bool) {
	y, ok := portMatrix(cells, branches)
	if !ok {
		return nil, false
	}
	n := len(cells)
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, 0.5*(y.At(i, j)+y.At(j, i))/math.Sqrt(cells[i].farads*cells[j].farads))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(s, true) {
		return nil, false
	}
	d := &decay{cells: cells, rate: eig.Values(nil), modes: &mat.Dense{}}
	eig.VectorsTo(d.modes)
	for k, r := range d.rate {
		d.rate[k] = math.Max(r, 0)
	}
	return d, true
}

// portMatrix is the conductance matrix that the resistances show at the
// capacitors, every other net eliminated.
func portMatrix(cells []cell, branches []branch) (*mat.Dense, bool) {
	at := map[circuit.NetID]int{}
	index := func(n circuit.NetID) int {
		if _, ok := at[n]; !ok {
			at[n] = len(at)
		}
		return at[n]
	}
	for _, c := range cells {
		index(c.a)
		index(c.b)
	}
	for _, b := range branches {
		index(b.a)
		index(b.b)
	}
	g := mat.NewSymDense(len(at), nil)
	add := func(a, b circuit.NetID, siemens float64) {
		i, j := at[a], at[b]
		g.SetSym(i, i, g.At(i, i)+siemens)
		g.SetSym(j, j, g.At(j, j)+siemens)
		g.SetSym(i, j, g.At(i, j)-siemens)
	}
	for i := range len(at) {
		g.SetSym(i, i, 1/leakOhms)
	}
	for _, b := range branches {
		add(b.a, b.b, 1/b.ohms)
	}
	incidence := mat.NewDense(len(at), len(cells), nil)
	for k, c := range cells {
		add(c.a, c.b, 1/portOhms)
		incidence.Set(at[c.a], k, 1)
		incidence.Set(at[c.b], k, -1)
	}
	var chol mat.Cholesky
	if !chol.Factorize(g) {
		return nil, false
	}
	var v, y mat.Dense
	if err := chol.SolveTo(&v, incidence); err != nil && v.IsEmpty() {
		return nil, false
	}
	y.Mul(incidence.T(), &v)
	y.Scale(-1/(portOhms*portOhms), &y)
	for k := range cells {
		y.Set(k, k, y.At(k, k)+1/portOhms)
	}
	return &y, true
}

// bound is the greatest voltage that cell i can still have after the time,
// whatever the signs of the voltages that all cells began with.
func (d *decay) bound(i int, seconds float64) float64 {
	var sum float64
	for j, c := range d.cells {
		var k float64
		for m, rate := range d.rate {
			k += d.modes.At(i, m) * d.modes.At(j, m) * math.Exp(-rate*seconds)
		}
		sum += math.Abs(k) * math.Sqrt(c.farads/d.cells[i].farads) * math.Abs(c.volts)
	}
	return sum
}

// secondsTo is the time after which cell i stays at or below the voltage;
// false for never.
func (d *decay) secondsTo(i int, volts float64) (float64, bool) {
	if d.bound(i, 0) <= volts && d.restsBelow(i, volts) {
		return 0, true
	}
	if d.bound(i, longest) > volts {
		return 0, false
	}
	// The bound need not fall all the way: a neighbour may charge the cell
	// first. Scan from the end for the last time above the voltage.
	hi := longest
	const steps = 400
	lo := 1e-6
	for k := steps - 1; k >= 0; k-- {
		t := 1e-6 * math.Pow(longest/1e-6, float64(k)/steps)
		if d.bound(i, t) > volts {
			lo = t
			break
		}
		hi = t
	}
	for range 50 {
		mid := math.Sqrt(lo * hi)
		if d.bound(i, mid) > volts {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi, true
}

// restsBelow says whether neighbours can't push the cell above the voltage later.
func (d *decay) restsBelow(i int, volts float64) bool {
	for k := range 60 {
		if d.bound(i, 1e-6*math.Pow(longest/1e-6, float64(k)/59)) > volts {
			return false
		}
	}
	return true
}
