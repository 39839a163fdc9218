package job_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"foilside/internal/job"
)

// Writing and reading is the identity, in both forms.
func TestReadingWhatWasWrittenIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument(t)
		text := job.WriteText(d)
		got, problems := job.ReadText(text, "")
		if bad := job.Errors(problems); len(bad) > 0 {
			t.Fatalf("%v\n%s", bad, text)
		}
		if diff := cmp.Diff(d, got); diff != "" {
			t.Fatalf("(-was +is)\n%s\n%s", diff, text)
		}
		data, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, &got); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(d, got); diff != "" {
			t.Fatalf("JSON (-was +is)\n%s", diff)
		}
	})
}

// Another reader of YAML (go.yaml.in/yaml, written independently of the one
// that ReadText uses) must find the same in our text as in our JSON.
func TestOtherReadersReadOurText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument(t)
		var doc yaml.Node
		text := job.WriteText(d)
		if err := yaml.Unmarshal(text, &doc); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		data, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		dec := json.NewDecoder(bytes.NewReader(data))
		dec.UseNumber()
		var want any
		if err := dec.Decode(&want); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(asText(want), yamlText(doc.Content[0])); diff != "" {
			t.Fatalf("(-JSON +YAML)\n%s\n%s", diff, text)
		}
	})
}

// asText turns every scalar into its text.
func asText(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, x := range v {
			out[k] = asText(x)
		}
		return out
	case []any:
		out := []any{}
		for _, x := range v {
			out = append(out, asText(x))
		}
		return out
	}
	return fmt.Sprint(v)
}

func yamlText(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		out := map[string]any{}
		for i := 0; i < len(n.Content); i += 2 {
			out[n.Content[i].Value] = yamlText(n.Content[i+1])
		}
		return out
	case yaml.SequenceNode:
		out := []any{}
		for _, x := range n.Content {
			out = append(out, yamlText(x))
		}
		return out
	}
	return n.Value
}

// Any two documents are joined by a command, and it goes back.
func TestAnyChangeGoesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := genDocument(t), genDocument(t)
		c := job.Diff(a, b, "Change all")
		got, inverse, err := job.Apply(a, c)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(b, got); diff != "" {
			t.Fatalf("the command does not lead there (-want +got)\n%s", diff)
		}
		back, _, err := job.Apply(got, inverse)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(a, back); diff != "" {
			t.Fatalf("the inverse does not lead back (-want +got)\n%s", diff)
		}
	})
}

// genEdit draws an edit at some place of the document; many are nonsense.
func genEdit(t *rapid.T, d job.Document) job.Edit {
	values := []string{`"x"`, `"1k"`, `[3,4]`, `{"from":[1,1],"to":[2,2]}`, `{"component":[1,2],"foil":[3,4]}`, `{"kind":"resistor","leads":{"1":"a","2":"b"}}`, `{}`, `[]`, `7`, `null`}
	paths := [][]string{{"unit"}, {"common"}, {"align"}, {"scale"}, {"photos"}, {"copper", "cuts"}, {"copper", "samples", "bare"}, {"parts"}, {"readings"}, {"states"}, {"nonsense"}, {}}
	for i := range d.Parts {
		paths = append(paths, []string{"parts", string(d.Parts[i].Ref)}, []string{"parts", string(d.Parts[i].Ref), "note"})
	}
	for i := range d.Readings {
		paths = append(paths, []string{"readings", strconv.Itoa(i)})
	}
	path := rapid.SampledFrom(paths).Draw(t, "path")
	if rapid.Bool().Draw(t, "deeper") {
		path = append(append([]string(nil), path...), rapid.SampledFrom([]string{"0", "1", "R1", "kind", "value"}).Draw(t, "step"))
	}
	e := job.Edit{Op: rapid.SampledFrom([]job.EditOp{job.SetOp, job.AddOp, job.RemoveOp}).Draw(t, "op"), Path: path}
	if e.Op != job.RemoveOp {
		e.Value = json.RawMessage(rapid.SampledFrom(values).Draw(t, "value"))
	}
	return e
}

// Against the simple model of keeping every document: whatever is done, taken
// back and done again, the document is the one that stood there then, and an
// edit that is refused leaves everything as it was.
func TestHistoryKeepsEveryDocument(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument(t)
		h := job.History{}
		model, at := []job.Document{d.Clone()}, 0
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			switch rapid.SampledFrom([]string{"do", "do", "undo", "redo"}).Draw(t, "what") {
			case "do":
				c, err := job.Plan(d, "Edit", genEdit(t, d))
				if err != nil {
					break
				}
				was := h.Done
				if d, h, err = job.Do(d, h, c, time.Unix(0, 0)); err != nil {
					t.Fatalf("what was planned can't be done: %v", err)
				}
				if h.Done > was {
					at++
					model = append(model[:at], d.Clone())
				}
			case "undo":
				next, nh, err := job.Undo(d, h)
				if (err == nil) != (at > 0) {
					t.Fatalf("undo at %d: %v", at, err)
				}
				if err == nil {
					d, h, at = next, nh, at-1
				}
			case "redo":
				next, nh, err := job.Redo(d, h)
				if (err == nil) != (at < len(model)-1) {
					t.Fatalf("redo at %d of %d: %v", at, len(model), err)
				}
				if err == nil {
					d, h, at = next, nh, at+1
				}
			}
			if diff := cmp.Diff(model[at], d); diff != "" {
				t.Fatalf("(-model +history)\n%s", diff)
			}
		}
	})
}

// A history survives its JSON form.
func TestCommandsSurviveJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := genDocument(t), genDocument(t)
		data, err := json.Marshal(job.Diff(a, b, "Change all"))
		if err != nil {
			t.Fatal(err)
		}
		var c job.Command
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatal(err)
		}
		got, _, err := job.Apply(a, c)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(b, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

func FuzzReadText(f *testing.F) {
	for _, s := range []string{
		string(job.WriteText(contract(f))), head, "", "- a", "a: &x [*x]", "? a\n: b", "{", "parts: {R1: {kind: npn}}",
		"%YAML 1.2\n---\nparts: {}\n...", "parts: !!map {}", "a: |2-\n  x", "\"\\x\": y", "parts: {}\n--- \n...\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, problems := job.ReadText(data, "fuzz")
		for _, p := range problems {
			if p.Text == "" {
				t.Errorf("a problem without words in %q", data)
			}
		}
		if len(job.Errors(problems)) > 0 {
			return
		}
		again, problems := job.ReadText(job.WriteText(d), "again")
		if diff := cmp.Diff(d, again); diff != "" || len(job.Errors(problems)) > 0 {
			t.Errorf("%q reads as\n%s\nand again differs: %s %v", data, job.WriteText(d), diff, problems)
		}
		_, _ = job.Circuit(d)
	})
}

func FuzzReadJSON(f *testing.F) {
	data, err := json.Marshal(contract(f))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte(`{"parts":{"R1":{"kind":"resistor","value":4700,"leads":{"1":"a","2":null}}}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, problems := job.ReadJSON(data)
		if len(job.Errors(problems)) > 0 {
			return
		}
		again, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var e job.Document
		if err := json.Unmarshal(again, &e); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(d, e); diff != "" {
			t.Error(diff)
		}
	})
}

// A text that another program wrote, in whatever style, reads as the same.
func TestReadsOtherWritersText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := genDocument(t)
		var doc yaml.Node
		if err := yaml.Unmarshal(job.WriteText(d), &doc); err != nil {
			t.Fatal(err)
		}
		restyle(t, &doc)
		text, err := yaml.Marshal(&doc)
		if err != nil {
			t.Fatal(err)
		}
		got, problems := job.ReadText(text, "")
		if bad := job.Errors(problems); len(bad) > 0 {
			t.Fatalf("%v\n%s", bad, text)
		}
		if diff := cmp.Diff(d, got); diff != "" {
			t.Fatalf("(-was +is)\n%s\n%s", diff, text)
		}
	})
}

// restyle gives every node a style of its own.
func restyle(t *rapid.T, n *yaml.Node) {
	styles := []yaml.Style{0, yaml.DoubleQuotedStyle, yaml.SingleQuotedStyle}
	if n.Kind != yaml.ScalarNode {
		styles = []yaml.Style{0, 0, yaml.FlowStyle}
	}
	n.Style = rapid.SampledFrom(styles).Draw(t, "style")
	// The other writer forgets that << must be quoted, and takes for line breaks
	// what was one in YAML 1.1.
	if n.Value == "<<" || strings.ContainsAny(n.Value, "\u2028\u2029\u0085") {
		n.Style = yaml.DoubleQuotedStyle
	}
	for _, c := range n.Content {
		restyle(t, c)
	}
}
