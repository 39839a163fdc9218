package copper

import (
	"math"

	"foilside/internal/copper/pixelnet"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// How far the pixel network is believed. Set on rendered boards with the seeds
// 2000 to 2019 and held to others: TestSpecimens.
const (
	// doubtfulSight and clearSight are how sure the network is of a board's
	// pixels, on average, where it counts for nothing and for all that it says.
	// A board unlike any that it was trained on leaves it unsure all over.
	doubtfulSight = 0.7
	clearSight    = 0.9
	// trustedSight is from where its wires are believed.
	trustedSight = 0.8
	// sightMost bounds the log odds that it may claim for one pixel.
	sightMost = 6
	// sureSight is from which log odds on a narrow place is left as it is seen.
	sureSight = 2
	// wireSure and wireAlso are the probabilities, in parts of 255, that begin
	// a wire and that carry it on.
	wireSure = 128
	wireAlso = 30
	// wireHem is how many working pixels a wire's edge and shadow reach beyond it.
	wireHem = 4
	// wireSlender is the least length of a wire in its widest widths: a short link
	// with its bare ends is no longer, and what was taken for wire on shining
	// tracks was shorter.
	wireSlender = 3.6
)

// sight is what the pixel network makes of the working copy, as far as samples
// let it be believed.
type sight struct {
	metal   raster.Plane // log odds of metal, as far as it is believed
	wires   raster.Mask  // where wires hide the board
	trusted bool         // whether wires says anything
}

// sureness is the mean of |2p-1| over the pixels of the board, p being the
// probability of metal; 0 where hardly any is seen, since a board has some.
func sureness(s pixelnet.Seen) float64 {
	sum, metal, n := 0.0, 0.0, 0.0
	for i, u := range s.Metal.Pix {
		if s.Class[pixelnet.Background].Pix[i] < 128 {
			v := math.Tanh(float64(u) / 2)
			sum += math.Abs(v)
			metal += (v + 1) / 2
			n++
		}
	}
	if metal < leastMetal*n || n < leastBoard*float64(len(s.Metal.Pix)) {
		return 0
	}
	return sum / n
}

// leastMetal is the least share of a board that metal covers.
const leastMetal = 0.05

// contradiction is the share of the samples that the network sees otherwise.
func contradiction(metal raster.Plane, copper, bare []geom.Point) float64 {
	wrong := 0.0
	for _, p := range copper {
		if raster.Sample(metal, p) < 0 {
			wrong++
		}
	}
	for _, p := range bare {
		if raster.Sample(metal, p) > 0 {
			wrong++
		}
	}
	return wrong / math.Max(float64(len(copper)+len(bare)), 1)
}

// carriedOn keeps the pixels of at least low that hang together with one of at
// least high.
func carriedOn(m raster.Mask, high, low uint8) raster.Mask {
	out := raster.NewMask(m.W, m.H)
	var todo []int
	visit := func(i int, least uint8) {
		if out.Pix[i] == 0 && m.Pix[i] >= least {
			out.Pix[i] = 1
			todo = append(todo, i)
		}
	}
	for i := range m.Pix {
		visit(i, high)
		for len(todo) > 0 {
			j := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, k := range neighbours4(j, m.W, m.H) {
				if k >= 0 {
					visit(k, low)
				}
			}
		}
	}
	return out
}

// elongated keeps the pieces that are wireSlender of their own widths long, as
// no shine on a track is, and those too wide for wires: labels, fingers, parts.
func elongated(m raster.Mask) raster.Mask {
	pieces := raster.Components(m, true)
	depth := raster.Distance(m.Not())
	width := make([]float64, len(pieces.Areas))
	for i, piece := range pieces.Of {
		width[piece] = max(width[piece], 2*float64(depth.Pix[i]))
	}
	out := raster.NewMask(m.W, m.H)
	for i, piece := range pieces.Of {
		w := width[piece]
		if m.Pix[i] != 0 && (w > wireMost || float64(pieces.Areas[piece]) >= wireSlender*w*w) {
			out.Pix[i] = 1
		}
	}
	return out
}

// add puts what was seen onto log odds.
func (s sight) add(u raster.Plane) raster.Plane {
	for i, v := range s.metal.Pix {
		u.Pix[i] += v
	}
	return u
}

// outside takes the wires out of a mask.
func (s sight) outside(m raster.Mask) raster.Mask {
	if !s.trusted {
		return m
	}
	out := raster.NewMask(m.W, m.H)
	for i, v := range m.Pix {
		if s.wires.Pix[i] == 0 {
			out.Pix[i] = v
		}
	}
	return out
}

// unsure marks where nothing was clearly seen.
func (s sight) unsure() raster.Mask {
	m := raster.NewMask(s.metal.W, s.metal.H)
	for i, u := range s.metal.Pix {
		if u > -sureSight && u < sureSight {
			m.Pix[i] = 1
		}
	}
	return m
}
