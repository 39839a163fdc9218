package specimen

import (
	"context"
	"fmt"
	"testing"

	"foilside/internal/num/geom"
)

func bothFaces(t *testing.T, joints int, holes Holes, seed uint64, width int) *Specimen {
	t.Helper()
	b, err := GenerateBoth(context.Background(), joints, 0.3, holes, seed)
	if err != nil {
		t.Fatal(err)
	}
	for i := range b.Parts { // leads that are taken out join nothing
		b.Parts[i].Missing = false
	}
	s, err := Render(context.Background(), b, PlainShot(width, seed))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// What copper of both faces, holes, leads and wires join is exactly the
// circuit's nets.
func TestBothFacesCarryTheCircuit(t *testing.T) {
	for _, holes := range []Holes{PlainHoles, PlatedHoles} {
		for seed := range uint64(4) {
			t.Run(fmt.Sprintf("%s holes, seed %d", holes, seed), func(t *testing.T) {
				b, err := GenerateBoth(context.Background(), 40, 0, holes, seed)
				if err != nil {
					t.Fatal(err)
				}
				for i := range b.Parts {
					b.Parts[i].Missing = false
				}
				for i := range b.Pads {
					if b.Pads[i].Solder.Spread <= 0 && !b.Pads[i].Wire {
						b.Pads[i].Solder = Solder{Spread: 0.8, Height: 0.4}
						b.Pads[i].Top = Solder{Spread: 0.8, Height: 0.2}
					}
				}
				s, err := Render(context.Background(), b, PlainShot(300, seed))
				if err != nil {
					t.Fatal(err)
				}
				checkConductors(t, s.Truth)
			})
		}
	}
}

func checkConductors(t *testing.T, truth Truth) {
	t.Helper()
	net, conductor := map[int]string{}, map[string]int{}
	through := 0
	for i, c := range truth.Conductors(true) {
		j := truth.Joints[i]
		if j.Through != NotThrough {
			through++
		}
		if other, ok := net[c]; ok && other != j.Net {
			t.Fatalf("nets %s and %s are one conductor", j.Net, other)
		}
		if other, ok := conductor[j.Net]; ok && other != c {
			t.Fatalf("net %s is in two pieces, one of them at (%.1f, %.1f) mm", j.Net, j.At.X, j.At.Y)
		}
		net[c], conductor[j.Net] = j.Net, c
	}
	if through == 0 || len(truth.Board.Upper.Tracks) == 0 {
		t.Errorf("%d joints lead through, %d tracks on the component side", through, len(truth.Board.Upper.Tracks))
	}
}

// No two nets touch on the component side: judged by the plot that knows only
// strokes and polygons.
func TestUpperCopperKeepsNetsApart(t *testing.T) {
	for seed := range uint64(4) {
		b, err := GenerateBoth(context.Background(), 50, 0.5, PlatedHoles, seed)
		if err != nil {
			t.Fatal(err)
		}
		u, _ := b.upperBoard()
		plot(t, u)
		plot(t, b)
	}
}

// The truth of the component photograph holds at the middle of every upper
// track that no part hides.
func TestUpperTruthShowsTheTracks(t *testing.T) {
	s := bothFaces(t, 30, PlatedHoles, 2, 900)
	seen := 0
	for _, tr := range s.Truth.Board.Upper.Tracks {
		for i := 1; i < len(tr.Path); i++ {
			px := s.Truth.Component.ToPixel(tr.Path[i-1].Add(tr.Path[i]).Scale(0.5))
			x, y := int(px.X+0.5), int(px.Y+0.5)
			switch c := Class(s.Truth.Upper.Class.GrayAt(x, y).Y); c {
			case CopperClass, SolderClass:
				seen++
			case WireClass, HoleClass:
			default:
				t.Errorf("a track at pixel (%d, %d) shows as class %d", x, y, c)
			}
			if c := Class(s.Truth.Upper.Class.GrayAt(x, y).Y); s.Truth.Upper.Copper.Gray16At(x, y).Y == 0 && c != HoleClass && c != WireClass {
				t.Errorf("no copper at pixel (%d, %d) of a track", x, y)
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d places of tracks are seen", seen)
	}
}

func TestWiresAreListed(t *testing.T) {
	b, err := Generate(context.Background(), 40, 0.9, 5)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Render(context.Background(), b, PlainShot(300, 1))
	if err != nil {
		t.Fatal(err)
	}
	want := map[WireKind]int{JumperWire: len(b.Jumpers)}
	for _, p := range b.Parts {
		switch {
		case p.Missing:
		case p.Body == LinkBody:
			want[LinkWire]++
		case p.Body == WiresBody:
			want[OffBoard] += len(p.Leads)
		}
	}
	got := map[WireKind]int{}
	for _, w := range s.Truth.Wires {
		got[w.Kind]++
		for _, e := range w.Ends {
			if e.Copper == 0 || e.Foil == (geom.Point{}) {
				t.Errorf("%s of net %s ends on no copper", w.Kind, w.Net)
			}
		}
	}
	for k, n := range want {
		if got[k] != n {
			t.Errorf("%d wires of kind %s, want %d", got[k], k, n)
		}
	}
}
