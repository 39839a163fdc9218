package copper_test

import (
	"fmt"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
	"foilside/internal/specimen"
	"foilside/internal/specimen/knownboard"
)

// TestFurtherPhotosHelp traces soft photographs of rendered boards by
// themselves, with four close-ups of a steadier hand, and with a backlit one. The
// maps between the photos are the truth's: align.Further has its own tests.
func TestFurtherPhotosHelp(t *testing.T) {
	study(t)
	var alone, close, lit mean
	for i := range 6 {
		seed := uint64(650_000 + i)
		plan, err := specimen.Generate(t.Context(), 30+10*i, 0.3, seed)
		if err != nil {
			t.Fatal(err)
		}
		shot := specimen.RandomShot(1200, seed, 0.3).Foil
		steady := shot
		shot.Blur = 3
		take := func(f specimen.FaceShot) specimen.Face {
			face, err := specimen.RenderFace(t.Context(), plan, true, f, 1200, 0, seed)
			if err != nil {
				t.Fatal(err)
			}
			return face
		}
		main := take(shot)
		b, err := knownboard.Of(t.Context(), plan, main)
		if err != nil {
			t.Fatal(err)
		}
		over := func(f specimen.Face, backlit bool) copper.Further {
			p, err := photo.Decode(t.Context(), f.JPEG, "further")
			if err != nil {
				t.Fatal(err)
			}
			return copper.Further{Pixels: p.Pixels, Backlit: backlit,
				FromMain: func(at geom.Point) geom.Point { return f.View.ToPixel(main.View.ToBoard(at)) }}
		}
		var ups []copper.Further
		for _, c := range []geom.Point{{X: 0.3, Y: 0.3}, {X: 0.7, Y: 0.3}, {X: 0.3, Y: 0.7}, {X: 0.7, Y: 0.7}} {
			aim := geom.Point{X: c.X * plan.Size.X, Y: c.Y * plan.Size.Y}
			ups = append(ups, over(take(steady.CloseUp(aim, 1.9)), false))
		}
		for _, way := range []struct {
			name    string
			further []copper.Further
			to      *mean
		}{{"alone", nil, &alone}, {"with close-ups", ups, &close}, {"with a backlit one", []copper.Further{over(take(steady.Backlit()), true)}, &lit}} {
			c, err := copper.Trace(t.Context(), b.Pixels, copper.Evidence{}, copper.Options{Further: way.further})
			if err != nil {
				t.Fatal(err)
			}
			s := b.Judge(netOf(c))
			s.Log(t, fmt.Sprintf("%d %s", i, way.name))
			way.to.add(s.F1())
		}
	}
	t.Logf("mean F1 %.4f alone, %.4f with close-ups, %.4f with a backlit photo", alone.value(), close.value(), lit.value())
	if close.value() < alone.value() || lit.value() < alone.value()-0.01 {
		t.Error("further photos make the nets worse")
	}
}
