package board

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func anywhere(int) bool { return true }

// drawBonds makes a small web with chains, forks and rings.
func drawBonds(t *rapid.T, pieces, most int) []bond {
	var out []bond
	for range rapid.IntRange(1, most).Draw(t, "bonds") {
		a := rapid.IntRange(0, pieces-1).Draw(t, "a")
		b := rapid.IntRange(0, pieces-1).Draw(t, "b")
		if a != b {
			out = append(out, bond{a, b, rapid.Float64Range(0.02, 0.98).Draw(t, "p"), -1})
		}
	}
	return out
}

// world is the slow twin: every state of every bond of the whole web.
type world struct {
	n     int
	bonds []bond
	w     []float64 // by state
}

func newWorld(n int, bonds []bond) *world {
	x := &world{n, bonds, make([]float64, 1<<len(bonds))}
	for s := range x.w {
		x.w[s] = 1
		for i, b := range bonds {
			if s&(1<<i) != 0 {
				x.w[s] *= b.p
			} else {
				x.w[s] *= 1 - b.p
			}
		}
	}
	return x
}

// nets numbers the pieces of a state by their nets.
func (x *world) nets(state int) []int {
	of := make([]int, x.n)
	for i := range of {
		of[i] = i
	}
	for range x.n {
		for i, b := range x.bonds {
			if state&(1<<i) != 0 {
				m := min(of[b.a], of[b.b])
				of[b.a], of[b.b] = m, m
			}
		}
	}
	return of
}

func (x *world) answer(u, v int, beep bool) {
	sum := 0.0
	for s := range x.w {
		if of := x.nets(s); (of[u] == of[v]) == beep {
			x.w[s] *= 1 - misread
		} else {
			x.w[s] *= misread
		}
		sum += x.w[s]
	}
	for s := range x.w {
		x.w[s] /= sum
	}
}

func (x *world) joined(u, v int) float64 {
	p := 0.0
	for s, w := range x.w {
		if of := x.nets(s); of[u] == of[v] {
			p += w
		}
	}
	return p
}

// best is the likeliest nets, their probability and how many of them are
// expected to be wrong.
func (x *world) best() (float64, float64) {
	weight := map[string]float64{}
	nets := map[string][]int{}
	for s, w := range x.w {
		of := x.nets(s)
		key := ""
		for _, n := range of {
			key += string(rune('a' + n))
		}
		weight[key] += w
		nets[key] = of
	}
	top := ""
	for k, w := range weight {
		if w > weight[top] || w == weight[top] && k > top {
			top = k
		}
	}
	wrong := 0.0
	for k, w := range weight {
		wrong += w * float64(wrongNets(nets[top], nets[k]))
	}
	return weight[top], wrong
}

// wrongNets counts the nets of a that are none of b.
func wrongNets(a, b []int) int {
	n := 0
	for i := range a {
		if a[i] != i {
			continue // counted at its first piece
		}
		for j := range a {
			if (a[j] == a[i]) != (b[j] == b[i]) {
				n++
				break
			}
		}
	}
	return n
}

func TestBeliefIsThatOfEveryStateListed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const pieces = 6
		bonds := drawBonds(t, pieces, 7)
		slow, b := newWorld(pieces, bonds), newBelief(newMesh(pieces, bonds, anywhere))
		for range rapid.IntRange(0, 4).Draw(t, "answers") {
			u := rapid.IntRange(0, pieces-1).Draw(t, "u")
			way := b.m.paths(u, most)[rapid.IntRange(0, pieces-1).Draw(t, "v")]
			if len(way) == 0 {
				continue
			}
			v, beep := way[len(way)-1].to, rapid.Bool().Draw(t, "beep")
			next, err := b.after(way, heard(way, beep))
			if err != nil {
				t.Fatal(err)
			}
			slow.answer(u, v, beep)
			b = next
		}
		for u := range pieces {
			for v, way := range b.m.paths(u, most) {
				if got, want := b.joined(way), slow.joined(u, v); math.Abs(got-want) > 1e-6 {
					t.Fatalf("pieces %d and %d are joined with %v, want %v", u, v, got, want)
				}
			}
		}
		right, wrong := slow.best()
		got := b.sureness(b.nets(nil))
		if math.Abs(got.Right-right) > 1e-6 {
			t.Fatalf("all nets right with %v, want %v", got.Right, right)
		}
		if math.Abs(got.WrongNets-wrong) > 1e-5 && !tied(slow, right) {
			t.Fatalf("%v nets wrong, want %v", got.WrongNets, wrong)
		}
	})
}

// tied tells that two different nets are as likely as each other.
func tied(x *world, right float64) bool {
	weight := map[string]float64{}
	for s, w := range x.w {
		key := ""
		for _, n := range x.nets(s) {
			key += string(rune('a' + n))
		}
		weight[key] += w
	}
	n := 0
	for _, w := range weight {
		if w > right-1e-9 {
			n++
		}
	}
	return n > 1
}

// What can't be probed is taken out; what is left must know as much.
func TestPiecesThatCannotBeProbedDropOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const pieces = 7
		bonds := drawBonds(t, pieces, 7)
		slow := newWorld(pieces, bonds)
		probed := func(p int) bool { return p < 4 }
		b := newBelief(newMesh(pieces, bonds, probed))
		for u := range 4 {
			ways := b.m.paths(u, most)
			for v := range 4 {
				got := 0.0
				if way, ok := ways[v]; ok {
					got = b.joined(way)
				}
				if want := slow.joined(u, v); math.Abs(got-want) > 1e-9 {
					t.Fatalf("pieces %d and %d are joined with %v, want %v", u, v, got, want)
				}
			}
		}
	})
}

// More edges than can be listed: states drawn by chance come close, and the
// same way every time.
func TestManyEdgesAreDrawnByChance(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	var ring []bond
	const n = 24
	for i := range n {
		ring = append(ring, bond{i, (i + 1) % n, 0.9 + 0.1*r.Float64(), -1})
	}
	clock, against := 1.0, 1.0
	for i, b := range ring {
		if i < 8 {
			clock *= b.p
		} else {
			against *= b.p
		}
	}
	b := newBelief(newMesh(n, ring, anywhere))
	way := b.m.paths(0, most)[8]
	want := 1 - (1-clock)*(1-against) // two ways round
	got := b.joined(way)
	if math.Abs(got-want) > 0.01 {
		t.Errorf("joined with %v, want %v", got, want)
	}
	if again := newBelief(newMesh(n, ring, anywhere)).joined(way); again != got {
		t.Errorf("%v the second time, %v the first", again, got)
	}
}
