package align

import (
	"context"
	"errors"
	"os"
	"strconv"
	"testing"

	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// sightOf makes a board's pair of photos and looks at both, and at a second
// photo of the component side taken as a foil photo.
func sightOf(t *testing.T, i int, seed uint64) (pair *Sight, again *seen) {
	t.Helper()
	ctx := context.Background()
	difficulty := float64(i%4) / 3
	board, err := specimen.Generate(ctx, 20+(i*7)%100, difficulty, seed)
	if err != nil {
		t.Fatal(err)
	}
	shot := specimen.RandomShot(2000, seed, difficulty)
	s, err := specimen.Render(ctx, board, shot)
	if err != nil {
		t.Fatal(err)
	}
	component, foil := decode(t, s.Component.JPEG), decode(t, s.Foil.JPEG)
	if pair, err = Look(ctx, component, foil, Options{}); err != nil {
		t.Fatal(err)
	}
	if again, err = lookFor(ctx, component); err == nil {
		err = again.lookAt(ctx, true)
	}
	if err != nil {
		t.Fatal(err)
	}
	return pair, again
}

func decode(t *testing.T, jpeg []byte) *photo.Photo {
	t.Helper()
	p, err := photo.Decode(context.Background(), jpeg, "made.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestStudyStrangers lays the component photo of each of some boards over the
// foil photo of every other, and over itself: none may be taken.
func TestStudyStrangers(t *testing.T) {
	count, err := strconv.Atoi(os.Getenv("FOILSIDE_STUDY"))
	if err != nil {
		t.Skip("a study of minutes; set FOILSIDE_STUDY=1, or to a number of boards")
	}
	if count == 1 {
		count = 25
	}
	first := 33000
	if s, err := strconv.Atoi(os.Getenv("FOILSIDE_SEED")); err == nil {
		first = s
	}
	ctx := context.Background()
	var pairs []*Sight
	taken, asked, same, tried := 0, 0, 0, 0
	for i := range count {
		pair, again := sightOf(t, i, uint64(first+i))
		pairs = append(pairs, pair)
		itself := &Sight{on: pair.on, under: again, sizes: Sizes{pair.sizes.Component, pair.sizes.Component}}
		_, err := itself.search(ctx, nil, Options{})
		var p *Problem
		switch {
		case err == nil:
			t.Errorf("seed %d: the component photo was laid over itself", first+i)
		case errors.As(err, &p) && p.Kind == SameFace:
			same++
		default:
			asked++
		}
	}
	for i, a := range pairs {
		for k, b := range pairs {
			if i == k {
				continue
			}
			tried++
			strangers := &Sight{on: a.on, under: b.under, sizes: Sizes{a.sizes.Component, b.sizes.Foil}}
			if found, err := strangers.search(ctx, nil, Options{}); err == nil {
				taken++
				t.Errorf("seeds %d and %d: photos of two boards were laid over each other: %s", first+i, first+k, found.Confidence)
			}
		}
	}
	t.Logf("%d pairs of different boards, %d taken; of %d faces laid over themselves %d called the same face, %d not placed", tried, taken, count, same, asked)
}
