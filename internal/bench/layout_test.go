package bench

import (
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/schematic"
)

const stageText = `unit: Stage
common: chassis
parts:
  B1: {kind: battery, voltage: 9 V, leads: {+: supply, -: chassis}}
  R1: {kind: resistor, value: 100k, leads: {1: supply, 2: base}}
  R2: {kind: resistor, value: 1k, leads: {1: supply, 2: out}}
  C1: {kind: capacitor, value: 100 nF, leads: {1: in, 2: base}}
  Q1: {kind: npn, leads: {c: out, b: base, e: chassis}}
`

func benchOn(t *testing.T, text string) *Bench {
	t.Helper()
	d, problems := job.ReadText([]byte(text), "stage.yaml")
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func placesOf(t *testing.T, b *Bench, o DrawOptions) map[circuit.PartRef]schematic.Place {
	t.Helper()
	d, err := b.Drawing(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	out := map[circuit.PartRef]schematic.Place{}
	for _, p := range d.Places() {
		out[p.Ref] = p
	}
	return out
}

// A layout that was kept is drawn again, after the job was written and read too.
func TestAKeptLayoutIsDrawnAgain(t *testing.T) {
	b := benchOn(t, stageText)
	d, err := b.Drawing(t.Context(), DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.KeepLayout(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	was := placesOf(t, b, DrawOptions{})
	again := benchOn(t, string(job.WriteText(b.Snapshot().Document)))
	for ref, p := range placesOf(t, again, DrawOptions{}) {
		if p != was[ref] {
			t.Errorf("%s stood at %+v and stands at %+v", ref, was[ref], p)
		}
	}
}

// A move of a hand is one step, pins what it moved, and undo takes it back.
func TestAHandIsOneStep(t *testing.T) {
	b := benchOn(t, stageText)
	was := placesOf(t, b, DrawOptions{})
	change, label, err := b.Hand(t.Context(), DrawOptions{}, schematic.Hand{Move: schematic.MoveParts, Parts: []circuit.PartRef{"C1"}, Right: -4})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Revise(t.Context(), label, change); err != nil {
		t.Fatal(err)
	}
	is := placesOf(t, b, DrawOptions{})
	if d := is["Q1"].X - is["C1"].X - (was["Q1"].X - was["C1"].X); d != 4 || !is["C1"].Pinned || is["Q1"].Pinned {
		t.Errorf("C1 is %d steps further off, pinned %v", d, is["C1"].Pinned)
	}
	if got := b.Snapshot().Document.Layout; len(got) != 5 {
		t.Errorf("the job keeps %d places", len(got))
	}
	if _, err := b.Undo(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := b.Snapshot().Document.Layout; len(got) != 0 {
		t.Errorf("after undo the job keeps %d places", len(got))
	}
	if _, _, err := b.Hand(t.Context(), DrawOptions{}, schematic.Hand{Move: schematic.MoveParts, Parts: []circuit.PartRef{"R9"}}); err == nil {
		t.Error("a part that is not there was moved")
	}
}

// On the bench a part more leaves the others where they stood, though the job
// keeps nothing; a unit that has grown much is placed anew.
func TestTheLastDrawingIsRemembered(t *testing.T) {
	b := benchOn(t, stageText)
	was := placesOf(t, b, DrawOptions{})
	if _, err := b.Revise(t.Context(), "Place R3", func(d *job.Document) error {
		next, problems := job.ReadText([]byte(stageText+"  R3: {kind: resistor, value: 10k, leads: {1: base, 2: chassis}}\n"), "")
		d.Parts = next.Parts
		return job.AsError(problems)
	}); err != nil {
		t.Fatal(err)
	}
	is := placesOf(t, b, DrawOptions{})
	for ref, p := range was {
		if q := is[ref]; q.X-p.X != is["Q1"].X-was["Q1"].X || q.Y-p.Y != is["Q1"].Y-was["Q1"].Y || q.Orient != p.Orient {
			t.Errorf("%s moved from %+v to %+v", ref, p, q)
		}
	}
	if got := b.stood.of("", 40); got != nil {
		t.Error("a unit of 40 parts goes on from the places of 6")
	}
}
