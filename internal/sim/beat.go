package sim

import (
	"context"
	"math"
)

// beat finds the cycles of a run: by the clock of the slowest signal source
// where there is one, else by a net whose voltage rises through a level again
// and again, evenly. The place of a cycle where one is counted is its section.
type beat struct {
	period float64 // of the sources; 0: the circuit swings by itself
	next   float64 // section by the clock
	nets   []mark
	least  float64 // volts of swing that count
	chosen int     // index of the mark that counts, −1 while none is even
	closed bool
	last   float64   // time of the last section; NaN: none yet
	length float64   // seconds of a cycle, over the last two; 0 while not known
	former float64   // the last but one alone
	mean   []float64 // of every net over the last two cycles
	latest []float64 // over the last one
	sum    []float64 // volts times seconds since the section
	seen   float64   // time of the last point
	gone   float64   // length of the cycle that was lost last; 0: none was
	longer float64   // cycles are longer than this
}

// mark watches one net for rises through the middle of its swing.
type mark struct {
	node      int32
	was       float64 // volts at the last point
	low, high float64 // of the last cycle and so far
	now       [2]float64
	fixed     float64 // level, once chosen; NaN before
	armed     bool
	rises     [alike + 1]float64 // times of the last rises, newest first
	swings    [alike + 1]float64 // and the swing before each
	count     int
}

const (
	// arming is how far below the level, as a share of the swing, a net must
	// have been for its rise to count.
	arming = 0.15
	// evenly is how alike, relative, intervals in a row must be.
	evenly = 0.02
	// alike is how many intervals and swings in a row must be alike for a net to
	// be looked at; a ringing that fades is not. By then one of twice the period
	// has alikeToo, and is taken instead: the supply of a push-pull converter
	// swings in every half of it.
	alike    = 8
	alikeToo = 3
	// evenSwing is how alike swings must be, least over largest.
	evenSwing = 0.75
	// leastSwing is the smallest swing that counts, as a share of the largest
	// voltage.
	leastSwing = 2e-3
)

// newBeat watches by the sources' clock, or, where byItself and all sources
// only step, for what the circuit does between their edges.
func newBeat(in *Instance, byItself bool) *beat {
	b := &beat{chosen: -1, last: math.NaN()}
	for _, w := range in.waves {
		if !byItself || !w.steps() {
			b.period = max(b.period, w.period)
		}
	}
	b.next = b.period
	seen := map[int32]bool{0: true}
	for _, n := range in.netNode {
		if !seen[n] {
			seen[n] = true
			b.nets = append(b.nets, mark{node: n, fixed: math.NaN()})
		}
	}
	b.mean, b.latest, b.sum = make([]float64, len(b.nets)), make([]float64, len(b.nets)), make([]float64, len(b.nets))
	return b
}

// level is where a rise counts: the middle of the swing, and once the net is
// chosen where that was then.
func (m *mark) level() float64 {
	if !math.IsNaN(m.fixed) {
		return m.fixed
	}
	return (m.low + m.high) / 2
}

// strobe is the next section by the clock.
func (b *beat) strobe() float64 {
	if b.period == 0 {
		return math.Inf(1)
	}
	return b.next
}

// passes tells whether the chosen net rises through its level in a step.
func (b *beat) passes(from, to *point) bool {
	if b.period > 0 || b.chosen < 0 {
		return false
	}
	m := &b.nets[b.chosen]
	l := m.level()
	return m.armed && from.x[m.node] < l && to.x[m.node] >= l && to.t >= b.earliest(b.chosen)
}

// observe takes an accepted point.
func (b *beat) observe(p *point) {
	b.add(p)
	if b.period > 0 {
		if p.t >= b.next*(1-1e-12) {
			b.close(p.t)
			b.next += b.period
		}
		return
	}
	for k := range b.nets {
		m := &b.nets[k]
		if !m.observe(p, b.earliest(k)) {
			continue
		}
		switch {
		case b.chosen == k:
			b.close(p.t)
		case b.chosen < 0 && m.even(alike) && m.rises[0]-m.rises[1] > b.longer:
			b.choose()
		}
	}
}

// earliest is when a net's next rise may count: rises of the chosen net well
// within a cycle are ringing.
func (b *beat) earliest(k int) float64 {
	if k != b.chosen || b.length == 0 {
		return math.Inf(-1)
	}
	return b.last + b.length/2
}

func (b *beat) close(t float64) {
	b.closed = true
	if !math.IsNaN(b.last) && t > b.last {
		length := t - b.last
		if b.length = length; b.former > 0 {
			b.length = (length + b.former) / 2
		}
		b.former = length
		for k, s := range b.sum {
			b.mean[k] = (s/length + b.latest[k]) / 2
			b.latest[k] = s / length
		}
	}
	clear(b.sum)
	b.last = t
}

// add carries the averages on to a point.
func (b *beat) add(p *point) {
	if dt := p.t - b.seen; dt > 0 {
		for k := range b.nets {
			m := &b.nets[k]
			v := p.x[m.node]
			b.sum[k] += dt * (v + m.was) / 2
			m.was = v
		}
	}
	b.seen = p.t
}

// take tells, once, whether a section has been reached.
func (b *beat) take() bool {
	was := b.closed
	b.closed = false
	return was
}

// choose takes of all even nets the one with the longest interval, and among
// equals the one with the largest swing.
func (b *beat) choose() {
	const same = 1.05
	longest, swing := 0.0, 0.0
	for k := range b.nets {
		m := &b.nets[k]
		if !m.even(alikeToo) || m.high-m.low < b.least {
			continue
		}
		t, s := m.rises[0]-m.rises[1], m.high-m.low
		if t > same*longest || (t > longest/same && s > swing) {
			longest, swing, b.chosen = t, s, k
		}
	}
	if b.chosen >= 0 {
		b.nets[b.chosen].fixed = b.nets[b.chosen].level()
	}
	b.last, b.length, b.former = math.NaN(), 0, 0
}

// forget begins to look anew.
func (b *beat) forget() {
	b.chosen, b.length, b.former, b.last, b.closed = -1, 0, 0, math.NaN(), false
	for k := range b.nets {
		b.nets[k].count, b.nets[k].fixed = 0, math.NaN()
	}
}

// lose forgets a cycle that has ended. What ends again and again is the
// ringing after each switch: the cycle is a longer one.
func (b *beat) lose() {
	const again, much = 2.0, 3.0
	if b.gone > 0 && b.length < again*b.gone && b.length > b.gone/again {
		b.longer = much * b.length
	}
	b.gone = b.length
	b.forget()
}

// restart lets every mark begin at voltages x.
func (b *beat) restart(x []float64) {
	for k := range b.nets {
		m := &b.nets[k]
		v := x[m.node]
		m.low, m.high, m.now, m.armed = v, v, [2]float64{v, v}, false
	}
}

// stirs tells whether some net has risen through the middle of a swing since.
func (b *beat) stirs(since float64) bool {
	for k := range b.nets {
		if m := &b.nets[k]; m.count > 0 && m.rises[0] > since && m.swings[0] > b.least {
			return true
		}
	}
	return false
}

// lost tells whether the chosen net has been silent for too long.
func (b *beat) lost(t float64) bool {
	return b.chosen >= 0 && b.length > 0 && t-b.last > 3*b.length
}

// observe tells whether the net has just risen through its level, not before a
// time.
func (m *mark) observe(p *point, earliest float64) bool {
	v := p.x[m.node]
	if m.count == 0 && !m.armed && m.now == [2]float64{} {
		m.low, m.high, m.now = v, v, [2]float64{v, v}
		return false
	}
	m.now[0], m.now[1] = min(m.now[0], v), max(m.now[1], v)
	m.low, m.high = min(m.low, v), max(m.high, v)
	swing := m.high - m.low
	if v < m.level()-arming*swing {
		m.armed = true
	}
	// A point that was landed on may lie a rounding below.
	if !m.armed || v < m.level()-1e-6*swing || swing == 0 {
		return false
	}
	m.armed = false
	if p.t < earliest {
		return false
	}
	m.low, m.high = m.now[0], m.now[1]
	copy(m.rises[1:], m.rises[:])
	copy(m.swings[1:], m.swings[:])
	m.rises[0], m.swings[0] = p.t, m.high-m.low
	m.now = [2]float64{v, v}
	m.count++
	return true
}

// even tells whether the last n intervals are alike, each to the next, and the
// swings.
func (m *mark) even(n int) bool {
	if m.count <= n {
		return false
	}
	first, least, largest := m.rises[0]-m.rises[1], m.swings[0], m.swings[0]
	for k := 1; k < n; k++ {
		// Each is held against the one before: at the beginning the period
		// changes from cycle to cycle.
		a, b := m.rises[k-1]-m.rises[k], m.rises[k]-m.rises[k+1]
		if math.Abs(a-b) > evenly*a {
			return false
		}
		least, largest = min(least, m.swings[k]), max(largest, m.swings[k])
	}
	return first > 0 && least >= evenSwing*largest
}

// land shortens the step just tried so that it ends where the chosen net
// passes its level, by the secant with the Illinois rule.
//
// Source: M. Dowell, P. Jarratt, BIT 11 (1971) 168–174 (from memory).
func (r *run) land(ctx context.Context) error {
	m := &r.beat.nets[r.beat.chosen]
	l, swing := m.level(), m.high-m.low
	t0, v0 := r.at.t, r.at.x[m.node]-l
	t1, v1 := r.try.t, r.try.x[m.node]-l
	for range 12 {
		if math.Abs(r.try.x[m.node]-l) <= 1e-7*swing || t1-t0 <= 8*ulp(t1) {
			break
		}
		t := t1 - v1*(t1-t0)/(v1-v0)
		done, err := settled(r.step.step(ctx, &r.at, &r.try, t))
		if done && err != nil {
			return err
		}
		if !done || !isFinite(r.try.x) {
			r.h = (t - r.at.t) / 8
			return nil
		}
		v := r.try.x[m.node] - l
		if v*v1 <= 0 {
			t0, v0 = t1, v1
		} else {
			v0 /= 2
		}
		t1, v1 = t, v
	}
	r.accept()
	return nil
}
