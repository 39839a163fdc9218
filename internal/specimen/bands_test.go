package specimen

import (
	"context"
	"image"
	"math"
	"slices"
	"strings"
	"testing"

	"foilside/internal/marking"
	"foilside/internal/num/geom"
)

func TestBandColours(t *testing.T) {
	for _, k := range []struct {
		name      string
		ohms, tol float64
		want      string
	}{
		{"A01 Kuphaldt, colour codes, ex. 1", 47e3, 0.05, "yellow violet orange gold"},
		{"A03 Kuphaldt, colour codes, ex. 3", 97, 0.20, "white violet black"},
		{"A04 Kuphaldt, colour codes, ex. 4", 3300, 0.001, "orange orange black brown violet"},
		{"A05 Kuphaldt, colour codes, ex. 5", 1.58, 0.02, "brown green grey silver red"},
		{"A06 Kuphaldt, colour codes, ex. 6", 6.15, 0.0025, "blue brown green silver blue"},
		{"A02 Kuphaldt, colour codes, ex. 2", 5.2, 0.10, "green red gold silver"},
	} {
		t.Run(k.name, func(t *testing.T) {
			got, err := BandColours(k.ohms, k.tol)
			if s := strings.Join(got, " "); err != nil || s != k.want {
				t.Errorf("%g Ω ±%g: %q, %v; want %q", k.ohms, k.tol, s, err, k.want)
			}
		})
	}
}

// The decoder of package marking was written apart from this encoder.
func TestBandsDecodeBack(t *testing.T) {
	for _, d := range []float64{1, 1.2, 1.5, 2.2, 3.3, 4.7, 6.8, 8.2} {
		for exp := -1; exp <= 6; exp++ {
			ohms := d * math.Pow10(exp)
			for _, tol := range []float64{0.2, 0.1, 0.05, 0.02, 0.01} {
				if exp < 0 && tol < 0.05 {
					continue // three digits below 1 Ω need a multiplier that has no colour
				}
				bands, err := BandColours(ohms, tol)
				if err != nil {
					t.Fatalf("%g Ω ±%g: %v", ohms, tol, err)
				}
				r, err := marking.Decode(strings.Join(bands, " "), "resistor")
				if err != nil {
					t.Fatalf("%v: %v", bands, err)
				}
				if !slices.ContainsFunc(r, func(r marking.Reading) bool {
					return r.Value != nil && math.Abs(*r.Value/ohms-1) < 1e-9 && r.Tolerance != nil && math.Abs(*r.Tolerance-tol) < 1e-9
				}) {
					t.Errorf("%g Ω ±%g: bands %v read back as %+v", ohms, tol, bands, r)
				}
			}
		}
	}
}

func TestBandColoursRefuses(t *testing.T) {
	for _, k := range []struct {
		name      string
		ohms, tol float64
	}{{"three digits in two bands", 123, 0.05}, {"a tolerance without a colour", 100, 0.03}, {"nothing", 0, 0.05}, {"too small", 1e-4, 0.05}} {
		t.Run(k.name, func(t *testing.T) {
			if got, err := BandColours(k.ohms, k.tol); err == nil {
				t.Errorf("%g Ω ±%g gives %v, want an error", k.ohms, k.tol, got)
			}
		})
	}
}

// bandBoard carries the six resistors of Kuphaldt's examples.
func bandBoard() Board {
	b := Board{Name: "bands", Size: geom.Point{X: 60, Y: 40}, Laminate: Cream, Finish: Tinned}
	for i, bands := range []string{
		"yellow violet orange gold", "green red gold silver", "white violet black",
		"orange orange black brown violet", "brown green grey silver red", "blue brown green silver blue",
	} {
		y := 5 + 6*float64(i)
		p := Part{Ref: "R" + itoa(i+1), Body: AxialBody, Size: 3.5, Bands: strings.Fields(bands)}
		for j, name := range []string{"1", "2"} {
			at := geom.Point{X: 22 + 16*float64(j), Y: y}
			p.Leads = append(p.Leads, Lead{name, p.Ref + name, at})
			b.Pads = append(b.Pads, Pad{Net: p.Ref + name, At: at, Diameter: 2.2, Hole: 0.9})
		}
		b.Parts = append(b.Parts, p)
	}
	return b
}

func TestBandsAsRendered(t *testing.T) {
	shot := PlainShot(2000, 1)
	shot.Component.Bench = Paper
	s, err := Render(context.Background(), bandBoard(), shot)
	if err != nil {
		t.Fatal(err)
	}
	img, err := s.Component.Image()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range s.Truth.Parts {
		if len(p.Bands) != len(p.Part.Bands) {
			t.Fatalf("%s: %d band places for %d bands", p.Part.Ref, len(p.Bands), len(p.Part.Bands))
		}
		for i, b := range p.Bands {
			if got := nearestColour(img, b.At); got != p.Part.Bands[i] {
				t.Errorf("%s band %d looks %s, is %s", p.Part.Ref, i+1, got, p.Part.Bands[i])
			}
		}
	}
}

// nearestColour names the colour around a pixel, whatever the strength of the
// light on it.
func nearestColour(img image.Image, at geom.Point) string {
	var sum [3]float64
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			r, g, b, _ := img.At(int(at.X)+dx, int(at.Y)+dy).RGBA()
			for c, v := range [3]uint32{r, g, b} {
				sum[c] += float64(linear(v>>8)) / 25
			}
		}
	}
	best, name := math.Inf(1), ""
	for _, n := range append(digitColours(), "gold", "silver") {
		c := namedColour(n)
		for gain := 0.75; gain <= 1.35; gain += 0.05 {
			d := 0.0
			for k := range 3 {
				e := math.Cbrt(sum[k]) - math.Cbrt(float64(c[k])*gain)
				d += e * e
			}
			if d < best {
				best, name = d, n
			}
		}
	}
	return name
}
