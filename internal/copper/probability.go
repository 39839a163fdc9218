package copper

import (
	"context"
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

const (
	// sampleRadius is how far around a sample its look is measured, in
	// working pixels: inside a 5 pixel track.
	sampleRadius = 2
	// agreement is the strength of the bond between like-coloured neighbours,
	// in log odds a neighbour. (tuned: TestRealPhotographs)
	agreement = 1.0
	// settleRounds lets agreement travel that many pixels.
	settleRounds = 6
	// lessons is how often the colour model learns from the settled photo.
	lessons = 2
	// trust is how many pixels the samples' own verdict on a colour counts.
	trust = 30
	// blendNoise is how far in L*a*b* a mixed colour may lie off the line
	// between the colours that it mixes.
	blendNoise = 4.0
)

// probability gives every pixel of the working planes its probability of
// being copper, from samples in working pixels.
func probability(ctx context.Context, lab [3]raster.Plane, copper, bare []geom.Point) (raster.Plane, error) {
	w, h := lab[0].W, lab[0].H
	if len(copper) == 0 || len(bare) == 0 {
		return raster.Plane{}, ErrNoSamples
	}
	bins := binPlane(lab)
	m := newModel(looksAt(lab, copper), looksAt(lab, bare), bins)
	ties := newBonds(lab)
	all := raster.NewMask(w, h).Not()
	q := ties.settle(m.apply(bins, w, h), agreement, settleRounds)
	for range lessons {
		if err := ctx.Err(); err != nil {
			return q, err
		}
		m.learn(bins, q, all, trust)
		q = ties.settle(m.apply(bins, w, h), agreement, settleRounds)
	}
	return bridgeBlends(q, lab, blendNoise), ctx.Err()
}

func looksAt(lab [3]raster.Plane, points []geom.Point) []look {
	var out []look
	for _, p := range points {
		x := clampInt(int(math.Round(p.X)), lab[0].W)
		y := clampInt(int(math.Round(p.Y)), lab[0].H)
		out = append(out, newLook(lab, x, y, sampleRadius))
	}
	return out
}
