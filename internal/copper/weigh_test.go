package copper

import (
	"math"
	"testing"

	"foilside/internal/num/raster"
)

// passAt is a merge at a pixel of a plate on which the network says the same
// everywhere.
func passAt(level uint8, network float32, sure float64) (*Plate, *graph, *node) {
	metal := raster.NewPlane(9, 9)
	metal.Fill(network)
	g := &graph{w: 9, h: 9, levels: make([]uint8, 81)}
	g.levels[40] = level
	return &Plate{seen: &Seen{metal: metal}, sure: sure, graph: g, hidden: raster.NewMask(9, 9)}, g, &node{level: level, at: 40}
}

// Each sign speaks its own way: copper is the likelier whole the surer the
// tree, the network and, of a place that looks whole, the network of its board.
func TestSignsOfWholeCopper(t *testing.T) {
	odds := func(level uint8, network float32, sure float64) float64 {
		p, g, n := passAt(level, network, sure)
		return p.wholeOdds(g, n)
	}
	for _, c := range []struct {
		name       string
		less, more float64
	}{
		{"tree", odds(150, 1, 0.97), odds(200, 1, 0.97)},
		{"tree, network unheard", odds(150, 1, 0.5), odds(200, 1, 0.5)},
		{"network", odds(150, -2, 0.97), odds(150, 2, 0.97)},
		{"sureness", odds(200, 1, 0.93), odds(200, 1, 0.99)},
	} {
		if c.less >= c.more {
			t.Errorf("%s: log odds %.2f for less of it and %.2f for more", c.name, c.less, c.more)
		}
	}
	p, g, n := passAt(200, 1, 0.97)
	p.hidden.Pix[n.at] = 1
	if seen, hidden := odds(200, 1, 0.97), p.wholeOdds(g, n); hidden >= seen {
		t.Errorf("log odds are %.2f in sight and %.2f beneath a wire", seen, hidden)
	}
	if a, b := odds(150, -6, 0.5), odds(150, 6, 0.5); a != b {
		t.Errorf("an unheard network moves the odds from %.2f to %.2f", a, b)
	}
}

// What a person said isn't weighed: a join is certain, and what was cut or
// brushed counts as it is.
func TestAPersonsWordIsNotWeighed(t *testing.T) {
	p, g, n := passAt(certain, -6, 0.97)
	if got := p.wholeOdds(g, n); !math.IsInf(got, 1) {
		t.Errorf("a join has log odds %v, want +Inf", got)
	}
	p, g, n = passAt(brushedCopper, -6, 0.97)
	p.graph = &graph{w: 9, h: 9, levels: make([]uint8, 81)}
	if got, want := p.wholeOdds(g, n), oddsOf(brushedCopper); got != want {
		t.Errorf("brushed copper has log odds %v, want %v", got, want)
	}
}

// Levels hold log odds to half a step, even odds are the cut, and no pixel is as sure as a person.
func TestLevelsHoldLogOdds(t *testing.T) {
	table := newLevelTable()
	if got := table.at(0.5); got != cutLevel {
		t.Errorf("even odds have level %d, want %d", got, cutLevel)
	}
	for u := -7.0; u <= 7; u += 0.5 {
		if got := oddsOf(table.at(float32(chance(u)))); math.Abs(got-u) > levelStep {
			t.Errorf("log odds %v come back as %v", u, got)
		}
	}
	if low, high := table.at(0), table.at(1); low >= floorLevel || high != surest {
		t.Errorf("probabilities 0 and 1 have levels %d and %d", low, high)
	}
}
