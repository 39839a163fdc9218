package specimen

import (
	"context"
	"fmt"
	"image"
	"math"
	"testing"
)

// flood labels the 4-connected pieces of pixels that hold copper, knowing
// nothing of which copper it is.
func flood(m *image.Gray16) []int {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	on := func(i int) bool { return m.Pix[2*i] != 0 || m.Pix[2*i+1] != 0 }
	piece := make([]int, w*h)
	n := 0
	for s := range piece {
		if piece[s] != 0 || !on(s) {
			continue
		}
		n++
		piece[s] = n
		todo := []int{s}
		for len(todo) > 0 {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			x := i % w
			for _, j := range []int{i - w, i + w, i - 1, i + 1} {
				if j < 0 || j >= w*h || (j == i-1 && x == 0) || (j == i+1 && x == w-1) {
					continue
				}
				if piece[j] == 0 && on(j) {
					piece[j] = n
					todo = append(todo, j)
				}
			}
		}
	}
	return piece
}

// checkCoppers holds the coppers of the truth against the pieces of the mask.
func checkCoppers(t *testing.T, tr Truth) {
	t.Helper()
	piece := flood(tr.Copper)
	of := map[int]int{} // piece → copper
	pixels := map[int]int{}
	for i, p := range piece {
		if p == 0 {
			continue
		}
		c := int(tr.Copper.Pix[2*i])<<8 | int(tr.Copper.Pix[2*i+1])
		if of[p] == 0 {
			of[p] = c
		} else if of[p] != c {
			t.Fatalf("coppers %d and %d touch at pixel (%d, %d)", of[p], c, i%tr.Foil.Width, i/tr.Foil.Width)
		}
		pixels[p]++
	}
	seen := map[int]int{}
	for p, c := range of {
		// Where a track's ragged edge meets a hole a crumb of a pixel or two may stand alone.
		if pixels[p] > 12 {
			seen[c]++
		}
	}
	for _, c := range tr.Coppers {
		if seen[c.ID] != 1 {
			t.Errorf("copper %d (%s) shows as %d pieces", c.ID, c.Net, seen[c.ID])
		}
	}
}

func TestTruthHoldsTogether(t *testing.T) {
	for _, k := range []struct {
		joints     int
		difficulty float64
		seed       uint64
	}{{20, 0, 7}, {50, 0.5, 7}, {100, 1, 7}, {40, 0.3, 5}, {60, 0.6, 21}, {60, 0.6, 24}, {60, 0.6, 25}} {
		t.Run(fmt.Sprintf("%d joints, difficulty %g, seed %d", k.joints, k.difficulty, k.seed), func(t *testing.T) {
			t.Parallel()
			b, err := Generate(context.Background(), k.joints, k.difficulty, k.seed)
			if err != nil {
				t.Fatal(err)
			}
			s, err := Render(context.Background(), b, RandomShot(900, k.seed, k.difficulty))
			if err != nil {
				t.Fatal(err)
			}
			checkCoppers(t, s.Truth)
			checkJoints(t, s.Truth)
			checkMaps(t, s.Truth)
		})
	}
}

func checkJoints(t *testing.T, tr Truth) {
	t.Helper()
	for _, j := range tr.Joints {
		if j.Part == "" {
			t.Errorf("joint at %v mm carries no lead", j.At)
		}
		if !j.Soldered {
			continue
		}
		if c := tr.ClassAt(j.Foil); c != SolderClass && c != WireClass {
			t.Errorf("joint of %s lead %s: its pixel shows class %d, not solder", j.Part, j.Lead, c)
		}
		if c := tr.CopperAt(j.Foil); c != j.Copper {
			t.Errorf("joint of %s lead %s is on copper %d, its pixel on %d", j.Part, j.Lead, j.Copper, c)
		}
		if n := tr.Coppers[j.Copper-1]; n.ID != j.Copper || n.Net != j.Net {
			t.Errorf("joint of %s lead %s: net %s, its copper carries %s", j.Part, j.Lead, j.Net, n.Net)
		}
	}
}

func TestSamplesLieOnWhatTheyName(t *testing.T) {
	b, err := Generate(context.Background(), 25, 0.3, 4)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Render(context.Background(), b, RandomShot(900, 4, 0.3))
	if err != nil {
		t.Fatal(err)
	}
	copper, bare := s.Truth.Samples(8, 1)
	if len(copper) != 8 || len(bare) != 8 {
		t.Fatalf("%d copper and %d bare samples, want 8 of each", len(copper), len(bare))
	}
	solder := 0
	for _, p := range copper {
		switch s.Truth.ClassAt(p) {
		case SolderClass:
			solder++
		case CopperClass:
		default:
			t.Errorf("copper sample at %v shows class %d", p, s.Truth.ClassAt(p))
		}
	}
	if solder != 4 {
		t.Errorf("%d of 8 metal samples are on solder, want half", solder)
	}
	for _, p := range bare {
		if c := s.Truth.ClassAt(p); c != BareBoard {
			t.Errorf("bare sample at %v shows class %d", p, c)
		}
	}
}

func checkMaps(t *testing.T, tr Truth) {
	t.Helper()
	for _, p := range tr.Pairs(50, 0, 3) {
		if d := tr.FoilOf(p.Component).Dist(p.Foil); d > 1e-6 {
			t.Errorf("component %v goes to foil %v, off by %g", p.Component, p.Foil, d)
		}
		if d := tr.ComponentOf(p.Foil).Dist(p.Component); d > 1e-6 {
			t.Errorf("foil %v goes back off by %g", p.Foil, d)
		}
		flat := tr.Foil.Lens.Distort(tr.Matrix().Apply(tr.Component.Lens.Undistort(p.Component)))
		if d := flat.Dist(p.Foil); d > 1e-6 {
			t.Errorf("matrix and lenses are off by %g", d)
		}
	}
	if d := tr.Matrix().Det(); d >= 0 || math.IsNaN(d) {
		t.Errorf("the map between the faces has determinant %g: a turned board mirrors", d)
	}
}
