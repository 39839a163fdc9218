package job_test

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/job"
)

func contract(t testing.TB) job.Document {
	t.Helper()
	data, err := os.ReadFile("testdata/contract.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, problems := job.ReadText(data, "contract.yaml")
	if len(problems) > 0 {
		t.Fatalf("problems: %v", problems)
	}
	return d
}

// The job of CONTRACT §2, with the two parts that its states and symptoms name.
func TestReadsTheContractsJob(t *testing.T) {
	d := contract(t)
	if d.Unit != "Intercom amplifier, unbranded" || d.Common != "chassis" {
		t.Errorf("unit %q, common %q", d.Unit, d.Common)
	}
	r1, ok := d.Part("R1")
	if v, _ := r1.Param("value"); !ok || v != 4700 || r1.Params[0].Text != "4k7" {
		t.Errorf("R1 is %+v", r1)
	}
	t1, _ := d.Part("T1")
	if len(t1.Windings) != 2 || t1.Windings[0].Leads[0].Net != "p1" || t1.Windings[0].Inductance.Amount.Value != 220e-6 {
		t.Errorf("T1 is %+v", t1)
	}
	placed := d.PlacedLeads()
	if len(placed) != 2 || placed[0].Lead != (circuit.LeadRef{Part: "R9", Lead: "1"}) || *placed[0].At != (job.Pixel{412, 318}) {
		t.Errorf("placed leads: %+v", placed)
	}
	if got := d.Readings[1].Value.Amount.Value; got != 3900 {
		t.Errorf("second reading is %g", got)
	}
}

func TestWritesWhatItReads(t *testing.T) {
	d := contract(t)
	text := job.WriteText(d)
	again, problems := job.ReadText(text, "again.yaml")
	if len(problems) > 0 {
		t.Fatalf("%v\n%s", problems, text)
	}
	if diff := cmp.Diff(d, again); diff != "" {
		t.Errorf("text lost something (-was +is):\n%s", diff)
	}
	data, err := d.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	again, problems = job.ReadJSON(data)
	if diff := cmp.Diff(d, again); diff != "" || len(problems) > 0 {
		t.Errorf("JSON lost something (-was +is):\n%s%v", diff, problems)
	}
}

// The example of CONTRACT §2 to the letter: its state and its symptom name two
// parts that it leaves out, which is warned of and kept.
func TestReadsTheContractToTheLetter(t *testing.T) {
	text, err := os.ReadFile("testdata/letter.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, problems := job.ReadText(text, "")
	if len(problems) != 2 || !problems[0].Warning || !problems[1].Warning {
		t.Fatalf("problems: %v", problems)
	}
	if set := d.States[1].Settings[1]; set.Part != "RV1" || set.Position != 0.8 || d.Symptoms[0].Part != "LS1" {
		t.Errorf("the state holds %+v, the symptom %+v", set, d.Symptoms[0])
	}
	again, _ := job.ReadText(job.WriteText(d), "")
	if diff := cmp.Diff(d, again); diff != "" {
		t.Errorf("written and read again it differs:\n%s", diff)
	}
	c, _ := job.Circuit(d)
	if len(c.Parts) != 7 || len(c.States[1].Settings) != 1 {
		t.Errorf("the circuit has %d parts, and its second state %v", len(c.Parts), c.States[1].Settings)
	}
}
