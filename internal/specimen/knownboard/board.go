package knownboard

import (
	"image"

	"foilside/internal/num/geom"
)

// Board is a photograph of a foil side with what is known of it.
type Board struct {
	What   string // a few words about it
	Pixels *image.RGBA
	Joints []Joint
	// Copper is the number of the copper at each pixel of a rendered board, 0 for
	// none; Class is what the pixel shows, nil on boards of a study.
	Copper *image.Gray16
	Class  *image.Gray
}

// Joint is a soldered place, or a hole for one.
type Joint struct {
	At   geom.Point // photo pixel
	Net  string
	Sure bool // its net is certain, and the photograph shows it
}

// Sure keeps the joints that a tracing is held to.
func (b Board) Sure() []Joint {
	var out []Joint
	for _, j := range b.Joints {
		if j.Sure {
			out = append(out, j)
		}
	}
	return out
}

// probeReach is how near to a joint's centre, in photo pixels, a probe counts
// as on that joint.
const probeReach = 15.0

// NetAt is what a probe at a photo pixel truly touches: the net of the joint
// there, or else the copper of that very pixel, "" for none.
func (b Board) NetAt(at geom.Point) string {
	net, near := "", probeReach
	for _, j := range b.Joints {
		if d := j.At.Dist(at); d < near {
			net, near = j.Net, d
		}
	}
	if net == "" && b.Copper != nil {
		net = copperName(b.Copper.Gray16At(int(at.X+0.5), int(at.Y+0.5)).Y)
	}
	return net
}
