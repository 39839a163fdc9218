package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// model gives every colour bin its log odds of being copper.
type model struct {
	base histogram // from the samples alone
	odds histogram // with what was learned from the photo
}

// maxOdds bounds the log odds that one pixel's colour may claim.
const maxOdds = 5

// newModel builds the colour model from the looks of both kinds. A faint flat
// density stands for all that was never pointed at, so that a colour far from
// every sample comes out undecided.
func newModel(copper, bare []look, used []int32) *model {
	m := &model{base: make(histogram, nBins), odds: make(histogram, nBins)}
	seen := make([]bool, nBins)
	for _, b := range used {
		seen[b] = true
	}
	tin := plainTin()
	for b := range m.base {
		if !seen[b] {
			continue
		}
		c := binColour(b)
		m.base[b] = clampOdds(float32(mixture(copper, c, tin) - mixture(bare, c, look{})))
	}
	copy(m.odds, m.base)
	return m
}

// unseen is the logarithm of the flat density: that of a look's kernel some 4
// widths from its middle.
const unseen = -8 - 7

// mixture is the logarithm of the mean density of looks at c, with a faint
// further look that nobody pointed at.
func mixture(looks []look, c colour, faint look) float64 {
	sum := math.Exp(unseen)
	for _, k := range looks {
		sum += math.Exp(k.density(c)) / float64(len(looks))
	}
	if faint != (look{}) {
		sum += faintWeight * math.Exp(faint.density(c))
	}
	return math.Log(sum)
}

// faintWeight is what the look of tin counts against all samples together.
const faintWeight = 0.05

// plainTin is how solder looks on any board: light and grey. It speaks where
// no sample looks alike.
func plainTin() look {
	return lookFrom(colour{80, 0, -2}, [6]float64{15 * 15, 0, 0, 6 * 6, 0, 6 * 6})
}

func clampOdds(u float32) float32 { return min(max(u, -maxOdds), maxOdds) }

// learn re-estimates the odds of every bin from the copper probability q that
// the neighbourhood gave its pixels. The samples' own verdict counts as much
// as `trust` pixels.
func (m *model) learn(bins []int32, q raster.Plane, weight raster.Mask, trust float32) {
	yes, all := make(histogram, nBins), make(histogram, nBins)
	for i, b := range bins {
		if weight.Pix[i] != 0 {
			yes[b] += q.Pix[i]
			all[b]++
		}
	}
	table := newOddsTable()
	yes.spread(1)
	all.spread(1)
	for b, n := range all {
		if n == 0 {
			continue
		}
		p := (yes[b] + trust*table.at(m.base[b])) / (n + trust)
		m.odds[b] = clampOdds(float32(logit(float64(min(max(p, 0.005), 0.995)))))
	}
}

// apply looks every pixel up.
func (m *model) apply(bins []int32, w, h int) raster.Plane {
	out := raster.NewPlane(w, h)
	raster.Rows(h, func(y0, y1 int) {
		for i := y0 * w; i < y1*w; i++ {
			out.Pix[i] = m.odds[bins[i]]
		}
	})
	return out
}
