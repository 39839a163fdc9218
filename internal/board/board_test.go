package board_test

import (
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

// bars is a photo of cream board with three dark tracks, 20 pixels high, from
// x 40 to 360 at y 60, 100 and 140, and gaps of 20 pixels between them.
func bars(t *testing.T) *copper.Copper {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 240))
	draw.Draw(img, img.Rect, image.NewUniform(color.RGBA{222, 208, 170, 255}), image.Point{}, draw.Src)
	var joints []geom.Point
	for _, y := range []int{50, 90, 130} {
		draw.Draw(img, image.Rect(40, y, 360, y+20), image.NewUniform(color.RGBA{130, 70, 40, 255}), image.Point{}, draw.Src)
		joints = append(joints, geom.Point{X: 60, Y: float64(y + 10)}, geom.Point{X: 340, Y: float64(y + 10)})
	}
	c, err := copper.Trace(t.Context(), img, copper.Evidence{
		Copper: []geom.Point{{X: 200, Y: 60}, {X: 200, Y: 140}},
		Bare:   []geom.Point{{X: 200, Y: 80}, {X: 20, Y: 20}},
	}, copper.Options{Joints: joints})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Nets) != 3 {
		t.Fatalf("%d nets, want the three tracks", len(c.Nets))
	}
	return c
}

func landing(part circuit.PartRef, lead circuit.LeadName, x, y float64) board.Landing {
	return board.Landing{Lead: circuit.LeadRef{Part: part, Lead: lead}, At: geom.Point{X: x, Y: y}}
}

func TestLeadsLandOnJoints(t *testing.T) {
	got := board.Land(board.Input{Copper: bars(t), Landings: []board.Landing{
		landing("R1", "1", 64, 58),   // beside the first joint
		landing("R1", "2", 335, 103), // beside the fourth
		landing("C1", "1", 200, 140), // on copper, far from every joint
	}})
	if len(got.Problems) != 0 {
		t.Fatalf("problems: %v", got.Problems)
	}
	for _, c := range []struct {
		lead circuit.LeadRef
		net  circuit.NetID
	}{
		{circuit.LeadRef{Part: "R1", Lead: "1"}, "N1"},
		{circuit.LeadRef{Part: "R1", Lead: "2"}, "N2"},
		{circuit.LeadRef{Part: "C1", Lead: "1"}, "N3"},
	} {
		if got.Nets[c.lead] != c.net {
			t.Errorf("%s.%s on %q, want %q: nets are numbered in reading order", c.lead.Part, c.lead.Lead, got.Nets[c.lead], c.net)
		}
	}
	if at := got.Placed[0].At; at != (geom.Point{X: 60, Y: 60}) {
		t.Errorf("R1.1 stands at %v, want its joint at (60, 60)", at)
	}
	for _, p := range got.Placed {
		if p.Confidence <= 0 || p.Confidence > 1 {
			t.Errorf("%s.%s: confidence %v", p.Lead.Part, p.Lead.Lead, p.Confidence)
		}
	}
}

func TestNames(t *testing.T) {
	place := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	for _, c := range []struct {
		name    string
		in      board.Input
		net     circuit.NetID // of R1.1 on the first track
		problem string
	}{
		{"a person's name wins", board.Input{Names: []board.Name{{Net: "supply", At: place(300, 60)}}}, "supply", ""},
		{"a number in use is passed over", board.Input{Taken: []circuit.NetID{"N1"}}, "N2", ""},
		{"two names on one copper", board.Input{Names: []board.Name{{Net: "supply", At: place(300, 60)}, {Net: "out", At: place(100, 60)}}},
			"supply", "name the same copper"},
		{"a name on no copper", board.Input{Names: []board.Name{{Net: "out", At: place(200, 230)}}}, "N1", "stands on no copper"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.in.Copper = bars(t)
			c.in.Landings = []board.Landing{landing("R1", "1", 60, 60)}
			got := board.Land(c.in)
			if n := got.Nets[circuit.LeadRef{Part: "R1", Lead: "1"}]; n != c.net {
				t.Errorf("R1.1 is on %q, want %q", n, c.net)
			}
			checkProblem(t, got.Problems, c.problem)
		})
	}
}

func TestLandingProblems(t *testing.T) {
	for _, c := range []struct {
		name    string
		leads   []board.Landing
		problem string
	}{
		{"no copper", []board.Landing{landing("R1", "1", 200, 232)}, "lands on no copper"},
		{"one hole for two leads", []board.Landing{landing("R1", "1", 60, 60), landing("R1", "2", 62, 61)}, "two leads in one hole"},
		{"sound", []board.Landing{landing("R1", "1", 60, 60), landing("R1", "2", 340, 60)}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			checkProblem(t, board.Land(board.Input{Copper: bars(t), Landings: c.leads}).Problems, c.problem)
		})
	}
}

func checkProblem(t *testing.T, got []circuit.Problem, want string) {
	t.Helper()
	if want == "" {
		if len(got) != 0 {
			t.Errorf("problems: %v", got)
		}
		return
	}
	for _, p := range got {
		if strings.Contains(p.Text, want) {
			return
		}
	}
	t.Errorf("problems %v, want one with %q", got, want)
}

// Tracks of 20 pixels that lie 40 apart leave a gap of 20.
func TestGapsBetweenNeighbours(t *testing.T) {
	c := bars(t)
	gaps := board.Gaps(c.Labels, 40)
	if len(gaps) != 2 {
		t.Fatalf("%d gaps, want two: the first and the third track don't face each other", len(gaps))
	}
	for _, g := range gaps {
		if g.Width < 16 || g.Width > 24 || g.Nets[1] != g.Nets[0]+1 {
			t.Errorf("gap %+v, want 20 pixels between tracks that follow each other", g)
		}
	}
	if got := board.Gaps(c.Labels, 10); len(got) != 0 {
		t.Errorf("%d gaps of at most 10 pixels, want none", len(got))
	}
}
