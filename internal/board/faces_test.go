package board_test

import (
	"context"
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen"
)

// bothFaces renders a board with copper on both faces.
func bothFaces(t *testing.T, joints int, holes specimen.Holes, seed uint64, width int) specimen.Truth {
	t.Helper()
	b, err := specimen.GenerateBoth(context.Background(), joints, 0.3, holes, seed)
	if err != nil {
		t.Fatal(err)
	}
	s, err := specimen.Render(context.Background(), b, specimen.PlainShot(width, seed))
	if err != nil {
		t.Fatal(err)
	}
	return s.Truth
}

// perfectly is the record of a tracer that makes no mistake.
func perfectly(m *image.Gray16, joints []copper.Joint) *copper.Copper {
	c := &copper.Copper{Labels: copper.Labels{W: m.Rect.Dx(), H: m.Rect.Dy(), Scale: 1, Of: make([]copper.NetID, len(m.Pix)/2)}}
	most := 0
	for i := range c.Labels.Of {
		id := int(m.Pix[2*i])<<8 | int(m.Pix[2*i+1])
		c.Labels.Of[i] = copper.NetID(id)
		most = max(most, id)
	}
	for id := range most {
		c.Nets = append(c.Nets, copper.Net{ID: copper.NetID(id + 1)})
	}
	for _, j := range joints {
		if j.Net != nil {
			c.Nets[*j.Net-1].Joints++
		}
	}
	c.Joints = joints
	return c
}

func foilJoints(truth specimen.Truth) []copper.Joint {
	var out []copper.Joint
	for _, j := range truth.Joints {
		net := copper.NetID(j.Copper)
		out = append(out, copper.Joint{X: j.Foil.X, Y: j.Foil.Y, Net: &net})
	}
	return out
}

// soldered answers from the truth whether a joint is soldered on a face.
func soldered(truth specimen.Truth) func(upper bool, at geom.Point) float64 {
	return func(upper bool, at geom.Point) float64 {
		for i, j := range truth.Joints {
			here := j.Foil
			if upper {
				here = j.Component
			}
			if here.Dist(at) > 6 {
				continue
			}
			if p := truth.Board.Pads[i]; upper && p.Top.Spread > 0 || !upper && p.Solder.Spread > 0 {
				return 0.99
			}
			return 0.01
		}
		return 0.01
	}
}

// Both faces' coppers, traced without a mistake and laid over each other, give
// the conductors that the board was made with.
func TestJoinFacesAgainstTheTruth(t *testing.T) {
	for _, row := range []struct {
		name  string
		holes specimen.Holes
		off   float64 // pixels by which the alignment errs, and says so
	}{
		{"plated holes, exact alignment", specimen.PlatedHoles, 0},
		{"plated holes, alignment a pixel and a half off", specimen.PlatedHoles, 1.5},
		{"plain holes, solder seen, exact alignment", specimen.PlainHoles, 0},
		{"plain holes, solder seen, alignment a pixel and a half off", specimen.PlainHoles, 1.5},
	} {
		t.Run(row.name, func(t *testing.T) {
			truth := bothFaces(t, 40, row.holes, 20, 600)
			r := rand.New(rand.NewPCG(2, 1))
			off := geom.Point{X: r.NormFloat64(), Y: r.NormFloat64()}.Scale(row.off)
			in := board.FacesInput{
				Foil: perfectly(truth.Copper, foilJoints(truth)), Upper: perfectly(truth.Upper.Copper, nil),
				ToUpper: func(p geom.Point) geom.Point { return truth.ComponentOf(p).Add(off) },
				Sigma:   func(geom.Point) float64 { return row.off },
				Holes:   board.Holes(row.holes),
			}
			if row.holes == specimen.PlainHoles {
				in.Soldered = soldered(truth)
			}
			checkAgainst(t, truth, in)
		})
	}
}

func checkAgainst(t *testing.T, truth specimen.Truth, in board.FacesInput) {
	t.Helper()
	got, err := board.JoinFaces(in)
	if err != nil {
		t.Fatal(err)
	}
	want := truth.Conductors(false)
	toGot, toWant := map[int]int{}, map[int]int{}
	through := 0
	for i, j := range truth.Joints {
		g, w := got.OfFoil(copper.NetID(j.Copper)), want[i]
		if o, ok := toGot[w]; ok && o != g {
			t.Fatalf("%s at (%.0f, %.0f): one conductor of the board came out as nets %d and %d", j.Net, j.Foil.X, j.Foil.Y, o, g)
		}
		if o, ok := toWant[g]; ok && o != w {
			t.Fatalf("%s at (%.0f, %.0f): net %d joins two conductors of the board", j.Net, j.Foil.X, j.Foil.Y, g)
		}
		toGot[w], toWant[g] = g, w
		if j.Through != specimen.NotThrough {
			through++
		}
	}
	if through < 5 {
		t.Errorf("only %d joints lead through: the row says little", through)
	}
}

// strips is a record with one horizontal strip of copper per entry, y from to.
func strips(w, h int, nets ...[2]int) *copper.Copper {
	m := image.NewGray16(image.Rect(0, 0, w, h))
	for k, n := range nets {
		for y := n[0]; y < n[1]; y++ {
			for x := range w {
				m.Pix[2*(y*w+x)+1] = uint8(k + 1)
			}
		}
	}
	return perfectly(m, nil)
}

func jointOn(x, y float64, net copper.NetID) copper.Joint {
	return copper.Joint{X: x, Y: y, Net: &net}
}

func TestJoinFacesByHand(t *testing.T) {
	// Two strips on the foil side, one strip across both places on the component
	// side: which of the two joints lead through decides.
	foil := func() *copper.Copper {
		c := strips(100, 60, [2]int{5, 20}, [2]int{40, 55})
		c.Joints = []copper.Joint{jointOn(50, 12, 1), jointOn(50, 47, 2)}
		return c
	}
	upper := strips(100, 60, [2]int{0, 60})
	for _, row := range []struct {
		name     string
		holes    board.Holes
		told     []board.Told
		joined   bool
		doubtful int
	}{
		{"plated holes join", board.PlatedHoles, nil, true, 0},
		{"plain holes most likely join, and are to be checked", board.PlainHoles, nil, true, 2},
		{"a beep settles one of two", board.PlainHoles, []board.Told{{At: geom.Point{X: 50, Y: 12}, Joined: true}}, true, 1},
		{"no beep parts them, and the other joint decides nothing", board.PlainHoles, []board.Told{{At: geom.Point{X: 50, Y: 12}}}, false, 0},
		{"a broken plated hole", board.PlatedHoles, []board.Told{{At: geom.Point{X: 50, Y: 47}}}, false, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := board.JoinFaces(board.FacesInput{Foil: foil(), Upper: upper, Holes: row.holes, Told: row.told,
				ToUpper: func(p geom.Point) geom.Point { return p }})
			if err != nil {
				t.Fatal(err)
			}
			if joined := got.OfFoil(1) == got.OfFoil(2); joined != row.joined {
				t.Errorf("joined %v, want %v: %+v", joined, row.joined, got.Bonds)
			}
			if len(got.Doubtful) != row.doubtful {
				t.Errorf("%d doubtful bonds, want %d: %+v", len(got.Doubtful), row.doubtful, got.Doubtful)
			}
		})
	}
}

func TestJoinFacesAsksForTheHoles(t *testing.T) {
	if _, err := board.JoinFaces(board.FacesInput{Holes: "drilled"}); err == nil || fmt.Sprint(err) != `holes: "drilled": say plated or plain` {
		t.Errorf("error %v", err)
	}
}
