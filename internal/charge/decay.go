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

// across tells whether a cell lies in parallel to another.
func (c cell) across(o cell) bool {
	return c.a == o.a && c.b == o.b || c.a == o.b && c.b == o.a
}

const (
	// portOhms stands in series with every capacitor, so that capacitors in
	// parallel don't make the equations singular. Small against any path that
	// matters, and large enough that rounding leaves a path of 1 GΩ visible.
	portOhms = 1.0
	// leastRate is the rate, in 1/s, below which a mode counts as standing
	// still: rounding makes as much, and in a day it changes nothing.
	leastRate = 1e-7
	// tieSiemens holds one net of every part of the network that hangs
	// together; no current flows in a single tie.
	tieSiemens = 1.0
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
		if r < leastRate {
			d.rate[k] = 0
		}
	}
	return d, true
}

// grid numbers the nets of a network and knows which hang together.
type grid struct {
	at   map[circuit.NetID]int
	root []int
}

func (g *grid) index(n circuit.NetID) int {
	i, ok := g.at[n]
	if !ok {
		i = len(g.root)
		g.at[n] = i
		g.root = append(g.root, i)
	}
	return i
}

func (g *grid) find(i int) int {
	for g.root[i] != i {
		i = g.root[i]
	}
	return i
}

func (g *grid) join(a, b circuit.NetID) {
	i, j := g.find(g.index(a)), g.find(g.index(b))
	g.root[max(i, j)] = min(i, j)
}

func gridOf(cells []cell, branches []branch) *grid {
	g := &grid{at: map[circuit.NetID]int{}}
	for _, c := range cells {
		g.join(c.a, c.b)
	}
	for _, b := range branches {
		g.join(b.a, b.b)
	}
	return g
}

// portMatrix is the conductance matrix that the resistances show at the
// capacitors, every other net eliminated.
func portMatrix(cells []cell, branches []branch) (*mat.Dense, bool) {
	nets := gridOf(cells, branches)
	n := len(nets.root)
	g := mat.NewSymDense(n, nil)
	add := func(a, b circuit.NetID, siemens float64) {
		i, j := nets.at[a], nets.at[b]
		if i == j {
			return
		}
		g.SetSym(i, i, g.At(i, i)+siemens)
		g.SetSym(j, j, g.At(j, j)+siemens)
		g.SetSym(i, j, g.At(i, j)-siemens)
	}
	for i := range n {
		if nets.find(i) == i {
			g.SetSym(i, i, tieSiemens)
		}
	}
	for _, b := range branches {
		add(b.a, b.b, 1/b.ohms)
	}
	incidence := mat.NewDense(n, len(cells), nil)
	for k, c := range cells {
		add(c.a, c.b, 1/portOhms)
		incidence.Set(nets.at[c.a], k, 1)
		incidence.Set(nets.at[c.b], k, incidence.At(nets.at[c.b], k)-1)
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
