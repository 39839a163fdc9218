package sim

// junction is a diode: a forward law, a leakage across it, and where it has
// one a breakdown, which is a law for the opposite direction.
type junction struct {
	a, k      terminal
	forward   law
	breakdown law
	zener     bool // breakdown holds
	leak      float64
	turned    law // forward with the part's drop knob
	reversed  law // breakdown with the part's value knob
	v         float64
	last      lately // of turned
	at        [4]int32
}

func (e *junction) nodes(join func(a, b int32)) { join(e.a.node, e.k.node) }

func (e *junction) place(p *placing) { p.square(&e.at, e.a.node, e.k.node) }

func (e *junction) tune(t tuning) {
	e.turned, e.last = e.forward, lately{}
	if t.drop != 0 {
		e.turned = e.forward.shifted(t.drop)
	}
	if e.zener {
		e.reversed = e.breakdown
		if t.value != 1 {
			e.reversed = e.breakdown.shifted((t.value - 1) * e.breakdown.volts(zenerCurrent))
		}
	}
}

func (e *junction) begin(x []float64, cold bool) {
	e.v = 0
	if !cold {
		e.v = x[e.a.node] - x[e.k.node]
	}
}

// current returns current and conductance at v.
func (e *junction) current(v float64) (i, g float64) {
	i, g = e.last.at(&e.turned, v)
	if e.zener && v < 0 {
		ib, gb := e.reversed.at(-v)
		i, g = i-ib, g+gb
	}
	return i + e.leak*v, g + e.leak
}

func (e *junction) load(s *system) {
	next := s.x[e.a.node] - s.x[e.k.node]
	v := next
	if v > 0 && (v > e.turned.limit || e.v > e.turned.limit) {
		from := max(e.v, 0)
		i, g := e.last.at(&e.turned, from)
		v = e.turned.tameFrom(from, i, g, v)
	} else if v <= 0 && e.zener {
		v = -e.reversed.tame(max(-e.v, 0), -v)
	}
	if d := v - next; d > roughly || d < -roughly {
		s.rough = true
	}
	e.v = v
	i, g := e.current(v)
	s.conductance(&e.at, g)
	s.pass(e.a.node, e.k.node, i+g*(next-v))
}

func (e *junction) currents(x, into []float64) {
	i, _ := e.current(x[e.a.node] - x[e.k.node])
	into[e.a.lead] += i
	into[e.k.lead] -= i
}
