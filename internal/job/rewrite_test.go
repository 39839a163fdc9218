package job_test

import (
	"flag"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"foilside/internal/job"
)

// genesis is when the tests take place.
var genesis = time.Unix(1_700_000_000, 0).UTC()

var update = flag.Bool("update", false, "write the files in testdata anew")

// A person's text after several changes on the bench: see testdata/rewrite.
// Comments stay where the record that they stand at is still there.
func TestKeepsAPersonsText(t *testing.T) {
	old, err := os.ReadFile("testdata/rewrite/before.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, problems := job.ReadText(old, "before.yaml")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if got := string(job.RewriteText(old, d)); got != string(old) {
		t.Errorf("with nothing changed the text is not the same:\n%s", cmp.Diff(string(old), got))
	}
	d.Parts[1].Params[0], err = job.NewParam(d.Parts[1].Kind, "value", "220 µF")
	if err != nil {
		t.Fatal(err)
	}
	d.RemovePart("D1")
	added := d.Parts[0]
	added.Ref = "R2"
	d.Parts = append(d.Parts[:1], append([]job.Part{added}, d.Parts[1:]...)...)
	d.Readings = append(d.Readings, job.Reading{Mode: job.Ohms, Red: job.Place{Net: "base"}, Value: job.Value{Text: "overrange", Overrange: true}})
	d.Readings[0].Value, err = job.ParseValue(job.VoltsDC, "4.4 V")
	if err != nil {
		t.Fatal(err)
	}
	d.Unit = "Amplifier"
	d.Symptoms = nil
	d.Work = []job.Work{{Time: genesis, Did: "looked at it"}}
	got := job.RewriteText(old, d)
	if *update {
		if err := os.WriteFile("testdata/rewrite/after.yaml", got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("testdata/rewrite/after.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(got), "\n")); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	again, _ := job.ReadText(got, "")
	if diff := cmp.Diff(d, again); diff != "" {
		t.Errorf("the text does not say the document:\n%s", diff)
	}
}

func TestKeepsTheLineEndsOfOtherSystems(t *testing.T) {
	old := "unit: Radio # mine\r\nparts: {}\r\n"
	d, _ := job.ReadText([]byte(old), "")
	d.Unit, d.Common = "Amplifier", "gnd"
	if got := string(job.RewriteText([]byte(old), d)); got != "unit: Amplifier # mine\r\ncommon: gnd\r\nparts: {}\r\n" {
		t.Errorf("%q", got)
	}
}

// Whatever the old text, the new one says the document.
func TestARewrittenTextSaysTheDocument(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := genDocument(t), genDocument(t)
		old := decorate(t, job.WriteText(a))
		if rapid.Bool().Draw(t, "a little change") {
			b = a.Clone()
			b.Unit = "another"
			if len(b.Parts) > 0 {
				b.Parts[0].Note = "another"
			}
			b.Readings = b.Readings[:len(b.Readings)/2]
		}
		got, problems := job.ReadText(job.RewriteText(old, b), "")
		if bad := job.Errors(problems); len(bad) > 0 {
			t.Fatal(bad)
		}
		if diff := cmp.Diff(b.Clone(), got); diff != "" {
			t.Fatal(diff)
		}
	})
}

// decorate puts comments and blank lines between the lines of a text.
func decorate(t *rapid.T, text []byte) []byte {
	var b strings.Builder
	for line := range strings.Lines(string(text)) {
		b.WriteString(rapid.SampledFrom([]string{"", "", "\n", "# a word\n", "  # a: word\n"}).Draw(t, "between"))
		b.WriteString(line)
	}
	b.WriteString(rapid.SampledFrom([]string{"", "# the end", "\n\n", "...\n"}).Draw(t, "end"))
	return []byte(b.String())
}
