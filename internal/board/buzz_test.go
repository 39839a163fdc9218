package board_test

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// ladder is a copper record of five tracks, 20 pixels high with gaps of 20,
// from x 40 to 360, and a joint at either end of each. Between the first two
// there is a doubtful bridge; the third has a doubtful break in its middle; the
// fourth and fifth are sure.
func ladder(t *testing.T) (*copper.Copper, *board.Web) {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 320))
	draw.Draw(img, img.Rect, image.NewUniform(color.RGBA{222, 208, 170, 255}), image.Point{}, draw.Src)
	var joints []geom.Point
	for k := range 5 {
		y := 50 + 40*k
		draw.Draw(img, image.Rect(40, y, 360, y+20), image.NewUniform(color.RGBA{130, 70, 40, 255}), image.Point{}, draw.Src)
		joints = append(joints, geom.Point{X: 60, Y: float64(y + 10)}, geom.Point{X: 340, Y: float64(y + 10)})
	}
	ev := copper.Evidence{
		Copper: []geom.Point{{X: 200, Y: 60}, {X: 200, Y: 140}},
		Bare:   []geom.Point{{X: 200, Y: 80}, {X: 20, Y: 20}},
	}
	plate, err := copper.Look(t.Context(), img, ev, copper.Options{Joints: joints})
	if err != nil {
		t.Fatal(err)
	}
	c, err := plate.Nets(t.Context(), ev)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Nets) != 5 || len(c.Doubtful) != 0 {
		t.Fatalf("%d nets, %d doubtful places; want five sure tracks", len(c.Nets), len(c.Doubtful))
	}
	c.Doubtful = []copper.Doubt{
		{X: 200, Y: 80, Nets: [2]copper.NetID{1, 2}, ProbabilityJoined: 0.3, Pairs: 4, Between: [2]geom.Point{joints[0], joints[2]}},
		{X: 200, Y: 140, Nets: [2]copper.NetID{3, 3}, ProbabilityJoined: 0.8, Pairs: 1, Between: [2]geom.Point{joints[4], joints[5]}},
	}
	ev.Measured = board.Apart(c)
	parted, err := plate.Nets(t.Context(), ev)
	if err != nil {
		t.Fatal(err)
	}
	return c, board.NewWeb(c, parted)
}

// ladderWeb is the web of the ladder.
func ladderWeb(t *testing.T) *board.Web {
	t.Helper()
	_, w := ladder(t)
	return w
}

// left and right are the joints at the ends of a track of the ladder.
func left(track int) geom.Point  { return geom.Point{X: 60, Y: float64(60 + 40*track)} }
func right(track int) geom.Point { return geom.Point{X: 340, Y: float64(60 + 40*track)} }

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
	p := plan(t, board.CheckInput{Web: ladderWeb(t)})
	asked := map[string]int{}
	for _, c := range p.Checks {
		asked[string(c.Expect)]++
		switch c.Expect {
		case board.Separate:
			if c.RedAt.Y != 60 || c.BlackAt.Y != 100 {
				t.Errorf("expects separate between %v and %v, want the first two tracks", c.RedAt, c.BlackAt)
			}
		case board.Joined:
			if c.RedAt.Y != 140 || c.BlackAt.Y != 140 || c.RedAt == c.BlackAt {
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
	cu, web := ladder(t)
	for _, c := range []struct {
		name     string
		answers  []board.Answer
		doubtful int
		decided  []bool // joined or not, where the nets change
		problem  string
	}{
		{"none", nil, 2, nil, ""},
		{"as expected", []board.Answer{beep(left(0), left(1), false), beep(left(2), right(2), true)}, 0, nil, ""},
		{"the bridge is real", []board.Answer{beep(left(0), right(1), true)}, 2, []bool{true}, ""},
		{"the bridge is real, heard twice", []board.Answer{beep(left(0), right(1), true), beep(left(1), right(0), true)}, 1, []bool{true}, ""},
		{"the break is real", []board.Answer{beep(left(2), right(2), false), beep(right(2), left(2), false)}, 1, []bool{false}, ""},
		{"one of three misheard", []board.Answer{beep(left(0), left(1), false), beep(left(0), left(1), true), beep(left(0), left(1), false)}, 1, nil,
			"it says joined, the photograph and the other checks say separate (99 %)"},
		{"sure tracks, one beep", []board.Answer{beep(left(3), left(4), true)}, 3, []bool{true}, ""},
		{"sure tracks, two beeps and a silence", []board.Answer{beep(left(3), left(4), true), beep(left(3), left(4), false), beep(left(3), left(4), true)}, 3, []bool{true}, "it says separate"},
		{"a sure track is broken", []board.Answer{beep(left(3), right(3), false)}, 3, []bool{false}, ""},
		{"both leads on one joint", []board.Answer{beep(left(0), left(0), true)}, 2, nil, "both leads were held to the same joint"},
		{"a joint that is gone", []board.Answer{beep(left(0), geom.Point{X: 200, Y: 300}, true)}, 2, nil, "there is no copper any more at foil pixel 200, 300"},
		{"between leads, silent on one track", []board.Answer{{A: left(3), B: right(3), Said: "R1.2 to R2.1"}}, 2, nil, "a dry joint or a crack may lie between"},
		{"between leads, where the photograph is sure", []board.Answer{{A: left(3), B: left(4), Joined: true, Said: "R1.2 to R2.1"}}, 2, nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := board.Weigh(board.CheckInput{Web: web, Answers: c.answers})
			if got := w.Doubtful(cu); len(got) != c.doubtful {
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
	web := ladderWeb(t)
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
			in := placedPart(c.part, left(0), left(1))
			in.Web = web
			for _, k := range plan(t, in).Checks {
				bridge := k.RedAt.Y == 60 && k.BlackAt.Y == 100
				if bridge && (c.caution == "") != (k.Caution == "") || !strings.Contains(k.Caution, c.caution) && bridge {
					t.Errorf("%s to %s: caution %q, want %q", k.Red, k.Black, k.Caution, c.caution)
				}
			}
		})
	}
}

// Two coppers that the circuit has on one net are joined somewhere else.
func TestABeepThroughTheOtherFace(t *testing.T) {
	in := placedPart(circuit.Part{Ref: "C1", Kind: circuit.Capacitor}, left(0), left(1))
	in.Circuit.Parts[0].Leads[1].Net = "x"
	in.Web = ladderWeb(t)
	in.Answers = []board.Answer{beep(left(0), left(1), true)}
	w := board.Weigh(in)
	checkProblem(t, w.Problems, "the beep came through a wire or the copper of the other face")
	if got := w.Decided(); len(got) != 0 {
		t.Errorf("decided %+v, want nothing", got)
	}
}

// What a beep says where a winding lies between the two places.
func TestABeepThroughAPartIsNoEvidence(t *testing.T) {
	in := placedPart(circuit.Part{Ref: "L1", Kind: circuit.Inductor, Amounts: map[string]circuit.Amount{"resistance": {Value: 2.1}}}, left(0), left(1))
	in.Web = ladderWeb(t)
	ohm := func(v float64) *float64 { return &v }
	for _, c := range []struct {
		name    string
		answer  board.Answer
		decided int
		problem string
	}{
		{"a beep", beep(left(0), left(1), true), 0, "the beep came through the winding of L1 (2.1 Ω)"},
		{"a beep with a lead lifted", board.Answer{A: left(0), B: left(1), Joined: true, Lifted: true, Places: true}, 1, ""},
		{"as many ohms as the winding has", board.Answer{A: left(0), B: left(1), Ohms: ohm(2.2), Places: true}, 0, ""},
		{"no ohms to speak of", board.Answer{A: left(0), B: left(1), Ohms: ohm(0.2), Places: true}, 1, ""},
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
	in := board.CheckInput{Web: ladderWeb(t)}
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
	if _, err := board.Weigh(board.CheckInput{Web: ladderWeb(t)}).Plan(ctx); err == nil {
		t.Error("a cancelled plan has no error")
	}
}

// Five tracks have four gaps; the first is the plan's, since it is in doubt.
func TestGapsAreAskedAboutApart(t *testing.T) {
	w := board.Weigh(board.CheckInput{Web: ladderWeb(t)})
	checks := w.GapChecks()
	if len(checks) != 3 {
		t.Fatalf("%d checks, want one for each sure gap: %+v", len(checks), checks)
	}
	for _, c := range checks {
		if c.Expect != board.Separate || c.RedAt.X != c.BlackAt.X || c.BlackAt.Y-c.RedAt.Y != 40 || c.RedAt.Y < 100 {
			t.Errorf("%+v, want joints of neighbouring tracks that face each other", c)
		}
	}
}
