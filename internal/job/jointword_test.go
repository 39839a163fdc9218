package job_test

import (
	"testing"

	"foilside/internal/job"
)

func TestJointWord(t *testing.T) {
	for _, c := range []struct {
		text string
		at   job.Pixel
		ok   bool
	}{
		{"joint 412, 318", job.Pixel{412, 318}, true},
		{" joint 412.5,318 ", job.Pixel{412.5, 318}, true},
		{"joint 412", job.Pixel{}, false},
		{"joint a, b", job.Pixel{}, false},
		{"joint NaN, 3", job.Pixel{}, false},
		{"412, 318", job.Pixel{}, false},
		{"joint", job.Pixel{}, false},
	} {
		t.Run(c.text, func(t *testing.T) {
			if at, ok := job.JointWord(c.text); at != c.at || ok != c.ok {
				t.Errorf("got %v, %v; want %v, %v", at, ok, c.at, c.ok)
			}
		})
	}
}

// The list of checks names places in one line, and the text takes them so.
func TestAReadingTakesAJointInOneLine(t *testing.T) {
	d, problems := job.ReadText([]byte("readings:\n  - {mode: continuity, red: \"joint 412, 318\", black: {joint: [1, 2]}, value: joined}\n"), "job.yaml")
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	if at := d.Readings[0].Red.Joint; at == nil || *at != (job.Pixel{412, 318}) {
		t.Errorf("red stands at %v, want the joint at 412, 318", at)
	}
}
