package copper

import (
	"context"
	"image"

	"foilside/internal/copper/pixelnet"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// Seen is all of a foil photo that hangs on the photo alone and on nothing
// that a person says: its colours and what the pixel network sees. It doesn't
// change; Look answers from it for any samples.
type Seen struct {
	w, h  int // of the photo
	scale int // photo pixels per working pixel
	lab   [3]raster.Plane
	ties  bonds
	board raster.Mask
	bins  []int32 // of every working pixel's colour
	// lights are the photos with light from behind.
	lights []backlight

	metal raster.Plane // the network's log odds of metal
	wire  raster.Mask  // its wires
	marks jointMarks   // its joints
	sure  float64      // how sure it is of this board
}

// See looks at a foil photo. Of the options, WorkingPixels, Further and Progress
// matter.
func See(ctx context.Context, img *image.RGBA, opts Options) (*Seen, error) {
	if opts.WorkingPixels <= 0 {
		opts.WorkingPixels = DefaultWorkingPixels
	}
	opts.report(0, "reading colours")
	small, n, err := photo.Working(ctx, img, opts.WorkingPixels)
	if err != nil {
		return nil, err
	}
	s := &Seen{w: img.Rect.Dx(), h: img.Rect.Dy(), scale: n}
	if small, err = s.takeFurther(ctx, small, opts.Further); err != nil {
		return nil, err
	}
	planes, err := photo.Lab(ctx, small)
	if err != nil {
		return nil, err
	}
	s.lab = [3]raster.Plane{raster.Plane(planes.L), raster.Plane(planes.A), raster.Plane(planes.B)}
	for i := range s.lab {
		s.lab[i] = raster.Gaussian(s.lab[i], denoise)
	}
	s.ties, s.board, s.bins = newBonds(s.lab), boardRegion(s.lab), binPlane(s.lab)
	opts.report(0.1, "looking at every pixel")
	if err := s.askNetwork(ctx, small); err != nil {
		return nil, err
	}
	return s, ctx.Err()
}

// takeFurther lays further photos over the working copy: the sharper ones into
// it, the backlit ones beside it.
func (s *Seen) takeFurther(ctx context.Context, small *image.RGBA, further []Further) (*image.RGBA, error) {
	for _, f := range further {
		over, err := f.lay(ctx, small.Rect.Dx(), small.Rect.Dy(), s.scale)
		if err != nil {
			return nil, err
		}
		if f.Backlit {
			s.lights = append(s.lights, newBacklight(over))
			continue
		}
		small = sharpened(small, over)
	}
	return small, nil
}

// askNetwork keeps of what the network sees only what is used.
func (s *Seen) askNetwork(ctx context.Context, small *image.RGBA) error {
	net, err := pixelnet.Trained()
	if err != nil {
		return err
	}
	seen, err := net.Look(ctx, small)
	if err != nil {
		return err
	}
	s.metal, s.sure = seen.Metal, sureness(seen)
	s.wire = elongated(carriedOn(seen.Class[pixelnet.Wire], wireSure, wireAlso))
	s.marks = newJointMarks(seen)
	return nil
}

// Look learns what copper looks like and gives every place of the photo its
// probability of being copper. Only the samples of the evidence matter here;
// what nobody pointed at is guessed: bare board from the board's rim, copper
// from what is unlike it. Of the options, WorkingPixels doesn't matter any more.
func (s *Seen) Look(ctx context.Context, ev Evidence, opts Options) (*Plate, error) {
	if err := ev.check(s.w, s.h); err != nil {
		return nil, err
	}
	opts.report(0.4, "learning what copper looks like")
	prob, over, err := s.probability(ctx, shrunk(ev.Copper, s.scale), shrunk(ev.Bare, s.scale))
	if err != nil {
		return nil, err
	}
	opts.report(0.8, "growing the tree")
	p := &Plate{W: s.w, H: s.h, Scale: s.scale, Prob: prob, opts: opts, hidden: over}
	p.sure = s.believable(shrunk(ev.Copper, s.scale), shrunk(ev.Bare, s.scale))
	p.prepare(s)
	opts.report(1, "")
	return p, ctx.Err()
}

// believable is how sure the network is of this board, less the share of the
// samples that contradict it.
func (s *Seen) believable(copper, bare []geom.Point) float64 {
	return s.sure - contradiction(s.metal, copper, bare)
}

// believed is what the network says as far as it is believed, given samples in
// working pixels.
func (s *Seen) believed(copper, bare []geom.Point) sight {
	sure := s.believable(copper, bare)
	out := sight{metal: raster.NewPlane(s.metal.W, s.metal.H), trusted: sure >= trustedSight}
	k := float32(heardAt(sure))
	for i, u := range s.metal.Pix {
		out.metal.Pix[i] = k * min(max(u, -sightMost), sightMost)
	}
	if out.trusted {
		out.wires = dilateMask(s.wire, wireHem)
	}
	return out
}
