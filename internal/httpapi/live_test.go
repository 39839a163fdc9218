package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/bench"
	"foilside/internal/job"
)

const startText = `unit: Intercom
common: chassis
photos: {component: top.jpg, foil: bottom.jpg}
parts:
  R1: {kind: resistor, value: 4k7, leads: {1: supply, 2: base}}
  Q1: {kind: npn, leads: {c: supply, b: base, e: chassis}}
  B1: {kind: battery, voltage: 9 V, leads: {+: supply, -: chassis}}
states:
  off: {B1: off}
symptoms:
  - {part: R1, seen: hot, state: off}
`

func noon() time.Time { return time.Date(2026, 1, 2, 12, 0, 0, 0, time.UTC) }

// liveBench is a bench on a job in memory, and how its text stands.
func liveBench(t *testing.T) (Bench, func() string) {
	t.Helper()
	d, problems := job.ReadText([]byte(startText), "start.yaml")
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	b, err := bench.New(t.Context(), job.NewMemory(job.Snapshot{Document: d}), bench.Options{Now: noon})
	if err != nil {
		t.Fatal(err)
	}
	return Over(b, LiveOptions{File: "intercom.foilside", Now: noon}), func() string { return string(job.WriteText(b.Snapshot().Document)) }
}

func at(i int) *int { return &i }

// TestCommands says for each command of the page what it adds to the text of
// the job, and that undo takes exactly that away again.
func TestCommands(t *testing.T) {
	resistor := Part{Ref: "R2", Kind: "resistor", Params: []Param{{"value", "1k"}},
		Leads: []Lead{{"1", Place{At: &Point{412, 318}}}, {"2", Place{Net: "base"}}}}
	transformer := Part{Ref: "T1", Kind: "transformer", Windings: []Winding{{"primary", "12", "0.2 Ω", "220 µH"}, {Name: "secondary", Turns: "900"}},
		Leads: []Lead{{"primary.1", Place{Net: "p1"}}, {"primary.2", Place{Joint: &Point{5, 6}}}, {"secondary.1", Place{Net: "s1"}}, {"secondary.2", Place{Net: "s2"}}}}
	rows := []struct {
		name  string
		do    Command
		lines []string // that stand in the text afterwards
		gone  []string // that do not any more
		undo  string
	}{
		{"name the unit", Command{Do: "unit", Text: "Door phone"}, []string{"unit: Door phone"}, []string{"Intercom"}, "Name the unit"},
		{"take the common away", Command{Do: "common"}, nil, []string{"common:"}, "Name the common"},
		{"scale", Command{Do: "scale", Scale: &Scale{Point{1, 2}, Point{3, 4}, 80, FoilSide}}, []string{"scale: {from: [1, 2], to: [3, 4], mm: 80, on: foil}"}, nil, "Set the scale"},
		{"pair", Command{Do: "pair", Pair: &Pair{Point{311, 402}, Point{1711, 398}}}, []string{"- {component: [311, 402], foil: [1711, 398]}"}, nil, "Add a point pair"},
		{"copper sample", Command{Do: "sample", Sample: &Sample{Point{400, 512}, true}}, []string{"copper: [[400, 512]]"}, nil, "Point at copper"},
		{"bare sample", Command{Do: "sample", Sample: &Sample{Point{80, 90}, false}}, []string{"bare: [[80, 90]]"}, nil, "Point at bare board"},
		{"brush", Command{Do: "brush", Brushed: &Brushed{true, 9, []Point{{10, 20}, {30.5, 20}}}}, []string{"strokes:", "{mark: copper, width: 9, path: [[10, 20], [30.5, 20]]}"}, nil, "Brush over copper"},
		{"brush over bare board", Command{Do: "brush", Brushed: &Brushed{false, 9, []Point{{10, 20}}}}, []string{"{mark: bare, width: 9, path: [[10, 20]]}"}, nil, "Brush over bare board"},
		{"cut", Command{Do: "cut", Stroke: &Stroke{Point{610, 700}, Point{640, 705}}}, []string{"cuts:", "{from: [610, 700], to: [640, 705]}"}, nil, "Add a cut"},
		{"join", Command{Do: "join", Stroke: &Stroke{Point{610, 700}, Point{640, 705}}}, []string{"joins:"}, nil, "Add a join"},
		{"net", Command{Do: "net", Was: "base", Net: &NetName{"input", Point{7, 8}}}, []string{"input: [7, 8]", "leads: {1: supply, 2: input}"}, []string{"base"}, "Name a net input"},
		{"wire", Command{Do: "wire", Wire: &Wire{Place{At: &Point{1, 2}}, Place{Joint: &Point{3, 4}}}}, []string{"- {from: {at: [1, 2]}, to: {joint: [3, 4]}}"}, nil, "Add a wire"},
		{"part", Command{Do: "part", Part: &resistor}, []string{"R2: {kind: resistor, value: 1k, leads: {1: {at: [412, 318]}, 2: base}}"}, nil, "Place R2"},
		{"part, renamed", Command{Do: "part", Was: "R1", Part: &resistor}, []string{"R2: {kind: resistor, value: 1k", "{part: R2, seen: hot"}, []string{"R1"}, "Change R1"},
		{"transformer", Command{Do: "part", Part: &transformer}, []string{"primary: {leads: [p1, {joint: [5, 6]}], turns: 12, resistance: 0.2 Ω}", "inductance: {primary: 220 µH}"}, nil, "Place T1"},
		{"part taken away, with what is said of it", Command{Do: "part", Was: "R1", Remove: true}, nil, []string{"R1"}, "Take away R1"},
		{"state", Command{Do: "state", State: &State{"idle", []Setting{{"B1", "on"}}}}, []string{"idle: {B1: on}"}, nil, "Set the state idle"},
		{"state, renamed", Command{Do: "state", Was: "off", State: &State{"unplugged", []Setting{{"B1", "off"}}}}, []string{"unplugged: {B1: off}", "state: unplugged"}, []string{"  off:"}, "Set the state unplugged"},
		{"a part moved on the drawing", Command{Do: "hand", Hand: &Hand{Move: "move", Parts: []string{"R1"}, Right: 3}}, []string{"layout:", "pinned: yes}"}, nil, "Move R1 on the drawing"},
		{"meter", Command{Do: "meter", Meter: &Meter{"mine", []Param{{"class", "digital"}, {"input", "10 MΩ"}}}}, []string{"mine: {class: digital, input: 10 MΩ}"}, nil, "Describe the meter mine"},
		{"reading", Command{Do: "reading", Reading: &Reading{Mode: "ohms", Red: "R1.1", Black: "chassis", State: "off", Value: "3.9k"}},
			[]string{"mode: ohms, red: R1.1, black: chassis, state: off, value: 3.9k"}, nil, "Record ohms, R1.1: 3.9k"},
		{"reading between two joints", Command{Do: "reading", Reading: &Reading{Mode: "continuity", Red: "joint 10.5, 7", Black: "joint 1, 2", Value: "joined"}},
			[]string{"red: {joint: [10.5, 7]}, black: {joint: [1, 2]}"}, nil, "Record continuity, joint 10.5, 7: joined"},
		{"continuity with a lead lifted", Command{Do: "reading", Reading: &Reading{Mode: "continuity", Red: "R1.1", Black: "Q1.b", Value: "separate", Note: "lifted"}},
			[]string{"value: separate, time: 2026-01-02T12:00:00Z, note: lifted"}, nil, "Record continuity, R1.1: separate"},
		{"made safe", Command{Do: "safe", Text: "C1: 0.3 V"}, []string{`did: "made safe; left over: C1: 0.3 V"`}, nil, "Record that the unit was made safe"},
		{"symptom", Command{Do: "symptom", Symptom: &Symptom{Part: "Q1", Seen: "hot"}}, []string{"part: Q1, seen: hot"}, nil, "Note what is seen: hot"},
		{"work", Command{Do: "work", Work: &Work{Part: "R1", Did: "replaced"}}, []string{"part: R1, did: replaced"}, nil, "Record work: replaced"},
		{"symptom taken away", Command{Do: "symptom", Index: at(0), Remove: true}, nil, []string{"symptoms:"}, "Take away a symptom"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			b, text := liveBench(t)
			before := text()
			got, err := b.Do(t.Context(), row.do)
			if err != nil {
				t.Fatal(err)
			}
			after := text()
			for _, line := range row.lines {
				if !strings.Contains(after, line) {
					t.Errorf("the text lacks %q:\n%s", line, after)
				}
			}
			for _, line := range row.gone {
				if strings.Contains(after, line) {
					t.Errorf("the text still has %q:\n%s", line, after)
				}
			}
			if got.Undo != row.undo || got.Revision != 1 {
				t.Errorf("undo would take back %q at revision %d, want %q at 1", got.Undo, got.Revision, row.undo)
			}
			if _, err := b.Undo(t.Context()); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(before, text()); diff != "" {
				t.Errorf("undo leaves a difference:\n%s", diff)
			}
			if _, err := b.Redo(t.Context()); err != nil || text() != after {
				t.Errorf("redo gives %v and\n%s", err, text())
			}
		})
	}
}

// TestSamplesAreOneListOnThePage removes from either list of the text.
func TestSamplesAreOneListOnThePage(t *testing.T) {
	b, text := liveBench(t)
	for _, s := range []Sample{{Point{1, 1}, true}, {Point{2, 2}, false}, {Point{3, 3}, true}} {
		if _, err := b.Do(t.Context(), Command{Do: "sample", Sample: &s}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := b.Do(t.Context(), Command{Do: "sample", Index: at(2), Remove: true}) // the bare one stands last
	if err != nil {
		t.Fatal(err)
	}
	if want := []Sample{{Point{1, 1}, true}, {Point{3, 3}, true}}; !cmp.Equal(got.Samples, want) || strings.Contains(text(), "bare") {
		t.Errorf("samples %v, want %v:\n%s", got.Samples, want, text())
	}
}

// TestRefusedCommands change nothing and say what was wrong.
func TestRefusedCommands(t *testing.T) {
	part := func(ref, kind, value string) *Part {
		return &Part{Ref: ref, Kind: kind, Params: []Param{{"value", value}}, Leads: []Lead{{"1", Place{Net: "a"}}, {"2", Place{Net: "b"}}}}
	}
	rows := []struct {
		name string
		do   Command
		want string
	}{
		{"a value without meaning", Command{Do: "part", Part: part("R9", "resistor", "4x7")}, "4x7"},
		{"a kind that is none", Command{Do: "part", Part: part("R9", "flux-capacitor", "1k")}, "flux-capacitor"},
		{"a reference in use", Command{Do: "part", Part: part("R1", "resistor", "1k")}, "there is a part R1 already"},
		{"a lead missing", Command{Do: "part", Part: &Part{Ref: "Q9", Kind: "npn", Leads: []Lead{{"c", Place{Net: "x"}}}}}, "lead"},
		{"a reading in no state of the job", Command{Do: "reading", Reading: &Reading{Mode: "ohms", Red: "base", State: "flying", Value: "1k"}}, "flying"},
		{"an item that is not there", Command{Do: "cut", Index: at(7), Remove: true}, "there is no item"},
		{"nothing to set", Command{Do: "pair"}, "lacks what it should set"},
		{"a lens that is none", Command{Do: "scale", Scale: &Scale{Point{1, 1}, Point{1, 1}, 80, FoilSide}}, "same pixel"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			b, text := liveBench(t)
			before := text()
			_, err := b.Do(t.Context(), row.do)
			var p *Problem
			if !errors.As(err, &p) || p.Kind != KindBadInput || !strings.Contains(p.Error(), row.want) {
				t.Errorf("gives %v, want a problem with %q", err, row.want)
			}
			if text() != before {
				t.Error("the job was changed")
			}
		})
	}
}

// TestResultsWithoutPhotos come from the text alone, or say what is missing.
func TestResultsWithoutPhotos(t *testing.T) {
	b, _ := liveBench(t)
	c, err := b.Circuit(t.Context())
	if err != nil || len(c.Nets) != 3 || c.Common != "chassis" {
		t.Errorf("circuit %+v, %v", c, err)
	}
	e, err := b.Expect(t.Context(), Reading{Mode: "volts-dc", Red: "supply"})
	if err != nil || e.Unit != "V" || e.Nominal == nil || *e.Nominal < 5 {
		t.Errorf("expected %+v, %v", e, err)
	}
	var p *Problem
	if _, err := b.Copper(t.Context()); !errors.As(err, &p) || p.Next == "" {
		t.Errorf("copper without a photo gives %v", err)
	}
	if _, err := b.Checking(t.Context(), nil); !errors.As(err, &p) || p.Next == "" {
		t.Errorf("continuity checks without a photo give %v", err)
	}
	if _, err := b.Alignment(t.Context()); !errors.As(err, &p) || p.Next == "" {
		t.Errorf("an alignment without photos gives %v", err)
	}
}

// TestMadeSafeLasts until the unit has power again.
func TestMadeSafeLasts(t *testing.T) {
	d, _ := job.ReadText([]byte(startText), "start.yaml")
	inner, err := bench.New(t.Context(), job.NewMemory(job.Snapshot{Document: d}), bench.Options{Now: noon})
	if err != nil {
		t.Fatal(err)
	}
	now := noon()
	b := Over(inner, LiveOptions{Now: func() time.Time { now = now.Add(time.Minute); return now }})
	for _, row := range []struct {
		do   Command
		safe bool
	}{
		{Command{Do: "reading", Reading: &Reading{Mode: "volts-dc", Red: "base", State: "off", Value: "1 V"}}, false},
		{Command{Do: "safe"}, true},
		{Command{Do: "reading", Reading: &Reading{Mode: "ohms", Red: "base", State: "off", Value: "1k"}}, true},
		{Command{Do: "reading", Reading: &Reading{Mode: "volts-dc", Red: "base", State: "off", Value: "1 V"}}, false},
	} {
		got, err := b.Do(t.Context(), row.do)
		if err != nil || (got.MadeSafe != "") != row.safe {
			t.Errorf("after %s: made safe at %q, want %v (%v)", row.do.Do, got.MadeSafe, row.safe, err)
		}
	}
}

// TestShelf is what the form for parts is made of.
func TestShelf(t *testing.T) {
	b, _ := liveBench(t)
	kinds, err := b.Kinds(t.Context())
	if err != nil || len(kinds) < 40 {
		t.Fatalf("%d kinds, %v", len(kinds), err)
	}
	m, err := b.Marking(t.Context(), "yellow violet red gold", "resistor")
	if err != nil || m.Value != "4.7 kΩ" || m.Tolerance != "5 %" {
		t.Errorf("the marking means %+v, %v", m, err)
	}
	q, err := b.Quantity(t.Context(), "3k9", "Ω")
	if err != nil || q.Value != 3900 || q.Text != "3.9 kΩ" {
		t.Errorf("3k9 reads as %+v, %v", q, err)
	}
	if _, err := b.Quantity(t.Context(), "4x7", "Ω"); err == nil {
		t.Error("4x7 has a meaning")
	}
}

// TestWatchTellsOfChanges of the job, until it is stopped.
func TestWatchTellsOfChanges(t *testing.T) {
	b, _ := liveBench(t)
	var heard []Event
	stop := b.Watch(func(e Event) { heard = append(heard, e) })
	name := func(text string) {
		if _, err := b.Do(context.Background(), Command{Do: "unit", Text: text}); err != nil {
			t.Fatal(err)
		}
	}
	name("one")
	stop()
	name("two")
	if want := []Event{{Type: "changed", Revision: 1}}; !cmp.Equal(heard, want) {
		t.Errorf("heard %+v, want %+v", heard, want)
	}
}

// FuzzCommand feeds the page's commands with anything: the job stays one that
// can be written and read, and no panic gets out.
func FuzzCommand(f *testing.F) {
	for _, seed := range []string{
		`{"do":"pair","pair":{"component":[1,2],"foil":[3,4]}}`,
		`{"do":"part","part":{"ref":"R9","kind":"resistor","params":[{"name":"value","text":"1k"}],"leads":[{"name":"1","place":{"net":"a"}}]}}`,
		`{"do":"state","was":"off","state":{"name":"x: {","settings":[{"part":"B1","text":"off"}]}}`,
		`{"do":"sample","index":-1,"remove":true}`,
		`{"do":"net","was":"base","net":{"name":"","at":[1e300,0]}}`,
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var c Command
		if json.Unmarshal([]byte(text), &c) != nil {
			return
		}
		b, written := liveBench(t)
		if _, err := b.Do(t.Context(), c); err != nil {
			return
		}
		if _, problems := job.ReadText([]byte(written()), "after.yaml"); job.AsError(problems) != nil {
			t.Errorf("%s leaves a job that can't be read: %v\n%s", text, problems, written())
		}
	})
}
