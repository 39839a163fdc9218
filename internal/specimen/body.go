package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// Body is the shape in which a part comes.
type Body string

// The bodies.
const (
	AxialBody       Body = "axial"        // resistor with colour bands
	CanBody         Body = "can"          // upright electrolytic
	AxialCanBody    Body = "axial-can"    // lying electrolytic
	DiscBody        Body = "disc"         // ceramic disc
	FilmBody        Body = "film"         // film block
	TO92Body        Body = "to92"         // plastic transistor
	MetalCanBody    Body = "metal-can"    // transistor in a metal can
	GlassDiodeBody  Body = "glass-diode"  // small diode, cathode band
	RectifierBody   Body = "rectifier"    // black plastic diode, silver band
	LEDBody         Body = "led"          //
	BridgeBody      Body = "bridge"       // round bridge rectifier
	TransformerBody Body = "transformer"  // laminated core, two rows of leads
	ChokeBody       Body = "choke"        // axial inductor
	TrimmerBody     Body = "trimmer"      // potentiometer
	SwitchBody      Body = "slide-switch" // switch or changeover
	FuseBody        Body = "fuse"         // glass tube
	NeonBody        Body = "neon"         // small glass lamp
	WiresBody       Body = "wires"        // insulated wires that leave the board
	PinBody         Body = "pin"          // a terminal pin
	LinkBody        Body = "link"         // bare wire link
	DIPBody         Body = "dip"          // integrated circuit, two rows of leads
)

// pitch of the placement grid, 0.1 inch (CHECKS H26).
const pitch = 2.54

// footprint says where a body's leads stand, in units of pitch from the first
// one, and which box it needs around its leads, in millimetres.
type footprint struct {
	leads []geom.Point
	side  float64 // half extent across beyond the leads' box
	end   float64 // extent along beyond the leads' box
	edge  bool    // wants to stand at the board's edge
}

func inLine(n int, step float64) []geom.Point {
	out := make([]geom.Point, n)
	for i := range out {
		out[i].X = float64(i) * step
	}
	return out
}

// footprintOf returns the footprint of a body of the given size with n leads.
func footprintOf(body Body, size float64, n int) footprint {
	d := bodySize(body, size)
	switch body {
	case AxialBody, RectifierBody, ChokeBody:
		p := 4.0
		if d > 3.2 {
			p = 6
		}
		return footprint{leads: inLine(2, p), side: d/2 + 0.3, end: 1.2}
	case GlassDiodeBody:
		return footprint{leads: inLine(2, 3), side: 1.25, end: 1.2}
	case NeonBody:
		return footprint{leads: inLine(2, 5), side: 3, end: 1.2}
	case FuseBody:
		return footprint{leads: inLine(2, 9), side: 3.2, end: 1.5}
	case AxialCanBody:
		return footprint{leads: inLine(2, math.Ceil((2.2*d+5)/pitch)), side: d/2 + 0.3, end: 1.2}
	case CanBody:
		p := math.Max(1, math.Round(d*0.45/pitch))
		return footprint{leads: inLine(2, p), side: d/2 + 0.3, end: math.Max(1.2, (d-p*pitch)/2+0.3)}
	case DiscBody:
		return footprint{leads: inLine(2, 2), side: 1.8, end: math.Max(1.2, (d-2*pitch)/2+0.2)}
	case FilmBody:
		p := math.Max(2, math.Floor((d-2)/pitch))
		return footprint{leads: inLine(2, p), side: math.Max(1.8, d*0.2+0.4), end: math.Max(1.2, (d-p*pitch)/2+0.3)}
	case LEDBody:
		return footprint{leads: inLine(2, 1), side: 2.8, end: 1.6}
	case TO92Body:
		return footprint{leads: inLine(3, 1), side: 2.2, end: 1.2}
	case MetalCanBody:
		return footprint{leads: []geom.Point{{}, {X: 1, Y: 1}, {X: 2}}, side: 3.2, end: 2.2}
	case BridgeBody:
		return footprint{leads: []geom.Point{{}, {X: 2}, {Y: 2}, {X: 2, Y: 2}}, side: 2.5, end: 2.5}
	case TrimmerBody:
		return footprint{leads: []geom.Point{{}, {X: 1, Y: 2}, {X: 2}}, side: 2.5, end: 2.5}
	case SwitchBody:
		return footprint{leads: inLine(n, 2), side: 3.8, end: 3.5}
	case TransformerBody:
		return transformerFootprint(n)
	case DIPBody:
		return dipFootprint(n)
	case WiresBody:
		return footprint{leads: inLine(n, 2), side: 1.5, end: 1.5, edge: true}
	default:
		return footprint{leads: inLine(n, 1), side: 1.4, end: 1.4}
	}
}

func transformerFootprint(n int) footprint {
	front := (n + 1) / 2
	leads := make([]geom.Point, 0, n)
	for i := range n {
		if i < front {
			leads = append(leads, geom.Point{X: float64(2 * i)})
		} else {
			leads = append(leads, geom.Point{X: float64(2 * (i - front)), Y: 6})
		}
	}
	return footprint{leads: leads, side: 1.6, end: 4.5}
}

// dipFootprint counts leads along one row and back along the other.
func dipFootprint(n int) footprint {
	front := (n + 1) / 2
	leads := make([]geom.Point, 0, n)
	for i := range n {
		if i < front {
			leads = append(leads, geom.Point{X: float64(i)})
		} else {
			leads = append(leads, geom.Point{X: float64(n - 1 - i), Y: 3})
		}
	}
	return footprint{leads: leads, side: 1.4, end: 1.6}
}

// bodySize is the usual diameter or width of a body, where none is given.
func bodySize(body Body, size float64) float64 {
	if size > 0 {
		return size
	}
	switch body {
	case AxialBody:
		return 2.4
	case CanBody:
		return 8
	case AxialCanBody:
		return 7
	case DiscBody:
		return 6
	case FilmBody:
		return 11
	case ChokeBody:
		return 4
	case RectifierBody:
		return 2.7
	default:
		return 5
	}
}

// height of a body's top over the board, mm.
func (p Part) height() float64 {
	d := bodySize(p.Body, p.Size)
	switch p.Body {
	case AxialBody, RectifierBody, ChokeBody, AxialCanBody:
		return d + 0.4
	case CanBody:
		return 1.3*d + 1.5
	case DiscBody:
		return d + 2
	case FilmBody:
		return d*0.45 + 3
	case TO92Body:
		return 7
	case MetalCanBody:
		return 7.5
	case TrimmerBody, SwitchBody, BridgeBody:
		return 6
	case TransformerBody:
		return 16
	case DIPBody:
		return 4.5
	case LEDBody:
		return 8
	case FuseBody:
		return 7
	default:
		return 2.5
	}
}
