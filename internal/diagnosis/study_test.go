package diagnosis_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// truth is a hidden fault: what is in the unit, and what must be named.
type truth struct {
	part    circuit.PartRef
	fault   diagnosis.Name
	lead    circuit.LeadName
	variant sim.Variant
}

func (h truth) String() string { return fmt.Sprintf("%s %s %s", h.part, h.fault, h.lead) }

// hiddenFaults are opens, shorts and changed values of every part that direct
// current can show.
func hiddenFaults(c *circuit.Circuit, rng *rand.Rand) []truth {
	var out []truth
	add := func(p circuit.Part, f diagnosis.Name, lead circuit.LeadName, changes ...sim.Change) {
		out = append(out, truth{p.Ref, f, lead, changes})
	}
	factor := func() float64 { return 1.5 + 4*rng.Float64()*rng.Float64() }
	inf := sim.Lift
	for _, p := range c.Parts {
		a, b := p.Leads[0].Name, p.Leads[len(p.Leads)-1].Name
		switch p.Kind {
		case circuit.Resistor, circuit.Photocell:
			add(p, diagnosis.Open, "", sim.Remove(p.Ref))
			add(p, diagnosis.Short, "", sim.Short(p.Ref, a, b, 0.2))
			add(p, diagnosis.ValueHigh, "", sim.Scale(p.Ref, sim.KnobValue, factor()))
			add(p, diagnosis.ValueLow, "", sim.Scale(p.Ref, sim.KnobValue, 1/factor()))
		case circuit.Potentiometer:
			add(p, diagnosis.Open, "w", inf(p.Ref, "w", 1e12))
		case circuit.Capacitor, circuit.Electrolytic:
			add(p, diagnosis.Short, "", sim.Short(p.Ref, a, b, 0.5))
			add(p, diagnosis.Leaky, "", sim.Short(p.Ref, a, b, 300*(1+30*rng.Float64())))
		case circuit.Diode, circuit.LED, circuit.Zener:
			add(p, diagnosis.Open, "", sim.Remove(p.Ref))
			add(p, diagnosis.Short, "", sim.Short(p.Ref, a, b, 1))
		case circuit.NPN, circuit.PNP:
			for _, l := range p.Leads {
				add(p, diagnosis.Open, l.Name, inf(p.Ref, l.Name, 1e12))
			}
			add(p, diagnosis.Short, "", sim.Short(p.Ref, "c", "e", 1))
			add(p, diagnosis.Short, "", sim.Short(p.Ref, "b", "e", 1))
			add(p, diagnosis.Short, "", sim.Short(p.Ref, "c", "b", 1))
		case circuit.Lamp, circuit.Fuse, circuit.Inductor, circuit.Speaker:
			add(p, diagnosis.Open, "", sim.Remove(p.Ref))
		case circuit.Switch:
			add(p, diagnosis.Open, "", sim.Remove(p.Ref))
		case circuit.Battery, circuit.Supply:
			add(p, diagnosis.Dead, "", sim.Scale(p.Ref, sim.KnobValue, 0.3))
		}
	}
	return out
}

// faultyUnit answers readings as a unit on the bench does: parts drawn within
// their tolerances, devices that are no textbook, a meter with its error, and
// where slips is set a hand that misses.
type faultyUnit struct {
	model   *sim.Model
	variant sim.Variant
	draw    sim.Draw
	meter   meter.Meter
	rng     *rand.Rand
	slips   bool
}

// What another maker's devices, or another solver's models, are off by:
// volts of a junction's drop, and a leakage across every junction in ohms.
const (
	otherDrop = 0.02
	otherLeak = 500e6
)

func newFaultyUnit(c *circuit.Circuit, h truth, rng *rand.Rand) *faultyUnit {
	model, err := sim.Compile(c, sim.Options{Temperature: sim.RoomTemperature + 5*rng.NormFloat64()})
	if err != nil {
		panic(err)
	}
	u := &faultyUnit{model: model, meter: meter.Default(meter.Digital), rng: rng, variant: slices.Clone(h.variant)}
	for _, s := range model.Spreads() {
		u.draw = append(u.draw, 2*rng.Float64()-1)
		if s.Knob == sim.KnobDrop { // another maker's devices, another solver's model
			u.variant = append(u.variant, sim.Scale(s.Part, sim.KnobDrop, otherDrop*rng.NormFloat64()))
			part, _ := c.Part(s.Part)
			u.variant = append(u.variant, sim.Short(s.Part, part.Leads[0].Name, part.Leads[1].Name, otherLeak*(0.4+4*rng.Float64())))
		}
	}
	return u
}

// touch is where the leads really land: 3 % of placements miss to another net.
func (u *faultyUnit) touch(c diagnosis.Check) diagnosis.Check {
	nets := u.model.Nets()
	if u.slips && u.rng.Float64() < 0.03 {
		c.Red = nets[u.rng.IntN(len(nets))]
	}
	return c
}

func (u *faultyUnit) read(c diagnosis.Check) diagnosis.Reading {
	state, _ := u.model.Circuit().State(c.State)
	at := u.touch(c)
	q := meter.Query{Mode: c.Mode, Red: sim.OnNet(at.Red), Black: sim.OnNet(at.Black), State: state}
	ctx := context.Background()
	in, err := meter.Instance(u.model, q, u.variant)
	if err != nil {
		panic(err)
	}
	sol, err := in.Solve(ctx, u.draw, nil)
	if err != nil {
		panic(err)
	}
	r, err := u.meter.Read(ctx, in, sol, q)
	if err != nil {
		panic(err)
	}
	if r.Overrange {
		return diagnosis.Reading{Check: c, Overrange: true}
	}
	v := r.Value + (2*u.rng.Float64()-1)*u.meter.MaxError(c.Mode, r.Value)
	if !c.Mode.Powered() {
		v = max(v, 0)
	}
	if u.slips && u.rng.Float64() < 0.02 { // a decimal point read wrong
		v *= 10
	}
	return diagnosis.Reading{Check: c, Value: u.meter.Round(c.Mode, v)}
}

// result of one hidden fault.
type result struct {
	truth    truth
	first    bool // the true fault is in the first group
	third    bool
	part     bool    // the first suspect is the right part
	p        float64 // of the true fault's group
	own      float64 // of the true fault itself
	readings int
	seconds  float64 // what the readings cost
	live     int     // readings with power
	powerUps int
	log      []string
	verdict  string
	claimed  float64 // probability of the first group
}

const mostReadings = 15

func solve(t testing.TB, p *diagnosis.Predictor, u *faultyUnit, h truth) result {
	t.Helper()
	r := result{truth: h}
	var ev diagnosis.Evidence
	powered := false
	for {
		plan, answer, err := p.Assess(context.Background(), ev, diagnosis.Danger{Judged: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(plan.Next) == 0 || len(ev.Readings) == mostReadings {
			r.judge(answer, h)
			return r
		}
		c := plan.Next[0].Check
		got := u.read(c)
		ev.Readings = append(ev.Readings, got)
		r.readings++
		r.seconds += plan.Next[0].CostSeconds
		if c.Mode.Powered() {
			r.live++
			if !powered {
				r.powerUps++
			}
		}
		powered = c.Mode.Powered()
		r.log = append(r.log, fmt.Sprintf("%v %s-%s %s: %.4g over=%v [%.2f bits] top %s %.2f", c.Mode, c.Red, c.Black, c.State, got.Value, got.Overrange,
			plan.Next[0].GainBits, answer.Groups[0].Text, answer.Groups[0].Probability))
	}
}

func (r *result) judge(a diagnosis.Answer, h truth) {
	r.verdict = a.Verdict
	if len(a.Groups) > 0 {
		r.claimed = a.Groups[0].Probability
	}
	group := -1
	for _, s := range a.Suspects {
		if s.Part != nil && *s.Part == h.part && s.Fault == h.fault && s.Lead == h.lead {
			if group < 0 || s.Probability > r.own {
				group, r.own = s.Group, s.Probability
			}
		}
	}
	if len(a.Suspects) > 0 && a.Suspects[0].Part != nil {
		r.part = *a.Suspects[0].Part == h.part
	}
	for i, g := range a.Groups {
		if g.Group == group {
			r.first, r.third, r.p = i == 0, i < 3, g.Probability
		}
	}
}

// runStudy solves cases hidden faults of every unit.
func runStudy(t testing.TB, cases int, seed uint64, report func(unit string, r result)) {
	for _, u := range units() {
		c := u.circuit()
		p, err := diagnosis.New(c, diagnosis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(seed, 0x68696464))
		all := hiddenFaults(c, rng)
		rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		for _, h := range all[:min(cases, len(all))] {
			unit := newFaultyUnit(c, h, rng)
			unit.slips = os.Getenv("FOILSIDE_SLIPS") != ""
			report(u.name, solve(t, p, unit, h))
		}
	}
}

// tally sums results.
type tally struct {
	n, first, third, part, dismissed, live, powerUps int
	readings                                         []int
	seconds                                          float64
	claimed                                          []claim
}

// claim is what was said of the first group at the end, and whether it held.
type claim struct {
	probability float64
	right       bool
}

func (s *tally) add(r result) {
	s.n++
	s.readings = append(s.readings, r.readings)
	s.seconds += r.seconds
	s.live += r.live
	s.powerUps += r.powerUps
	s.claimed = append(s.claimed, claim{r.claimed, r.first})
	for _, c := range []struct {
		holds bool
		count *int
	}{{r.first, &s.first}, {r.third, &s.third}, {r.part, &s.part}, {r.own < 0.01, &s.dismissed}} {
		if c.holds {
			*c.count++
		}
	}
}

func (s *tally) median() int {
	sorted := slices.Sorted(slices.Values(s.readings))
	return sorted[len(sorted)/2]
}

func (s *tally) mean() float64 {
	sum := 0
	for _, n := range s.readings {
		sum += n
	}
	return float64(sum) / float64(s.n)
}

// calibration is the expected calibration error of the final claims, in ten
// bins.
func (s *tally) calibration() float64 {
	var sum float64
	for bin := range 10 {
		var n, p, right float64
		for _, c := range s.claimed {
			if int(min(c.probability*10, 9)) == bin {
				n, p = n+1, p+c.probability
				if c.right {
					right++
				}
			}
		}
		if n > 0 {
			sum += math.Abs(p-right) / float64(s.n)
		}
	}
	return sum
}

func (s *tally) String() string {
	share := func(k int) float64 { return 100 * float64(k) / float64(s.n) }
	return fmt.Sprintf("%d faults: right group first %.1f %%, in three %.1f %%, part first %.1f %%, dismissed %.1f %%; readings median %d, mean %.1f, most %d; cost %.0f s; with power %.1f, power-ups %.2f; calibration error %.3f",
		s.n, share(s.first), share(s.third), share(s.part), share(s.dismissed), s.median(), s.mean(), slices.Max(s.readings), s.seconds/float64(s.n),
		float64(s.live)/float64(s.n), float64(s.powerUps)/float64(s.n), s.calibration())
}

// TestHiddenFaults: the right group first in at least 85 % of the cases, with
// a median of 7 readings at most, most of them without power. With
// FOILSIDE_HIDDEN_FAULTS=N it runs N faults of every unit, and
// FOILSIDE_VERBOSE=1 shows the searches that went wrong, 2 shows all, FOILSIDE_SLIPS=1 has
// 3 % of the leads misplaced and 2 % of the values misread: the figures of
// docs/accuracy.md.
func TestHiddenFaults(t *testing.T) {
	cases, seed := 2, uint64(1)
	if n, err := strconv.Atoi(os.Getenv("FOILSIDE_HIDDEN_FAULTS")); err == nil {
		cases = n
	}
	if n, err := strconv.Atoi(os.Getenv("FOILSIDE_SEED")); err == nil {
		seed = uint64(n)
	}
	total := &tally{}
	by := map[string]*tally{}
	runStudy(t, cases, seed, func(name string, r result) {
		if by[name] == nil {
			by[name] = &tally{}
		}
		total.add(r)
		by[name].add(r)
		if (!r.first && os.Getenv("FOILSIDE_VERBOSE") != "") || os.Getenv("FOILSIDE_VERBOSE") == "2" {
			t.Logf("%s: %s not first (group %.3f, own %.3f): %s\n%s", name, r.truth, r.p, r.own, r.verdict, strings.Join(r.log, "\n"))
		}
	})
	for _, u := range units() {
		t.Logf("%s: %s", u.name, by[u.name])
	}
	t.Logf("all: %s", total)
	if share := float64(total.first) / float64(total.n); share < 0.85 {
		t.Errorf("the right group is first in %.0f %%, want 85 %%", 100*share)
	}
	if total.median() > 7 {
		t.Errorf("median of %d readings, want 7 at most", total.median())
	}
	var all int
	for _, n := range total.readings {
		all += n
	}
	if 2*total.live > all {
		t.Errorf("%d of %d readings with power: those without are to be preferred", total.live, all)
	}
}

// TestNearTheOptimum: on handfuls of suspects, small enough to plan exactly,
// readings by worth cost little more than the best plan there is. The aim is a
// twentieth; three handfuls of each unit (FOILSIDE_HANDFULS=3) cost 1.052 of
// the optimum, so the bound only guards what is reached. Without that, one
// handful of each smaller unit is planned.
func TestNearTheOptimum(t *testing.T) {
	const bound = 1.08
	handfuls, list := 1, units()[4:]
	if n, err := strconv.Atoi(os.Getenv("FOILSIDE_HANDFULS")); err == nil {
		handfuls, list = n, units()
	}
	var all, best float64
	for _, u := range list {
		least, ours := diagnosis.Hunts(t, u.circuit(), handfuls)
		for i := range least {
			t.Logf("%s, handful %d: optimum %.1f s, by worth %.3f of it", u.name, i+1, least[i], ours[i]/least[i])
			best, all = best+least[i], all+ours[i]
		}
	}
	t.Logf("all: %.3f of the optimum", all/best)
	if all > bound*best {
		t.Errorf("readings by worth cost %.3f of the optimum, want %g at most", all/best, bound)
	}
}
