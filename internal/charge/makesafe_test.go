package charge_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"foilside/internal/charge"
	"foilside/internal/circuit"
)

// tally is what a study counts over its networks.
type tally struct {
	networks, runs, stores int
	hazards, called        int       // stores that are dangerous in some run, and called so
	missed                 []string  // hazardous capacitors not called so
	low, late              []string  // stated voltage or time below the truth
	volts, times           []float64 // stated ÷ true, over any single open part
	never                  int       // stated for ever, and within a day in truth
	unsafe, burnt          []string  // left by the steps
	rounds                 int       // most times that a discharge had to be repeated
}

// study charges a network with nothing and with any single part open, by the
// integrator of random_test.go, and holds the report against what it finds.
func (y *tally) study(t *testing.T, name string, c *circuit.Circuit) {
	report, err := charge.Assess(context.Background(), c, nil, charge.Options{})
	if err != nil {
		t.Fatal(err)
	}
	y.networks++
	truth := map[circuit.PartRef]float64{}
	latest := map[circuit.PartRef]float64{}
	for open := -1; open < len(c.Parts); open++ {
		y.runs++
		where := fmt.Sprintf("%s, open %d", name, open)
		r := newRun(c, open)
		top := r.charge()
		start := slices.Clone(r.v)
		last, falls := r.timesTo(report)
		for _, s := range report.Stores {
			k, ok := r.cap[s.Part]
			if !ok {
				continue
			}
			truth[s.Part] = max(truth[s.Part], top[k])
			farads := s.Farads
			if charge.Judge(top[k], farads).Hazardous && !s.Hazardous {
				y.missed = append(y.missed, where+": "+string(s.Part))
			}
			if top[k] > s.Voltage*1.001+0.1 {
				y.low = append(y.low, fmt.Sprintf("%s: %s reaches %.2f V, stated %.2f V", where, s.Part, top[k], s.Voltage))
			}
			at := last[k]
			switch {
			case !falls[k]:
				latest[s.Part] = math.Inf(1)
				if s.SecondsToSafe != nil {
					y.late = append(y.late, fmt.Sprintf("%s: %s stays charged, stated %.3g s", where, s.Part, *s.SecondsToSafe))
				}
			case s.SecondsToSafe != nil && at > *s.SecondsToSafe*1.03+1e-3:
				y.late = append(y.late, fmt.Sprintf("%s: %s takes %.4g s, stated %.4g s", where, s.Part, at, *s.SecondsToSafe))
			}
			latest[s.Part] = max(latest[s.Part], at)
		}
		r.v = append(r.v[:0], start...)
		y.makeSafe(where, r, report)
	}
	for _, s := range report.Stores {
		y.stores++
		if s.Hazardous {
			y.called++
		}
		if charge.Judge(truth[s.Part], s.Farads).Hazardous {
			y.hazards++
		}
		if v := truth[s.Part]; v > 1 {
			y.volts = append(y.volts, s.Voltage/v)
		}
		if at := latest[s.Part]; s.SecondsToSafe != nil && at > 0 {
			y.times = append(y.times, *s.SecondsToSafe/at)
		}
		if s.SecondsToSafe == nil && latest[s.Part] > 0 && !math.IsInf(latest[s.Part], 1) {
			y.never++
		}
	}
}

// makeSafe does what the steps say, repeating a discharge whose check fails,
// and looks at every node and at every resistor.
func (y *tally) makeSafe(where string, r *run, report charge.Report) {
	if report.Refused != "" {
		return
	}
	for round := 1; ; round++ {
		for _, s := range report.Steps {
			for _, at := range s.Places {
				y.bleed(where, r, s, at)
			}
		}
		worst := 0.0
		for _, v := range r.nodes() {
			worst = max(worst, math.Abs(v))
		}
		for _, v := range r.v {
			worst = max(worst, math.Abs(v))
		}
		if worst <= charge.CheckBelow {
			y.rounds = max(y.rounds, round)
			return
		}
		if round == 3 {
			y.unsafe = append(y.unsafe, fmt.Sprintf("%s: %.1f V left after three rounds", where, worst))
			return
		}
	}
}

// bleed holds the step's resistor across one place, as often as its check asks.
func (y *tally) bleed(where string, r *run, s charge.Step, at charge.Touch) {
	if s.Do != charge.Discharge {
		return
	}
	k, ok := r.cap[at.Part]
	if !ok {
		return
	}
	for range 3 {
		if v := math.Abs(r.v[k]); v*v/s.Resistor.Ohms > s.Resistor.Watts*float64(s.Resistor.Count)*1.001 || v > s.Resistor.Volts*1.001 {
			y.burnt = append(y.burnt, fmt.Sprintf("%s: %s on %.0f V", where, s.Resistor, v))
		}
		r.parts = append(r.parts, part("Rx", circuit.Resistor, at.Red, at.Black, "value", s.Resistor.Ohms))
		const steps = 60
		for i := range steps { // small steps first: the beginning is the steepest
			r.step(s.Seconds*(2*float64(i)+1)/(steps*steps), false)
		}
		r.parts = r.parts[:len(r.parts)-1]
		if math.Abs(r.v[k]) < charge.CheckBelow {
			return
		}
	}
}

// timesTo is when each capacitor is last above its safe voltage, without power;
// false where that is not within a day.
func (r *run) timesTo(report charge.Report) (last []float64, falls []bool) {
	last, falls = make([]float64, len(r.v)), make([]bool, len(r.v))
	safe := make([]float64, len(r.v))
	for _, s := range report.Stores {
		if k, ok := r.cap[s.Part]; ok {
			safe[k] = charge.SafeVolts(s.Farads)
		}
	}
	now := 0.0
	for h := 1e-5; now < 24*3600; h *= 1.03 {
		before := absolute(r.v)
		r.step(h, false)
		for k, v := range absolute(r.v) {
			if v > safe[k] {
				last[k] = now + h
			} else if before[k] > safe[k] {
				last[k] = now + h*(before[k]-safe[k])/(before[k]-v)
			}
			falls[k] = v <= safe[k]
		}
		now += h
	}
	return last, falls
}

// nodes are the voltages of all nets to common as the capacitors hold them.
func (r *run) nodes() []float64 {
	kept := slices.Clone(r.v)
	out := r.step(1e-9, false)
	copy(r.v, kept)
	return out
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// TestMakingSafe runs the study over random and over realistic networks: a few
// always, 500 and 50 with FOILSIDE_STUDY.
func TestMakingSafe(t *testing.T) {
	random, realistic := 20, 6
	if os.Getenv("FOILSIDE_STUDY") != "" {
		random, realistic = 500, 50
	}
	seed := uint64(1)
	if s, err := strconv.ParseUint(os.Getenv("FOILSIDE_SEED"), 10, 64); err == nil {
		seed = s
	}
	for _, kind := range []struct {
		name  string
		count int
		draw  func(rng *rand.Rand) *circuit.Circuit
	}{{"random", random, drawnNetwork}, {"realistic", realistic, drawnUnit}} {
		t.Run(kind.name, func(t *testing.T) {
			var y tally
			rng := rand.New(rand.NewPCG(seed, 7))
			for i := range kind.count {
				y.study(t, fmt.Sprintf("%s %d", kind.name, i), kind.draw(rng))
			}
			t.Logf("%d networks, %d runs, %d stores, %d of them dangerous, %d called so: median of stated ÷ true volts %.2f, seconds %.2f (%d of them); %d stated for ever that fall within a day; at most %d rounds of discharging",
				y.networks, y.runs, y.stores, y.hazards, y.called, median(y.volts), median(y.times), len(y.times), y.never, y.rounds)
			for what, list := range map[string][]string{"hazard missed": y.missed, "voltage too low": y.low, "time too short": y.late, "not safe": y.unsafe, "resistor over its rating": y.burnt} {
				for i, text := range list {
					if i < 5 {
						t.Errorf("%s (%d): %s", what, len(list), text)
					}
				}
			}
			if y.hazards == 0 {
				t.Error("no store was dangerous: the study shows nothing")
			}
			if m := median(y.volts); m > 2 {
				t.Errorf("stated voltages are %.2f times the truth in the median", m)
			}
			if m := median(y.times); m > 2 {
				t.Errorf("stated times are %.2f times the truth in the median", m)
			}
		})
	}
}
