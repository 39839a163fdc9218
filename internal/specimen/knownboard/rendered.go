package knownboard

import (
	"context"
	"fmt"
	"image"
	"math"
	"strings"

	"foilside/internal/num/geom"
	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// Width is how many pixels wide rendered boards are photographed.
const Width = 2000

// Photographed photographs the foil side of a board as specimen.RandomShot
// would take it.
func Photographed(ctx context.Context, b specimen.Board, difficulty float64, seed uint64) (Board, error) {
	face, err := specimen.RenderFace(ctx, b, true, specimen.RandomShot(Width, seed, difficulty).Foil, Width, 0, seed)
	if err != nil {
		return Board{}, err
	}
	out, err := Of(ctx, b, face)
	out.What = fmt.Sprintf("%.2f %v %v %v, %d wires", difficulty, b.Laminate, b.Finish, b.Mask, len(b.Jumpers))
	return out, err
}

// Of is a board as one photograph of its foil side shows it.
func Of(ctx context.Context, b specimen.Board, face specimen.Face) (Board, error) {
	p, err := photo.Decode(ctx, face.JPEG, b.Name)
	if err != nil {
		return Board{}, err
	}
	out := Board{Pixels: p.Pixels, Copper: face.Copper, Class: face.Class}
	for _, pad := range b.Pads {
		if j, ok := jointOf(pad, face); ok {
			out.Joints = append(out.Joints, j)
		}
	}
	return out, nil
}

// leastSeen is the share of a pad that must be in sight for its joint to be
// held to: nobody can point at one below a wire or a sticker.
const leastSeen = 0.5

// jointOf is the joint of a pad as the photograph shows it; false where it lies
// outside the picture.
func jointOf(pad specimen.Pad, face specimen.Face) (Joint, bool) {
	at := face.View.ToPixel(pad.At)
	radius := face.View.ToPixel(pad.At.Add(geom.Point{X: pad.Diameter / 2})).Dist(at)
	box := face.Class.Rect
	if at.X < radius || at.Y < radius || at.X > float64(box.Max.X)-radius || at.Y > float64(box.Max.Y)-radius {
		return Joint{}, false
	}
	counts := map[uint16]int{}
	seen, all := 0, 0
	disc(at, radius, box, func(x, y int) {
		all++
		if c := specimen.Class(face.Class.GrayAt(x, y).Y); c != specimen.Background && c != specimen.WireClass {
			seen++
		}
		if n := face.Copper.Gray16At(x, y).Y; n != 0 {
			counts[n]++
		}
	})
	copper := uint16(0)
	for n, k := range counts {
		if copper == 0 || k > counts[copper] || k == counts[copper] && n < copper {
			copper = n
		}
	}
	// A ring around a mounting hole is copper, but no joint.
	ring := strings.HasPrefix(pad.Net, "ring ")
	return Joint{at, copperName(copper), copper != 0 && !ring && float64(seen) >= leastSeen*float64(all)}, true
}

// copperName is the net of a rendered board's copper.
func copperName(n uint16) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func disc(at geom.Point, radius float64, box image.Rectangle, visit func(x, y int)) {
	for y := int(at.Y - radius); y <= int(at.Y+radius)+1; y++ {
		for x := int(at.X - radius); x <= int(at.X+radius)+1; x++ {
			if (image.Point{X: x, Y: y}).In(box) && math.Hypot(float64(x)-at.X, float64(y)-at.Y) <= radius {
				visit(x, y)
			}
		}
	}
}
