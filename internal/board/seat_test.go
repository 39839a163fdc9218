package board_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// pitch is 2.54 mm on a photo of 12 pixels a millimetre.
const pitch = 30.0

// grid is a copper record with joints on a grid of one pitch, every one on a
// net of its own.
func grid(t *testing.T, columns, rows int) *copper.Copper {
	t.Helper()
	copied := *newBars(t).Copper
	c := &copied
	c.Joints = nil
	for i := range columns * rows {
		id := copper.NetID(i + 1)
		c.Joints = append(c.Joints, copper.Joint{X: 30 + pitch*float64(i%columns), Y: 30 + pitch*float64(i/columns), Net: &id})
	}
	return c
}

func jointOf(c *copper.Copper, i int) geom.Point {
	return geom.Point{X: c.Joints[i].X, Y: c.Joints[i].Y}
}

// round is the covariance of an alignment that errs by sigma every way.
func round(sigma float64) [2][2]float64 {
	return [2][2]float64{{sigma * sigma, 0}, {0, sigma * sigma}}
}

func TestALeadBetweenTwoJointsIsAskedAbout(t *testing.T) {
	c := grid(t, 6, 2)
	at := func(i int, dx float64) geom.Point { return jointOf(c, i).Add(geom.Point{X: dx}) }
	for _, row := range []struct {
		name     string
		leads    []geom.Point
		cov      [2][2]float64
		first    copper.NetID
		question string // of the first lead
	}{
		{"on its joint", []geom.Point{at(2, 1)}, round(1), 3, ""},
		{"halfway", []geom.Point{at(2, 14.5)}, round(1), 3, "could be in joint 3 at foil pixel 90, 30 (59 %) or joint 4 at foil pixel 120, 30 (39 %)"},
		{"near, but the alignment is poor", []geom.Point{at(2, 9)}, round(20), 3, "joint 4"},
		{"the neighbour's lead stands in the other", []geom.Point{at(2, 13), at(3, 0)}, round(1), 3, ""},
		{"one net either way", []geom.Point{at(2, 14.5)}, round(1), 3, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			copperHere := *c
			if row.name == "one net either way" {
				copperHere.Joints = append([]copper.Joint(nil), c.Joints...)
				copperHere.Joints[3].Net = copperHere.Joints[2].Net
			}
			in := board.Input{Copper: &copperHere}
			for i, p := range row.leads {
				in.Landings = append(in.Landings, board.Landing{Lead: circuit.LeadRef{Part: "U1", Lead: circuit.LeadName(fmt.Sprint(i + 1))}, At: p, Cov: row.cov, Hand: 6})
			}
			got := board.Land(in)
			if got.Placed[0].Copper != row.first {
				t.Errorf("on net %d, want %d", got.Placed[0].Copper, row.first)
			}
			if (row.question == "") != (len(got.Questions) == 0) {
				t.Fatalf("questions %+v, want %q", got.Questions, row.question)
			}
			checkProblem(t, got.Problems, row.question)
		})
	}
}

// The probabilities are honest: of the leads that are on their net with 0.8, so
// many are. Parts of two to eight leads in a row, an alignment that errs the
// same for all leads of a part, and a hand that errs for each.
func TestSeatsAreCalibrated(t *testing.T) {
	c := grid(t, 12, 7)
	r := rand.New(rand.NewPCG(5, 5))
	var reckoned, right, n [10]float64
	silent, leads := 0, 0
	for range 1500 {
		cov := [2][2]float64{{r.Float64() * 150, 0}, {0, r.Float64() * 150}}
		cov[0][1] = (2*r.Float64() - 1) * math.Sqrt(cov[0][0]*cov[1][1])
		cov[1][0] = cov[0][1]
		a := math.Sqrt(cov[0][0])
		u, v := r.NormFloat64(), r.NormFloat64()
		drift := geom.Point{X: a * u, Y: cov[0][1]/a*u + math.Sqrt(math.Max(0, cov[1][1]-cov[0][1]*cov[0][1]/cov[0][0]))*v}
		count := 2 + r.IntN(7)
		first := 12*r.IntN(7) + r.IntN(13-count)
		in := board.Input{Copper: c}
		for k := range count {
			hand := geom.Point{X: 6 * r.NormFloat64(), Y: 6 * r.NormFloat64()}
			in.Landings = append(in.Landings, board.Landing{Lead: circuit.LeadRef{Part: "U1", Lead: circuit.LeadName(fmt.Sprint(k + 1))},
				At: jointOf(c, first+k).Add(drift).Add(hand), Cov: cov, Hand: 6})
		}
		got := board.Land(in)
		asked := map[circuit.LeadRef]bool{}
		for _, q := range got.Questions {
			asked[q.Lead] = true
		}
		for _, p := range got.Placed {
			var k int
			if _, err := fmt.Sscan(string(p.Lead.Lead), &k); err != nil {
				t.Fatal(err)
			}
			is := p.Copper == copper.NetID(first+k)
			bin := min(int(10*p.Confidence), 9)
			reckoned[bin] += p.Confidence
			n[bin]++
			leads++
			if is {
				right[bin]++
			} else if !asked[p.Lead] {
				silent++
			}
		}
	}
	for bin := range n {
		if n[bin] < 60 {
			continue
		}
		got, want := right[bin]/n[bin], reckoned[bin]/n[bin]
		t.Logf("reckoned %.3f, right %.3f (%.0f leads)", want, got, n[bin])
		// Leads of a part share the alignment's error, so that some two in three
		// count; three standard deviations.
		if math.Abs(got-want) > 3*math.Sqrt(want*(1-want)/(n[bin]/3))+0.02 {
			t.Errorf("of the leads reckoned %.2f sure, %.2f are right", want, got)
		}
	}
	t.Logf("%d of %d leads on a wrong net without a question", silent, leads)
	if float64(silent) > 0.01*float64(leads) {
		t.Errorf("%d of %d leads are on a wrong net without a question", silent, leads)
	}
}
