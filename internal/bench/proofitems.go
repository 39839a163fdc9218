package bench

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/meter"
	"foilside/internal/quantity"
)

func netsOf(c *circuit.Circuit, refs []circuit.PartRef) map[string]bool {
	out := map[string]bool{}
	for _, ref := range refs {
		p, _ := c.Part(ref)
		for _, l := range p.Leads {
			out[string(l.Net)] = true
		}
	}
	return out
}

func sourceNet(c *circuit.Circuit, net string) bool {
	return slices.ContainsFunc(c.Parts, func(p circuit.Part) bool {
		return (p.Kind == circuit.Battery || p.Kind == circuit.Supply) && slices.ContainsFunc(p.Leads, func(l circuit.Lead) bool { return string(l.Net) == net })
	})
}

// mostReadings keeps the list short: what was off before and what lies at the
// repaired part and the supplies, in the order of the table.
const mostReadings = 8

// shortest drops items beyond what a person takes patiently: readings of rows
// that come later in the same mode.
func shortest(items []ProofItem) []ProofItem {
	if len(items) <= mostReadings {
		return items
	}
	weight := func(i ProofItem) int {
		switch {
		case i.Outcome == Failed:
			return 0 // what is known to be wrong is never dropped
		case strings.HasPrefix(i.Why, "this reading"):
			return 1
		case strings.HasPrefix(i.Why, "the supply"):
			return 2
		}
		return 3
	}
	kept := slices.Clone(items)
	slices.SortStableFunc(kept, func(a, b ProofItem) int { return weight(a) - weight(b) })
	failed := 0
	for _, i := range kept {
		if i.Outcome == Failed {
			failed++
		}
	}
	kept = kept[:max(mostReadings, failed)]
	return slices.DeleteFunc(items, func(i ProofItem) bool {
		return !slices.ContainsFunc(kept, func(k ProofItem) bool { return k.Text == i.Text })
	})
}

func readingItem(r meter.Expected, why string, unsafe bool) ProofItem {
	i := ProofItem{Mode: string(r.Mode), Red: r.Red, Black: r.Black, State: r.State, Why: why, Outcome: ToDo, Caution: r.Hazard.Text}
	if r.Low != nil {
		low := *r.Low - r.MeterError
		i.Low = &low
	}
	if r.High != nil {
		high := *r.High + r.MeterError
		i.High = &high
	}
	if !r.Mode.Powered() {
		i.Caution = "every supply off or unplugged"
		if unsafe {
			i.Caution += "; make the unit safe first"
		}
	}
	i.Text = fmt.Sprintf("%s, red on %s, black on %s%s: %s", i.Mode, i.Red, i.Black, inStateWords(i.State), i.band(r.Mode.Unit()))
	return i
}

func inStateWords(state string) string {
	if state == "" {
		return ""
	}
	return ", state " + state
}

// band words what a good unit reads.
func (i ProofItem) band(unit quantity.Unit) string {
	switch {
	case i.Low == nil:
		return "over-range"
	case i.High == nil:
		return quantity.Format(*i.Low, unit, 3) + " or more, up to over-range"
	}
	return quantity.Format(*i.Low, unit, 3) + " to " + quantity.Format(*i.High, unit, 3)
}

// holds tells whether a value is that of a good unit.
func (i ProofItem) holds(v job.Value) bool {
	switch {
	case v.Overrange:
		return i.High == nil
	case i.Low == nil:
		return false
	}
	return v.Amount.Value >= *i.Low && (i.High == nil || v.Amount.Value <= *i.High)
}

// same tells whether a reading was taken where the item or row says.
func same(c *circuit.Circuit, r job.Reading, mode, red, black, state string) bool {
	at := func(p job.Place) string {
		net, err := place(c, string(p.Net))
		if err != nil {
			return ""
		}
		return string(net.Net)
	}
	there := string(c.Common)
	if r.Black != nil {
		there = at(*r.Black)
	}
	return string(r.Mode) == mode && at(r.Red) == red && there == black && r.State == state
}

// judge takes over the last reading since the repair.
func (i *ProofItem) judge(c *circuit.Circuit, d job.Document, since time.Time) {
	for _, r := range d.Readings {
		if since.IsZero() || !r.Time.After(since) || !same(c, r, i.Mode, i.Red, i.Black, i.State) {
			continue
		}
		i.Seen, i.Outcome = r.Value.Text, Failed
		if i.holds(r.Value) {
			i.Outcome = Passed
		}
	}
}

// wasOff tells whether a row was read before the repair and lay outside.
func wasOff(c *circuit.Circuit, d job.Document, e meter.Expected, since time.Time) bool {
	item := readingItem(e, "", false)
	return slices.ContainsFunc(d.Readings, func(r job.Reading) bool {
		return (since.IsZero() || !r.Time.After(since)) && same(c, r, item.Mode, item.Red, item.Black, item.State) && !item.holds(r.Value)
	})
}

// trials are the symptoms, to be looked for again; without any, the unit as a
// whole.
func trials(d job.Document, on string, since time.Time) []ProofItem {
	var out []ProofItem
	for _, s := range d.Symptoms {
		if s.Seen == "normal" || s.Time.After(since) && !since.IsZero() {
			continue
		}
		if slices.ContainsFunc(out, func(i ProofItem) bool { return i.Part == s.Part && i.State == s.State }) {
			continue
		}
		what := "the unit"
		if s.Part != "" {
			what = string(s.Part)
		}
		out = append(out, ProofItem{Part: s.Part, State: s.State, Outcome: ToDo, Why: "it was seen " + s.Seen,
			Text: fmt.Sprintf("trial: %s%s, to be seen normal", what, inStateWords(s.State))})
	}
	if len(out) == 0 {
		out = append(out, ProofItem{State: on, Outcome: ToDo, Why: "it has to do what it is for",
			Text: "trial: the unit" + inStateWords(on) + ", to be seen normal"})
	}
	return out
}

// watch takes over what was seen last since the repair.
func (i *ProofItem) watch(d job.Document, since time.Time) {
	for _, s := range d.Symptoms {
		if since.IsZero() || !s.Time.After(since) || s.Part != i.Part || s.State != i.State {
			continue
		}
		i.Seen, i.Outcome = s.Seen, Failed
		if s.Seen == "normal" {
			i.Outcome = Passed
		}
	}
}
