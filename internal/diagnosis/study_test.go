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
	leads   []circuit.LeadName
	variant sim.Variant
}

func (h truth) String() string { return fmt.Sprintf("%s %s %s %v", h.part, h.fault, h.lead, h.leads) }

// is tells whether a suspect is the hidden fault.
func (h truth) is(s diagnosis.Suspect) bool {
	return s.Part != nil && *s.Part == h.part && s.Fault == h.fault && s.Lead == h.lead && (len(s.Leads) == 0 || slices.Equal(s.Leads, h.leads))
}

// hiding collects the faults of a circuit.
type hiding struct {
	rng *rand.Rand
	out []truth
}

func (h *hiding) add(p circuit.Part, f diagnosis.Name, lead circuit.LeadName, changes ...sim.Change) {
	h.out = append(h.out, truth{part: p.Ref, fault: f, lead: lead, variant: changes})
}

// between adds a fault between two leads.
func (h *hiding) between(p circuit.Part, f diagnosis.Name, a, b circuit.LeadName, ohms float64) {
	h.out = append(h.out, truth{part: p.Ref, fault: f, leads: []circuit.LeadName{a, b}, variant: sim.Variant{sim.Short(p.Ref, a, b, ohms)}})
}

// opens adds a part that is open at each of the leads.
func (h *hiding) opens(p circuit.Part, leads ...circuit.LeadName) {
	for _, l := range leads {
		h.add(p, diagnosis.Open, l, sim.Lift(p.Ref, l, 1e12))
	}
}

// factor is how far a value has drifted.
func (h *hiding) factor() float64 { return 1.5 + 4*h.rng.Float64()*h.rng.Float64() }

// short is a resistance of a burnt junction or a piece of wire.
func (h *hiding) short() float64 { return math.Exp(math.Log(0.1) + h.rng.Float64()*math.Log(20)) }

// hiddenFaults are the faults of every part, as far as direct current is
// concerned; an open capacitor it cannot show.
func hiddenFaults(c *circuit.Circuit, rng *rand.Rand) []truth {
	h := &hiding{rng: rng}
	for _, p := range c.Parts {
		h.ofPart(p)
	}
	return h.out
}

func (h *hiding) ofPart(p circuit.Part) {
	switch p.Kind {
	case circuit.Resistor, circuit.Photocell, circuit.Thermistor:
		h.add(p, diagnosis.Open, "", sim.Remove(p.Ref))
		h.add(p, diagnosis.Short, "", sim.Short(p.Ref, "1", "2", h.short()))
		h.add(p, diagnosis.ValueHigh, "", sim.Scale(p.Ref, sim.KnobValue, h.factor()))
		h.add(p, diagnosis.ValueLow, "", sim.Scale(p.Ref, sim.KnobValue, 1/h.factor()))
	case circuit.Potentiometer:
		h.opens(p, "w")
	case circuit.Capacitor, circuit.Electrolytic:
		a, b := p.Leads[0].Name, p.Leads[1].Name
		h.add(p, diagnosis.Short, "", sim.Short(p.Ref, a, b, h.short()))
		h.add(p, diagnosis.Leaky, "", sim.Short(p.Ref, a, b, 300*(1+30*h.rng.Float64())))
		if h.rng.Float64() < 0.3 {
			h.add(p, diagnosis.Open, "", sim.Remove(p.Ref))
		}
	case circuit.Diode, circuit.LED, circuit.Zener:
		h.add(p, diagnosis.Open, "", sim.Remove(p.Ref))
		h.add(p, diagnosis.Short, "", sim.Short(p.Ref, "a", "k", h.short()))
	case circuit.Lamp, circuit.Fuse, circuit.Inductor, circuit.Speaker, circuit.Buzzer, circuit.Motor, circuit.MeterMovement, circuit.Switch:
		h.add(p, diagnosis.Open, "", sim.Remove(p.Ref))
	case circuit.Battery, circuit.Supply:
		h.add(p, diagnosis.Dead, "", sim.Scale(p.Ref, sim.KnobValue, 0.6*h.rng.Float64()))
	default:
		h.ofActive(p)
	}
}

func (h *hiding) ofActive(p circuit.Part) {
	switch p.Kind {
	case circuit.NPN, circuit.PNP:
		h.opens(p, "c", "b", "e")
		h.between(p, diagnosis.Short, "c", "e", h.short())
		h.between(p, diagnosis.Short, "c", "b", h.short())
		h.between(p, diagnosis.Short, "b", "e", h.short())
		h.between(p, diagnosis.Leaky, "c", "e", 500*(1+20*h.rng.Float64()))
		h.add(p, diagnosis.LowGain, "", sim.Scale(p.Ref, sim.KnobGain, 0.03+0.1*h.rng.Float64()))
	case circuit.JFETN, circuit.MOSFETN:
		h.opens(p, "d", "g", "s")
		h.between(p, diagnosis.Short, "d", "s", h.short())
		h.between(p, diagnosis.Short, "g", "s", h.short())
	case circuit.SCR:
		h.opens(p, "a", "g")
		h.between(p, diagnosis.Short, "a", "k", h.short())
	case circuit.Triode, circuit.Pentode:
		h.opens(p, "k", "a")
		h.add(p, diagnosis.LowGain, "", sim.Scale(p.Ref, sim.KnobGain, 0.1+0.3*h.rng.Float64()))
	case circuit.Relay:
		h.opens(p, "coil1", "c")
		h.between(p, diagnosis.Short, "coil1", "coil2", h.short())
	case circuit.OpAmp:
		h.opens(p, "out")
		h.between(p, diagnosis.Short, "out", "v-", h.short())
	case circuit.Timer555:
		h.opens(p, "3")
		h.between(p, diagnosis.Short, "3", "1", h.short())
	case circuit.Regulator:
		h.opens(p, "out")
		h.between(p, diagnosis.Short, "out", "com", h.short())
	case circuit.Optocoupler:
		h.opens(p, "a")
		h.between(p, diagnosis.Short, "c", "e", h.short())
		h.add(p, diagnosis.LowGain, "", sim.Scale(p.Ref, sim.KnobGain, 0.03+0.1*h.rng.Float64()))
	case circuit.Transformer:
		w := p.Windings[h.rng.IntN(len(p.Windings))]
		h.out = append(h.out, truth{part: p.Ref, fault: diagnosis.Open, variant: sim.Variant{sim.Lift(p.Ref, w.First(), 1e12)}})
	}
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
	joints  map[circuit.NetID]circuit.NetID // where a net of the drawing lies in the unit, if elsewhere
}

// What another maker's devices, or another solver's models, are off by:
// volts of a junction's drop, a leakage across every junction in ohms, and the
// resistance of a transistor's leads and bulk.
const (
	otherDrop = 0.02
	otherLeak = 500e6
	otherBulk = 1.5
)

// newFaultyUnit is a unit built like c. spread is how far tolerances are used
// up, 1 for all.
func newFaultyUnit(c *circuit.Circuit, h truth, rng *rand.Rand) *faultyUnit {
	model, err := sim.Compile(c, sim.Options{Temperature: sim.RoomTemperature + 5*rng.NormFloat64()})
	if err != nil {
		panic(err)
	}
	u := &faultyUnit{model: model, meter: meter.Default(meter.Digital), rng: rng, variant: slices.Clone(h.variant)}
	for _, s := range model.Spreads() {
		u.draw = append(u.draw, 2*rng.Float64()-1)
		if s.Knob != sim.KnobDrop {
			continue
		}
		part, _ := c.Part(s.Part)
		u.variant = append(u.variant, sim.Scale(s.Part, sim.KnobDrop, otherDrop*rng.NormFloat64()),
			sim.Short(s.Part, part.Leads[0].Name, part.Leads[1].Name, otherLeak*(0.4+4*rng.Float64())))
		if (part.Kind == circuit.NPN || part.Kind == circuit.PNP) && part.Ref != h.part {
			u.variant = append(u.variant, sim.Lift(s.Part, "c", otherBulk*rng.Float64()), sim.Lift(s.Part, "e", 0.2*otherBulk*rng.Float64()))
		}
	}
	return u
}

// touch is where the leads really land: 3 % of placements miss to another net.
func (u *faultyUnit) touch(c diagnosis.Check) diagnosis.Check {
	c.Red, c.Black = u.joint(c.Red), u.joint(c.Black)
	nets := u.model.Nets()
	if u.slips && u.rng.Float64() < 0.03 {
		c.Red = nets[u.rng.IntN(len(nets))]
	}
	return c
}

func (u *faultyUnit) joint(n circuit.NetID) circuit.NetID {
	if at, ok := u.joints[n]; ok {
		return at
	}
	return n
}

// read takes a reading. Errors: the simulator found no operating point for the
// unit, which says nothing of the diagnosis.
func (u *faultyUnit) read(c diagnosis.Check) (diagnosis.Reading, error) {
	at := u.touch(c)
	v := 0.0
	if at.Red != at.Black {
		r, err := u.show(c.Mode, c.State, at)
		if err != nil {
			return diagnosis.Reading{}, err
		}
		if r.Overrange {
			return diagnosis.Reading{Check: c, Overrange: true}, nil
		}
		v = r.Value
	}
	v += (2*u.rng.Float64() - 1) * u.meter.MaxError(c.Mode, v)
	if !c.Mode.Powered() {
		v = max(v, 0)
	}
	if u.slips && u.rng.Float64() < 0.02 { // a decimal point read wrong
		v *= 10
	}
	return diagnosis.Reading{Check: c, Value: u.meter.Round(c.Mode, v)}, nil
}

// show is what a perfect meter shows.
func (u *faultyUnit) show(m meter.Mode, name string, at diagnosis.Check) (meter.Reading, error) {
	state, _ := u.model.Circuit().State(name)
	q := meter.Query{Mode: m, Red: sim.OnNet(at.Red), Black: sim.OnNet(at.Black), State: state}
	ctx := context.Background()
	in, err := meter.Instance(u.model, q, u.variant)
	if err != nil {
		return meter.Reading{}, err
	}
	sol, err := in.Solve(ctx, u.draw, nil)
	if err != nil {
		return meter.Reading{}, err
	}
	return u.meter.Read(ctx, in, sol, q)
}

// result of one hidden fault.
type result struct {
	truth    truth
	first    bool // the true fault is in the first group
	third    bool
	part     bool    // the first suspect is the right part
	p        float64 // of the true fault's group
	own      float64 // of the true fault itself
	partOwn  float64 // of all that may be wrong with its part
	outside  float64
	readings int
	seconds  float64 // what the readings cost
	live     int     // readings with power
	powerUps int
	log      []string
	verdict  string
	answer   *diagnosis.Answer
	claimed  float64 // probability of the first group
}

const mostReadings = 15

// solve follows the first proposal to the end. Errors: those of read.
func solve(t testing.TB, p *diagnosis.Predictor, u *faultyUnit, h truth) (result, error) {
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
			r.answer = &answer
			r.judge(answer, h)
			return r, nil
		}
		c := plan.Next[0].Check
		got, err := u.read(c)
		if err != nil {
			return r, err
		}
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
	r.verdict, r.outside = a.Verdict, a.Outside
	if len(a.Groups) > 0 {
		r.claimed = a.Groups[0].Probability
	}
	group := -1
	for _, s := range a.Suspects {
		if s.Part != nil && *s.Part == h.part {
			r.partOwn += s.Probability
		}
		if h.is(s) {
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
			r, err := solve(t, p, unit, h)
			if err != nil {
				t.Fatal(err)
			}
			report(u.name, r)
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
	}{{r.first, &s.first}, {r.third, &s.third}, {r.part, &s.part}, {r.partOwn < 0.01, &s.dismissed}} {
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
// a median of 7 readings at most, most of them without power. It guards a few
// faults of the units; the figures come from TestStudy.
func TestHiddenFaults(t *testing.T) {
	const cases, seed = 2, 1
	total := &tally{}
	by := map[string]*tally{}
	runStudy(t, cases, seed, func(name string, r result) {
		if by[name] == nil {
			by[name] = &tally{}
		}
		total.add(r)
		by[name].add(r)
		if !r.first {
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
// readings by worth, the next one looked ahead to, cost little more than the
// best plan there is. Three handfuls of each unit (FOILSIDE_HANDFULS=3) cost
// 1.033 of the optimum. Without that, two handfuls of each smaller unit are
// planned.
func TestNearTheOptimum(t *testing.T) {
	const bound = 1.05
	handfuls, list := 2, units()[3:]
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
