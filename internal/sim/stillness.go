package sim

import (
	"context"
	"math"
	"slices"
)

// stillness tells when a circuit that swings has settled: when neither the
// states that go on evenly nor the averages over a cycle of any net would
// change by more than a share, twice in a row. What is to come is foretold by
// an exponential through the changes now and at the look before, or, where
// that is less, from what has moved since, drawn out to twice as many cycles.
type stillness struct {
	cycle float64
	state []float64
	slow  []float64
	mean  []float64
	calm  int // looks in a row that found it still
	share float64
}

const (
	stillShare = 5e-4
	// aloneShare is what following all cycles goes on to: it is what leaps are
	// held against.
	aloneShare = 1.5e-4
	stillAgain = 2
	// A look is taken when the cycles have grown by that much, or when the last
	// ones have been followed for a whole window.
	lookAgain = 1.3
	leastLook = 8.0
)

func (s *stillness) reached() bool { return s.calm >= stillAgain }

// look compares a section with an earlier one.
func (s *stillness) look(r *run) {
	now := r.leaps.followed + r.leaps.skipped
	if s.state == nil {
		s.note(now, r)
		return
	}
	if now < lookAgain*s.cycle+leastLook && !r.leaps.faded(now-s.cycle) {
		return
	}
	if s.left(r, now) <= s.share {
		s.calm++
	} else {
		s.calm = 0
	}
	s.note(now, r)
}

func (s *stillness) note(now float64, r *run) {
	s.cycle, s.state, s.slow = now, slices.Clone(r.at.state), slices.Clone(r.leaps.slow)
	s.mean = slices.Clone(r.beat.mean)
}

// left is the largest change to come, as a share.
func (s *stillness) left(r *run, now float64) float64 {
	l := r.leaps
	most := 0.0
	double := math.Ln2 / math.Log(now/max(s.cycle, 1))
	for k, y := range r.at.state {
		if !l.led[k] {
			continue
		}
		d, was := math.Abs(l.slow[k]), math.Abs(s.slow[k])
		moved := math.Abs(y - s.state[k])
		left := moved * double
		if rate := l.rate[k]; rate < 0 && l.keeps(k) {
			left = max(moved, (d+l.err[k])/-rate)
		} else if was > d {
			left = min(left, d*(now-s.cycle)/math.Log(was/d))
		}
		most = max(most, left/l.size[k])
	}
	for k, v := range r.beat.mean {
		n := r.beat.nets[k].node
		if scale := max(r.peak[n], r.floor[n]); len(s.mean) > k {
			most = max(most, min(1, double)*math.Abs(v-s.mean[k])/scale)
		}
	}
	return most
}

// section is called at every section; done ends the run.
func (r *run) section(ctx context.Context) (done bool, err error) {
	if r.log != nil {
		return true, nil
	}
	if r.leaps == nil {
		return false, nil
	}
	if err := r.atSection(ctx); err != nil {
		return false, err
	}
	return r.settling && r.leaps.still.reached(), nil
}

// silence is called now and then between sections. A net that has gone silent
// is no mark any more; where nothing has been even for long and nothing moves,
// the circuit is at rest, and that it stays there is tried with a kick.
func (r *run) silence(ctx context.Context) (done bool, err error) {
	if r.log != nil {
		return len(r.log.time) > irregularPoints, nil
	}
	if r.beat.lost(r.at.t) {
		if r.leaps != nil && r.leaps.pending != nil {
			return false, r.takeBack()
		}
		r.beat.lose()
		r.beat.restart(r.at.x)
		if r.leaps != nil {
			r.leaps.begin(r.at.state)
		}
	}
	if !r.settling || r.beat.period > 0 || r.beat.chosen >= 0 || !r.resting() {
		return false, nil
	}
	if r.kicked {
		return true, nil
	}
	r.kicked = true
	return false, r.kick(ctx)
}

// resting tells whether no state would change to speak of in the time left.
func (r *run) resting() bool {
	left := r.opt.For - r.at.t
	for k, rate := range r.at.rate {
		if r.leaps.size[k] > 0 && math.Abs(rate)*left > stillShare*r.leaps.size[k] {
			return false
		}
	}
	return true
}

// kickShare is how hard a circuit at rest is knocked to see whether it stays,
// as a share of its largest voltage.
const kickShare = 0.02

// kick changes the charge of every capacitor a little, up and down by turns.
func (r *run) kick(ctx context.Context) error {
	sign := 1.0
	r.step.each(func(e storing, from, to int) {
		if c, ok := e.(*condenser); ok {
			r.at.state[from] += sign * kickShare * r.largest * c.c
			sign = -sign
		}
	})
	r.pace = min(r.pace, kickPace)
	if err := r.restart(ctx); err != nil {
		return err
	}
	r.note(r.at.t)
	return nil
}

// kickPace keeps the first steps after a kick short enough to follow what it
// sets ringing.
const kickPace = 1e-2

// irregularPoints ends the log of a circuit that swings without a cycle.
const irregularPoints = 3000
