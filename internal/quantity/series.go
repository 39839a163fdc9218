package quantity

import (
	"fmt"
	"math"
)

// Series is a preferred-value series: the count of values in a decade.
type Series int

// The series of IEC 60063.
const (
	E3   Series = 3
	E6   Series = 6
	E12  Series = 12
	E24  Series = 24
	E48  Series = 48
	E96  Series = 96
	E192 Series = 192
)

// e24 is kept as a table: 10^(i/24) rounded differs from the standard at
// eight places. E3, E6 and E12 are every eighth, fourth and second of it.
func e24() [24]float64 {
	return [24]float64{
		1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
		3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
	}
}

// Values returns the series over one decade, 1 ≤ v < 10, rising.
//
// Source: IEC 60063; E48 to E192 are round(10^(i/n), 2) with the one
// exception 9.20 for 9.19 in E192.
func (s Series) Values() []float64 {
	switch s {
	case E3, E6, E12, E24:
		table := e24()
		out := make([]float64, 0, int(s))
		for i := 0; i < 24; i += 24 / int(s) {
			out = append(out, table[i])
		}
		return out
	case E48, E96, E192:
		out := make([]float64, 0, int(s))
		for i := range int(s) {
			v := math.Round(100*math.Pow(10, float64(i)/float64(s))) / 100
			if v == 9.19 {
				v = 9.20
			}
			out = append(out, v)
		}
		return out
	}
	return nil
}

// Near returns the n values of the series nearest to v by ratio, nearest
// first.
//
// Errors: v not positive, or no such series.
func (s Series) Near(v float64, n int) ([]float64, error) {
	table := s.Values()
	if table == nil {
		return nil, fmt.Errorf("there is no series E%d in IEC 60063; take E3, E6, E12, E24, E48, E96 or E192", int(s))
	}
	if !(v > 0) || math.IsInf(v, 0) {
		return nil, fmt.Errorf("a preferred value lies near a positive number, not near %g", v)
	}
	decade := math.Floor(math.Log10(v))
	var all []float64
	for d := decade - 1; d <= decade+1; d++ {
		for _, m := range table {
			all = append(all, m*math.Pow(10, d))
		}
	}
	off := func(x float64) float64 { return math.Abs(math.Log(x / v)) }
	n = min(n, len(all))
	for i := range n { // n is a handful: selecting beats sorting all
		best := i
		for j := i + 1; j < len(all); j++ {
			if off(all[j]) < off(all[best]) {
				best = j
			}
		}
		all[i], all[best] = all[best], all[i]
	}
	return all[:n], nil
}
