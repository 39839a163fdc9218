package board_test

import (
	"image"
	"testing"

	"foilside/internal/board"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/specimen"
)

// inSight is the record of a tracer that names every visible piece of the
// component side's copper rightly, and the mask of what parts hide.
func inSight(s *specimen.Side) (*copper.Copper, raster.Mask) {
	w, h := s.Class.Rect.Dx(), s.Class.Rect.Dy()
	metal, front := raster.NewMask(w, h), raster.NewMask(w, h)
	for i, c := range s.Class.Pix {
		switch specimen.Class(c) {
		case specimen.CopperClass, specimen.SolderClass:
			metal.Pix[i] = 1
		case specimen.WireClass:
			front.Pix[i] = 1
		}
	}
	pieces := raster.Components(metal, false)
	c := &copper.Copper{Labels: copper.Labels{W: w, H: h, Scale: 1, Of: make([]copper.NetID, w*h)}}
	for i, p := range pieces.Of {
		c.Labels.Of[i] = copper.NetID(p)
	}
	for id := 1; id < len(pieces.Areas); id++ {
		c.Nets = append(c.Nets, copper.Net{ID: copper.NetID(id)})
	}
	return c, front
}

// Of what JoinFaces says of copper under parts, as much is true as it says.
// The odds in hidden.go were set on seeds 1 to 12; these are others.
func TestHiddenCopperIsCalibrated(t *testing.T) {
	sure, sureRight, unlikely, unlikelyRight := 0, 0, 0, 0
	followed, seen := 0, 0
	for seed := uint64(31); seed <= 35; seed++ {
		truth := bothFaces(t, 45, specimen.PlatedHoles, seed, 700)
		upper, front := inSight(truth.Upper)
		in := board.FacesInput{Foil: perfectly(truth.Copper, foilJoints(truth)), Upper: upper, Holes: board.PlatedHoles,
			ToUpper: func(p geom.Point) geom.Point { return truth.ComponentOf(p) }}
		without, err := board.JoinFaces(in)
		if err != nil {
			t.Fatal(err)
		}
		in.Front = &front
		with, err := board.JoinFaces(in)
		if err != nil {
			t.Fatal(err)
		}
		seen += pairsFound(truth, without)
		followed += pairsFound(truth, with)
		for _, h := range with.Hidden {
			a, b := copperOf(truth.Upper.Copper, h.Between[0]), copperOf(truth.Upper.Copper, h.Between[1])
			switch right := a == b; {
			case h.ProbabilityJoined >= 0.7:
				sure++
				if right {
					sureRight++
				}
			case h.ProbabilityJoined < 0.3:
				unlikely++
				if right {
					unlikelyRight++
				}
			}
		}
	}
	t.Logf("likely stretches %d of %d right, unlikely ones %d of %d; joint pairs found %d, without looking under parts %d",
		sureRight, sure, unlikelyRight, unlikely, followed, seen)
	if sure < 10 || sureRight*10 < sure*8 {
		t.Errorf("%d of %d stretches given 0.7 and more are so", sureRight, sure)
	}
	if unlikelyRight*10 > unlikely*4 {
		t.Errorf("%d of %d stretches given less than 0.3 are so", unlikelyRight, unlikely)
	}
	if followed <= seen {
		t.Errorf("looking under parts finds %d pairs of joints, not looking %d", followed, seen)
	}
}

// copperOf is the copper nearest to a pixel, within two.
func copperOf(m *image.Gray16, at [2]float64) uint16 {
	best, bestD := uint16(0), 9
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			if c := m.Gray16At(int(at[0]+0.5)+dx, int(at[1]+0.5)+dy).Y; c != 0 && dx*dx+dy*dy < bestD {
				best, bestD = c, dx*dx+dy*dy
			}
		}
	}
	return best
}

// pairsFound counts the pairs of joints on one conductor that came out on one net.
func pairsFound(truth specimen.Truth, got board.FacesJoined) int {
	n := 0
	want := truth.Conductors(false)
	for i, a := range truth.Joints {
		for k, b := range truth.Joints[:i] {
			if want[i] == want[k] && got.OfFoil(copper.NetID(a.Copper)) == got.OfFoil(copper.NetID(b.Copper)) {
				n++
			}
		}
	}
	return n
}

// A track that runs straight under a body is followed; two tracks that meet a
// body side by side are not joined.
func TestHiddenCopperByHand(t *testing.T) {
	upper := strips(120, 60, [2]int{10, 16}, [2]int{40, 46})
	front := raster.NewMask(120, 60)
	for y := range 60 {
		for x := 50; x < 70; x++ {
			front.Pix[y*120+x] = 1
			upper.Labels.Of[y*120+x] = 0
		}
		for x := 70; x < 120; x++ { // the far halves are pieces of their own
			if id := upper.Labels.Of[y*120+x]; id != 0 {
				upper.Labels.Of[y*120+x] = id + 2
			}
		}
	}
	upper.Nets = []copper.Net{{ID: 1}, {ID: 2}, {ID: 3}, {ID: 4}}
	foil := strips(120, 60)
	got, err := board.JoinFaces(board.FacesInput{Foil: foil, Upper: upper, Front: &front, Holes: board.PlatedHoles,
		ToUpper: func(p geom.Point) geom.Point { return p }})
	if err != nil {
		t.Fatal(err)
	}
	if got.OfUpper(1) != got.OfUpper(3) || got.OfUpper(2) != got.OfUpper(4) || got.OfUpper(1) == got.OfUpper(2) {
		t.Errorf("nets %+v, hidden %+v", got.Nets, got.Hidden)
	}
}

func TestJoinFacesRefusesAnotherMask(t *testing.T) {
	front := raster.NewMask(10, 10)
	_, err := board.JoinFaces(board.FacesInput{Foil: strips(20, 20), Upper: strips(20, 20), Front: &front, Holes: board.PlatedHoles})
	if err == nil {
		t.Error("a mask of another size was taken")
	}
}
