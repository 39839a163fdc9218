package raster

import (
	"encoding/json"
	"os"
	"testing"
)

// referencePlane is the plane of crosscheck/raster_reference.py.
func referencePlane() Plane {
	p := NewPlane(25, 15)
	for y := range p.H {
		for x := range p.W {
			p.Set(x, y, float32((x*x*7+y*y*13+x*y*5)%29))
		}
	}
	return p
}

// Oracle: OpenCV and SciPy, by crosscheck/raster_reference.py.
func TestKernelsAgainstOpenCVAndSciPy(t *testing.T) {
	data, err := os.ReadFile("testdata/opencv_reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref map[string]json.RawMessage
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatal(err)
	}
	p := referencePlane()
	m := p.Threshold(20)
	for _, c := range []struct {
		name string
		got  Plane
		tol  float64 // float32 sums of values up to 28
	}{
		{"gaussian_0.8", Gaussian(p, 0.8), 2e-5},
		{"gaussian_2", Gaussian(p, 2), 2e-5},
		{"mean_2", BoxMean(p, 2), 1e-5},
		{"dilate_2", Dilate(p, 2), 0},
		{"erode_2", Erode(p, 2), 0},
		{"shrink_2.5", Shrink(p, 2.5), 2e-5},
		{"distance", Distance(m), 1e-5},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := Plane{W: c.got.W, H: c.got.H}
			if err := json.Unmarshal(ref[c.name], &want.Pix); err != nil {
				t.Fatal(err)
			}
			if len(want.Pix) != len(c.got.Pix) {
				t.Fatalf("%d pixels, want %d", len(c.got.Pix), len(want.Pix))
			}
			near(t, c.got, want, c.tol)
		})
	}
	for _, c := range []struct {
		name  string
		eight bool
	}{{"pieces_four", false}, {"pieces_eight", true}} {
		t.Run(c.name, func(t *testing.T) {
			var want int
			if err := json.Unmarshal(ref[c.name], &want); err != nil {
				t.Fatal(err)
			}
			if got := len(Components(m, c.eight).Areas) - 1; got != want {
				t.Errorf("%d pieces, want %d", got, want)
			}
		})
	}
}
