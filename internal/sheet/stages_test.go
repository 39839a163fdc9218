package sheet

import "testing"

func TestHowItWorksStandsAfterTheDrawing(t *testing.T) {
	s := Sheet{
		Stages: []StageRow{
			{Name: "power source B1", Parts: "B1, S1", Text: "B1 gives 9 V. It reaches the rest through S1."},
			{Name: "emitter follower Q2", Parts: "Q2, R5", From: []string{"common-emitter stage Q1"}, Text: "It follows.", Notes: []string{"R5 looks large"}},
		},
		Apart: []string{"R9", "LA1"},
	}
	var got []string
	for _, b := range s.Document().Blocks {
		switch b := b.(type) {
		case Heading:
			got = append(got, "# "+b.Text)
		case Paragraph:
			got = append(got, b.Text)
		}
	}
	want := []string{
		"# How it works",
		"Found from the circuit and computed from the values of its parts, not measured: no proof that anything is safe to touch.",
		"Power source B1 (B1, S1). B1 gives 9 V. It reaches the rest through S1.",
		"Emitter follower Q2 (Q2, R5), fed by the common-emitter stage Q1. It follows. Note: R5 looks large.",
		"What these do was not found: R9, LA1.",
		"# For the next person",
	}
	if len(got) != len(want) {
		t.Fatalf("got %q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("block %d: %q, want %q", i, got[i], want[i])
		}
	}
}
