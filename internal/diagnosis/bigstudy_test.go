package diagnosis_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/diagnosis"
	"foilside/internal/meter"
	"foilside/internal/sim"
)

// class is what is wrong with a unit of the study.
type class string

const (
	single  class = "single"  // one fault of the list
	outside class = "outside" // one that is in no list
	tracing class = "tracing" // one of the list, in a unit drawn with a net too many or too few
	double  class = "double"  // two of the list; the one that is named shows the other after repair
)

// casesEach circuit of the study.
const casesEach = 30

// hiddenCase is a unit with a secret.
type hiddenCase struct {
	class  class
	drawn  *circuit.Circuit // as the person traced it
	built  *circuit.Circuit // as it is
	truth  truth
	second truth  // of a double
	what   string // words for the secret
	joint  map[circuit.NetID]circuit.NetID
}

// caseOf draws case i of a circuit: of thirty, twenty-three single, three
// outside, three tracing, one double.
func caseOf(t testing.TB, c *circuit.Circuit, i int, rng *rand.Rand) hiddenCase {
	t.Helper()
	h := hiddenCase{class: single, drawn: c, built: c}
	switch {
	case i%10 == 4:
		h.class = outside
		strange(t, &h, rng)
		return h
	case i%10 == 9:
		h.class = tracing
		mistraced(&h, rng)
	case i%30 == 15:
		h.class = double
		for h.what == "" {
			doubled(&h, rng)
		}
		return h
	}
	all := hiddenFaults(h.built, rng)
	h.truth = all[rng.IntN(len(all))]
	h.what = strings.TrimSpace(h.truth.String() + " " + h.what)
	return h
}

// strange makes a fault that no list has and that shows.
func strange(t testing.TB, h *hiddenCase, rng *rand.Rand) {
	t.Helper()
	for range 200 {
		h.built, h.truth, h.what = h.drawn, truth{}, ""
		switch rng.IntN(3) {
		case 0:
			crossed(h, rng)
		case 1:
			bridged(h, rng)
		default:
			spoilt(h, rng)
		}
		if h.what != "" && shows(h) && !explained(h) {
			return
		}
	}
	t.Fatalf("%s: no fault outside the list shows", h.drawn.Unit)
}

// crossed swaps a lead of one part with a lead of another.
func crossed(h *hiddenCase, rng *rand.Rand) {
	h.built = h.drawn.Clone()
	a, b := rng.IntN(len(h.built.Parts)), rng.IntN(len(h.built.Parts))
	p, q := &h.built.Parts[a], &h.built.Parts[b]
	if a == b || len(p.Leads) > 3 || len(q.Leads) > 3 || isSource(p.Kind) || isSource(q.Kind) {
		return
	}
	x, y := &p.Leads[rng.IntN(len(p.Leads))], &q.Leads[rng.IntN(len(q.Leads))]
	if x.Net == y.Net {
		return
	}
	x.Net, y.Net = y.Net, x.Net
	h.what = fmt.Sprintf("%s.%s and %s.%s crossed", p.Ref, x.Name, q.Ref, y.Name)
}

func isSource(k circuit.Kind) bool {
	return k == circuit.Battery || k == circuit.Supply || k == circuit.Signal
}

// bridged joins two nets that share no part.
func bridged(h *hiddenCase, rng *rand.Rand) {
	nets := h.drawn.Nets()
	a, b := nets[rng.IntN(len(nets))].ID, nets[rng.IntN(len(nets))].ID
	for _, p := range h.drawn.Parts {
		on := map[circuit.NetID]bool{}
		for _, l := range p.Leads {
			on[l.Net] = true
		}
		if on[a] && on[b] {
			return
		}
	}
	ohms := math.Exp(rng.Float64() * math.Log(300))
	h.truth.variant = sim.Variant{sim.Bridge(a, b, ohms)}
	h.what = fmt.Sprintf("%.3g Ω from %s to %s", ohms, a, b)
}

// doubled is two faults of the list in two parts.
func doubled(h *hiddenCase, rng *rand.Rand) {
	all := hiddenFaults(h.drawn, rng)
	a, b := all[rng.IntN(len(all))], all[rng.IntN(len(all))]
	if a.part == b.part {
		return
	}
	h.truth.variant = append(slices.Clone(a.variant), b.variant...)
	h.truth.part, h.truth.fault, h.truth.lead, h.truth.leads = a.part, a.fault, a.lead, a.leads
	h.second = b
	h.what = fmt.Sprintf("two at once: %s, %s", a, b)
}

// spoilt is a part that fails as none of its kind is listed to, or one of
// quite another kind in its place.
func spoilt(h *hiddenCase, rng *rand.Rand) {
	at := rng.IntN(len(h.drawn.Parts))
	p := h.drawn.Parts[at]
	switch p.Kind {
	case circuit.NPN, circuit.PNP:
		a, b := 300+3000*rng.Float64(), 300+3000*rng.Float64()
		h.truth.variant = sim.Variant{sim.Short(p.Ref, "c", "b", a), sim.Short(p.Ref, "b", "e", b), sim.Scale(p.Ref, sim.KnobGain, 0.02)}
		h.what = fmt.Sprintf("%s leaks all over: %.3g and %.3g Ω", p.Ref, a, b)
	case circuit.Resistor, circuit.Capacitor:
		h.built = h.drawn.Clone()
		q := &h.built.Parts[at]
		a, k := q.Leads[0].Net, q.Leads[1].Net
		if rng.IntN(2) == 0 {
			a, k = k, a
		}
		*q = circuit.Part{Ref: p.Ref, Kind: circuit.Diode, Amounts: map[string]circuit.Amount{}, Words: map[string]string{},
			Leads: []circuit.Lead{{Name: "a", Net: a}, {Name: "k", Net: k}}}
		h.what = fmt.Sprintf("a diode in place of %s", p.Ref)
	}
}

// explained tells whether a single fault of the parts that the secret names
// reads alike everywhere: then it is in the list after all.
func explained(h *hiddenCase) bool {
	built, err := sim.Compile(h.built, sim.Options{})
	if err != nil {
		return true
	}
	drawn, err := sim.Compile(h.drawn, sim.Options{})
	if err != nil {
		return true
	}
	secret := &faultyUnit{model: built, meter: meter.Default(meter.Digital), variant: h.truth.variant}
	for _, f := range hiddenFaults(h.drawn, rand.New(rand.NewPCG(1, 1))) {
		if !strings.Contains(h.what, string(f.part)) {
			continue
		}
		listed := &faultyUnit{model: drawn, meter: meter.Default(meter.Digital), variant: f.variant}
		if farthest(secret, listed) < 0.15 {
			return true
		}
	}
	return false
}

// farthest is the greatest difference of two units' readings to common, as a
// share; 1 where one of them cannot be read.
func farthest(a, b *faultyUnit) float64 {
	c := a.model.Circuit()
	most := 0.0
	for _, s := range c.States {
		for _, n := range b.model.Nets() {
			if n == b.model.Reference() {
				continue
			}
			for _, m := range []meter.Mode{meter.Ohms, meter.VoltsDC} {
				at := diagnosis.Check{Red: n, Black: b.model.Reference()}
				x, errX := a.show(m, s.Name, at)
				y, errY := b.show(m, s.Name, at)
				switch {
				case errX != nil || errY != nil:
					return 1
				case x.Overrange != y.Overrange:
					most = 1
				default:
					most = max(most, math.Abs(x.Value-y.Value)/(math.Abs(x.Value)+math.Abs(y.Value)+0.1))
				}
			}
		}
	}
	return most
}

// shows tells whether a secret changes any reading to common markedly.
func shows(h *hiddenCase) bool {
	good, err := sim.Compile(h.drawn, sim.Options{})
	if err != nil {
		return false
	}
	bad, err := sim.Compile(h.built, sim.Options{})
	if err != nil {
		return false
	}
	a, b := &faultyUnit{model: bad, meter: meter.Default(meter.Digital), variant: h.truth.variant}, &faultyUnit{model: good, meter: meter.Default(meter.Digital)}
	most := farthest(a, b)
	return most > 0.2
}

// mistraced draws the unit with one net split, or two merged.
func mistraced(h *hiddenCase, rng *rand.Rand) {
	nets := h.built.Nets()
	for range 200 {
		n := nets[rng.IntN(len(nets))]
		h.joint = map[circuit.NetID]circuit.NetID{}
		if rng.IntN(2) == 0 {
			if len(n.Leads) < 3 {
				continue
			}
			var name circuit.NetID
			h.drawn, name = splitNet(h.built, n.ID, 1+rng.IntN(len(n.Leads)-2))
			h.joint[name] = n.ID
			h.what = fmt.Sprintf("(%s drawn as two nets)", n.ID)
		} else {
			other := nets[rng.IntN(len(nets))].ID
			if other == n.ID || other == h.built.Common {
				continue
			}
			h.drawn = mergeNets(h.built, n.ID, other)
			h.what = fmt.Sprintf("(%s drawn as one with %s)", other, n.ID)
		}
		if sound(h.drawn) {
			return
		}
	}
}

// sound tells whether a drawing can be worked with: it compiles and no state
// of it is refused.
func sound(c *circuit.Circuit) bool {
	m, err := sim.Compile(c, sim.Options{})
	if err != nil {
		return false
	}
	for _, s := range c.States {
		if _, err := m.OperatingPoint(context.Background(), s, sim.Run{}); err != nil {
			return false
		}
	}
	for _, p := range c.Validate() {
		if !p.Warning {
			return false
		}
	}
	return true
}

// outcome is a line of the study's record.
type outcome struct {
	Case      int     `json:"case"`
	Unit      string  `json:"unit"`
	Class     class   `json:"class"`
	What      string  `json:"what"`
	First     bool    `json:"first"`
	Third     bool    `json:"third"`
	Part      float64 `json:"part"` // probability of the true part
	PartFirst bool    `json:"part_first"`
	Claimed   float64 `json:"claimed"` // probability of the first group
	Outside   float64 `json:"outside"`
	Readings  int     `json:"readings"`
	PowerUps  int     `json:"power_ups"`
	Live      int     `json:"live"`
	Seconds   float64 `json:"seconds"`
	Verdict   string  `json:"verdict"`
}

// TestStudy runs cases FROM to TO of the study set (FOILSIDE_STUDY=FROM:TO,
// thirty to a circuit, or every so many of them by FROM:TO:STEP), and prints the figures of docs/accuracy.md. With
// FOILSIDE_RECORD=FILE the results of all slices gather in a file, and the
// figures are those of the whole file. FOILSIDE_VERBOSE shows what went wrong,
// FOILSIDE_SEED takes other faults.
func TestStudy(t *testing.T) {
	from, to, step := 0, 0, 1
	if n, _ := fmt.Sscanf(os.Getenv("FOILSIDE_STUDY"), "%d:%d:%d", &from, &to, &step); n < 2 {
		t.Skip("a study: FOILSIDE_STUDY=FROM:TO")
	}
	seed := uint64(1)
	fmt.Sscan(os.Getenv("FOILSIDE_SEED"), &seed)
	all := studyCircuits(t)
	var known *diagnosis.Predictor
	var of *circuit.Circuit
	var done []outcome
	for i := from; i < to && i < casesEach*len(all); i += step {
		c := all[i/casesEach]
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		h := caseOf(t, c, i%casesEach, rng)
		if of != h.drawn {
			p, err := diagnosis.New(h.drawn, diagnosis.Options{})
			if err != nil {
				t.Fatalf("case %d, %s: %v", i, h.what, err)
			}
			known, of = p, h.drawn
		}
		u := newFaultyUnit(h.built, h.truth, rng)
		u.joints = h.joint
		u.slips = os.Getenv("FOILSIDE_SLIPS") != ""
		r, err := solve(t, known, u, h.truth)
		if err != nil {
			t.Logf("case %d, %s: left out, %s: %v", i, c.Unit, h.what, err)
			continue
		}
		if h.class == double {
			second := result{truth: h.second}
			second.judge(*r.answer, h.second)
			r.first, r.third, r.partOwn = r.first || second.first, r.third || second.third, max(r.partOwn, second.partOwn)
		}
		o := outcome{i, c.Unit, h.class, h.what, r.first, r.third, r.partOwn, r.part, r.claimed, r.outside, r.readings, r.powerUps, r.live, r.seconds, r.verdict}
		done = append(done, o)
		if os.Getenv("FOILSIDE_VERBOSE") != "" && o.wrong() {
			t.Logf("case %d, %s, %s: %s; first %v, part %.3f, claimed %.2f, outside %.2f: %s\n%s", i, c.Unit, h.class, h.what, r.first, r.partOwn, r.claimed, r.outside, r.verdict, strings.Join(r.log, "\n"))
		}
	}
	if name := os.Getenv("FOILSIDE_RECORD"); name != "" {
		done = recorded(t, name, done)
	}
	t.Log(summary(done))
}

// wrong tells the outcomes that one wants to look at.
func (o outcome) wrong() bool {
	switch o.Class {
	case outside:
		return o.Outside <= 0.5
	case tracing, double:
		return !o.First && o.Outside <= 0.5
	}
	return !o.First || o.Part < 0.01 || o.Outside > 0.5
}

// recorded adds outcomes to a file and returns all that are in it.
func recorded(t *testing.T, name string, done []outcome) []outcome {
	t.Helper()
	f, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR|os.O_APPEND, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, o := range done {
		line, err := json.Marshal(o)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(f, "%s\n", line)
	}
	if _, err := f.Seek(0, 0); err != nil {
		t.Fatal(err)
	}
	var all []outcome
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var o outcome
		if err := json.Unmarshal(lines.Bytes(), &o); err != nil {
			t.Fatal(err)
		}
		all = append(all, o)
	}
	return all
}

// summary words the figures of the study.
func summary(done []outcome) string {
	var text strings.Builder
	for _, k := range []class{single, tracing, outside, double} {
		s, said, false50 := &tally{}, 0, 0
		for _, o := range done {
			if o.Class != k {
				continue
			}
			s.add(result{first: o.First, third: o.Third, part: o.PartFirst, partOwn: o.Part, claimed: o.Claimed, readings: o.Readings, seconds: o.Seconds, live: o.Live, powerUps: o.PowerUps})
			if o.Outside > 0.5 {
				said++
				if !o.First {
					false50++
				}
			}
		}
		if s.n == 0 {
			continue
		}
		fmt.Fprintf(&text, "\n%s: %s; outside the model said in %.1f %%", k, s, 100*float64(said)/float64(s.n))
		if k == tracing || k == double {
			fmt.Fprintf(&text, ", neither first nor outside in %.1f %%", 100*float64(s.n-s.first-false50)/float64(s.n))
		}
	}
	for _, o := range done {
		if o.Class == single && o.Part < 0.01 {
			fmt.Fprintf(&text, "\ndismissed: case %d, %s, %s (%.4f): %s", o.Case, o.Unit, o.What, o.Part, o.Verdict)
		}
	}
	return text.String()
}
