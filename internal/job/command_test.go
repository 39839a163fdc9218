package job_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/job"
)

func at(path ...string) []string { return path }

func raw(t testing.TB, v any) json.RawMessage {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// Each row is a change that the bench makes; it must do what it says, and its
// inverse must bring the very same document back.
func TestEveryChangeOfTheBenchGoesBack(t *testing.T) {
	set := func(v string, path ...string) job.Edit {
		return job.Edit{Op: job.SetOp, Path: path, Value: json.RawMessage(v)}
	}
	add := func(v string, path ...string) job.Edit {
		return job.Edit{Op: job.AddOp, Path: path, Value: json.RawMessage(v)}
	}
	remove := func(path ...string) job.Edit { return job.Edit{Op: job.RemoveOp, Path: path} }
	sha := `"` + job.Blob{Data: []byte("x")}.SHA256() + `"`
	for name, c := range map[string]struct {
		edits []job.Edit
		holds func(job.Document) bool
	}{
		"set the unit":                 {[]job.Edit{set(`"Radio"`, "unit")}, func(d job.Document) bool { return d.Unit == "Radio" }},
		"take the unit's name away":    {[]job.Edit{remove("unit")}, func(d job.Document) bool { return d.Unit == "" }},
		"set the common":               {[]job.Edit{set(`"out"`, "common")}, func(d job.Document) bool { return d.Common == "out" }},
		"put a photo":                  {[]job.Edit{set(`{"file":"new.jpg","sha256":`+sha+`}`, "photos", "foil")}, func(d job.Document) bool { return d.Photos.Foil.File == "new.jpg" && len(d.Photos.Foil.SHA256) == 64 }},
		"take a photo away":            {[]job.Edit{remove("photos", "foil")}, func(d job.Document) bool { return d.Photos.Foil == nil && d.Photos.Component != nil }},
		"set a point pair":             {[]job.Edit{set(`{"component":[1,2],"foil":[3,4.5]}`, "align", "0")}, func(d job.Document) bool { return d.Align[0].Foil == job.Pixel{3, 4.5} }},
		"add a point pair":             {[]job.Edit{add(`{"component":[1,2],"foil":[3,4]}`, "align")}, func(d job.Document) bool { return len(d.Align) == 2 && d.Align[1].Component == job.Pixel{1, 2} }},
		"take a point pair away":       {[]job.Edit{remove("align", "0")}, func(d job.Document) bool { return len(d.Align) == 0 }},
		"add a copper sample":          {[]job.Edit{add(`[7,8]`, "copper", "samples", "copper")}, func(d job.Document) bool { return len(d.Copper.Samples.Copper) == 2 }},
		"take a bare sample away":      {[]job.Edit{remove("copper", "samples", "bare", "0")}, func(d job.Document) bool { return len(d.Copper.Samples.Bare) == 0 }},
		"brush copper":                 {[]job.Edit{add(`{"mark":"bare","width":9,"path":[[1,1],[2,2]]}`, "copper", "strokes")}, func(d job.Document) bool { return d.Copper.Strokes[0].Bare }},
		"cut":                          {[]job.Edit{add(`{"from":[1,1],"to":[2,2]}`, "copper", "cuts")}, func(d job.Document) bool { return len(d.Copper.Cuts) == 2 }},
		"cut before another cut":       {[]job.Edit{add(`{"from":[1,1],"to":[2,2]}`, "copper", "cuts", "0")}, func(d job.Document) bool { return d.Copper.Cuts[0].From == job.Pixel{1, 1} }},
		"take a join away":             {[]job.Edit{remove("copper", "joins", "0")}, func(d job.Document) bool { return d.Copper.Joins == nil }},
		"say that holes are plated":    {[]job.Edit{set(`"plated"`, "copper", "upper")}, func(d job.Document) bool { return d.Copper.Upper == job.PlatedHoles }},
		"set the scale":                {[]job.Edit{set(`{"from":[0,0],"to":[9,9],"mm":5}`, "scale")}, func(d job.Document) bool { return d.Scale.MM == 5 && d.Scale.On == job.FoilSide }},
		"name a net":                   {[]job.Edit{set(`[5,6]`, "nets", "chassis")}, func(d job.Document) bool { return d.Nets[0].Joint == job.Pixel{5, 6} }},
		"put a wire":                   {[]job.Edit{add(`{"from":"a","to":{"at":[1,2]}}`, "wires")}, func(d job.Document) bool { return *d.Wires[0].To.At == job.Pixel{1, 2} }},
		"put a part":                   {[]job.Edit{set(`{"kind":"resistor","value":"1k","leads":{"1":"a","2":"b"}}`, "parts", "R2")}, func(d job.Document) bool { p, ok := d.Part("R2"); return ok && p.Params[0].Text == "1k" }},
		"change a part's value":        {[]job.Edit{set(`"5k6"`, "parts", "R1", "value")}, func(d job.Document) bool { p, _ := d.Part("R1"); v, _ := p.Param("value"); return v == 5600 }},
		"move a lead to another joint": {[]job.Edit{set(`{"joint":[3,3]}`, "parts", "R9", "leads", "2")}, func(d job.Document) bool { return len(d.PlacedLeads()) == 2 && d.PlacedLeads()[1].Joint != nil }},
		"take a part away":             {[]job.Edit{remove("parts", "C1")}, func(d job.Document) bool { _, ok := d.Part("C1"); return !ok }},
		"put a state":                  {[]job.Edit{set(`{"B1":"off","RV1":0.25}`, "states", "quiet")}, func(d job.Document) bool { return d.States[2].Settings[1].Position == 0.25 }},
		"put a meter":                  {[]job.Edit{set(`{"class":"analogue","sensitivity":"20 kΩ/V"}`, "meters", "old")}, func(d job.Document) bool { m, _ := d.Meter("old"); v, _ := m.Param("sensitivity"); return v == 20000 }},
		"note a symptom":               {[]job.Edit{add(`{"part":"LS1","seen":"hum"}`, "symptoms")}, func(d job.Document) bool { return len(d.Symptoms) == 2 }},
		"take a reading":               {[]job.Edit{add(`{"mode":"continuity","red":"base","black":"out","value":"joined"}`, "readings")}, func(d job.Document) bool { return *d.Readings[2].Value.Joined }},
		"take a reading away":          {[]job.Edit{remove("readings", "0")}, func(d job.Document) bool { return len(d.Readings) == 1 && d.Readings[0].Mode == job.Ohms }},
		"log work":                     {[]job.Edit{add(`{"time":"2026-11-25T14:00:00+01:00","part":"C1","did":"replaced"}`, "work")}, func(d job.Document) bool { return d.Work[0].Time.Equal(time.Date(2026, 11, 25, 13, 0, 0, 0, time.UTC)) }},
		"several at once":              {[]job.Edit{remove("states", "talking"), remove("symptoms", "0"), remove("readings", "0"), remove("parts", "S1")}, func(d job.Document) bool { return len(d.States) == 1 && len(d.Readings) == 1 }},
	} {
		t.Run(name, func(t *testing.T) {
			before := contract(t)
			command, err := job.Plan(before, name, c.edits...)
			if err != nil {
				t.Fatal(err)
			}
			after, inverse, err := job.Apply(before, command)
			if err != nil {
				t.Fatal(err)
			}
			if !c.holds(after) {
				t.Errorf("it does not hold after the change:\n%s", job.WriteText(after))
			}
			back, _, err := job.Apply(after, inverse)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(contract(t), back); diff != "" {
				t.Errorf("undone is not as before:\n%s", diff)
			}
			if diff := cmp.Diff(contract(t), before); diff != "" {
				t.Errorf("the document given was changed:\n%s", diff)
			}
		})
	}
}

func TestRefusesAChangeThatMakesNoJob(t *testing.T) {
	for name, c := range map[string]struct {
		edit job.Edit
		want string
	}{
		"part that a state sets":  {job.Edit{Op: job.RemoveOp, Path: at("parts", "S1")}, `states.talking.S1: there is no part "S1"`},
		"value without meaning":   {job.Edit{Op: job.SetOp, Path: at("parts", "R1", "value"), Value: raw(t, "4x7")}, `parts.R1.value: value: "4x7" is not a resistance`},
		"place that is not there": {job.Edit{Op: job.SetOp, Path: at("parts", "R77", "value"), Value: raw(t, "4k7")}, `set parts.R77.value: nothing is at "R77"`},
		"section that is unknown": {job.Edit{Op: job.SetOp, Path: at("partz"), Value: raw(t, "x")}, `did you mean parts?`},
		"item past the end":       {job.Edit{Op: job.SetOp, Path: at("readings", "9"), Value: raw(t, "x")}, `there is no item "9"; the list has 2`},
		"set without a value":     {job.Edit{Op: job.SetOp, Path: at("unit")}, "need a value"},
		"no path":                 {job.Edit{Op: job.SetOp, Value: raw(t, "x")}, "needs a path"},
		"unknown operation":       {job.Edit{Op: "move", Path: at("unit"), Value: raw(t, "x")}, `there is no operation "move"`},
		"broken JSON":             {job.Edit{Op: job.SetOp, Path: at("unit"), Value: json.RawMessage(`{"a"`)}, "not readable as JSON"},
	} {
		t.Run(name, func(t *testing.T) {
			d := contract(t)
			_, err := job.Plan(d, name, c.edit)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			if diff := cmp.Diff(contract(t), d); diff != "" {
				t.Errorf("the refused change did something:\n%s", diff)
			}
		})
	}
}

func TestRefusesACommandForAnotherState(t *testing.T) {
	d := contract(t)
	command, err := job.Plan(d, "Value", job.Edit{Op: job.SetOp, Path: at("parts", "R1", "value"), Value: raw(t, "5k6")})
	if err != nil {
		t.Fatal(err)
	}
	moved, _, err := job.Apply(d, command)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := job.Apply(moved, command); !errors.Is(err, job.ErrStale) {
		t.Errorf("the command went in twice: %v", err)
	}
	command.Version = 99
	if _, _, err := job.Apply(d, command); err == nil || !strings.Contains(err.Error(), "newer program") {
		t.Errorf("a command of the future was taken: %v", err)
	}
}

func TestRenamesWhereverTheNameStands(t *testing.T) {
	d := contract(t)
	d.Readings[0].Red.Net = "Q1.e"
	if err := d.RenamePart("Q1", "Q7"); err != nil {
		t.Fatal(err)
	}
	if err := d.RenamePart("LS1", "LS2"); err != nil {
		t.Fatal(err)
	}
	if err := d.RenamePart("Q7", "R1"); err == nil {
		t.Error("two parts of one name were allowed")
	}
	d.RenameNet("chassis", "ground")
	if err := d.RenamePart("RV1", "RV2"); err != nil {
		t.Fatal(err)
	}
	if problems := job.Check(d); len(problems) > 0 {
		t.Errorf("something names what is gone: %v", problems)
	}
	if d.Common != "ground" || d.Readings[0].Red.Net != "Q7.e" || d.Readings[1].Black.Net != "ground" || d.Symptoms[0].Part != "LS2" {
		t.Errorf("a name was left:\n%s", job.WriteText(d))
	}
	d.RemovePart("RV2")
	d.RemovePart("LS2")
	if problems := job.Check(d); len(problems) > 0 {
		t.Errorf("something names what is gone: %v", problems)
	}
}

func TestANewCommandDropsWhatWasTakenBack(t *testing.T) {
	d, h := contract(t), job.History{}
	name := func(to string) {
		t.Helper()
		c, err := job.Revise(d, "Name it "+to, func(d *job.Document) error { d.Unit = to; return nil })
		if err != nil {
			t.Fatal(err)
		}
		if d, h, err = job.Do(d, h, c, time.Unix(1, 0)); err != nil {
			t.Fatal(err)
		}
	}
	back := func() {
		t.Helper()
		var err error
		if d, h, err = job.Undo(d, h); err != nil {
			t.Fatal(err)
		}
	}
	name("one")
	name("two")
	back()
	if label, ok := h.CanRedo(); !ok || label != "Name it two" || d.Unit != "one" {
		t.Errorf("after undo: redo %q, unit %q", label, d.Unit)
	}
	name("three")
	if _, _, err := job.Redo(d, h); !errors.Is(err, job.ErrNothingToRedo) {
		t.Errorf("what was dropped could be done again: %v", err)
	}
	back()
	back()
	if _, _, err := job.Undo(d, h); !errors.Is(err, job.ErrNothingToUndo) {
		t.Errorf("undo past the beginning: %v", err)
	}
	if diff := cmp.Diff(contract(t), d); diff != "" {
		t.Errorf("all undone is not as before:\n%s", diff)
	}
	name(d.Unit)
	if len(h.Steps) != 2 || h.Done != 0 {
		t.Errorf("a command that changes nothing left a step: %+v", h)
	}
}
