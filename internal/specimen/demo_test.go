package specimen

import (
	"context"
	"slices"
	"strings"
	"testing"
)

func TestDemonstrations(t *testing.T) {
	names := Names()
	if !slices.Equal(names, []string{"intercom", "survey"}) {
		t.Fatalf("demonstrations are %v", names)
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d, err := Demo(context.Background(), name)
			if err != nil {
				t.Fatal(err)
			}
			if n := len(d.Circuit); n < 18 || n > 30 {
				t.Errorf("%d parts: a demonstration has 18 to 30", n)
			}
			at := slices.IndexFunc(d.Circuit, func(p CircuitPart) bool { return p.Ref == d.Fault.Part })
			if at < 0 {
				t.Errorf("the hidden fault is at %q, which is no part", d.Fault.Part)
			}
			if strings.Contains(d.Job, d.Fault.Fault) {
				t.Errorf("the job text gives the fault away: it says %q", d.Fault.Fault)
			}
			d.Shot.Width = 1000
			s, err := Render(context.Background(), d.Board, d.Shot)
			if err != nil {
				t.Fatal(err)
			}
			checkCoppers(t, s.Truth)
			checkJoints(t, s.Truth)
		})
	}
}

func TestDemoUnknown(t *testing.T) {
	_, err := Demo(context.Background(), "toaster")
	if err == nil || !strings.Contains(err.Error(), "intercom") {
		t.Errorf("an unknown demonstration gives %v; want the names that there are", err)
	}
}
