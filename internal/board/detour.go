package board

import (
	"math"
	"slices"
)

// through is a way of few ohms through a part, between two pieces.
type through struct {
	a, b  int
	ohms  float64
	what  string // "the winding primary of T1 (2.1 Ω)"
	first string // what a person does to it before the check, so that it doesn't conduct
}

// detours are the ways through parts by which a meter may beep where no copper
// joins.
type detours struct {
	ways  []through
	shut  []through // those that a person shuts before the check
	limit float64   // the meter beeps below it, in ohms
}

// newDetours tells what conducts from what a person can keep from it.
func newDetours(all []through, limit float64) detours {
	d := detours{limit: limit}
	for _, t := range all {
		if t.first != "" {
			d.shut = append(d.shut, t)
		} else {
			d.ways = append(d.ways, t)
		}
	}
	return d
}

// toShut lists what a person has to do first, lest something beep around a
// path.
func (d detours) toShut(b *belief, l *likeliest, way []hop) []string {
	var out []string
	for _, s := range d.shut {
		open := detours{ways: append(slices.Clone(d.ways), s), limit: d.limit}
		for _, x := range open.around(b, l, way) {
			if slices.Contains(x.what, s.what) && !slices.Contains(out, s.first) {
				out = append(out, s.first)
			}
		}
	}
	return out
}

// bypass is a detour between two places of a path, counted from its start.
type bypass struct {
	from, to int
	ohms     float64
	what     []string
}

// around finds the detours between the places of a path that don't depend on
// the path: through copper as it most likely is, and parts.
func (d detours) around(b *belief, l *likeliest, way []hop) []bypass {
	if len(d.ways) == 0 {
		return nil
	}
	class := b.netWithout(l, way)
	stops := []int{way[0].from}
	for _, h := range way {
		stops = append(stops, h.to)
	}
	var out []bypass
	for i, u := range stops {
		found := d.from(class, u)
		for j := i + 1; j < len(stops); j++ {
			if r, ok := found[class[stops[j]]]; ok && r.ohms < d.limit && class[u] != class[stops[j]] {
				out = append(out, bypass{i, j, r.ohms, r.what})
			}
		}
	}
	return out
}

type reach struct {
	ohms float64
	what []string
}

// from finds the way of least resistance from a piece to every net, through
// parts in a row; parts side by side are taken together.
//
// Source: Dijkstra 1959.
func (d detours) from(class []int, u int) map[int]reach {
	done, open := map[int]reach{}, map[int]reach{class[u]: {}}
	for len(open) > 0 {
		best, at := math.Inf(1), -1
		for n, r := range open {
			if r.ohms < best || r.ohms == best && n < at {
				best, at = r.ohms, n
			}
		}
		here := open[at]
		delete(open, at)
		done[at] = here
		for n, step := range d.beside(class, at) {
			next := reach{here.ohms + step.ohms, slices.Concat(here.what, step.what)}
			if _, known := done[n]; known || next.ohms >= d.limit {
				continue
			}
			if old, known := open[n]; !known || next.ohms < old.ohms {
				open[n] = next
			}
		}
	}
	return done
}

// beside is one step through parts from a net.
func (d detours) beside(class []int, net int) map[int]reach {
	out := map[int]reach{}
	for _, w := range d.ways {
		a, b := class[w.a], class[w.b]
		if b == net {
			a, b = b, a
		}
		if a != net || a == b {
			continue
		}
		old, known := out[b]
		if !known {
			out[b] = reach{w.ohms, []string{w.what}}
			continue
		}
		both := 0.0
		if w.ohms > 0 && old.ohms > 0 {
			both = 1 / (1/w.ohms + 1/old.ohms)
		}
		out[b] = reach{both, append(slices.Clone(old.what), w.what)}
	}
	return out
}

// conducts reports whether current finds a way from the start of a path to its
// end, through its hops and past them.
func conducts(way []hop, by []bypass, joined func(hop) bool) bool {
	reached := make([]bool, len(way)+1)
	reached[0] = true
	for grown := true; grown; {
		grown = false
		pass := func(i, j int) {
			if reached[i] != reached[j] {
				reached[i], reached[j], grown = true, true, true
			}
		}
		for i, h := range way {
			if reached[i] != reached[i+1] && joined(h) {
				pass(i, i+1)
			}
		}
		for _, b := range by {
			pass(b.from, b.to)
		}
	}
	return reached[len(way)]
}

// between is the detour between two pieces as the nets most likely are, nil
// for none.
func (d detours) between(b *belief, l *likeliest, u, v int) *reach {
	if len(d.ways) == 0 {
		return nil
	}
	class := b.netOf(l)
	if r, ok := d.from(class, u)[class[v]]; ok && class[u] != class[v] && r.ohms < d.limit {
		return &r
	}
	return nil
}
