package sim

import (
	"context"
	"errors"
	"math"
	"slices"
)

// Over a cycle of a converter that charges its storage capacitor hardly
// anything changes but that charge. A leaper follows a few cycles, carries the
// change of every state from one section to the next on over many cycles at
// once, follows two more, and corrects the leap by what they show: with the
// change d of a cycle before and d′ after m cycles,
//
//	y(n+m) ≈ y(n) + m·d + ½·m²·d/m …    corrected to y(n) + m·(d + d′)/2
//
// the rule of Adams and Bashforth, then the trapezoid, with the section as
// their time. The difference of the two is the leap's error. A leap that was
// wrong is taken back and its cycles are followed; leaps that do not pay are
// given up for a while, so that a circuit without a slow side costs little
// more than following it.
//
// Source: multirevolution methods, L. R. Petzold, SIAM J. Numer. Anal. 18
// (1981) 455–479; S. Skelboe, IEEE Trans. Circuits Syst. 27 (1980) 161–175
// (both from memory).
type leaper struct {
	size   []float64 // largest of every state so far; 0: not looked at
	low    []float64 // least and largest of every state since the last section
	high   []float64
	swing  []float64   // from least to largest in the last cycle
	fast   []bool      // states of junctions and the like, which follow the others
	past   [][]float64 // states at the last sections, the latest last
	slow   []float64   // mean change of every state in a cycle over those
	err    []float64   // standard error of slow
	jitter []float64   // of the change from cycle to cycle; falls slowly
	led    []bool      // states whose change is more than its error
	bend   []float64   // change of slow in one cycle
	rate   []float64   // how fast the change of what keeps fades, of itself in one cycle; never above 0
	bent   bool        // bend is known

	allowed float64 // error of a leap
	noise   float64 // standard error of what a leap changes a state that keeps by
	m       float64 // cycles of the next leap
	pending *pending
	pause   int // cycles to follow before the next try
	rest    int // of the pause after the next leap that fails

	followed, wasted, skipped float64 // cycles
	leaping                   bool    // else every cycle is followed
	// onWay: the way counts, not the end alone. No state then stands still over
	// a leap unless it is known to.
	onWay bool
	still stillness
	gaps  [][2]float64 // seconds gone over
	ends  float64      // leaps stay before this time
}

// pending is a leap that is not yet judged.
type pending struct {
	before *moment
	slow   []float64 // before the leap
	err    []float64
	led    []bool
	landed []float64 // states that the leap led to
	length float64   // of a cycle before
	m      float64
	middle float64 // cycles from the middle of its window to the leap
	ended  float64 // time where the leap ended
	cycles int     // followed since
}

const (
	// leapError is what the difference of the two rules may be, of the largest
	// of a state so far; the error left after the correction is far smaller.
	// A run over time is held to the first, a search for the end to the second
	// at most, half of what is left, or the third.
	leapError   = 1e-2
	settleError = 1.5e-2
	leastError  = 2e-3
	leapNoise   = 1e-3
	settleNoise = 2e-4
	leastLeap   = 6.0 // cycles: less does not pay
	mostLeap    = 1e7
	leapGrowth  = 4.0
	leapReach   = 0.5  // most that a leap may change a state, of its largest so far
	wasteShare  = 0.12 // of the cycles followed
	firstPause  = 8
	mostPause   = 512
	// leastSlow is the smallest change in a cycle that is worth going over, of
	// the largest of the state so far.
	leastSlow = 1e-9
)

func newLeaper(r *run) *leaper {
	n := len(r.step.rest)
	l := &leaper{size: make([]float64, n), low: make([]float64, n), high: make([]float64, n), swing: make([]float64, n), fast: make([]bool, n), slow: make([]float64, n), led: make([]bool, n),
		bend: make([]float64, n), rate: make([]float64, n), err: make([]float64, n), jitter: make([]float64, n),
		m: leastLeap, rest: firstPause, ends: r.opt.For, allowed: leapError, noise: leapNoise}
	if l.onWay = !r.settling; !l.onWay {
		l.allowed, l.noise = settleError, settleNoise
	}
	r.step.each(func(e storing, from, to int) {
		switch c := e.(type) {
		case *condenser:
			l.size[from] = leastSwing * r.largest * c.c
			l.fast[from] = c.own
		case *reservoir:
			l.fast[from] = true
		}
	})
	return l
}

// grow takes the states of an accepted point as sizes.
func (l *leaper) grow(state []float64) {
	for k, y := range state {
		l.size[k] = max(l.size[k], math.Abs(y))
		l.low[k], l.high[k] = min(l.low[k], y), max(l.high[k], y)
	}
}

// swingCounts is how much the swing within a cycle adds to what a state is
// judged against: what goes up and down in every cycle, the flux of a core, is
// soon where it belongs whatever a leap makes of it.
const swingCounts = 30

// scale is what the errors of state k are judged against.
func (l *leaper) scale(k int) float64 { return l.size[k] + swingCounts*l.swing[k] }

// worst is the largest change of the states that go on evenly, over their
// sizes.
func (l *leaper) worst(y []float64) float64 {
	most := 0.0
	for k, v := range y {
		if l.led[k] {
			most = max(most, math.Abs(v)/l.scale(k))
		}
	}
	return most
}

// moment is all of a run that a leap changes, so that it can be taken back.
type moment struct {
	at       point
	modes    []int8
	pieces   []int
	h, event float64
	rigid    bool
	next     float64
	last     float64
	length   float64
	former   float64
	nets     []mark
	past     [][]float64
	err      []float64
	slow     []float64
	led      []bool
	skipped  float64
}

func (r *run) save() *moment {
	m := &moment{at: newPoint(len(r.at.x), len(r.at.state)), modes: r.in.modes(), h: r.h, event: r.event, rigid: r.rigid,
		next: r.beat.next, last: r.beat.last, length: r.beat.length, former: r.beat.former, nets: slices.Clone(r.beat.nets),
		past: slices.Clone(r.leaps.past), err: slices.Clone(r.leaps.err), slow: slices.Clone(r.leaps.slow), led: slices.Clone(r.leaps.led), skipped: r.leaps.skipped}
	m.at.set(&r.at)
	for _, w := range r.in.waves {
		m.pieces = append(m.pieces, w.piece)
	}
	return m
}

func (r *run) putBack(m *moment) {
	r.at.set(&m.at)
	r.in.restoreModes(m.modes)
	r.h, r.event, r.rigid = m.h, m.event, m.rigid
	r.beat.next, r.beat.last, r.beat.length, r.beat.former = m.next, m.last, m.length, m.former
	r.beat.seen = m.at.t
	clear(r.beat.sum)
	copy(r.beat.nets, m.nets)
	r.leaps.past = m.past
	copy(r.leaps.slow, m.slow)
	copy(r.leaps.err, m.err)
	copy(r.leaps.led, m.led)
	r.leaps.skipped = m.skipped
	r.leaps.gaps = r.leaps.gaps[:len(r.leaps.gaps)-1]
	for k, w := range r.in.waves {
		w.piece = m.pieces[k]
	}
	r.step.flatten()
	r.trace.cut(m.at.t)
}

// atSection is called at every section.
func (r *run) atSection(ctx context.Context) error {
	l := r.leaps
	l.followed++
	if t := r.beat.length; t > 0 && r.beat.period == 0 {
		r.pace = min(r.pace, paceCycles*t)
		// The same first step at every section makes like cycles alike.
		r.h = t / sectionSteps
	}
	l.learn(r.at.state)
	if l.pending != nil {
		return r.judgeLeap(ctx)
	}
	if l.window() < leastWindow {
		return nil
	}
	l.still.look(r)
	l.pause--
	if !l.leaping || l.pause > 0 || l.wasted > wasteShare*l.followed+firstPause || !l.sure(l.m) {
		return nil
	}
	return r.leap(ctx)
}

// learn takes the states at a section. Their change in a cycle, and its error,
// are those of the nearest straight line: like cycles differ by ringing, which
// does not add up from cycle to cycle.
func (l *leaper) learn(state []float64) {
	for k, y := range state {
		l.swing[k] = l.high[k] - l.low[k]
		l.low[k], l.high[k] = y, y
	}
	l.past = append(l.past, slices.Clone(state))
	if len(l.past) > mostWindow+1 {
		l.past = l.past[1:]
	}
	w := l.window()
	if w < leastWindow {
		return
	}
	n := float64(w)
	for k := range state {
		// The straight line through the sections that is nearest to all.
		mean, turn := 0.0, 0.0
		for i, y := range l.past {
			mean += y[k]
			turn += y[k] * (float64(i) - n/2)
		}
		mean /= n + 1
		l.slow[k] = turn * 12 / (n * (n + 1) * (n + 2))
		sum := 0.0
		for i, y := range l.past {
			d := y[k] - mean - l.slow[k]*(float64(i)-n/2)
			sum += d * d
		}
		l.jitter[k] = max(math.Sqrt(sum/(n-1)), jitterFades*l.jitter[k])
		l.err[k] = l.jitter[k] * math.Sqrt(12/(n*(n+1)*(n+2)))
		if !l.keeps(k) {
			l.err[k] *= n / 2
		}
		l.led[k] = l.keeps(k) || !l.fast[k] && l.size[k] > 0 && math.Abs(l.slow[k]) > max((significant+few/n)*l.err[k], leastSlow*l.size[k])
	}
}

// window is the cycles that slow is the mean over.
func (l *leaper) window() int { return len(l.past) - 1 }

// sure tells whether the mean change is known well enough for m cycles. What
// keeps goes on by it in any case, so its error must be small beside what it
// changes by, or by itself; more cycles help.
func (l *leaper) sure(m float64) bool {
	w := l.window()
	if w < leastWindow {
		return false
	}
	for k, led := range l.led {
		if !led {
			continue
		}
		doubt := l.err[k] * m
		if l.keeps(k) {
			if w < mostWindow && doubt > max(l.noise*l.size[k], doubtShare*math.Abs(l.slow[k])*m) {
				return false
			}
		} else if w < enoughWindow && doubt > l.allowed/2*l.scale(k) {
			return false
		}
	}
	return true
}

// keeps tells whether a state is one that a cycle hardly moves: what it has
// gained or lost over many cycles nothing brings back.
func (l *leaper) keeps(k int) bool {
	return !l.fast[k] && l.size[k] > 0 && l.swing[k] < keepShare*l.size[k]
}

// keepShare is the largest swing within a cycle of a state that keeps, of its
// largest so far.
const keepShare = 0.1

const (
	leastWindow  = 2
	enoughWindow = 24
	mostWindow   = 64
	doubtShare   = 0.1
	// A change counts from that many standard errors on, more of a few cycles.
	significant = 2.0
	few         = 8.0
	jitterFades = 0.8
)

const (
	paceCycles   = 50
	sectionSteps = 2000
)

// reach is how many cycles may be gone over from here.
func (r *run) reach() float64 {
	l := r.leaps
	m := min(l.m, mostLeap)
	drift := l.worst(l.slow)
	if drift == 0 {
		return 0
	}
	m = min(m, leapReach/drift)
	for k, led := range l.led {
		switch {
		case !led || l.err[k] == 0:
		case l.keeps(k):
			m = min(m, max(l.noise, leapReach*doubtShare)*l.size[k]/l.err[k])
			if l.err[k] > doubtShare*math.Abs(l.slow[k]) {
				m = min(m, l.noise*l.size[k]/l.err[k])
			}
		default:
			m = min(m, l.allowed*l.scale(k)/l.err[k])
		}
	}
	left := l.ends - r.at.t
	if r.beat.period == 0 {
		for _, w := range r.in.waves {
			left = min(left, w.edge()-r.at.t)
		}
	}
	judging := 4.0
	if l.onWay {
		judging = enoughWindow + 4
	}
	return math.Floor(min(m, left/r.beat.length-judging))
}

// leap goes over many cycles.
func (r *run) leap(ctx context.Context) error {
	l := r.leaps
	m := r.reach()
	if m < leastLeap {
		return nil
	}
	p := &pending{before: r.save(), slow: slices.Clone(l.slow), err: slices.Clone(l.err), led: slices.Clone(l.led), length: r.beat.length, m: m, middle: float64(l.window()) / 2}
	next := slices.Clone(r.at.state)
	for k := range next {
		if !l.led[k] {
			continue
		}
		if l.keeps(k) {
			next[k] += l.slow[k] * math.Exp(l.rate[k]*p.middle) * fading(l.rate[k]*m) * m
			continue
		}
		next[k] += m * l.slow[k]
		if l.bent {
			next[k] += m * (m/2 + p.middle) * l.bend[k]
		}
	}
	p.landed = next
	l.pending = p
	l.skipped += m
	l.gaps = append(l.gaps, [2]float64{r.at.t, r.at.t + m*r.beat.length})
	return r.carry(ctx, next, r.at.t+m*r.beat.length)
}

// carry puts the run at other states and another time.
func (r *run) carry(ctx context.Context, state []float64, t float64) error {
	copy(r.at.state, state)
	r.at.t = t
	r.turnPieces(t + r.together())
	if r.beat.period > 0 {
		r.beat.next = t + r.beat.period
	}
	err := r.restart(ctx)
	r.h = r.beat.length / sectionSteps
	if r.leaps.pending != nil {
		r.leaps.pending.ended = t
	}
	if done, hard := settled(err); !done || hard != nil {
		var stall *StallError
		switch {
		case done && !errors.As(hard, &stall):
			return hard
		case r.leaps.pending == nil:
			return r.stalled("it could not go on after the cycles that were gone over")
		}
		return r.takeBack()
	}
	r.beat.last, r.beat.former, r.beat.seen = t, 0, t
	clear(r.beat.sum)
	for k := range r.beat.nets {
		r.beat.nets[k].armed = false
	}
	r.leaps.begin(r.at.state)
	r.note(t)
	return nil
}

// begin forgets the sections before.
func (l *leaper) begin(state []float64) {
	copy(l.low, state)
	copy(l.high, state)
	l.past = append(l.past[:0:0], slices.Clone(state))
}

// takeBack gives a leap up.
func (r *run) takeBack() error {
	l := r.leaps
	p := l.pending
	l.pending = nil
	l.wasted += float64(p.cycles) + 1
	r.putBack(p.before)
	l.bent = false
	l.m = p.m / 5
	if l.m < leastLeap {
		l.m = leastLeap
		l.pause, l.rest = l.rest, min(2*l.rest, mostPause)
	}
	return nil
}

// judgeLeap looks at a leap when the change after it is known: the first cycle
// lets what is fast settle, the others are measured.
func (r *run) judgeLeap(ctx context.Context) error {
	l := r.leaps
	p := l.pending
	if p.cycles++; p.cycles == 1 {
		l.begin(r.at.state)
		return nil
	}
	if !l.sure(p.m) {
		return nil
	}
	if r.beat.period == 0 && math.Abs(r.beat.length-p.length) > leapReach*p.length {
		return r.takeBack()
	}
	wrong, next := l.correct(r.at.state)
	if wrong > l.allowed {
		return r.takeBack()
	}
	l.bent, l.pending, l.rest = true, nil, firstPause
	if !l.onWay {
		l.allowed = min(settleError, max(leastError, l.remaining()/2))
	}
	l.m = max(leastLeap, p.m*max(0.3, min(leapGrowth, 0.8*math.Cbrt(l.allowed/max(wrong, 1e-9)))))
	if l.calming(p) {
		l.m = min(l.m, p.m)
	}
	l.still.look(r)
	t := r.at.t
	if r.beat.period == 0 {
		// The cycles' length has changed on the way as well.
		shift := p.m / 2 * (r.beat.length - p.length)
		r.trace.shift(p.ended, shift)
		l.gaps[len(l.gaps)-1][1] += shift
		t += shift
	}
	keep := r.save()
	if err := r.carry(ctx, next, t); err != nil || l.still.reached() {
		return err
	}
	l.past = shifted(keep.past, keep.at.state, next)
	r.beat.length = keep.length
	if !l.sure(l.m) {
		return nil
	}
	return r.leap(ctx)
}

// fade learns from the leap at hand how fast the change of a state that keeps
// fades as the state grows, and says by how much it should have gone further:
// with the change d at the state y,
//
//	d(y) = d(y₀) + rate·(y − y₀)     y(m) = y₀ + d(y₀)·(e^(rate·m) − 1)/rate
//
// which goes to where nothing changes, however long the leap. The cycle just
// after a leap is an odd one: what is fast has yet to settle.
func (l *leaper) fade(k int) float64 {
	p := l.pending
	from := p.before.at.state[k]
	middle := 0.0
	for _, y := range l.past {
		middle += y[k] / float64(len(l.past))
	}
	if apart := middle - (from - p.slow[k]*p.middle); apart != 0 {
		// What was known stays while the doubt of what is seen allows it.
		seen, doubt := (l.slow[k]-p.slow[k])/apart, fadeDoubt*(l.err[k]+p.err[k])/math.Abs(apart)
		l.rate[k] = min(0, max(seen-doubt, min(l.rate[k], seen+doubt)))
	}
	rate := l.rate[k]
	odd := l.past[0][k] - p.landed[k] - l.slow[k]
	if math.Abs(odd) > mostOdd*math.Abs(l.slow[k]) {
		odd = 0 // it goes where it belongs by itself
	}
	return from + p.slow[k]*math.Exp(rate*p.middle)*fading(rate*p.m)*p.m - p.landed[k] - odd
}

// faded tells whether what all states that keep had to change by has fallen to
// less than half over some cycles.
func (l *leaper) faded(cycles float64) bool {
	for k := range l.rate {
		if l.keeps(k) && -l.rate[k]*cycles < math.Ln2 {
			return false
		}
	}
	return true
}

// remaining is the largest change that is left to the states that keep, over
// their sizes, as far as it is known.
func (l *leaper) remaining() float64 {
	most := 0.0
	for k, d := range l.slow {
		if l.keeps(k) {
			most = max(most, math.Abs(d)/math.Max(-l.rate[k], 1e-12)/l.size[k])
		}
	}
	return most
}

// mostOdd is how much of a cycle's change the odd cycle after a leap can lack
// or have too much.
const mostOdd = 2

// fadeDoubt is how many standard errors of the changes the rate is in doubt by.
const fadeDoubt = 2

// fading is (eᶻ − 1)/z.
func fading(z float64) float64 {
	if math.Abs(z) < 1e-9 {
		return 1
	}
	return math.Expm1(z) / z
}

// shifted is the sections of a window, moved with the last one's states from
// where they were to where they are now.
func shifted(past [][]float64, from, to []float64) [][]float64 {
	out := make([][]float64, len(past))
	for i, y := range past {
		out[i] = slices.Clone(y)
		for k := range y {
			out[i][k] += to[k] - from[k]
		}
	}
	return out
}

// calming tells whether some change has fallen to less than a third over the
// leap at hand: longer leaps would go past where it ends.
func (l *leaper) calming(p *pending) bool {
	for k, led := range p.led {
		if led && math.Abs(l.slow[k]) < math.Abs(p.slow[k])/3 && math.Abs(p.slow[k]) > l.worst(l.slow)*l.size[k]/3 {
			return true
		}
	}
	return false
}

// interrupt forgets what was learnt, at an edge of a source: a leap that is
// not yet judged stands as it is.
func (l *leaper) interrupt(state []float64) {
	l.pending, l.bent, l.m = nil, false, leastLeap
	l.begin(state)
}

// correct is the error of the leap at hand, over the sizes, and the states
// with it taken away. It learns how the change itself changes.
func (l *leaper) correct(state []float64) (wrong float64, next []float64) {
	p := l.pending
	next = slices.Clone(state)
	apart := p.m + 1 + p.middle + float64(l.window())/2
	along := p.m * (p.m/2 + p.middle)
	for k, d := range l.slow {
		bend := (d - p.slow[k]) / apart
		switch {
		case p.led[k] && l.keeps(k):
			e := l.fade(k)
			wrong = max(wrong, math.Abs(e)/l.scale(k))
			next[k] += e
		case p.led[k]:
			e := along * bend
			if l.bent {
				e -= along * l.bend[k]
			}
			wrong = max(wrong, math.Abs(e)/l.scale(k))
			next[k] += e
		}
		l.bend[k] = bend
	}
	return wrong, next
}
