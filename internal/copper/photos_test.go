package copper_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/specimen/knownboard"

	"github.com/goccy/go-yaml"
)

// netOf asks a tracing for the number of the net at a place.
func netOf(c *copper.Copper) func(geom.Point) int {
	return func(at geom.Point) int {
		if a := c.At(at); a.Net != nil {
			return int(*a.Net)
		}
		return 0
	}
}

// loadInput reads a person's samples, cuts and joins on a real photograph.
func loadInput(t testing.TB, name string) copper.Evidence {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	type segment struct{ From, To [2]float64 }
	var in struct {
		Copper struct {
			Samples     struct{ Copper, Bare [][2]float64 }
			Cuts, Joins []segment
		}
	}
	if err := yaml.Unmarshal(data, &in); err != nil {
		t.Fatal(err)
	}
	point := func(p [2]float64) geom.Point { return geom.Point{X: p[0], Y: p[1]} }
	points := func(list [][2]float64) (out []geom.Point) {
		for _, p := range list {
			out = append(out, point(p))
		}
		return out
	}
	segments := func(list []segment) (out []copper.Segment) {
		for _, s := range list {
			out = append(out, copper.Segment{From: point(s.From), To: point(s.To)})
		}
		return out
	}
	return copper.Evidence{
		Copper: points(in.Copper.Samples.Copper), Bare: points(in.Copper.Samples.Bare),
		Cuts: segments(in.Copper.Cuts), Joins: segments(in.Copper.Joins),
	}
}

// Without samples the start is a guess; corrections then mend what it got wrong.
func TestRealPhotographsWithoutSamples(t *testing.T) {
	for _, row := range []struct {
		name        string
		cuts, joins int // how many of the person's corrections
		least       float64
	}{
		{"SUPPLY81", 0, 0, 0.92},
		{"SUPPLY81", 3, 2, 0.995},
		{"SUPPLY91", 0, 0, 0.97},
	} {
		t.Run(fmt.Sprintf("%s, %d corrections", row.name, row.cuts+row.joins), func(t *testing.T) {
			b, input := knownboard.Real(t, row.name), loadInput(t, row.name)
			plate, err := copper.Look(t.Context(), b.Pixels, copper.Evidence{}, copper.Options{})
			if err != nil {
				t.Fatal(err)
			}
			c, err := plate.Nets(t.Context(), copper.Evidence{Cuts: input.Cuts[:row.cuts], Joins: input.Joins[:row.joins]})
			if err != nil {
				t.Fatal(err)
			}
			s := b.Judge(netOf(c))
			s.Log(t, fmt.Sprintf("%s, no samples, %d corrections", row.name, row.cuts+row.joins))
			if s.F1() < row.least {
				t.Errorf("F1 %.3f, want %.3f", s.F1(), row.least)
			}
		})
	}
}

func TestRealPhotographs(t *testing.T) {
	const mostSamples, mostCorrections = 12, 15
	for _, name := range knownboard.RealNames() {
		t.Run(name, func(t *testing.T) {
			b, input := knownboard.Real(t, name), loadInput(t, name)
			if n := len(input.Copper) + len(input.Bare); n > mostSamples {
				t.Fatalf("%d samples, at most %d", n, mostSamples)
			}
			if n := len(input.Cuts) + len(input.Joins); n > mostCorrections {
				t.Fatalf("%d corrections, at most %d", n, mostCorrections)
			}
			plate, err := copper.Look(t.Context(), b.Pixels, input, copper.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []struct {
				what  string
				input copper.Evidence
				least float64
			}{
				{"samples only", copper.Evidence{}, 0.9},
				{"samples and corrections", input, 0.995},
			} {
				nets, err := plate.Nets(t.Context(), c.input)
				if err != nil {
					t.Fatal(err)
				}
				s := b.Judge(netOf(nets))
				s.Log(t, name+", "+c.what)
				if s.F1() < c.least {
					t.Errorf("%s: F1 %.3f, want at least %.2f", c.what, s.F1(), c.least)
				}
			}
		})
	}
}
