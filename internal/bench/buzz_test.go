package bench

import (
	"fmt"
	"strings"
	"testing"

	"foilside/internal/job"
	"foilside/internal/num/geom"
	"foilside/internal/specimen"
)

// tracks is the photographed foil side of a board with three tracks, and two
// places on each, in the middle of its joints.
func tracks(t *testing.T) ([]byte, [3][2]geom.Point) {
	t.Helper()
	b := specimen.Board{Name: "tracks", Size: geom.Point{X: 40, Y: 24}, Laminate: specimen.Phenolic, Finish: specimen.Tinned}
	for k, net := range []string{"a", "b", "c"} {
		y := 6 + 4*float64(k)
		b.Tracks = append(b.Tracks, specimen.Track{Net: net, Width: 2, Path: []geom.Point{{X: 6, Y: y}, {X: 34, Y: y}}})
		for _, x := range []float64{6, 34} {
			b.Pads = append(b.Pads, specimen.Pad{Net: net, At: geom.Point{X: x, Y: y}, Diameter: 2, Hole: 0.8, Solder: specimen.Solder{Spread: 0.9, Height: 0.5, Convex: 0.3, Dull: 0.4}})
		}
	}
	s, err := specimen.Render(t.Context(), b, specimen.PlainShot(800, 1))
	if err != nil {
		t.Fatal(err)
	}
	var ends [3][2]geom.Point
	for i, j := range s.Truth.Joints {
		ends[i/2][i%2] = j.Foil
	}
	return s.Foil.JPEG, ends
}

// A continuity check is evidence in the copper, as a cut or a join is: it
// changes the nets and what is in doubt, and undo takes it back.
func TestAContinuityCheckIsEvidence(t *testing.T) {
	photo, ends := tracks(t)
	middle := func(a, b geom.Point) geom.Point { return a.Add(b).Scale(0.5) }
	word := func(at geom.Point) string { return fmt.Sprintf("joint %.0f, %.0f", at.X, at.Y) }
	on, beside := middle(ends[0][0], ends[0][1]), middle(ends[0][0], ends[1][1])
	b := openText(t, fmt.Sprintf("copper: {samples: {copper: [[%.0f, %.0f]], bare: [[%.0f, %.0f]]}}\n", on.X, on.Y, beside.X, beside.Y), nil)
	if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.jpg", photo); err != nil {
		t.Fatal(err)
	}
	state := func() (joined bool, doubtful int) {
		t.Helper()
		c, err := b.Copper(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		one, two := c.At(ends[0][0]).Net, c.At(ends[1][0]).Net
		if one == nil || two == nil {
			t.Fatal("a track is on no net")
		}
		return *one == *two, len(c.Doubtful)
	}
	step := func(what string, joined bool, doubtful int) {
		t.Helper()
		if j, d := state(); j != joined || d != doubtful {
			t.Errorf("%s: tracks joined %v with %d places in doubt, want %v and %d", what, j, d, joined, doubtful)
		}
	}
	log := func(red, black, value string) {
		t.Helper()
		if _, err := b.LogReading(t.Context(), Query{Mode: "continuity", Red: red, Black: black}, value, ""); err != nil {
			t.Fatal(err)
		}
	}
	step("at first", false, 0)
	log(word(ends[0][0]), word(ends[1][0]), "joined")
	step("after one beep, which may be misheard", true, 1)
	log(word(ends[0][1]), word(ends[1][1]), "joined")
	step("after two", true, 0)
	for range 2 {
		if _, err := b.Undo(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	step("after undo", false, 0)
	log(word(ends[0][0]), word(ends[0][1]), "joined")
	step("after a check that agrees", false, 0)

	log(word(ends[0][0]), word(ends[0][0]), "joined")
	log(word(ends[0][0]), "joint 3, 3", "separate")
	got, err := b.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"both leads were held to the same", "no copper any more at foil pixel 3, 3"} {
		found := false
		for _, p := range got.Problems {
			found = found || strings.Contains(p.Text, want)
		}
		if !found {
			t.Errorf("problems %v, want one that says %q", got.Problems, want)
		}
	}
}
