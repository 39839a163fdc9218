package copper_test

import (
	"context"
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// made is one rendered board with its truth.
type made struct {
	what   string
	pixels *image.RGBA
	truth  specimen.Truth
	joints []joint
}

func makeBoard(t testing.TB, joints int, difficulty float64, seed uint64) made {
	t.Helper()
	ctx := context.Background()
	b, err := specimen.Generate(ctx, joints, difficulty, seed)
	if err != nil {
		t.Fatal(err)
	}
	s, err := specimen.Render(ctx, b, specimen.RandomShot(2000, seed, difficulty))
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(ctx, s.Foil.JPEG, "specimen")
	if err != nil {
		t.Fatal(err)
	}
	m := made{pixels: p.Pixels, truth: s.Truth}
	m.what = fmt.Sprintf("%.2f %v %v %v, %d wires", difficulty, b.Laminate, b.Finish, b.Mask, len(b.Jumpers))
	for _, j := range s.Truth.Joints {
		m.joints = append(m.joints, joint{j.Foil, fmt.Sprint(j.Copper), true})
	}
	return m
}

// samples points at 8 places: 3 tracks, 2 joints, 3 bare places, each at least
// 4 pixels from where the look changes.
func (m made) samples(seed uint64) copper.Evidence {
	r := rand.New(rand.NewPCG(seed, 3))
	want := map[specimen.Class]int{specimen.CopperClass: 3, specimen.SolderClass: 2, specimen.BareBoard: 3}
	var ev copper.Evidence
	for tries := 0; len(ev.Copper)+len(ev.Bare) < 8 && tries < 5_000_000; tries++ {
		x, y := r.IntN(m.pixels.Rect.Dx()), r.IntN(m.pixels.Rect.Dy())
		class, ok := m.flat(x, y)
		if !ok || want[class] == 0 {
			continue
		}
		want[class]--
		at := geom.Point{X: float64(x), Y: float64(y)}
		if class == specimen.BareBoard {
			ev.Bare = append(ev.Bare, at)
		} else {
			ev.Copper = append(ev.Copper, at)
		}
	}
	return ev
}

func (m made) flat(x, y int) (specimen.Class, bool) {
	k := m.truth.Class.GrayAt(x, y).Y
	for dy := -4; dy <= 4; dy += 2 {
		for dx := -4; dx <= 4; dx += 2 {
			if m.truth.Class.GrayAt(x+dx, y+dy).Y != k {
				return 0, false
			}
		}
	}
	return specimen.Class(k), true
}

// TestSpecimens traces rendered boards from 8 colour samples drawn by chance.
// One of them always, all 20 as a study.
func TestSpecimens(t *testing.T) {
	t.Run("one", func(t *testing.T) { traceSpecimens(t, []int{1}) })
	t.Run("twenty", func(t *testing.T) {
		study(t)
		all := make([]int, 20)
		for i := range all {
			all[i] = i
		}
		traceSpecimens(t, all)
	})
}

// Boards with insulated wires over the foil are counted apart: a wire that
// looks like solder joins what it crosses until someone cuts it.
func traceSpecimens(t *testing.T, which []int) {
	var plain, wired mean
	for _, i := range which {
		seed := uint64(2000 + i)
		m := makeBoard(t, 20+4*i, 0.02*float64(i), seed)
		c, err := copper.Trace(t.Context(), m.pixels, m.samples(seed), copper.Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := judge(c, m.joints)
		s.log(t, fmt.Sprintf("%2d %s", i, m.what))
		if len(m.truth.Board.Jumpers) > 0 {
			wired.add(s.f1())
		} else {
			plain.add(s.f1())
		}
	}
	t.Logf("mean F1 %.4f over %d boards without wires, %.4f over %d with", plain.value(), plain.n, wired.value(), wired.n)
	if plain.value() < 0.97 {
		t.Errorf("mean F1 %.4f without wires, want 0.97", plain.value())
	}
	if wired.n > 0 && wired.value() < 0.75 {
		t.Errorf("mean F1 %.4f with wires, want 0.75", wired.value())
	}
}

type mean struct {
	sum float64
	n   int
}

func (m *mean) add(v float64) { m.sum, m.n = m.sum+v, m.n+1 }
func (m mean) value() float64 { return m.sum / float64(max(m.n, 1)) }
