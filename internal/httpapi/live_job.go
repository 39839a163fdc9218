package httpapi

import (
	"context"
	"strconv"
	"time"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/job"
)

// Job is the document as it stands.
func (l *live) Job(ctx context.Context) (Job, error) { return l.wire(ctx, l.bench.Snapshot()), nil }

// Undo takes the last step back.
func (l *live) Undo(ctx context.Context) (Job, error) {
	s, err := l.bench.Undo(ctx)
	return l.wire(ctx, s), fault(err)
}

// Redo does the step again that was taken back last.
func (l *live) Redo(ctx context.Context) (Job, error) {
	s, err := l.bench.Redo(ctx)
	return l.wire(ctx, s), fault(err)
}

// Log lists what was done, oldest first.
func (l *live) Log(context.Context) ([]LogEntry, error) {
	h := l.bench.Snapshot().History
	var out []LogEntry
	for _, s := range h.Steps[:h.Done] {
		out = append(out, LogEntry{Time: s.Time.Format(time.RFC3339), Text: s.Command.Label})
	}
	return out, nil
}

// SetPhoto takes a photograph in.
func (l *live) SetPhoto(ctx context.Context, side Side, name string, data []byte) (Job, error) {
	s, err := l.bench.SetPhoto(ctx, job.Face(side), name, data)
	return l.wire(ctx, s), fault(err)
}

// wire writes the document in the page's shapes.
func (l *live) wire(ctx context.Context, s job.Snapshot) Job {
	d := s.Document
	out := Job{Revision: int(s.Revision), File: l.opts.File, Unit: d.Unit, Common: string(d.Common), Demo: d.Demonstration,
		Pairs: each(d.Align, pairWire), Brushed: each(d.Copper.Strokes, brushedWire), Cuts: each(d.Copper.Cuts, strokeWire), Joins: each(d.Copper.Joins, strokeWire),
		Nets:  each(d.Nets, func(n job.NamedNet) NetName { return NetName{string(n.Name), Point(n.Joint)} }),
		Wires: each(d.Wires, func(w job.Wire) Wire { return Wire{placeWire(w.From), placeWire(w.To)} }),
		Parts: each(d.Parts, partWire), States: each(d.States, stateWire), Meters: each(d.Meters, meterWire),
		Symptoms: each(d.Symptoms, func(x job.Symptom) Symptom { return Symptom{string(x.Part), x.Seen, x.State} }),
		Readings: each(d.Readings, readingWire), Work: each(d.Work, workWire)}
	if d.Demonstration != "" {
		out.Story, out.Found = l.bench.DemoStory()
	}
	out.Undo, _ = s.History.CanUndo()
	out.Redo, _ = s.History.CanRedo()
	if at, ok := bench.SafeSince(d, l.opts.Now()); ok {
		out.MadeSafe = at.UTC().Format(time.RFC3339)
	}
	if d.Scale != nil {
		out.Scale = &Scale{From: Point(d.Scale.From), To: Point(d.Scale.To), MM: d.Scale.MM, On: Side(d.Scale.On)}
	}
	for _, at := range d.Copper.Samples.Copper {
		out.Samples = append(out.Samples, Sample{At: Point(at), Copper: true})
	}
	for _, at := range d.Copper.Samples.Bare {
		out.Samples = append(out.Samples, Sample{At: Point(at)})
	}
	for _, face := range []job.Face{job.ComponentSide, job.FoilSide} {
		if p := d.Photos.Of(face); p != nil {
			out.Photos = append(out.Photos, l.photoWire(ctx, face, *p))
		}
	}
	out.Further = each(d.Photos.Further, furtherPhotoWire)
	return out
}

func each[A, B any](in []A, f func(A) B) []B {
	out := make([]B, len(in))
	for i, a := range in {
		out[i] = f(a)
	}
	return out
}

// photoWire tells the size of a photo; 0 where it can't be read, which its
// working copy then says.
func (l *live) photoWire(ctx context.Context, face job.Face, p job.Photo) Photo {
	out := Photo{Side: Side(face), Name: p.File, Hash: p.SHA256}
	if got, err := l.bench.Photo(ctx, face); err == nil {
		out.Width, out.Height, out.Hash = got.Width(), got.Height(), got.SHA256
	}
	return out
}

func pairWire(p job.PointPair) Pair { return Pair{Point(p.Component), Point(p.Foil)} }

func strokeWire(s job.Segment) Stroke { return Stroke{Point(s.From), Point(s.To)} }

func brushedWire(s job.Stroke) Brushed {
	return Brushed{Copper: !s.Bare, Width: s.Width, Path: each(s.Path, func(p job.Pixel) Point { return Point(p) })}
}

func placeWire(p job.Place) Place {
	return Place{Net: string(p.Net), At: (*Point)(p.At), Joint: (*Point)(p.Joint)}
}

func paramsWire(in []job.Param) []Param {
	return each(in, func(p job.Param) Param { return Param{p.Name, p.Text} })
}

func partWire(p job.Part) Part {
	out := Part{Ref: string(p.Ref), Kind: string(p.Kind), Type: p.Type, Marking: p.Marking, Note: p.Note, Params: paramsWire(p.Params)}
	for _, w := range p.Windings {
		out.Windings = append(out.Windings, Winding{Name: w.Name, Turns: turnsText(w.Turns),
			Resistance: quantityText(w.Resistance), Inductance: quantityText(w.Inductance)})
	}
	for _, lead := range p.AllLeads() {
		out.Leads = append(out.Leads, Lead{string(lead.Name), placeWire(lead.Place)})
	}
	return out
}

func turnsText(turns float64) string {
	if turns == 0 {
		return ""
	}
	return strconv.FormatFloat(turns, 'g', -1, 64)
}

func quantityText(q *job.Quantity) string {
	if q == nil {
		return ""
	}
	return q.Text
}

func stateWire(s job.State) State {
	return State{s.Name, each(s.Settings, func(x job.Setting) Setting { return Setting{string(x.Part), settingText(x.Setting)} })}
}

func settingText(s circuit.Setting) string {
	switch s.Form {
	case circuit.Control:
		return strconv.FormatFloat(s.Position, 'g', -1, 64)
	case circuit.Thrown:
		return string(s.Contact)
	}
	return string(s.Form)
}

func meterWire(m job.Meter) Meter {
	return Meter{m.Name, append([]Param{{"class", m.Class}}, paramsWire(m.Params)...)}
}

func readingWire(r job.Reading) Reading {
	out := Reading{Mode: string(r.Mode), Red: probeText(r.Red), State: r.State, Meter: r.Meter, Value: r.Value.Text, Note: r.Note}
	if r.Black != nil {
		out.Black = probeText(*r.Black)
	}
	return out
}

func workWire(w job.Work) Work {
	out := Work{Part: string(w.Part), Did: w.Did}
	if !w.Time.IsZero() {
		out.Time = w.Time.UTC().Format(time.RFC3339)
	}
	return out
}
