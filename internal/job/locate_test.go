package job_test

import (
	"testing"

	"foilside/internal/job"
)

func TestLocate(t *testing.T) {
	text := []byte("common: chassis\nparts:\n  R1: {kind: resistor, value: 1k, leads: {1: a, 2: chassis}}\n")
	if line, col, ok := job.Locate(text, "parts.R1"); !ok || line != 3 || col != 3 {
		t.Errorf("R1 stands at %d:%d, %v", line, col, ok)
	}
	if line, _, ok := job.Locate(text, "parts.R1.value"); !ok || line != 3 {
		t.Errorf("its value stands on line %d, %v", line, ok)
	}
	for _, path := range []string{"parts.R2", "", "parts.R1.value.more"} {
		if _, _, ok := job.Locate(text, path); ok {
			t.Errorf("%q is found", path)
		}
	}
	if _, _, ok := job.Locate([]byte("{"), "parts.R1"); ok {
		t.Error("something is found in a text that can't be read")
	}
}
