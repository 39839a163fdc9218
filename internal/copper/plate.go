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
	// Further are more photos of the face.
	Further []Further
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
	seen   *Seen
	graph  *graph
	nets   parts       // before corrections
	sure   float64     // how far the network is believed on this board
	hidden raster.Mask // where something lies in front of the board
}

// Look is See, and then Look with the evidence on what was seen.
func Look(ctx context.Context, img *image.RGBA, ev Evidence, opts Options) (*Plate, error) {
	if err := ev.check(img.Rect.Dx(), img.Rect.Dy()); err != nil {
		return nil, err
	}
	s, err := See(ctx, img, opts)
	if err != nil {
		return nil, err
	}
	return s.Look(ctx, ev, opts)
}

// denoise is the standard deviation in working pixels of the smoothing before
// colours are compared.
const denoise = 0.8

// prepare derives from the probability all that doesn't hang on corrections.
func (p *Plate) prepare(s *Seen) {
	p.seen = s
	levels, table := make([]uint8, len(p.Prob.Pix)), newLevelTable()
	for i, v := range p.Prob.Pix {
		levels[i] = table.at(v)
	}
	p.graph = newGraph(levels, p.Prob.W, p.Prob.H)
	t := grow(p.graph, nil, nil)
	p.nets = t.cut(t.evenOdds)
	p.measureStroke()
	p.joints = shrunk(p.opts.Joints, p.Scale)
	if p.opts.Joints == nil {
		p.joints = p.findJoints(s)
	}
}

func shrunk(points []geom.Point, n int) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, q := range points {
		out[i] = photo.ShrunkPixel(q, n)
	}
	return out
}
