package align

import (
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// What makes a photo unfit, measured only where no sure map was found.
const (
	// sharpPixels is the size of the copy that sharpness is measured on:
	// sharpness at that size is enough to find holes.
	sharpPixels = 600_000
	// leastSharp is the least share of a photo's contrasts that must be left
	// within a pixel or two; focused photos of boards have 0.3 and more.
	leastSharp = 0.08
	// leastContrast is that below which a photo shows nothing to be sharp, luma.
	leastContrast = 8.0
	// steepDegrees is the tilt from which a photo is called oblique, as it
	// comes out with a short focal length; a long one has twice that.
	steepDegrees = 28.0
	// cutMargin is how near the photo's edge, against its longer side, a
	// board's corner makes it cut off.
	cutMargin = 0.004
	// fewHoles is the number of holes or joints below which a face is called
	// bare or covered.
	fewHoles = 6
	// squeezedBy is the stretch between the outlines that tells an oblique
	// photo: one tilted by 45° against a square one.
	squeezedBy = 1.4
)

// explain says more of why no map was found where a photo itself is to blame.
func (t *Sight) explain(ctx context.Context, why *Problem) *Problem {
	squeezed := t.squeezed()
	steeper := t.on
	if t.under.face.tiltDegrees() > t.on.face.tiltDegrees() {
		steeper = t.under
	}
	for _, side := range []struct {
		name string
		s    *seen
	}{{"component", t.on}, {"foil", t.under}} {
		reason, advice := side.s.fault(ctx)
		if reason == "" && squeezed && side.s == steeper {
			reason, advice = oblique()
		}
		if reason == "" {
			continue
		}
		return &Problem{Kind: why.Kind, Pairs: why.Pairs,
			Reason: fmt.Sprintf("%s; the %s photo %s", why.Reason, side.name, reason),
			Advice: advice + "; or " + why.Advice}
	}
	return why
}

// fault says what is wrong with a photo and what to do about it; empty where
// nothing is.
func (s *seen) fault(ctx context.Context) (reason, advice string) {
	sharp, err := sharpness(ctx, s)
	switch {
	case err != nil:
		return "", ""
	case sharp < leastSharp:
		return "is blurred", "take it again: hold the camera still or lay it on something, touch the board on the screen to focus, and give more light"
	case !s.board.seen:
		return "shows no board that stands out from what it lies on, or one that goes beyond the photo's edges",
			"take it again with the whole board in the picture, on a plain sheet of another colour"
	case s.cutOff():
		return "cuts the board off at its edge", "take it again with the whole board and a finger's width round it in the picture"
	case s.steep():
		return oblique()
	case len(s.marks) < fewHoles:
		return fmt.Sprintf("shows only %d holes or joints", len(s.marks)),
			"uncover the board, take it again in even light without glare"
	}
	return "", ""
}

// steep reports whether a photo was taken far from straight above.
func (s *seen) steep() bool { return s.board.seen && s.face.tiltDegrees() > steepDegrees }

func oblique() (reason, advice string) {
	return "was taken far from straight above the board",
		"take it again with the camera square above the board, from farther away if the parts are tall"
}

// squeezed reports whether the two outlines fit each other only with one way
// of the board shortened far against the other, as in an oblique photo.
func (t *Sight) squeezed() bool {
	if !t.on.board.seen || !t.under.board.seen || t.on.cutOff() || t.under.cutOff() {
		return false
	}
	least := math.Inf(1)
	for _, turn := range everyTurn() {
		if guess, ok := turn.guess(t.on.board, t.under.board); ok {
			least = math.Min(least, stretched(guess, mean(t.on.board.quad[:])))
		}
	}
	return least > squeezedBy
}

// sharpness is the share of a photo's contrasts that is fine: how much
// brightness differs from its mean over a pixel, against that over twelve,
// where it differs most.
func sharpness(ctx context.Context, s *seen) (float64, error) {
	small, _, err := photo.Working(ctx, s.face.img, sharpPixels)
	if err != nil {
		return 0, err
	}
	luma := lumaOf(small)
	fine, coarse := raster.Gaussian(luma, 1), raster.Smooth(luma, 12)
	var a, b []float32
	for i, v := range luma.Pix {
		a = append(a, max(v-fine.Pix[i], fine.Pix[i]-v))
		b = append(b, max(v-coarse.Pix[i], coarse.Pix[i]-v))
	}
	slices.Sort(a)
	slices.Sort(b)
	k := len(a) - 1 - len(a)/200
	if b[k] < leastContrast {
		return 1, nil // nothing to be sharp
	}
	return float64(a[k] / b[k]), ctx.Err()
}

// tiltDegrees is how far from square the camera looked at the board.
func (f *face) tiltDegrees() float64 {
	// level turns the camera: its last row is the axis it was turned to.
	c := f.size.centre()
	k := focal * float64(max(f.size.Width, f.size.Height))
	camera := geom.Projective{k, 0, c.X, 0, k, c.Y, 0, 0, 1}
	toRect, ok := geom.FourPoint(f.quad, [4]geom.Point{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}})
	if !ok {
		return 0
	}
	n := toRect.Mul(camera)
	return math.Acos(math.Min(1, math.Abs(n[8])/math.Sqrt(n[6]*n[6]+n[7]*n[7]+n[8]*n[8]))) * 180 / math.Pi
}

// cutOff reports whether a corner of the board lies at the photo's edge.
func (s *seen) cutOff() bool {
	if !s.board.seen {
		return false
	}
	near := cutMargin * float64(max(s.face.size.Width, s.face.size.Height))
	for _, p := range s.board.quad {
		if p.X < near || p.Y < near || p.X > float64(s.face.size.Width-1)-near || p.Y > float64(s.face.size.Height-1)-near {
			return true
		}
	}
	return false
}
