package bench

import (
	"slices"
	"testing"

	"foilside/internal/job"
	"foilside/internal/specimen"
)

// A close-up is laid on the foil photo and used; a photo of another board is
// kept, named as not usable, and left out.
func TestFurtherPhotos(t *testing.T) {
	board, err := specimen.Generate(t.Context(), 40, 0.1, 2)
	if err != nil {
		t.Fatal(err)
	}
	other, err := specimen.Generate(t.Context(), 40, 0.1, 3)
	if err != nil {
		t.Fatal(err)
	}
	shot := specimen.RandomShot(1400, 2, 0.1)
	take := func(b specimen.Board, of specimen.FaceShot) []byte {
		face, err := specimen.RenderFace(t.Context(), b, true, of, 1400, 0, 2)
		if err != nil {
			t.Fatal(err)
		}
		return face.JPEG
	}
	near := take(board, shot.Foil.CloseUp(board.Size.Scale(0.6), 2))
	b := openText(t, "{}\n", nil)
	if _, err := b.AddFurther(t.Context(), "near.jpg", near, false); err == nil {
		t.Fatal("a close-up was taken before there is a photo to lay it on")
	}
	if _, err := b.SetPhoto(t.Context(), job.FoilSide, "foil.jpg", take(board, shot.Foil)); err != nil {
		t.Fatal(err)
	}
	alone, err := b.Copper(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.AddFurther(t.Context(), "foil.jpg", near, false); err != nil {
		t.Fatal(err)
	}
	if _, err := b.AddFurther(t.Context(), "again.jpg", near, true); err == nil {
		t.Error("the same file was taken twice")
	}
	if _, err := b.AddFurther(t.Context(), "stranger.jpg", take(other, shot.Foil.CloseUp(other.Size.Scale(0.5), 2)), false); err != nil {
		t.Fatal(err)
	}
	all, err := b.Further(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].File != "foil-2.jpg" || all[0].Unusable != nil || all[1].Unusable == nil {
		t.Fatalf("got %d further photos: %+v; want foil-2.jpg usable and the stranger not", len(all), all)
	}
	both, err := b.Copper(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if both == alone {
		t.Error("the tracing is the same object as without the close-up")
	}
	for _, name := range []string{"stranger.jpg", "foil-2.jpg"} {
		takeOut := func(d *job.Document) error {
			d.Photos.Further = slices.DeleteFunc(d.Photos.Further, func(f job.FurtherPhoto) bool { return f.File == name })
			return nil
		}
		if _, err := b.Revise(t.Context(), "Take out", takeOut); err != nil {
			t.Fatal(err)
		}
	}
	if again, err := b.Copper(t.Context()); err != nil || again != alone {
		t.Errorf("without the close-up the tracing is %p, %v; want the first one again, %p", again, err, alone)
	}
	if _, err := b.Undo(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := b.document().Photos.Further; len(got) != 1 || got[0].File != "foil-2.jpg" {
		t.Errorf("after undo the further photos are %v", got)
	}
}
