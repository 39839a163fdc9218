package align

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"foilside/internal/num/approx"
	"foilside/internal/num/geom"
)

func TestFrameFromScale(t *testing.T) {
	a := mustAlign(t, marked(8, turnedOver, 0))
	from, to := geom.Point{X: 200, Y: 700}, geom.Point{X: 1800, Y: 700}
	for _, c := range []struct {
		name  string
		scale Scale
	}{
		{"on the component photo", Scale{From: from, To: to, MM: 80, On: ComponentSide}},
		{"on the foil photo", Scale{From: turnedOver.Apply(from), To: turnedOver.Apply(to), MM: 80, On: FoilSide}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := NewFrame(&a, &c.scale)
			if err != nil {
				t.Fatal(err)
			}
			if !approx.AbsOrRel(f.MMPerPixel, 0.05, 0, 1e-5) || f.Assumed {
				t.Errorf("%v mm a pixel, assumed %v; want 0.05, false", f.MMPerPixel, f.Assumed)
			}
			// Seen from the component side: right on the photo is right on the board.
			left, right := f.FromFoil(turnedOver.Apply(from)), f.FromFoil(turnedOver.Apply(to))
			if !approx.AbsOrRel(right.X-left.X, 80, 1e-3, 0) || !approx.AbsOrRel(right.Y, left.Y, 1e-3, 0) {
				t.Errorf("ends at %v and %v, want 80 mm apart along x", left, right)
			}
			if back := f.ToFoil(left); back.Dist(turnedOver.Apply(from)) > 1e-3 {
				t.Errorf("back on the foil photo at %v, want %v", back, turnedOver.Apply(from))
			}
			if back := f.ToComponent(f.FromComponent(to)); back.Dist(to) > 1e-9 {
				t.Errorf("back on the component photo at %v", back)
			}
		})
	}
}

func TestFrameWithoutScaleIsMarked(t *testing.T) {
	a := mustAlign(t, marked(8, turnedOver, 0))
	f, err := NewFrame(&a, nil)
	if err != nil || !f.Assumed || f.MMPerPixel != 0.06 {
		t.Errorf("got %+v, %v; want 120 mm over 2000 pixels, marked as assumed", f, err)
	}
	if r := a.Report(f); r.ResidualMM != nil || r.MMPerPixel != nil {
		t.Error("a report with an assumed scale gives millimetres")
	}
}

func TestScaleRefused(t *testing.T) {
	a := mustAlign(t, marked(8, turnedOver, 0))
	p, q := geom.Point{X: 10, Y: 10}, geom.Point{X: 900, Y: 10}
	for _, c := range []struct {
		name, says string
		scale      Scale
	}{
		{"no side", `not ""`, Scale{From: p, To: q, MM: 10}},
		{"no length", "0 mm is no length", Scale{From: p, To: q, On: FoilSide}},
		{"negative", "-3 mm is no length", Scale{From: p, To: q, MM: -3, On: FoilSide}},
		{"not a number", "NaN mm is no length", Scale{From: p, To: q, MM: math.NaN(), On: FoilSide}},
		{"ends together", "0.0 pixels apart", Scale{From: p, To: p, MM: 3, On: ComponentSide}},
		{"outside", "[2500, 10] lies outside the component photo", Scale{From: p, To: geom.Point{X: 2500, Y: 10}, MM: 3, On: ComponentSide}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := NewFrame(&a, &c.scale)
			var problem *Problem
			if !errors.As(err, &problem) || problem.Kind != BadScale || !strings.Contains(problem.Reason, c.says) {
				t.Errorf("got %v, want it to say %q", err, c.says)
			}
		})
	}
}

func TestReportKeepsTheContract(t *testing.T) {
	a := mustAlign(t, marked(8, turnedOver, 1))
	f, err := NewFrame(&a, &Scale{From: geom.Point{X: 100}, To: geom.Point{X: 1100}, MM: 50, On: ComponentSide})
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(a.Report(f))
	if err != nil {
		t.Fatal(err)
	}
	var r struct {
		Matrix []float64 `json:"matrix"`
		Lens   map[string]struct {
			Centre []float64 `json:"centre"`
			Norm   float64   `json:"norm"`
			K1     *float64  `json:"k1"`
		} `json:"lens"`
		ResidualPx *float64 `json:"residual_px"`
		ResidualMM *float64 `json:"residual_mm"`
		Found      string   `json:"found"`
	}
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Matrix) != 9 || r.Matrix[8] != 1 || r.Found != "points" || r.ResidualPx == nil || r.ResidualMM == nil {
		t.Errorf("report %s", data)
	}
	for _, side := range []string{"component", "foil"} {
		if l := r.Lens[side]; len(l.Centre) != 2 || l.Norm <= 0 || l.K1 == nil {
			t.Errorf("lens of the %s photo: %+v", side, l)
		}
	}
	// 0.05 mm a component pixel, and about 0.87 foil pixels to each.
	if !approx.AbsOrRel(*r.ResidualMM, *r.ResidualPx*0.05/0.87, 0, 0.05) {
		t.Errorf("residual %v px is %v mm", *r.ResidualPx, *r.ResidualMM)
	}
}
