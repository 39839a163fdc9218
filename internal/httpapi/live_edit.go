package httpapi

import (
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"time"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// Do changes the document by one command, as one step of the history.
func (l *live) Do(ctx context.Context, c Command) (Job, error) {
	change, label, err := l.plan(ctx, c)
	if err != nil {
		return Job{}, err
	}
	s, err := l.bench.Revise(ctx, label, change)
	return l.wire(ctx, s), fault(err)
}

type revision func(*job.Document) error

// plan says what a command does to the document, and in words for the log.
func (l *live) plan(ctx context.Context, c Command) (revision, string, error) {
	switch c.Do {
	case "unit", "common":
		return edits(textEdit(c.Do, c.Text)), "Name the " + c.Do, nil
	case "scale":
		return l.planScale(c)
	case "pair":
		return listPlan(c, []string{"align"}, "a point pair", c.Pair)
	case "brush":
		return planBrush(c)
	case "cut":
		return listPlan(c, []string{"copper", "cuts"}, "a cut", c.Stroke)
	case "join":
		return listPlan(c, []string{"copper", "joins"}, "a join", c.Stroke)
	case "further":
		return listPlan[FurtherPhoto](c, []string{"photos", "further"}, "a further photograph of the foil side", nil)
	case "answer":
		return l.planAnswer(ctx, c)
	case "wire":
		return listPlan(c, []string{"wires"}, "a wire", c.Wire)
	case "reading":
		return l.planReading(c)
	case "symptom":
		return l.planSymptom(c)
	case "safe":
		return l.planSafe(c)
	case "work":
		return l.planWork(c)
	case "sample":
		return planSample(c)
	case "net":
		return planNet(c)
	case "part":
		return planPart(c)
	case "state":
		return planState(c)
	case "meter":
		return planMeter(c)
	case "hand":
		return l.planHand(ctx, c)
	}
	return nil, "", lacking(c.Do)
}

// lacking is the answer to a command without the field that it needs.
func lacking(what string) *Problem {
	return &Problem{Status: statusOf(KindBadInput), Kind: KindBadInput,
		Detail: fmt.Sprintf("the command %q lacks what it should set", what), Next: "reload the page; it may be older than the program"}
}

// edits makes edits of the job's tree one after the other.
func edits(all ...job.Edit) revision {
	return func(d *job.Document) error {
		c, err := job.Plan(*d, "", all...)
		if err != nil {
			return err
		}
		next, _, err := job.Apply(*d, c)
		if err == nil {
			*d = next
		}
		return err
	}
}

func set(value any, path ...string) job.Edit { return edit(job.SetOp, value, path) }

func edit(op job.EditOp, value any, path []string) job.Edit {
	data, err := json.Marshal(value)
	if err != nil { // only plain data comes here; the reader refuses null
		data = []byte("null")
	}
	return job.Edit{Op: op, Path: path, Value: data}
}

func remove(path ...string) job.Edit { return job.Edit{Op: job.RemoveOp, Path: path} }

func textEdit(key, text string) job.Edit {
	if text == "" {
		return remove(key)
	}
	return set(text, key)
}

// listPlan adds to, replaces in or takes from a list of the job text.
func listPlan[T any](c Command, path []string, noun string, value *T) (revision, string, error) {
	switch {
	case c.Remove && c.Index != nil:
		return edits(remove(append(slices.Clone(path), strconv.Itoa(*c.Index))...)), "Take away " + noun, nil
	case value == nil:
		return nil, "", lacking(c.Do)
	case c.Index != nil:
		return edits(set(value, append(slices.Clone(path), strconv.Itoa(*c.Index))...)), "Move " + noun, nil
	}
	return edits(edit(job.AddOp, value, path)), "Add " + noun, nil
}

func (l *live) planScale(c Command) (revision, string, error) {
	if c.Remove {
		return edits(remove("scale")), "Take the scale away", nil
	}
	if c.Scale == nil {
		return nil, "", lacking(c.Do)
	}
	return edits(set(c.Scale, "scale")), "Set the scale", nil
}

// planSample finds the sample in one of the two lists that the page shows as
// one: copper first, then bare.
func planSample(c Command) (revision, string, error) {
	list := func(copper bool) []string {
		if copper {
			return []string{"copper", "samples", "copper"}
		}
		return []string{"copper", "samples", "bare"}
	}
	if c.Remove && c.Index != nil {
		return func(d *job.Document) error {
			i, copper := *c.Index, true
			if n := len(d.Copper.Samples.Copper); i >= n {
				i, copper = i-n, false
			}
			return edits(remove(append(list(copper), strconv.Itoa(i))...))(d)
		}, "Take away a colour sample", nil
	}
	if c.Sample == nil {
		return nil, "", lacking(c.Do)
	}
	label := "Point at bare board"
	if c.Sample.Copper {
		label = "Point at copper"
	}
	return edits(edit(job.AddOp, c.Sample.At, list(c.Sample.Copper))), label, nil
}

// planBrush adds a brush stroke as the job text has it, or takes one away.
func planBrush(c Command) (revision, string, error) {
	path := []string{"copper", "strokes"}
	if c.Remove || c.Brushed == nil {
		return listPlan[ordered](c, path, "a brush stroke", nil)
	}
	text, label := ordered{}, "Brush over bare board"
	text.put("mark", "bare")
	if c.Brushed.Copper {
		text, label = ordered{}, "Brush over copper"
		text.put("mark", "copper")
	}
	text.put("width", c.Brushed.Width).put("path", c.Brushed.Path)
	change, _, err := listPlan(c, path, "a brush stroke", &text)
	return change, label, err
}

// planAnswer turns an answer to a doubtful place into the evidence that it is.
func (l *live) planAnswer(ctx context.Context, c Command) (revision, string, error) {
	if c.Answer == nil {
		return nil, "", lacking(c.Do)
	}
	line, err := l.bench.Answered(ctx, geom.Point{X: c.Answer.At[0], Y: c.Answer.At[1]}, c.Answer.Joined)
	if err != nil {
		return nil, "", fault(err)
	}
	stroke := Stroke{From: pointWire(line.From), To: pointWire(line.To)}
	if c.Answer.Joined {
		return edits(edit(job.AddOp, stroke, []string{"copper", "joins"})), "Say that a doubtful place is joined", nil
	}
	return edits(edit(job.AddOp, stroke, []string{"copper", "cuts"})), "Say that a doubtful place is not joined", nil
}

// planNet names the copper at a place. Where leads were on the net by its old
// name, they follow.
func planNet(c Command) (revision, string, error) {
	if c.Remove {
		return edits(remove("nets", c.Was)), "Take away the name " + c.Was, nil
	}
	if c.Net == nil {
		return nil, "", lacking(c.Do)
	}
	return func(d *job.Document) error {
		if c.Was != "" && c.Was != c.Net.Name {
			d.RenameNet(circuit.NetID(c.Was), circuit.NetID(c.Net.Name))
		}
		return edits(set(c.Net.At, "nets", c.Net.Name))(d)
	}, "Name a net " + c.Net.Name, nil
}

func planPart(c Command) (revision, string, error) {
	if c.Remove {
		return func(d *job.Document) error {
			d.RemovePart(circuit.PartRef(c.Was))
			return nil
		}, "Take away " + c.Was, nil
	}
	if c.Part == nil || c.Part.Ref == "" {
		return nil, "", lacking(c.Do)
	}
	p, label := *c.Part, "Place "+c.Part.Ref
	if c.Was != "" {
		label = "Change " + c.Was
	}
	return func(d *job.Document) error {
		if _, there := d.Part(circuit.PartRef(p.Ref)); there && c.Was != p.Ref {
			return fmt.Errorf("there is a part %s already; give this one another reference", p.Ref)
		}
		if c.Was != "" && c.Was != p.Ref {
			if err := d.RenamePart(circuit.PartRef(c.Was), circuit.PartRef(p.Ref)); err != nil {
				return err
			}
		}
		return edits(set(partText(p), "parts", p.Ref))(d)
	}, label, nil
}

func planState(c Command) (revision, string, error) {
	if c.Remove {
		return edits(remove("states", c.Was)), "Take away the state " + c.Was, nil
	}
	if c.State == nil || c.State.Name == "" {
		return nil, "", lacking(c.Do)
	}
	return func(d *job.Document) error {
		if c.Was != "" && c.Was != c.State.Name {
			renameState(d, c.Was, c.State.Name)
		}
		return edits(set(settingsText(*c.State), "states", c.State.Name))(d)
	}, "Set the state " + c.State.Name, nil
}

func renameState(d *job.Document, from, to string) {
	for i := range d.States {
		if d.States[i].Name == from {
			d.States[i].Name = to
		}
	}
	for i := range d.Readings {
		if d.Readings[i].State == from {
			d.Readings[i].State = to
		}
	}
	for i := range d.Symptoms {
		if d.Symptoms[i].State == from {
			d.Symptoms[i].State = to
		}
	}
}

func planMeter(c Command) (revision, string, error) {
	if c.Remove {
		return edits(remove("meters", c.Was)), "Take away the meter " + c.Was, nil
	}
	if c.Meter == nil || c.Meter.Name == "" {
		return nil, "", lacking(c.Do)
	}
	text := ordered{}
	for _, p := range c.Meter.Params {
		text.put(p.Name, p.Text)
	}
	return edits(set(text, "meters", c.Meter.Name)), "Describe the meter " + c.Meter.Name, nil
}

func (l *live) planReading(c Command) (revision, string, error) {
	if c.Remove || c.Reading == nil {
		return listPlan[Reading](c, []string{"readings"}, "a reading", nil)
	}
	r, text := *c.Reading, ordered{}
	text.put("mode", r.Mode).put("red", probeValue(r.Red))
	if r.Black != "" {
		text.put("black", probeValue(r.Black))
	}
	text.words("state", r.State).words("meter", r.Meter).put("value", r.Value).put("time", l.stamp()).words("note", r.Note)
	change, _, err := listPlan(c, []string{"readings"}, "a reading", &text)
	return change, fmt.Sprintf("Record %s, %s: %s", r.Mode, r.Red, r.Value), err
}

func (l *live) planSymptom(c Command) (revision, string, error) {
	if c.Remove || c.Symptom == nil {
		return listPlan[Symptom](c, []string{"symptoms"}, "a symptom", nil)
	}
	s, text := *c.Symptom, ordered{}
	text.words("part", s.Part).put("seen", s.Seen).words("state", s.State).put("time", l.stamp())
	change, _, err := listPlan(c, []string{"symptoms"}, "a symptom", &text)
	return change, "Note what is seen: " + s.Seen, err
}

func (l *live) planWork(c Command) (revision, string, error) {
	if c.Remove || c.Work == nil {
		return listPlan[Work](c, []string{"work"}, "a piece of work", nil)
	}
	text := ordered{}
	text.put("time", l.stamp()).words("part", c.Work.Part).put("did", c.Work.Did)
	change, _, err := listPlan(c, []string{"work"}, "a piece of work", &text)
	return change, "Record work: " + c.Work.Did, err
}

// planSafe records that the unit was made safe, as the work that it is.
func (l *live) planSafe(c Command) (revision, string, error) {
	return func(d *job.Document) error {
		d.Work = append(d.Work, bench.MadeSafe(l.opts.Now().UTC().Truncate(time.Second), c.Text))
		return nil
	}, "Record that the unit was made safe", nil
}

func (l *live) stamp() string { return l.opts.Now().UTC().Format(time.RFC3339) }

// jointWord is a place on the foil photo as the page writes it in one line.
var jointWord = regexp.MustCompile(`^joint (-?[0-9.]+), (-?[0-9.]+)$`)

func probeText(p job.Place) string {
	if p.Joint != nil {
		return fmt.Sprintf("joint %g, %g", p.Joint[0], p.Joint[1])
	}
	if p.At != nil {
		return fmt.Sprintf("%g, %g", p.At[0], p.At[1])
	}
	return string(p.Net)
}

// probeValue is a probe's place as the job text has it.
func probeValue(text string) any {
	m := jointWord.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	x, errX := strconv.ParseFloat(m[1], 64)
	y, errY := strconv.ParseFloat(m[2], 64)
	if errX != nil || errY != nil {
		return text
	}
	return map[string]any{"joint": Point{x, y}}
}
