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
)

// probability gives every pixel of the working planes its probability of
// being copper, from what was seen and samples in working pixels, and marks
// those at which something hides the board.
func (s *Seen) probability(ctx context.Context, copper, bare []geom.Point) (prob raster.Plane, over raster.Mask, err error) {
	lab, board, bins, ties := s.lab, s.board, s.bins, s.ties
	w, h := lab[0].W, lab[0].H
	seen := s.believed(copper, bare)
	plain := seen.outside(board)
	metal, rest := bothLooks(lab, bins, plain, copper, bare)
	if len(rest) == 0 {
		return prob, over, ErrNoSamples
	}
	m := newModel(metal, rest, bins)
	q := ties.settle(seen.add(m.apply(bins, w, h)), agreement, settleRounds)
	for range lessons {
		if err := ctx.Err(); err != nil {
			return q, over, err
		}
		inside := interior(q, plain)
		m.learn(bins, q, inside, trust)
		u := seen.add(m.apply(bins, w, h))
		for _, b := range s.lights {
			b.addTo(u, q, inside)
		}
		q = ties.settle(u, agreement, settleRounds)
	}
	inside := interior(q, plain)
	q = judgeNarrows(q, lab, inside, seen.unsure())
	for i, v := range board.Pix {
		if v == 0 {
			q.Pix[i] = 0
		}
	}
	if seen.trusted {
		over = s.inFront(seen, copper, bare)
	} else {
		over = wiresByColour(q, lab, append(metal, rest...), board)
	}
	return beneath(q, over), over, ctx.Err()
}

// inFront marks what the network sees in front of the board: wires and, where it
// is sure enough of the board, print.
func (s *Seen) inFront(seen sight, copper, bare []geom.Point) raster.Mask {
	if s.believable(copper, bare) < printSight {
		return seen.wires
	}
	return either(seen.wires, printed(s.lab[0], s.metal, s.board))
}

// bothLooks is how copper and bare board look: at the samples, and where there
// are none as the start guesses.
func bothLooks(lab [3]raster.Plane, bins []int32, board raster.Mask, copper, bare []geom.Point) (metal, rest []look) {
	metal, rest = looksAt(lab, copper), looksAt(lab, bare)
	if len(metal) > 0 && len(rest) > 0 {
		return metal, rest
	}
	guessed, around := startLooks(lab, bins, board)
	if len(metal) == 0 {
		metal = guessed
	}
	if len(rest) == 0 {
		rest = around
	}
	return metal, rest
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

// interior marks the pixels whose neighbourhood agrees with them: colours
// mixed at an edge belong to neither side and teach nothing.
func interior(q raster.Plane, board raster.Mask) raster.Mask {
	high, low := q.Threshold(0.5).Eroded(edgeWidth), q.Threshold(0.5).Dilated(edgeWidth)
	m := raster.NewMask(q.W, q.H)
	for i := range q.Pix {
		if board.Pix[i] != 0 && (high.Pix[i] != 0 || low.Pix[i] == 0) {
			m.Pix[i] = 1
		}
	}
	return m
}

// edgeWidth is how far from an edge in working pixels colours are mixed.
const edgeWidth = 1
