package knownboard

import "foilside/internal/num/geom"

// Score compares the nets found at the sure joints with the true ones.
type Score struct {
	Both, OnlyFound, OnlyTrue int // pairs of joints on one net
	Merged, Split             int // nets too few, pieces too many
	Lost                      int // joints on no net
	Nets, Right               int // true nets with a joint, and those found exactly
}

// Judge scores a tracing: netAt is the number of the net that it gives a photo
// pixel, 0 for none.
func (b Board) Judge(netAt func(geom.Point) int) Score {
	joints := b.Sure()
	found := make([]int, len(joints))
	var s Score
	for i, j := range joints {
		if found[i] = netAt(j.At); found[i] == 0 {
			found[i] = -1 - i // a lost joint is on a net of its own
			s.Lost++
		}
	}
	inFound, inTrue := map[int]map[string]int{}, map[string]map[int]int{}
	for i, j := range joints {
		for k, o := range joints[:i] {
			switch same, together := o.Net == j.Net, found[k] == found[i]; {
			case same && together:
				s.Both++
			case together:
				s.OnlyFound++
			case same:
				s.OnlyTrue++
			}
		}
		count(inFound, found[i], j.Net)
		count(inTrue, j.Net, found[i])
	}
	for _, m := range inFound {
		s.Merged += len(m) - 1
	}
	for _, m := range inTrue {
		s.Split += len(m) - 1
		s.Nets++
		for id := range m {
			if len(m) == 1 && len(inFound[id]) == 1 {
				s.Right++
			}
		}
	}
	return s
}

func count[A, B comparable](table map[A]map[B]int, a A, b B) {
	if table[a] == nil {
		table[a] = map[B]int{}
	}
	table[a][b]++
}

// F1 is the harmonic mean of precision and recall over pairs on one net.
func (s Score) F1() float64 {
	all := 2*s.Both + s.OnlyFound + s.OnlyTrue
	if all == 0 {
		return 1
	}
	return 2 * float64(s.Both) / float64(all)
}

// Wrong is how many places are wrong: merges and splits.
func (s Score) Wrong() int { return s.Merged + s.Split }

// Log writes the score down.
func (s Score) Log(t interface {
	Helper()
	Logf(string, ...any)
}, what string) {
	t.Helper()
	t.Logf("%-34s F1 %.3f  merged %d  split %d  lost %d  nets right %d of %d", what, s.F1(), s.Merged, s.Split, s.Lost, s.Right, s.Nets)
}
