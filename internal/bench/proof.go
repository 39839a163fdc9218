package bench

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"foilside/internal/charge"
	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/meter"
)

// ProofOutcome is how one item of a proof stands.
type ProofOutcome string

// The outcomes.
const (
	ToDo   ProofOutcome = "open" // not yet taken since the repair
	Passed ProofOutcome = "passed"
	Failed ProofOutcome = "failed"
)

// ProofItem is one reading to take, or one trial to make, after a repair.
type ProofItem struct {
	Mode    string          `json:"mode,omitempty"` // of a reading; empty for a trial
	Red     string          `json:"red,omitempty"`
	Black   string          `json:"black,omitempty"`
	Part    circuit.PartRef `json:"part,omitempty"` // that a trial looks at; empty: the unit
	State   string          `json:"state,omitempty"`
	Low     *float64        `json:"low,omitempty"` // with the meter's own error; null beyond its range
	High    *float64        `json:"high,omitempty"`
	Why     string          `json:"why"`
	Caution string          `json:"caution,omitempty"`
	Text    string          `json:"text"`
	Outcome ProofOutcome    `json:"outcome"`
	Seen    string          `json:"seen,omitempty"` // what was read or seen since
}

// Proof is the short list that shows a repaired unit healthy.
type Proof struct {
	Repaired []circuit.PartRef `json:"repaired"`
	Items    []ProofItem       `json:"items"` // without power first
	Done     bool              `json:"done"`  // every item has passed
	Signed   string            `json:"signed,omitempty"`
	Verdict  string            `json:"verdict"`
}

// signedOff begins the words of the work that ends a job.
const signedOff = "signed off"

// Proof lists what to read and to try after the repair, and how each stands. A
// reading counts when it was taken after the last work on a part.
func (b *Bench) Proof(ctx context.Context) (Proof, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return Proof{}, err
	}
	rows, err := b.Table(ctx, "")
	if err != nil {
		return Proof{}, err
	}
	report, err := b.Charge(ctx)
	if err != nil {
		return Proof{}, err
	}
	if report.Refused != "" {
		return Proof{Repaired: []circuit.PartRef{}, Items: []ProofItem{}, Verdict: report.Refused}, nil
	}
	unsafe := slices.ContainsFunc(report.Stores, func(s charge.Store) bool { return s.Hazardous })
	return proofOf(built.Circuit, rows, b.document(), unsafe), nil
}

// SignOff records that every item of the proof has passed.
func (b *Bench) SignOff(ctx context.Context, by string) (job.Work, error) {
	p, err := b.Proof(ctx)
	if err != nil {
		return job.Work{}, err
	}
	if !p.Done {
		var left []string
		for _, i := range p.Items {
			if i.Outcome != Passed {
				left = append(left, fmt.Sprintf("%s: %s", i.Outcome, i.Text))
			}
		}
		return job.Work{}, BadInput(fmt.Errorf("the unit can't be signed off: %s", p.Verdict), left...)
	}
	return b.LogWork(ctx, job.Work{Did: fmt.Sprintf("%s: %d readings and trials as in a good unit", signedOff, len(p.Items)), Note: by})
}

// proofOf is the proof of a job. unsafe: something may hold a dangerous charge.
func proofOf(c *circuit.Circuit, rows []meter.Expected, d job.Document, unsafe bool) Proof {
	p := Proof{Repaired: []circuit.PartRef{}, Items: []ProofItem{}}
	since := p.repairs(d)
	nets := netsOf(c, p.Repaired)
	on := poweredState(c)
	for _, r := range rows {
		why := ""
		switch {
		case r.Mode == meter.Ohms && nets[r.Red] && r.State == rows[0].State:
			why = "at the repaired part, before power comes on"
		case r.Mode == meter.VoltsDC && r.State == on && sourceNet(c, r.Red):
			why = "the supply first"
		case r.Mode == meter.VoltsDC && r.State == on && nets[r.Red]:
			why = "at the repaired part, under power"
		case wasOff(c, d, r, since):
			why = "this reading was off before the repair"
		default:
			continue
		}
		item := readingItem(r, why, unsafe)
		item.judge(c, d, since)
		p.Items = append(p.Items, item)
	}
	p.Items = shortest(p.Items)
	for _, i := range trials(d, on, since) {
		i.watch(d, since)
		p.Items = append(p.Items, i)
	}
	p.conclude(d, since)
	return p
}

// repairs finds the parts worked on, and when the last of that was.
func (p *Proof) repairs(d job.Document) time.Time {
	var last time.Time
	for _, w := range d.Work {
		if w.Part == "" || strings.HasPrefix(w.Did, madeSafe) {
			continue
		}
		if !slices.Contains(p.Repaired, w.Part) {
			p.Repaired = append(p.Repaired, w.Part)
		}
		if w.Time.After(last) {
			last = w.Time
		}
	}
	return last
}

// conclude says how the proof stands.
func (p *Proof) conclude(d job.Document, since time.Time) {
	count := map[ProofOutcome]int{}
	for _, i := range p.Items {
		count[i.Outcome]++
	}
	for _, w := range d.Work {
		if strings.HasPrefix(w.Did, signedOff) && !w.Time.Before(since) {
			p.Signed = w.Time.UTC().Format(time.RFC3339)
		}
	}
	p.Done = len(p.Repaired) > 0 && count[Passed] == len(p.Items)
	switch {
	case len(p.Repaired) == 0:
		p.Verdict = "No work on a part is in the log: record the repair first, then take these."
	case count[Failed] > 0:
		p.Verdict = fmt.Sprintf("%d of %d are not as in a good unit: something is still wrong, or was misread.", count[Failed], len(p.Items))
		p.Signed = ""
	case !p.Done:
		p.Verdict = fmt.Sprintf("%d of %d are left to do.", count[ToDo], len(p.Items))
	default:
		p.Verdict = "Every reading and trial is as in a good unit. That is no proof that it is safe to touch."
	}
}
