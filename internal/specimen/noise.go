package specimen

import (
	"math"
	"math/rand/v2"
)

// newRand is the one source of chance: a seed and a stream number, so that
// two uses of one seed don't hang together.
func newRand(seed, stream uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, stream*0x9e3779b97f4a7c15+1))
}

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func oneOf[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// tile is a square of smooth noise that repeats without a seam, values about
// -1..1, sampled at any scale.
type tile struct {
	v [tileSize * tileSize]float32
}

const tileSize = 256

// newTile sums octaves of value noise, the coarsest with cells of the given
// number of samples (a power of two).
func newTile(r *rand.Rand, cell int) *tile {
	t := &tile{}
	gain := 0.5
	for c := cell; c >= 1; c /= 2 {
		n := tileSize / c
		knots := make([]float32, n*n)
		for i := range knots {
			knots[i] = float32(r.Float64()*2 - 1)
		}
		t.octave(knots, n, c, float32(gain))
		gain *= 0.6
	}
	return t
}

func (t *tile) octave(knots []float32, n, c int, gain float32) {
	for y := range tileSize {
		for x := range tileSize {
			i, j := x/c, y/c
			fx, fy := ease(float32(x%c)/float32(c)), ease(float32(y%c)/float32(c))
			a := knots[j*n+i]
			b := knots[j*n+(i+1)%n]
			e := knots[(j+1)%n*n+i]
			g := knots[(j+1)%n*n+(i+1)%n]
			t.v[y*tileSize+x] += gain * ((a+(b-a)*fx)*(1-fy) + (e+(g-e)*fx)*fy)
		}
	}
}

func ease(t float32) float32 { return t * t * (3 - 2*t) }

// at samples the tile between its points.
func (t *tile) at(x, y float64) float32 {
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx)&(tileSize-1), int(fy)&(tileSize-1)
	i1, j1 := (i+1)&(tileSize-1), (j+1)&(tileSize-1)
	u, v := float32(x-fx), float32(y-fy)
	a, b := t.v[j*tileSize+i], t.v[j*tileSize+i1]
	c, d := t.v[j1*tileSize+i], t.v[j1*tileSize+i1]
	return (a+(b-a)*u)*(1-v) + (c+(d-c)*u)*v
}
