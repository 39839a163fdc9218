package align_test

import (
	"context"
	"errors"
	"testing"

	"foilside/internal/align"
	"foilside/internal/num/geom"
	"foilside/internal/specimen"
)

// Close-ups and a backlit photo of the foil side, laid over the main one:
// within a pixel or two of where they belong; a photo of another board: refused.
func TestFurther(t *testing.T) {
	ctx := context.Background()
	board, err := specimen.Generate(ctx, 60, 0.2, 61)
	if err != nil {
		t.Fatal(err)
	}
	other, err := specimen.Generate(ctx, 60, 0.2, 62)
	if err != nil {
		t.Fatal(err)
	}
	shot := specimen.RandomShot(1000, 61, 0.2)
	take := func(b specimen.Board, f specimen.FaceShot) specimen.Face {
		p, err := specimen.RenderFace(ctx, b, true, f, 1000, 0, 5)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	main := take(board, shot.Foil)
	turned := shot.Foil.CloseUp(board.Size.Scale(0.4), 2.5)
	turned.Camera.Spin += 0.5
	for _, c := range []struct {
		name    string
		further specimen.Face
		backlit bool
		found   bool
	}{
		{"close-up", take(board, shot.Foil.CloseUp(board.Size.Scale(0.6), 2)), false, true},
		{"close-up turned in the hand", take(board, turned), false, true},
		{"backlit", take(board, shot.Foil.Backlit()), true, true},
		{"another board", take(other, shot.Foil.CloseUp(other.Size.Scale(0.5), 2)), false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := align.Further(ctx, decoded(t, c.further.JPEG), decoded(t, main.JPEG), align.FurtherOptions{Backlit: c.backlit})
			var p *align.Problem
			if !c.found {
				if !errors.As(err, &p) || p.Next() == "" {
					t.Errorf("got %v, want a refusal with advice", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			worst := 0.0
			for i := range 25 {
				at := geom.Point{X: 1000 * (0.1 + 0.2*float64(i%5)), Y: 750 * (0.1 + 0.2*float64(i/5))}
				worst = max(worst, a.ToFoil(at).Dist(main.View.ToPixel(c.further.View.ToBoard(at))))
			}
			t.Logf("worst of 25 places %.2f px of the main photo, %d wide", worst, main.View.Width)
			if worst > 3 || a.Mirrored() {
				t.Errorf("off by %.2f px, mirrored %v", worst, a.Mirrored())
			}
		})
	}
}
