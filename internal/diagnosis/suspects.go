package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/num/bayes"
	"foilside/internal/quantity"
)

// Suspect is a fault that the evidence has not excluded.
type Suspect struct {
	Part        *circuit.PartRef   `json:"part"` // null for a bridge or dirt
	Fault       Name               `json:"fault"`
	Lead        circuit.LeadName   `json:"lead,omitempty"`
	Leads       []circuit.LeadName `json:"leads,omitempty"`
	Nets        []circuit.NetID    `json:"nets,omitempty"`
	Detail      string             `json:"detail,omitempty"`
	Probability float64            `json:"probability"`
	Group       int                `json:"group"`
	Severity    *Severity          `json:"severity,omitempty"`
	Text        string             `json:"text"`
}

// Severity is how bad the fault is, as far as the readings tell: most likely
// between Low and High, in ohms or times the marked value.
type Severity struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	Unit string  `json:"unit"`
}

// Odd is a reading that does not fit the likely suspects.
type Odd struct {
	Reading     int     `json:"reading"` // its place in the list, counted from 0
	Probability float64 `json:"probability"`
	Text        string  `json:"text"`
}

// Answer is what the evidence leaves.
type Answer struct {
	Suspects  []Suspect `json:"suspects"`  // most likely first
	Healthy   float64   `json:"healthy"`   // probability that nothing is wrong
	Outside   float64   `json:"outside"`   // probability of a fault that is not in the list
	Beyond    []Beyond  `json:"beyond"`    // what outside the list would explain the readings, likeliest first
	Groups    []Group   `json:"groups"`    // most likely first
	Odd       []Odd     `json:"odd"`       // readings that don't fit, worst first
	Unweighed []Symptom `json:"unweighed"` // symptoms whose words carry no weight
	Verdict   string    `json:"verdict"`   // one sentence
}

// Group is suspects that no allowed reading tells apart.
type Group struct {
	Group       int     `json:"group"`
	Probability float64 `json:"probability"`
	Members     int     `json:"members"`
	Hidden      bool    `json:"hidden,omitempty"` // no direct current shows them: the healthy unit is among them
	Text        string  `json:"text"`
	Apart       string  `json:"apart,omitempty"` // what would tell the members apart
}

// shown is the probability below which a suspect is not listed.
const shown = 1e-3

// Suspects weighs the faults by the evidence.
//
// Errors: a reading or symptom at something that is gone; the context's.
func (p *Predictor) Suspects(ctx context.Context, ev Evidence) (Answer, error) {
	s, err := p.study(ctx, ev)
	if err != nil {
		return Answer{}, err
	}
	return s.answer(), nil
}

// Suspects is the short way for a single question.
func Suspects(ctx context.Context, c *circuit.Circuit, ev Evidence, opt Options) (Answer, error) {
	p, err := New(c, opt)
	if err != nil {
		return Answer{}, err
	}
	return p.Suspects(ctx, ev)
}

// study is the belief with all that could still be read, seen with a few draws.
type study struct {
	p        *Predictor
	ev       Evidence
	b        *belief
	a        active
	columns  []*column
	outlooks []outlook
	draws    int            // that candidates are seen with
	group    []int          // by active suspect
	taken    map[Check]bool // taking these again tells of slips only
	double   []Beyond       // pairs of faults that explain what nothing else does
}

func (p *Predictor) study(ctx context.Context, ev Evidence) (*study, error) {
	b, err := p.infer(ctx, ev)
	if err != nil {
		return nil, err
	}
	s := &study{p: p, ev: ev, b: b, a: p.focus(b)}
	listed, err := p.candidates(ctx)
	if err != nil {
		return nil, err
	}
	if s.columns, err = p.screened(ctx, listed, b, s.a); err != nil {
		return nil, err
	}
	s.taken = map[Check]bool{}
	for _, r := range ev.Readings {
		s.taken[r.Check] = true
	}
	n := scouts(len(s.columns) * len(s.a.rungs))
	err = p.fill(ctx, s.columns, s.a.rungs, n, func(done float64) { p.opt.Progress(done, "simulating what could be read") })
	if err != nil {
		return nil, err
	}
	if err := p.fillStrays(ctx, s.columns, s.a.strays); err != nil {
		return nil, err
	}
	s.outlooks, s.draws = p.outlooks(s.columns, b, s.a, n), n
	if err := s.lookCloser(ctx); err != nil {
		return nil, err
	}
	s.group = bayes.Partition(len(s.a.faults), s.alike)
	if b.outside > 0.5 && len(s.beyond()) == 0 {
		if s.double, err = s.pairs(ctx); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// scouts is how many draws look at all candidates: fewer in a large circuit,
// where the best readings tell apart more than tolerances blur.
func scouts(cells int) int {
	const plenty, many = 80e3, 250e3
	switch {
	case float64(cells) < plenty:
		return scoutDraws
	case float64(cells) < many:
		return 2
	}
	return 1
}

// likeness is the overlap of two suspects' outcomes above which a reading
// doesn't tell them apart: it would take a dozen such readings to be sure.
const likeness = 0.9

// lookCloser sees the few checks that seem to tell the leading suspects apart
// with all draws, since two or three draws of either differ by chance.
//
// Errors: the context's.
func (s *study) lookCloser(ctx context.Context) error {
	const leading, few = 4, 4
	var again []int
	for i := range min(leading, len(s.a.faults)) {
		for j := range i {
			var telling []int
			for k := range s.outlooks {
				if bayes.Affinity(s.outlooks[k].rows[i], s.outlooks[k].rows[j]) < likeness {
					telling = append(telling, k)
				}
			}
			if len(telling) <= few {
				again = append(again, telling...)
			}
		}
	}
	slices.Sort(again)
	again = slices.Compact(again)
	columns := make([]*column, len(again))
	for i, k := range again {
		columns[i] = s.outlooks[k].column
	}
	if err := s.p.fill(ctx, columns, s.a.rungs, s.p.opt.Draws, nil); err != nil {
		return err
	}
	for i, o := range s.p.outlooks(columns, s.b, s.a, s.p.opt.Draws) {
		s.outlooks[again[i]] = o
	}
	return nil
}

func (s *study) alike(i, j int) bool {
	for k := range s.outlooks {
		if bayes.Affinity(s.outlooks[k].rows[i], s.outlooks[k].rows[j]) < likeness {
			return false
		}
	}
	return true
}

func (s *study) answer() Answer {
	out := Answer{Outside: s.b.outside, Unweighed: s.b.unknown, Suspects: []Suspect{}, Groups: s.groups(), Odd: s.odd(), Beyond: s.beyond()}
	for i, f := range s.a.faults {
		fault := s.p.faults[f]
		if fault.Name == None {
			out.Healthy = s.b.fault[f]
			continue
		}
		if s.b.fault[f] >= shown*(1-s.b.outside) {
			out.Suspects = append(out.Suspects, s.suspect(f, s.group[i]))
		}
	}
	out.Verdict = s.verdict(out)
	return out
}

func (s *study) suspect(f, group int) Suspect {
	fault := s.p.faults[f]
	out := Suspect{Fault: fault.Name, Lead: fault.Lead, Leads: fault.Leads, Nets: fault.Nets, Detail: fault.Word,
		Probability: s.b.fault[f], Group: group, Text: fault.String(), Severity: s.severity(f)}
	if fault.Part != "" {
		ref := fault.Part
		out.Part = &ref
	}
	return out
}

// severity spans the strata that hold nine tenths of the suspect's probability.
func (s *study) severity(f int) *Severity {
	var out *Severity
	for i, st := range s.b.strata {
		if st.fault != f || st.low == st.high || st.unit == "" || s.b.stratum[i] < 0.1*s.b.fault[f] {
			continue
		}
		from, to := st.severities()
		low, high := min(from, to), max(from, to)
		if out == nil {
			out = &Severity{low, high, st.unit}
			continue
		}
		out.Low, out.High = min(out.Low, low), max(out.High, high)
	}
	return out
}

// groups sums the suspects' probabilities by group.
func (s *study) groups() []Group {
	out := []Group{}
	names := map[int][]string{}
	for i, f := range s.a.faults {
		for len(out) <= s.group[i] {
			out = append(out, Group{Group: len(out), Apart: s.apart(f)})
		}
		g := &out[s.group[i]]
		g.Probability += s.b.fault[f]
		g.Members++
		if s.p.faults[f].Name == None {
			g.Hidden, g.Apart = true, s.apart(f)
			continue
		}
		names[g.Group] = append(names[g.Group], s.p.faults[f].String())
	}
	for i := range out {
		out[i].Text = listed(names[out[i].Group])
		switch {
		case out[i].Hidden && out[i].Members == 1:
			out[i].Text, out[i].Apart = "no fault", ""
		case out[i].Hidden:
			out[i].Text = "nothing that direct current shows (" + out[i].Text + ")"
		case out[i].Members == 1:
			out[i].Apart = ""
		}
	}
	slices.SortStableFunc(out, func(a, b Group) int { return cmp.Compare(b.Probability, a.Probability) })
	return out
}

// listed writes a list as in a sentence, cut after a few.
func listed(names []string) string {
	const most = 3
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most-1], ", "), len(names)-most+1)
	}
	return strings.Join(names, ", ")
}

// apart is the cheapest action that tells the members of a group apart.
func (s *study) apart(f int) string {
	part, ok := s.p.circuit.Part(s.p.faults[f].Part)
	switch {
	case s.p.faults[f].Name == None:
		return "no reading with direct current shows these; put a known good capacitor across each capacitor in turn, smallest first, with the power off in between"
	case ok && isCapacitor(part.Kind):
		return fmt.Sprintf("lift one lead of %s, or put a known good capacitor in its place", part.Ref)
	case ok:
		return fmt.Sprintf("resolder the joints of %s first, then lift one of its leads and measure it alone", part.Ref)
	}
	return "look closely at the copper between the two nets and clean it"
}

// odd lists readings that are more likely wrong than right, as far as any
// suspect is right. One that nobody repeated yet is taken for a slip before
// anything outside the list is.
func (s *study) odd() []Odd {
	out := []Odd{}
	for i, v := range s.b.odd {
		if s.once(i) {
			v /= math.Max(1-s.b.outside, 1e-9)
		}
		if v < 0.5 {
			continue
		}
		r := s.ev.Readings[i]
		text := fmt.Sprintf("%s does not fit any likely suspect; take it again, and see that the leads are on the right joints", wordReading(r))
		if other, ok := s.otherPrefix(r); ok {
			text = fmt.Sprintf("%s does not fit any likely suspect, but %s would: was the unit on the display read right?", wordReading(r), other)
		}
		out = append(out, Odd{i, v, text})
	}
	return out
}

// once tells whether a reading was taken a single time.
func (s *study) once(i int) bool {
	for k, r := range s.ev.Readings {
		if k != i && r.Check == s.ev.Readings[i].Check {
			return false
		}
	}
	return true
}

// otherPrefix tells whether a reading would fit with another prefix: millivolts
// for volts, ohms for kilohms.
func (s *study) otherPrefix(r Reading) (string, bool) {
	if r.Overrange || r.Value == 0 || r.Mode == meter.Continuity {
		return "", false
	}
	base := s.density(r)
	for _, k := range []float64{1e3, 1e-3} {
		other := r
		other.Value *= k
		const clearly = 5 // nats by which the other value must fit better
		if s.density(other) > base+clearly {
			return quantity.Format(other.Value, r.Mode.Unit(), 3), true
		}
	}
	return "", false
}

// density is the log density of one reading under what is believed.
func (s *study) density(r Reading) float64 {
	p := s.p
	tests := p.single([]Reading{r}, []*column{p.column(columnKey{r.Check, p.meterNumber(r.Meter)})})
	var terms []float64
	for i, v := range s.b.stratum {
		if v > leastLeading*(1-s.b.outside) {
			terms = append(terms, math.Log(v)+p.weighBlock(s.b.strata[i], tests, p.opt.Draws).log)
		}
	}
	return bayes.LogSumExp(terms)
}

func wordReading(r Reading) string {
	value := "over range"
	if !r.Overrange {
		value = quantity.Format(r.Value, r.Mode.Unit(), 3)
	}
	return fmt.Sprintf("the %s reading from %s to %s (%s)", r.Mode, r.Red, r.Black, value)
}

const (
	// sure is the probability at which a group counts as found.
	sure = 0.95
	// surelyHidden is the same for the group that no direct current shows: that
	// nothing was found yet is no find.
	surelyHidden = 0.995
)

// found tells whether the first group is the answer.
func (a Answer) found() bool {
	if len(a.Groups) == 0 {
		return false
	}
	enough := sure
	if a.Groups[0].Hidden {
		enough = surelyHidden
	}
	return a.Groups[0].Probability >= enough
}

func (s *study) verdict(a Answer) string {
	switch slips := slices.IndexFunc(a.Odd, func(o Odd) bool { return s.once(o.Reading) }); {
	case slips >= 0 && a.Outside > 0.5:
		return "not sure yet: " + a.Odd[slips].Text
	case a.Outside > 0.5 || len(a.Groups) == 0:
		if len(a.Beyond) > 0 {
			return "outside my model: no single fault of the list explains the readings; what would: " + a.Beyond[0].Text
		}
		return "outside my model: no single fault of the list explains the readings; suspect a tracing error, a wrong part fitted, or two faults at once"
	case a.Groups[0].Hidden && a.found():
		return "all that was read is as in a good unit; left is " + a.Groups[0].Text
	case a.found():
		return "found: " + a.Groups[0].Text
	}
	return fmt.Sprintf("not sure yet: %s is the likeliest with %.0f %%", a.Groups[0].Text, 100*a.Groups[0].Probability)
}
