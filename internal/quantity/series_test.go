package quantity

import (
	"math"
	"slices"
	"testing"
)

// The series as IEC 60063 lists them (rows A47 to A52 of the outside checks).
func TestSeriesValues(t *testing.T) {
	for _, row := range []struct {
		name string
		s    Series
		want []float64 // all of it, or its beginning
		n    int
	}{
		{"A47 E6", E6, []float64{1, 1.5, 2.2, 3.3, 4.7, 6.8}, 6},
		{"A48 E12", E12, []float64{1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2}, 12},
		{"A49 E24", E24, []float64{1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1}, 24},
		{"A50 E48", E48, []float64{1.00, 1.05, 1.10, 1.15, 1.21, 1.27, 1.33, 1.40, 1.47, 1.54, 1.62, 1.69, 1.78, 1.87, 1.96, 2.05, 2.15, 2.26, 2.37, 2.49, 2.61, 2.74, 2.87, 3.01, 3.16, 3.32, 3.48, 3.65, 3.83, 4.02, 4.22, 4.42, 4.64, 4.87, 5.11, 5.36, 5.62, 5.90, 6.19, 6.49, 6.81, 7.15, 7.50, 7.87, 8.25, 8.66, 9.09, 9.53}, 48},
		{"A51 E96 begins", E96, []float64{1.00, 1.02, 1.05, 1.07, 1.10, 1.13, 1.15, 1.18}, 96},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := row.s.Values()
			if len(got) != row.n || !slices.Equal(got[:len(row.want)], row.want) {
				t.Errorf("got %v", got)
			}
		})
	}
	t.Run("A52 E192 holds 9.20, not 9.19", func(t *testing.T) {
		v := E192.Values()
		if slices.Contains(v, 9.19) || !slices.Contains(v, 9.20) {
			t.Error("the exception of the standard is missing")
		}
	})
	t.Run("E96 lies within E192", func(t *testing.T) {
		fine := E192.Values()
		for _, v := range E96.Values() {
			if !slices.Contains(fine, v) {
				t.Errorf("%g is missing", v)
			}
		}
	})
}

func TestNear(t *testing.T) {
	got, err := E12.Near(5000, 2)
	if err != nil || math.Abs(got[0]-4700) > 1e-9 || math.Abs(got[1]-5600) > 1e-9 {
		t.Errorf("near 5 kΩ in E12: %v, %v", got, err)
	}
	if got, err = E12.Near(0.98, 1); err != nil || math.Abs(got[0]-1) > 1e-9 {
		t.Errorf("the next decade is not seen: %v, %v", got, err)
	}
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := E12.Near(v, 1); err == nil {
			t.Errorf("Near(%g) is not refused", v)
		}
	}
	if _, err := Series(7).Near(1, 1); err == nil {
		t.Error("E7 is not refused")
	}
}
