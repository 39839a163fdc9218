package copper_test

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/specimen/knownboard"
)

// TestNetsOfRenderedBoards traces rendered boards of 20 to 120 joints, from easy
// to nasty, without any sample or question, once with the joints given and once
// with those found by themselves, and tells how right the nets and the doubtful
// places are: a study of 200 boards, of which FOILSIDE_SLICE=FROM:TO takes a part.
// The constants of doubt.go were fitted to boards tuned; fresh ones were drawn
// afterwards.
func TestNetsOfRenderedBoards(t *testing.T) {
	for name, seeds := range map[string]uint64{"tuned": 500_000, "fresh": 600_000} {
		t.Run(name, func(t *testing.T) {
			study(t)
			from, to := 0, 200
			if s := os.Getenv("FOILSIDE_SLICE"); s != "" {
				if _, err := fmt.Sscanf(s, "%d:%d", &from, &to); err != nil {
					t.Fatalf("FOILSIDE_SLICE=%s: give FROM:TO", s)
				}
			}
			given, found := tallies{}, tallies{}
			for i := from; i < to; i++ {
				studyBoard(t, seeds, i, given, found)
			}
			given.log(t, "joints given")
			found.log(t, "joints found")
		})
	}
}

// studyBoard traces one board both ways.
func studyBoard(t *testing.T, seeds uint64, i int, given, found tallies) {
	t.Helper()
	b, err := knownboard.StudyBoard(t.Context(), seeds, i)
	if err != nil {
		t.Fatal(err)
	}
	seen, err := copper.See(t.Context(), b.Pixels, copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var places []geom.Point
	for _, j := range b.Sure() {
		places = append(places, j.At)
	}
	for _, way := range []struct {
		name string
		to   tallies
		opts copper.Options
	}{{"given", given, copper.Options{Joints: places}}, {"found", found, copper.Options{}}} {
		plate, err := seen.Look(t.Context(), copper.Evidence{}, way.opts)
		if err != nil {
			t.Fatal(err)
		}
		c, err := plate.Nets(t.Context(), copper.Evidence{})
		if err != nil {
			t.Fatal(err)
		}
		o := outcomeOf(b, c)
		answered, err := plate.Nets(t.Context(), copper.Evidence{Measured: o.answers})
		if err != nil {
			t.Fatal(err)
		}
		o.answered = b.Judge(netOf(answered)).Right
		o.places = placed(b, c.Joints)
		o.log(t, fmt.Sprintf("%3d %s %s", i, way.name, b.What))
		way.to.add(b.What, o)
	}
}

// outcome is how right the tracing of one board is.
type outcome struct {
	knownboard.Score
	covered  int // of the wrong places: those that are in doubt
	nets     int // found, with a joint
	doubts   []guess
	answers  []copper.Continuity // of all doubtful places, as a meter would tell
	answered int                 // nets exactly right once those are told
	places   placement
}

// guess is a probability and what is so.
type guess struct {
	p  float64
	so bool
}

func outcomeOf(b knownboard.Board, c *copper.Copper) outcome {
	o := outcome{Score: b.Judge(netOf(c))}
	for _, n := range c.Nets {
		if n.Joints > 0 {
			o.nets++
		}
	}
	apart, together := map[int][][2]string{}, map[string][][2]int{}
	for _, d := range c.Doubtful {
		u, v := b.NetAt(d.Between[0]), b.NetAt(d.Between[1])
		joined := u == v && u != ""
		o.doubts = append(o.doubts, guess{d.ProbabilityJoined, joined})
		o.answers = append(o.answers, copper.Continuity{A: d.Between[0], B: d.Between[1], Joined: joined})
		if n := int(d.Nets[0]); d.Nets[0] == d.Nets[1] && !joined {
			apart[n] = append(apart[n], [2]string{u, v})
		} else if joined {
			together[u] = append(together[u], [2]int{int(d.Nets[0]), int(d.Nets[1])})
		}
	}
	truthIn, foundIn := map[int][]string{}, map[string][]int{}
	for i, j := range b.Sure() {
		id := netOf(c)(j.At)
		if id == 0 {
			id = -1 - i
		}
		truthIn[id], foundIn[j.Net] = append(truthIn[id], j.Net), append(foundIn[j.Net], id)
	}
	for id, names := range truthIn {
		o.covered += linked(names, apart[id])
	}
	for net, ids := range foundIn {
		o.covered += linked(ids, together[net])
	}
	return o
}

// linked is by how much the edges lower the number of separate pieces among
// the members.
func linked[K cmp.Ordered](members []K, edges [][2]K) int {
	members = slices.Compact(slices.Sorted(slices.Values(members)))
	number := map[K]int32{}
	var sets raster.DisjointSets
	of := func(k K) int32 {
		if _, known := number[k]; !known {
			number[k] = sets.Add()
		}
		return number[k]
	}
	for _, e := range edges {
		sets.Union(of(e[0]), of(e[1]))
	}
	roots := map[int32]bool{}
	for _, m := range members {
		roots[sets.Find(of(m))] = true
	}
	return len(members) - len(roots)
}

func (o outcome) log(t *testing.T, what string) {
	t.Helper()
	p := o.places
	t.Logf("%-46s F1 %.3f  right %2d of %2d, answered %2d  wrong %2d (%d lost), %2d in doubt  doubtful %2d of %2d nets  joints %d of %d, %d extra",
		what, o.F1(), o.Right, o.Nets, o.answered, o.Wrong(), o.Lost, o.covered, len(o.doubts), o.nets, p.hit, p.all, p.extra)
}

// placement is how well joints were found.
type placement struct {
	all, hit, extra int
	off             []float64 // photo pixels
}

// jointReach is how far, in photo pixels, a joint found may lie from the true
// one: the radius of a small pad.
const jointReach = 12.0

// placed gives each true joint the nearest one found.
func placed(b knownboard.Board, joints []copper.Joint) placement {
	p := placement{}
	taken := make([]bool, len(joints))
	for _, j := range b.Joints {
		best, bestD := -1, jointReach
		for k, f := range joints {
			if d := j.At.Dist(geom.Point{X: f.X, Y: f.Y}); d < bestD && !taken[k] {
				best, bestD = k, d
			}
		}
		if best >= 0 {
			taken[best] = true
		}
		if !j.Sure {
			continue
		}
		p.all++
		if best >= 0 {
			p.hit++
			p.off = append(p.off, bestD)
		}
	}
	for _, k := range taken {
		if !k {
			p.extra++
		}
	}
	return p
}

// tallies gathers outcomes by what the boards have.
type tallies map[string][]outcome

func (s tallies) add(what string, o outcome) {
	for _, w := range append(strings.Split(what, ", "), " all") {
		s[w] = append(s[w], o)
	}
}

func (s tallies) log(t *testing.T, what string) {
	t.Helper()
	t.Logf("%s:", what)
	t.Logf("%-18s boards  F1 mean median  nets right  answered  wrong places  in doubt  doubtful/nets  ECE", "")
	for _, w := range slices.Sorted(maps.Keys(s)) {
		logRow(t, w, s[w])
	}
	logReliability(t, s[" all"])
	logPlaces(t, s[" all"])
}

func logRow(t *testing.T, what string, list []outcome) {
	t.Helper()
	var f1, share []float64
	var right, answered, nets, wrong, covered int
	for _, o := range list {
		f1, share = append(f1, o.F1()), append(share, float64(len(o.doubts))/float64(max(o.nets, 1)))
		right, answered, nets = right+o.Right, answered+o.answered, nets+o.Nets
		wrong, covered = wrong+o.Wrong(), covered+o.covered
	}
	t.Logf("%-18s %6d  %.4f  %.4f   %5.1f %%    %5.1f %%        %5d   %5.1f %%        %5.1f %%  %.3f", what, len(list), meanOf(f1), quantile(f1, 0.5),
		percent(right, nets), percent(answered, nets), wrong, percent(covered, wrong), 100*quantile(share, 0.5), calibration(list))
}

func percent(a, b int) float64 { return 100 * float64(a) / math.Max(float64(b), 1) }

func meanOf(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / math.Max(float64(len(v)), 1)
}

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Sorted(slices.Values(v))
	return v[min(int(q*float64(len(v))), len(v)-1)]
}

// bins of probability for reliability.
const reliabilityBins = 10

// reliability counts the doubtful places by the probability they were given.
func reliability(list []outcome) (n, so [reliabilityBins]int, p [reliabilityBins]float64) {
	for _, o := range list {
		for _, d := range o.doubts {
			k := min(int(d.p*reliabilityBins), reliabilityBins-1)
			n[k]++
			p[k] += d.p
			if d.so {
				so[k]++
			}
		}
	}
	return n, so, p
}

// calibration is the mean distance between what was given and what is so, over
// tenths of probability.
func calibration(list []outcome) float64 {
	n, so, p := reliability(list)
	off, all := 0.0, 0
	for k := range n {
		off += math.Abs(p[k] - float64(so[k]))
		all += n[k]
	}
	return off / math.Max(float64(all), 1)
}

func logReliability(t *testing.T, list []outcome) {
	t.Helper()
	n, so, p := reliability(list)
	for k := range n {
		t.Logf("  given %.1f to %.1f: %4d places, %5.1f %% given on average, %5.1f %% joined", float64(k)/reliabilityBins, float64(k+1)/reliabilityBins,
			n[k], 100*p[k]/math.Max(float64(n[k]), 1), percent(so[k], n[k]))
	}
}

func logPlaces(t *testing.T, list []outcome) {
	t.Helper()
	var all, hit, extra int
	var off []float64
	for _, o := range list {
		all, hit, extra, off = all+o.places.all, hit+o.places.hit, extra+o.places.extra, append(off, o.places.off...)
	}
	t.Logf("  joints: %d of %d within %.0f pixels (%.1f %%), %d extra (precision %.1f %%), off by %.2f median, %.2f in 95 %%",
		hit, all, jointReach, percent(hit, all), extra, percent(hit, hit+extra), quantile(off, 0.5), quantile(off, 0.95))
}
