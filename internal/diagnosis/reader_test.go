package diagnosis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// A reader who knows nothing does what the card says: reads where it says to,
// with a hand that slips, and at the end measures the named parts alone, one
// after the other, until a bad one is found. Another follows the half-split
// rule of the trade (E02 of the outside checks): always the reading that parts
// the suspects most evenly by right or wrong, then the parts that are left.
// Either goes on to all other parts, in no order, where the bad one was not
// among those: that is counted as readings, but not as a repair by the rule.

const (
	readerUnits    = 13
	readerProblems = 7
	mostLifted     = 6 // parts that a reader measures alone before giving up
)

// repair is what became of one problem.
type repair struct {
	repaired bool
	readings int // parts measured alone counted in
}

// byCard follows the card to the end.
//
// Errors: those of read.
func byCard(t testing.TB, p *diagnosis.Predictor, u *faultyUnit, h truth) (repair, error) {
	t.Helper()
	var r repair
	var ev diagnosis.Evidence
	for {
		plan, a, err := p.Assess(t.Context(), ev, diagnosis.Danger{Judged: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(plan.Next) > 0 && len(ev.Readings) < mostReadings {
			got, err := u.read(plan.Next[0].Check)
			if err != nil {
				return r, err
			}
			ev.Readings = append(ev.Readings, got)
			continue
		}
		r.readings = len(ev.Readings)
		var lifted []circuit.PartRef
		for _, s := range a.Suspects {
			if s.Part == nil || slices.Contains(lifted, *s.Part) || len(lifted) == mostLifted {
				continue
			}
			lifted = append(lifted, *s.Part)
			r.readings++
			if *s.Part == h.part {
				r.repaired = true
				return r, nil
			}
		}
		r.readings += others(u, len(lifted))
		return r, nil
	}
}

// others is how many more parts are measured alone, in no order, until the bad
// one is found: half of those that are left, in the mean.
func others(u *faultyUnit, lifted int) int { return (len(u.model.Circuit().Parts) - lifted + 1) / 2 }

// halfSplit is a person with the list of what each fault of each part would
// make wrong, and no more: no values, no prices, no chances.
type halfSplit struct {
	checks []diagnosis.Check
	good   []float64
	wrong  [][]bool // by fault, then check
	faults []truth
}

func newHalfSplit(t testing.TB, c *circuit.Circuit) *halfSplit {
	t.Helper()
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		t.Fatal(err)
	}
	h := &halfSplit{faults: hiddenFaults(c, rand.New(rand.NewPCG(3, 3)))}
	for _, s := range c.States {
		for _, n := range model.Nets() {
			if n != model.Reference() {
				h.checks = append(h.checks, diagnosis.Check{Mode: meter.Ohms, Red: n, Black: model.Reference(), State: s.Name},
					diagnosis.Check{Mode: meter.VoltsDC, Red: n, Black: model.Reference(), State: s.Name})
			}
		}
	}
	read := func(v sim.Variant) []float64 {
		u := &faultyUnit{model: model, meter: meter.Default(meter.Digital), variant: v}
		out := make([]float64, len(h.checks))
		for i, k := range h.checks {
			r, err := u.show(k.Mode, k.State, k)
			if out[i] = r.Value; err != nil || r.Overrange {
				out[i] = 1e9
			}
		}
		return out
	}
	h.good = read(nil)
	for _, f := range h.faults {
		now := read(f.variant)
		row := make([]bool, len(now))
		for i := range now {
			row[i] = odd(now[i], h.good[i])
		}
		h.wrong = append(h.wrong, row)
	}
	return h
}

// odd is wrong by more than tolerances make it.
func odd(now, good float64) bool { return math.Abs(now-good) > 0.12*math.Abs(good)+0.05 }

// search follows the rule to the end.
//
// Errors: those of read.
func (h *halfSplit) search(u *faultyUnit, hidden truth, rng *rand.Rand) (repair, error) {
	left := make([]int, len(h.faults))
	for i := range left {
		left[i] = i
	}
	var r repair
	taken := map[int]bool{}
	for len(left) > 1 {
		best, even := -1, 0
		for k := range h.checks {
			n := 0
			for _, f := range left {
				if h.wrong[f][k] {
					n++
				}
			}
			if e := min(n, len(left)-n); !taken[k] && e > even {
				best, even = k, e
			}
		}
		if best < 0 {
			break
		}
		taken[best] = true
		got, err := u.read(h.checks[best])
		if err != nil {
			return r, err
		}
		r.readings++
		v := got.Value
		if got.Overrange {
			v = 1e9
		}
		is := odd(v, h.good[best])
		left = slices.DeleteFunc(left, func(f int) bool { return h.wrong[f][best] != is })
	}
	rng.Shuffle(len(left), func(i, j int) { left[i], left[j] = left[j], left[i] })
	var lifted []circuit.PartRef
	for _, f := range left {
		if ref := h.faults[f].part; !slices.Contains(lifted, ref) {
			lifted = append(lifted, ref)
			r.readings++
			if ref == hidden.part {
				r.repaired = true
				return r, nil
			}
		}
	}
	r.readings += others(u, len(lifted))
	return r, nil
}

// TestReader runs problems FROM to TO of the ninety-one (FOILSIDE_READER=FROM:TO).
func TestReader(t *testing.T) {
	from, to := 0, 0
	if _, err := fmt.Sscanf(os.Getenv("FOILSIDE_READER"), "%d:%d", &from, &to); err != nil {
		t.Skip("a study: FOILSIDE_READER=FROM:TO")
	}
	all := studyCircuits(t)
	var n, repaired, readings, ruleRepaired, ruleReadings int
	var p *diagnosis.Predictor
	var rule *halfSplit
	for i := from; i < min(to, readerUnits*readerProblems); i++ {
		c := all[i/readerProblems]
		if p == nil || i%readerProblems == 0 {
			var err error
			if p, err = diagnosis.New(c, diagnosis.Options{}); err != nil {
				t.Fatal(err)
			}
			rule = newHalfSplit(t, c)
		}
		rng := rand.New(rand.NewPCG(17, uint64(i)))
		faults := slices.DeleteFunc(hiddenFaults(c, rng), func(h truth) bool { return !visible(rule, h) })
		h := faults[rng.IntN(len(faults))]
		u := newFaultyUnit(c, h, rng)
		u.slips = true
		ours, err := byCard(t, p, u, h)
		if err != nil {
			t.Logf("problem %d, %s: left out, %s: %v", i, c.Unit, h, err)
			continue
		}
		theirs, err := rule.search(u, h, rng)
		if err != nil {
			t.Logf("problem %d, %s: left out, %s: %v", i, c.Unit, h, err)
			continue
		}
		n++
		readings += ours.readings
		ruleReadings += theirs.readings
		if ours.repaired {
			repaired++
		} else {
			t.Logf("problem %d, %s: %s not repaired by the card", i, c.Unit, h)
		}
		if theirs.repaired {
			ruleRepaired++
		}
	}
	t.Logf("%d problems: by the card %d repaired with %d readings; by the half-split rule %d with %d", n, repaired, readings, ruleRepaired, ruleReadings)
}

// visible tells whether a fault makes any reading wrong: what nobody can see
// is no problem that anybody brings to a bench.
func visible(rule *halfSplit, h truth) bool {
	for i, f := range rule.faults {
		if f.part == h.part && f.fault == h.fault && f.lead == h.lead && slices.Equal(f.leads, h.leads) {
			return slices.Contains(rule.wrong[i], true)
		}
	}
	return false
}
