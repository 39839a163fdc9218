package diagnosis

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/meter"
	"foilside/internal/quantity"
)

// Outcome is a range that a proposed reading may fall into, and what it would
// mean.
type Outcome struct {
	Low         *float64    `json:"low"`  // null: no lower end
	High        *float64    `json:"high"` // null: no upper end
	Overrange   bool        `json:"overrange,omitempty"`
	Normal      bool        `json:"normal,omitempty"` // what a good unit reads
	Probability float64     `json:"probability"`
	Leaves      []Remainder `json:"leaves"` // suspects that it would leave, likeliest first
	Text        string      `json:"text"`
}

// Remainder is a suspect that an outcome would leave.
type Remainder struct {
	Part        *circuit.PartRef `json:"part"`
	Fault       Name             `json:"fault"`
	Lead        circuit.LeadName `json:"lead,omitempty"`
	Probability float64          `json:"probability"`
	Text        string           `json:"text"`
}

const (
	mostOutcomes  = 5
	leastOutcome  = 0.02 // probability below which a range joins its neighbour
	mostRemaining = 3
)

// outcomes joins an outlook's ranges into a few that mean different things.
func (s *study) outcomes(o outlook) []Outcome {
	last := len(o.edges) + 1 // over range
	var parts []portion
	for r := range last {
		parts = append(parts, s.portion(o, r, r))
	}
	parts = s.join(o, parts)
	if over := s.portion(o, last, last); over.mass > leastOutcome/4 {
		parts = append(parts, over)
	}
	normal := s.normal(o, parts)
	out := []Outcome{}
	for i, part := range parts {
		if part.mass > 1e-4 {
			out = append(out, s.outcome(o, part, i == normal))
		}
	}
	return out
}

// normal is the portion in which a good unit reads most often; -1 where a
// good unit is out of the question.
func (s *study) normal(o outlook, parts []portion) int {
	at, best := -1, 0.0
	for i, f := range s.a.faults {
		if s.p.faults[f].Name != None {
			continue
		}
		for k, part := range parts {
			if part.post[i] > best {
				at, best = k, part.post[i]
			}
		}
	}
	return at
}

// portion is neighbouring ranges taken together.
type portion struct {
	from, to int
	mass     float64
	post     []float64 // by active suspect, unnormalised
	top      int       // group that it favours
}

func (s *study) portion(o outlook, from, to int) portion {
	p := portion{from: from, to: to, post: make([]float64, len(s.a.faults))}
	for r := from; r <= to; r++ {
		p.mass += s.a.other * o.other[r]
	}
	byGroup := map[int]float64{}
	best := 0.0
	for i := range s.a.faults {
		for r := from; r <= to; r++ {
			p.post[i] += s.a.prob[i] * o.rows[i][r]
		}
		p.mass += p.post[i]
		byGroup[s.group[i]] += p.post[i]
		if byGroup[s.group[i]] > best {
			best, p.top = byGroup[s.group[i]], s.group[i]
		}
	}
	return p
}

// join merges neighbours that favour the same group, then the least likely,
// until few are left.
func (s *study) join(o outlook, parts []portion) []portion {
	for len(parts) > 1 {
		at := -1
		for i := range len(parts) - 1 {
			if parts[i].top == parts[i+1].top {
				at = i
				break
			}
		}
		if at < 0 {
			at = leastLikely(parts)
			small := min(parts[at].mass, parts[at+1].mass)
			if len(parts) <= mostOutcomes && small >= leastOutcome {
				return parts
			}
		}
		parts[at] = s.portion(o, parts[at].from, parts[at+1].to)
		parts = slices.Delete(parts, at+1, at+2)
	}
	return parts
}

// leastLikely is the pair of neighbours to join: the smallest portion with
// the smaller of its neighbours.
func leastLikely(parts []portion) int {
	small := 0
	for i := range parts {
		if parts[i].mass < parts[small].mass {
			small = i
		}
	}
	if small == len(parts)-1 || small > 0 && parts[small-1].mass < parts[small+1].mass {
		return small - 1
	}
	return small
}

func (s *study) outcome(o outlook, p portion, normal bool) Outcome {
	mode := o.column.key.Mode
	out := Outcome{Probability: p.mass, Normal: normal, Overrange: p.from > len(o.edges)}
	if !out.Overrange && p.from > 0 {
		out.Low = rounded(mode, o.edges[p.from-1])
	}
	if !out.Overrange && p.to < len(o.edges) {
		out.High = rounded(mode, o.edges[p.to])
	}
	out.Leaves = s.remainders(p)
	out.Text = fmt.Sprintf("%s: %s", wordRange(mode, out), wordRemainders(out.Leaves))
	if normal {
		out.Text = fmt.Sprintf("%s, as in a good unit: then rather %s", wordRange(mode, out), wordRemainders(out.Leaves))
	}
	return out
}

func (s *study) remainders(p portion) []Remainder {
	order := make([]int, len(p.post))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.post[b], p.post[a]) })
	out := []Remainder{}
	for _, i := range order[:min(len(order), mostRemaining)] {
		v := p.post[i] / p.mass
		if v < 0.02 {
			break
		}
		f := s.p.faults[s.a.faults[i]]
		r := Remainder{Fault: f.Name, Lead: f.Lead, Probability: v, Text: f.String()}
		if f.Part != "" {
			ref := f.Part
			r.Part = &ref
		}
		out = append(out, r)
	}
	return out
}

// rounded takes a place of the scale back to a value of three figures.
func rounded(m meter.Mode, g float64) *float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(unscaled(m, g), 'g', 3, 64), 64)
	if err != nil { // three figures of a finite number always parse
		v = unscaled(m, g)
	}
	return &v
}

func wordRange(m meter.Mode, o Outcome) string {
	value := func(v *float64) string { return quantity.Format(*v, m.Unit(), 3) }
	switch {
	case o.Overrange:
		return "over range"
	case o.Low == nil && o.High == nil:
		return "any value"
	case o.Low == nil:
		return "below " + value(o.High)
	case o.High == nil:
		return "above " + value(o.Low)
	}
	return value(o.Low) + " to " + value(o.High)
}

func wordRemainders(list []Remainder) string {
	if len(list) == 0 {
		return "many suspects left"
	}
	var words []string
	for _, r := range list {
		words = append(words, r.Text)
	}
	if list[0].Probability > 0.8 {
		return words[0]
	}
	return strings.Join(words, ", or ")
}

// why says in one sentence what the reading is for: what a good unit shows
// and what the likeliest other outcome would point to.
func (s *study) why(m meter.Mode, outcomes []Outcome) string {
	order := slices.Clone(outcomes)
	slices.SortStableFunc(order, func(a, b Outcome) int { return cmp.Compare(b.Probability, a.Probability) })
	var said []string
	for _, o := range order {
		switch {
		case len(said) == 2 || len(o.Leaves) == 0:
		case o.Normal:
			said = append(said, wordRange(m, o)+" is as in a good unit")
		default:
			said = append(said, fmt.Sprintf("%s points to %s", wordRange(m, o), o.Leaves[0].Text))
		}
	}
	if len(said) == 0 {
		return "It tells many suspects apart."
	}
	text := strings.Join(said, ", ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
