package board_test

import (
	"context"
	"image"
	"math"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/specimen"
)

// wiresDrawn is a mask with wires of the given width along paths.
func wiresDrawn(w, h int, width float64, paths ...[]geom.Point) raster.Mask {
	m := raster.NewMask(w, h)
	for y := range h {
		for x := range w {
			for _, p := range paths {
				for i := 1; i < len(p); i++ {
					if awayFrom(p[i-1], p[i], geom.Point{X: float64(x), Y: float64(y)}) <= width/2 {
						m.Pix[y*w+x] = 1
					}
				}
			}
		}
	}
	return m
}

// awayFrom is the distance of p from the segment from a to b.
func awayFrom(a, b, p geom.Point) float64 {
	v, w := b.Sub(a), p.Sub(a)
	t := max(0, min(1, (v.X*w.X+v.Y*w.Y)/(v.X*v.X+v.Y*v.Y)))
	return w.Sub(v.Scale(t)).Norm()
}

func TestFindWiresByHand(t *testing.T) {
	pt := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	joints := []copper.Joint{jointOn(20, 50, 1), jointOn(180, 50, 2), jointOn(100, 10, 3), jointOn(100, 110, 4)}
	straight, across := []geom.Point{pt(24, 50), pt(176, 50)}, []geom.Point{pt(100, 14), pt(100, 106)}
	for _, row := range []struct {
		name  string
		front raster.Mask
		want  [][2]int // joints by number, -1: leaves
	}{
		{"one straight wire", wiresDrawn(200, 120, 7, straight), [][2]int{{0, 1}}},
		{"two wires that cross go straight on", wiresDrawn(200, 120, 7, straight, across), [][2]int{{0, 1}, {2, 3}}},
		{"a bent wire", wiresDrawn(200, 120, 6, []geom.Point{pt(24, 50), pt(70, 60), pt(90, 90), pt(98, 104)}), [][2]int{{0, 3}}},
		{"a wire that leaves the photo", wiresDrawn(200, 120, 6, []geom.Point{pt(24, 50), pt(60, 80), pt(60, 119)}), [][2]int{{0, -1}}},
		{"a blob is no wire", wiresDrawn(200, 120, 30, []geom.Point{pt(80, 60), pt(90, 60)}), nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := board.FindWires(board.WiresInput{Front: row.front, Off: raster.NewMask(200, 120), Scale: 1, Joints: joints})
			if len(got) != len(row.want) {
				t.Fatalf("%d wires, want %d: %+v", len(got), len(row.want), got)
			}
			for _, want := range row.want {
				if !hasWire(got, want) {
					t.Errorf("no wire between %v: %+v", want, got)
				}
			}
		})
	}
}

func hasWire(wires []board.Wire, want [2]int) bool {
	number := func(e board.WireEnd) int {
		if e.Joint == nil {
			return -1
		}
		return *e.Joint
	}
	for _, w := range wires {
		a, b := number(w.Ends[0]), number(w.Ends[1])
		if [2]int{a, b} == want || [2]int{b, a} == want {
			leaves := w.Ends[0].Leaves || w.Ends[1].Leaves
			return leaves == (want[0] < 0 || want[1] < 0) && (w.Kind == board.OffBoard) == leaves
		}
	}
	return false
}

// Insulated wires of rendered boards, from the true mask of what lies in
// front: how many are taken from joint to joint as they were soldered.
func TestFindWiresOnRenderedBoards(t *testing.T) {
	made, found, said := 0, 0, 0
	for _, seed := range []uint64{1, 5, 6, 8} { // those of the first eight that needed wires
		b, err := specimen.Generate(context.Background(), 55, 1, seed)
		if err != nil {
			t.Fatal(err)
		}
		f, err := specimen.RenderFace(context.Background(), b, true, specimen.PlainShot(900, seed).Foil, 900, 0, seed)
		if err != nil {
			t.Fatal(err)
		}
		in := board.WiresInput{Front: ofClass(f.Class, specimen.WireClass), Off: ofClass(f.Class, specimen.Background), Scale: 1}
		for k, p := range b.Pads {
			q := f.View.ToPixel(p.At)
			in.Joints = append(in.Joints, jointOn(q.X, q.Y, copper.NetID(k+1)))
		}
		wires := board.FindWires(in)
		said += len(wires)
		for _, j := range b.Jumpers {
			made++
			if hasWire(wires, [2]int{padAt(b, j.Path[0]), padAt(b, j.Path[len(j.Path)-1])}) {
				found++
			}
		}
	}
	t.Logf("%d of %d wires found between their joints; %d were said to be", found, made, said)
	if made < 5 || found*10 < made*7 {
		t.Errorf("%d of %d wires found, want seven of ten", found, made)
	}
}

func ofClass(class *image.Gray, c specimen.Class) raster.Mask {
	m := raster.NewMask(class.Rect.Dx(), class.Rect.Dy())
	for i, k := range class.Pix {
		if specimen.Class(k) == c {
			m.Pix[i] = 1
		}
	}
	return m
}

func padAt(b specimen.Board, p geom.Point) int {
	best, bestD := -1, math.Inf(1)
	for i, q := range b.Pads {
		if d := q.At.Dist(p); d < bestD {
			best, bestD = i, d
		}
	}
	return best
}
