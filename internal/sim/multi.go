package sim

import "math"

// behaviour is what a device with any number of ends does at direct current.
// Voltages are of its ends to the reference; currents are into its ends.
type behaviour interface {
	// joined lists the pairs of ends that direct current may flow between.
	joined() [][2]int
	// flow writes the current into every end and its slopes: slope[n·r+c] is
	// that of end r over the voltage of end c. Both come zeroed.
	flow(v, current, slope []float64)
	// tame shortens a step from old to next in place.
	tame(old, next []float64)
	// tune takes the knobs of the part.
	tune(t tuning)
}

// hinged is a behaviour with modes: struck or dark, on or off. Within a mode
// it is smooth; between solves it turns where the solution contradicts its
// mode.
type hinged interface {
	behaviour
	rest()                 // takes the mode in which it stands without power
	turn(v []float64) bool // changes the mode if it must; says whether it did
	mode() int8            // for keeping
	restore(mode int8)
}

// multi is a behaviour placed in the equations.
type multi struct {
	ends    []terminal
	does    behaviour
	at      []int32 // places, row by row
	old     []float64
	now     []float64 // the voltages that the behaviour was loaded at
	current []float64
	slope   []float64
}

func (b *assembly) device(does behaviour, ends ...terminal) {
	n := len(ends)
	b.add(&multi{ends: ends, does: does, at: make([]int32, n*n), old: make([]float64, n), now: make([]float64, n),
		current: make([]float64, n), slope: make([]float64, n*n)})
}

func (e *multi) nodes(join func(a, b int32)) {
	for _, p := range e.does.joined() {
		join(e.ends[p[0]].node, e.ends[p[1]].node)
	}
}

func (e *multi) place(p *placing) {
	n := len(e.ends)
	for r, row := range e.ends {
		for c, column := range e.ends {
			p.entry(&e.at[n*r+c], row.node, column.node)
		}
	}
}

func (e *multi) tune(t tuning) { e.does.tune(t) }

func (e *multi) gather(x, v []float64) {
	for k, end := range e.ends {
		v[k] = x[end.node]
	}
}

func (e *multi) begin(x []float64, cold bool) {
	clear(e.old)
	if !cold {
		e.gather(x, e.old)
	}
}

func (e *multi) evaluate(v []float64) {
	clear(e.current)
	clear(e.slope)
	e.does.flow(v, e.current, e.slope)
}

func (e *multi) load(s *system) {
	n := len(e.ends)
	e.gather(s.x, e.now)
	e.does.tame(e.old, e.now)
	e.evaluate(e.now)
	for r, end := range e.ends {
		i := e.current[r]
		for c, other := range e.ends {
			g := e.slope[n*r+c]
			rest := s.x[other.node] - e.now[c]
			if math.Abs(rest) > roughly {
				s.rough = true
			}
			i += g * rest
			s.a[e.at[n*r+c]] += g
		}
		s.f[end.node] += i
		s.most = math.Max(s.most, math.Abs(i))
	}
	copy(e.old, e.now)
}

func (e *multi) currents(x, into []float64) {
	e.gather(x, e.now)
	e.evaluate(e.now)
	for k, end := range e.ends {
		into[end.lead] += e.current[k]
	}
}

// path adds the current i from end a to end b, with its slope g over the
// voltage of p over q.
func path(n int, current, slope []float64, a, b int, i, g float64, p, q int) {
	current[a] += i
	current[b] -= i
	slope[n*a+p] += g
	slope[n*a+q] -= g
	slope[n*b+p] -= g
	slope[n*b+q] += g
}

// resistive is a path with a conductance.
func resistive(n int, v, current, slope []float64, a, b int, g float64) {
	path(n, current, slope, a, b, g*(v[a]-v[b]), g, a, b)
}

// diodePath is a path with a junction's law from a to b.
func diodePath(n int, v, current, slope []float64, a, b int, l law) {
	i, g := l.at(v[a] - v[b])
	path(n, current, slope, a, b, i, g, a, b)
}

// tamePair shortens the step of end a so that the junction from a to b moves
// as its law allows.
func tamePair(l law, old, next []float64, a, b int) {
	was, is := old[a]-old[b], next[a]-next[b]
	if is > 0 {
		next[a] += l.tame(math.Max(was, 0), is) - is
	}
}

// smoothPositive is x where x is well above zero and 0 well below, rounded
// over a width w; with its slope.
//
// Accuracy: leaves max(x, 0) by at most w/2, at 0.
func smoothPositive(x, w float64) (y, slope float64) {
	r := math.Hypot(x, w)
	return (x + r) / 2, (1 + x/r) / 2
}
