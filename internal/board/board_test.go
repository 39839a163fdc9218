package board_test

import (
	"context"
	"strings"
	"sync"
	"testing"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// bars is a photographed board with three tracks, each 2 mm wide, from x 4 to
// 36 mm at y 6, 10 and 14 mm, with joints at x 6 and 34 mm.
type bars struct {
	*copper.Copper
	view specimen.View
}

var photographedBars = sync.OnceValues(func() (*bars, error) {
	ctx := context.Background()
	b := specimen.Board{Name: "bars", Size: geom.Point{X: 40, Y: 24}, Laminate: specimen.Phenolic, Finish: specimen.Tinned}
	for k, net := range []string{"a", "b", "c"} {
		y := 6 + 4*float64(k)
		b.Tracks = append(b.Tracks, specimen.Track{Net: net, Width: 2, Path: []geom.Point{{X: 5, Y: y}, {X: 35, Y: y}}})
		for _, x := range []float64{6, 34} {
			b.Pads = append(b.Pads, specimen.Pad{Net: net, At: geom.Point{X: x, Y: y}, Diameter: 2, Hole: 0.8, Solder: specimen.Solder{Spread: 0.9, Height: 0.5, Convex: 0.3, Dull: 0.4}})
		}
	}
	s, err := specimen.Render(ctx, b, specimen.PlainShot(800, 1))
	if err != nil {
		return nil, err
	}
	p, err := photo.Decode(ctx, s.Foil.JPEG, "bars")
	if err != nil {
		return nil, err
	}
	out := &bars{view: s.Truth.Foil}
	opts := copper.Options{}
	for _, j := range s.Truth.Joints {
		opts.Joints = append(opts.Joints, j.Foil)
	}
	ev := copper.Evidence{Copper: []geom.Point{out.at(20, 6)}, Bare: []geom.Point{out.at(20, 8)}}
	out.Copper, err = copper.Trace(ctx, p.Pixels, ev, opts)
	return out, err
})

func newBars(t *testing.T) *bars {
	t.Helper()
	b, err := photographedBars()
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Nets) != 3 {
		t.Fatalf("%d nets, want the three tracks", len(b.Nets))
	}
	return b
}

// at is the foil pixel of a place in millimetres.
func (b *bars) at(x, y float64) geom.Point { return b.view.ToPixel(geom.Point{X: x, Y: y}) }

// landing places a lead at millimetres, pointed at within half a millimetre.
func (b *bars) landing(part circuit.PartRef, lead circuit.LeadName, x, y float64) board.Landing {
	half := b.at(20.5, 10).Dist(b.at(20, 10))
	return board.Landing{Lead: circuit.LeadRef{Part: part, Lead: lead}, At: b.at(x, y), Hand: half}
}

func TestLeadsLandOnJoints(t *testing.T) {
	b := newBars(t)
	got := board.Land(board.Input{Copper: b.Copper, Landings: []board.Landing{
		b.landing("R1", "1", 6.4, 5.8),   // beside the first joint
		b.landing("R1", "2", 33.5, 10.3), // beside the fourth
		b.landing("C1", "1", 20, 14),     // on copper, far from every joint
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
	if at, joint := got.Placed[0].At, b.at(6, 6); at.Dist(joint) > 1 {
		t.Errorf("R1.1 stands at %v, want its joint at %v", at, joint)
	}
	for _, p := range got.Placed {
		if p.Confidence <= 0 || p.Confidence > 1 {
			t.Errorf("%s.%s: confidence %v", p.Lead.Part, p.Lead.Lead, p.Confidence)
		}
	}
}

func TestNames(t *testing.T) {
	b := newBars(t)
	for _, c := range []struct {
		name    string
		in      board.Input
		net     circuit.NetID // of R1.1 on the first track
		problem string
	}{
		{"a person's name wins", board.Input{Names: []board.Name{{Net: "supply", At: b.at(30, 6)}}}, "supply", ""},
		{"a number in use is passed over", board.Input{Taken: []circuit.NetID{"N1"}}, "N2", ""},
		{"two names on one copper", board.Input{Names: []board.Name{{Net: "supply", At: b.at(30, 6)}, {Net: "out", At: b.at(10, 6)}}},
			"supply", "name the same copper"},
		{"a name on no copper", board.Input{Names: []board.Name{{Net: "out", At: b.at(20, 23)}}}, "N1", "stands on no copper"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.in.Copper = b.Copper
			c.in.Landings = []board.Landing{b.landing("R1", "1", 6, 6)}
			got := board.Land(c.in)
			if n := got.Nets[circuit.LeadRef{Part: "R1", Lead: "1"}]; n != c.net {
				t.Errorf("R1.1 is on %q, want %q", n, c.net)
			}
			checkProblem(t, got.Problems, c.problem)
		})
	}
}

func TestLandingProblems(t *testing.T) {
	b := newBars(t)
	for _, c := range []struct {
		name    string
		leads   []board.Landing
		problem string
	}{
		{"no copper", []board.Landing{b.landing("R1", "1", 20, 23.2)}, "lands on no copper"},
		{"one hole for two leads", []board.Landing{b.landing("R1", "1", 6, 6), b.landing("R1", "2", 6.2, 6.1)}, "two leads in one hole"},
		{"sound", []board.Landing{b.landing("R1", "1", 6, 6), b.landing("R1", "2", 34, 6)}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			checkProblem(t, board.Land(board.Input{Copper: b.Copper, Landings: c.leads}).Problems, c.problem)
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

// Tracks 2 mm wide that lie 4 mm apart leave gaps of 2 mm.
func TestGapsBetweenNeighbours(t *testing.T) {
	b := newBars(t)
	two := b.at(20, 8).Dist(b.at(20, 10))
	gaps := board.Gaps(b.Labels, 2*two)
	if len(gaps) != 2 {
		t.Fatalf("%d gaps, want two: the first and the third track don't face each other", len(gaps))
	}
	for _, g := range gaps {
		if g.Width < 0.8*two || g.Width > 1.2*two || g.Nets[1] != g.Nets[0]+1 {
			t.Errorf("gap %+v, want %.0f pixels between tracks that follow each other", g, two)
		}
	}
	if got := board.Gaps(b.Labels, two/2); len(got) != 0 {
		t.Errorf("%d gaps of at most half of that, want none", len(got))
	}
}
