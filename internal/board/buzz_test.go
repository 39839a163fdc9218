package board_test

import (
	"context"
	"strings"
	"testing"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/num/geom"
)

func beep(a, b geom.Point, joined bool) board.Answer {
	return board.Answer{A: a, B: b, Joined: joined, Places: true, Said: "between two joints"}
}

func plan(t *testing.T, in board.CheckInput) board.Plan {
	t.Helper()
	p, err := board.Weigh(in).Plan(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The plan asks about the two doubtful places and nothing else, each twice:
// one beep in fifty is misheard.
func TestThePlanAsksWhereThePhotographIsInDoubt(t *testing.T) {
	l := newLadder(t)
	p := plan(t, board.CheckInput{Web: l.web})
	asked := map[string]int{}
	for _, c := range p.Checks {
		asked[string(c.Expect)]++
		switch c.Expect {
		case board.Separate:
			if l.track(c.RedAt) != 0 || l.track(c.BlackAt) != 1 {
				t.Errorf("expects separate between %v and %v, want the first two tracks", c.RedAt, c.BlackAt)
			}
		case board.Joined:
			if l.track(c.RedAt) != 2 || l.track(c.BlackAt) != 2 || c.RedAt == c.BlackAt {
				t.Errorf("expects joined between %v and %v, want the two ends of the third track", c.RedAt, c.BlackAt)
			}
		}
		if c.Why == "" || !strings.HasPrefix(c.Red, "joint ") {
			t.Errorf("%+v does not say where and why", c)
		}
	}
	if asked["separate"] != 2 || asked["joined"] != 2 || len(p.Checks) != 4 {
		t.Errorf("asks %v, want each place twice", asked)
	}
	if p.Checks[0].Expect != board.Separate {
		t.Errorf("asks first about a place with %.2f, want the more doubtful one", p.Checks[0].Probability)
	}
	if p.Now.Enough || !p.Then.Enough || p.Unsettled != "" {
		t.Errorf("sure before: %+v, after: %+v, %q", p.Now, p.Then, p.Unsettled)
	}
	if want := 0.7 * 0.8; p.Now.Right < want-1e-9 || p.Now.Right > want+1e-9 {
		t.Errorf("all nets right with %v before the checks, want %v", p.Now.Right, want)
	}
	// Five tracks of two joints, four gaps: 5 + 4.
	if p.VerifyNeighbours != 9 {
		t.Errorf("%d checks verify every neighbour, want 9", p.VerifyNeighbours)
	}
	if first, again := p.Checks[0], p.Checks[len(p.Checks)-1]; first.Why == again.Why {
		t.Errorf("the first and the last check have one reason: %s", first.Why)
	}
}

func TestAnswersAreEvidence(t *testing.T) {
	l := newLadder(t)
	for _, c := range []struct {
		name     string
		answers  []board.Answer
		doubtful int
		decided  []bool // joined or not, where the nets change
		problem  string
	}{
		{"none", nil, 2, nil, ""},
		{"as expected", []board.Answer{beep(l.left(0), l.left(1), false), beep(l.left(2), l.right(2), true)}, 0, nil, ""},
		{"the bridge is real", []board.Answer{beep(l.left(0), l.right(1), true)}, 2, []bool{true}, ""},
		{"the bridge is real, heard twice", []board.Answer{beep(l.left(0), l.right(1), true), beep(l.left(1), l.right(0), true)}, 1, []bool{true}, ""},
		{"the break is real", []board.Answer{beep(l.left(2), l.right(2), false), beep(l.right(2), l.left(2), false)}, 1, []bool{false}, ""},
		{"one of three misheard", []board.Answer{beep(l.left(0), l.left(1), false), beep(l.left(0), l.left(1), true), beep(l.left(0), l.left(1), false)}, 1, nil,
			"it says joined, the photograph and the other checks say separate (99 %)"},
		{"sure tracks, one beep", []board.Answer{beep(l.left(3), l.left(4), true)}, 3, []bool{true}, ""},
		{"sure tracks, two beeps and a silence", []board.Answer{beep(l.left(3), l.left(4), true), beep(l.left(3), l.left(4), false), beep(l.left(3), l.left(4), true)}, 3, []bool{true}, "it says separate"},
		{"a sure track is broken", []board.Answer{beep(l.left(3), l.right(3), false)}, 3, []bool{false}, ""},
		{"both leads on one joint", []board.Answer{beep(l.left(0), l.left(0), true)}, 2, nil, "both leads were held to the same joint"},
		{"a joint that is gone", []board.Answer{beep(l.left(0), geom.Point{X: 3, Y: 3}, true)}, 2, nil, "there is no copper any more at foil pixel 3, 3"},
		{"between leads, silent on one track", []board.Answer{{A: l.left(3), B: l.right(3), Said: "R1.2 to R2.1"}}, 2, nil, "a dry joint or a crack may lie between"},
		{"between leads, where the photograph is sure", []board.Answer{{A: l.left(3), B: l.left(4), Joined: true, Said: "R1.2 to R2.1"}}, 2, nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := board.Weigh(board.CheckInput{Web: l.web, Answers: c.answers})
			if got := w.Doubtful(l.copper); len(got) != c.doubtful {
				t.Errorf("%d doubtful places left, want %d: %+v", len(got), c.doubtful, got)
			}
			decided := w.Decided()
			if len(decided) != len(c.decided) {
				t.Fatalf("decided %+v, want %v", decided, c.decided)
			}
			for i, d := range decided {
				if d.Joined != c.decided[i] {
					t.Errorf("decided %+v, want %v", d, c.decided[i])
				}
			}
			checkProblem(t, w.Problems, c.problem)
		})
	}
}

// placedPart is a part with a lead on two joints of the ladder.
func placedPart(p circuit.Part, a, b geom.Point) board.CheckInput {
	p.Leads = []circuit.Lead{{Name: "1", Net: "x"}, {Name: "2", Net: "y"}}
	return board.CheckInput{
		Circuit: &circuit.Circuit{Parts: []circuit.Part{p}},
		Landed: board.Landed{Placed: []board.Placed{
			{Lead: circuit.LeadRef{Part: p.Ref, Lead: "1"}, At: a}, {Lead: circuit.LeadRef{Part: p.Ref, Lead: "2"}, At: b}}},
	}
}

func TestPartsOfFewOhms(t *testing.T) {
	l := newLadder(t)
	ohms := func(name string, v float64) map[string]circuit.Amount {
		return map[string]circuit.Amount{name: {Value: v}}
	}
	for _, c := range []struct {
		name    string
		part    circuit.Part
		caution string
	}{
		{"a winding", circuit.Part{Ref: "L1", Kind: circuit.Inductor, Amounts: ohms("resistance", 2.1)}, "it will beep through the winding of L1 (2.1 Ω): lift one end of it"},
		{"ten ohms", circuit.Part{Ref: "R1", Kind: circuit.Resistor, Amounts: ohms("value", 10)}, "the resistance of R1 (10 Ω)"},
		{"a kilohm", circuit.Part{Ref: "R1", Kind: circuit.Resistor, Amounts: ohms("value", 1000)}, ""},
		{"a diode", circuit.Part{Ref: "D1", Kind: circuit.Diode}, ""},
		{"a switch", circuit.Part{Ref: "S1", Kind: circuit.Switch}, "open S1 first"},
		{"a cold filament", circuit.Part{Ref: "H1", Kind: circuit.Lamp, Amounts: map[string]circuit.Amount{"voltage": {Value: 12}, "current": {Value: 0.1}}}, "the cold filament of H1 (12 Ω)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := placedPart(c.part, l.left(0), l.left(1))
			in.Web = l.web
			for _, k := range plan(t, in).Checks {
				bridge := l.track(k.RedAt) == 0 && l.track(k.BlackAt) == 1
				if bridge && (c.caution == "") != (k.Caution == "") || !strings.Contains(k.Caution, c.caution) && bridge {
					t.Errorf("%s to %s: caution %q, want %q", k.Red, k.Black, k.Caution, c.caution)
				}
			}
		})
	}
}

// Two coppers that the circuit has on one net are joined somewhere else.
func TestABeepThroughTheOtherFace(t *testing.T) {
	l := newLadder(t)
	in := placedPart(circuit.Part{Ref: "C1", Kind: circuit.Capacitor}, l.left(0), l.left(1))
	in.Circuit.Parts[0].Leads[1].Net = "x"
	in.Web = l.web
	in.Answers = []board.Answer{beep(l.left(0), l.left(1), true)}
	w := board.Weigh(in)
	checkProblem(t, w.Problems, "the beep came through a wire or the copper of the other face")
	if got := w.Decided(); len(got) != 0 {
		t.Errorf("decided %+v, want nothing", got)
	}
}

// What a beep says where a winding lies between the two places.
func TestABeepThroughAPartIsNoEvidence(t *testing.T) {
	l := newLadder(t)
	in := placedPart(circuit.Part{Ref: "L1", Kind: circuit.Inductor, Amounts: map[string]circuit.Amount{"resistance": {Value: 2.1}}}, l.left(0), l.left(1))
	in.Web = l.web
	ohm := func(v float64) *float64 { return &v }
	for _, c := range []struct {
		name    string
		answer  board.Answer
		decided int
		problem string
	}{
		{"a beep", beep(l.left(0), l.left(1), true), 0, "the beep came through the winding of L1 (2.1 Ω)"},
		{"a beep with a lead lifted", board.Answer{A: l.left(0), B: l.left(1), Joined: true, Lifted: true, Places: true}, 1, ""},
		{"as many ohms as the winding has", board.Answer{A: l.left(0), B: l.left(1), Ohms: ohm(2.2), Places: true}, 0, ""},
		{"no ohms to speak of", board.Answer{A: l.left(0), B: l.left(1), Ohms: ohm(0.2), Places: true}, 1, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			in.Answers = []board.Answer{c.answer}
			w := board.Weigh(in)
			if got := w.Decided(); len(got) != c.decided {
				t.Errorf("decided %+v, want %d", got, c.decided)
			}
			checkProblem(t, w.Problems, c.problem)
		})
	}
}

// The plan, followed to its end with honest answers, stops, and the next check
// is the plan's first as long as there is one.
func TestThePlanEnds(t *testing.T) {
	in := board.CheckInput{Web: newLadder(t).web}
	for round := 0; ; round++ {
		w := board.Weigh(in)
		next, more := w.Next()
		if !more {
			if !w.Sure.Enough || round == 0 {
				t.Errorf("stops after %d checks with %+v", round, w.Sure)
			}
			return
		}
		if round > 20 {
			t.Fatal("does not stop")
		}
		in.Answers = append(in.Answers, beep(next.RedAt, next.BlackAt, next.Expect == board.Joined))
	}
}

func TestAPlanCanBeCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := board.Weigh(board.CheckInput{Web: newLadder(t).web}).Plan(ctx); err == nil {
		t.Error("a cancelled plan has no error")
	}
}

// Five tracks have four gaps; the first is the plan's, since it is in doubt.
func TestGapsAreAskedAboutApart(t *testing.T) {
	l := newLadder(t)
	w := board.Weigh(board.CheckInput{Web: l.web})
	checks := w.GapChecks()
	if len(checks) != 3 {
		t.Fatalf("%d checks, want one for each sure gap: %+v", len(checks), checks)
	}
	for _, c := range checks {
		if a, b := l.track(c.RedAt), l.track(c.BlackAt); c.Expect != board.Separate || min(a, b) < 1 || max(a, b)-min(a, b) != 1 || c.RedAt.Dist(c.BlackAt) > l.left(0).Dist(l.left(2)) {
			t.Errorf("%+v, want joints of neighbouring tracks that face each other", c)
		}
	}
}

// A place that no probe gets to is not asked about; the other end of its track
// is, and where neither can be reached, another place.
func TestTheNextCheckKeepsToWhatCanBeReached(t *testing.T) {
	l := newLadder(t)
	w := board.Weigh(board.CheckInput{Web: l.web})
	first, ok := w.Next()
	if !ok || l.track(first.RedAt) != 0 || l.track(first.BlackAt) != 1 {
		t.Fatalf("asks %v first, want the first two tracks", first)
	}
	var beyond []geom.Point
	for range 2 {
		c, ok := w.Next(beyond...)
		if !ok || l.track(c.RedAt) != 0 || len(c.Doubts) != 1 {
			t.Fatalf("without %v asks %+v (%v), want the first track", beyond, c, ok)
		}
		for _, at := range beyond {
			if c.RedAt.Dist(at) < 1 {
				t.Errorf("asks to touch %v, which is beyond reach", at)
			}
		}
		beyond = append(beyond, c.RedAt)
	}
	if c, ok := w.Next(beyond...); !ok || l.track(c.RedAt) != 2 {
		t.Errorf("with the first track beyond reach asks %+v (%v), want the third", c, ok)
	}
	if again, _ := w.Next(); again.RedAt != first.RedAt {
		t.Error("what was beyond reach once is beyond reach for good")
	}
}
