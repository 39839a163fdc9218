package copper

import (
	"context"
	"image"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
	"foilside/internal/photo"
)

// Options are what Trace may be told besides the evidence.
type Options struct {
	// MMPerPixel is the length of a photo pixel on the board, 0 where unknown.
	MMPerPixel float64
	// Joints are places known to be joints, in photo pixels; nil finds them.
	Joints []geom.Point
	// WorkingPixels bounds the pixels that the photo is shrunk to; 0 means
	// DefaultWorkingPixels.
	WorkingPixels int
	// Progress is told how far the work is, 0 to 1, and what is being done.
	Progress func(done float64, what string)
}

// DefaultWorkingPixels keeps a 0.4 mm track on a 200 mm board above 3 pixels.
const DefaultWorkingPixels = 3_200_000

func (o Options) report(done float64, what string) {
	if o.Progress != nil {
		o.Progress(done, what)
	}
}

// Plate is a foil photo with the copper probability of every working pixel.
// It doesn't change; Nets answers from it for any corrections without looking
// at the photo again.
type Plate struct {
	W, H  int          // of the photo
	Scale int          // photo pixels per working pixel
	Prob  raster.Plane // copper probability, 0 to 1, on working pixels

	stroke float64 // usual width of a track in working pixels
	reach  float64 // radius in working pixels within which a pad lies
	joints []geom.Point
	opts   Options
	graph  *graph
	nets   []int32 // per basin: its net before corrections
	solid  []int32 // per net node before corrections: area
}

// Look learns what copper looks like and gives every place of the photo its
// probability of being copper. Only the samples of the evidence matter here;
// what nobody
// pointed at is guessed: bare board from the board's rim, copper from
// what is unlike it.
func Look(ctx context.Context, img *image.RGBA, ev Evidence, opts Options) (*Plate, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if err := ev.check(w, h); err != nil {
		return nil, err
	}
	if opts.WorkingPixels <= 0 {
		opts.WorkingPixels = DefaultWorkingPixels
	}
	opts.report(0, "reading colours")
	small, n, err := photo.Working(ctx, img, opts.WorkingPixels)
	if err != nil {
		return nil, err
	}
	planes, err := photo.Lab(ctx, small)
	if err != nil {
		return nil, err
	}
	lab := [3]raster.Plane{raster.Plane(planes.L), raster.Plane(planes.A), raster.Plane(planes.B)}
	for i := range lab {
		lab[i] = raster.Gaussian(lab[i], denoise)
	}
	opts.report(0.1, "looking at every pixel")
	copper, bare := shrunk(ev.Copper, n), shrunk(ev.Bare, n)
	seen, err := newSight(ctx, small, copper, bare)
	if err != nil {
		return nil, err
	}
	opts.report(0.4, "learning what copper looks like")
	prob, err := probability(ctx, lab, seen, copper, bare)
	if err != nil {
		return nil, err
	}
	opts.report(0.8, "growing the tree")
	p := &Plate{W: w, H: h, Scale: n, Prob: prob, opts: opts}
	p.prepare(lab)
	opts.report(1, "")
	return p, ctx.Err()
}

// denoise is the standard deviation in working pixels of the smoothing before
// colours are compared.
const denoise = 0.8

// prepare derives from the probability all that doesn't hang on corrections.
func (p *Plate) prepare(lab [3]raster.Plane) {
	levels := make([]uint8, len(p.Prob.Pix))
	for i, v := range p.Prob.Pix {
		levels[i] = uint8(v*255 + 0.5)
	}
	p.graph = newGraph(levels, p.Prob.W, p.Prob.H)
	t := grow(p.graph, nil, nil)
	p.nets = t.cut(cutLevel)
	p.solid = make([]int32, len(t.nodes))
	for i, n := range t.nodes {
		p.solid[i] = n.solid
	}
	p.measureStroke()
	p.joints = shrunk(p.opts.Joints, p.Scale)
	if p.opts.Joints == nil {
		p.joints = p.findJoints(lab)
	}
}

func shrunk(points []geom.Point, n int) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, q := range points {
		out[i] = photo.ShrunkPixel(q, n)
	}
	return out
}
