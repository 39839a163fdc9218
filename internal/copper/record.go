package copper

import "foilside/internal/num/geom"

// NetID numbers the nets of one result from 1, in reading order.
type NetID int

// Net is one conductor of copper and solder.
type Net struct {
	ID      NetID    `json:"id"`
	AreaMM2 *float64 `json:"area_mm2"` // nil where the scale is unknown
	AreaPX  float64  `json:"area_px"`  // photo pixels
	Joints  int      `json:"joints"`   // how many joints lie on it
}

// Joint is a soldered place, or a hole for one.
type Joint struct {
	X   float64 `json:"x"`
	Y   float64 `json:"y"`
	Net *NetID  `json:"net"` // nil where no copper surrounds it
}

// Answer says which net a place is on.
type Answer struct {
	X          float64 `json:"x"`
	Y          float64 `json:"y"`
	Net        *NetID  `json:"net"`
	Confidence float64 `json:"confidence"` // 0 to 1
}

// Doubt is a place that decides whether two pieces of copper are one.
type Doubt struct {
	X                 float64       `json:"x"`
	Y                 float64       `json:"y"`
	Nets              [2]NetID      `json:"nets"` // the same twice where it is taken as joined
	ProbabilityJoined float64       `json:"probability_joined"`
	Between           [2]geom.Point `json:"between"` // one place on either piece to put the probes
	Pairs             int           `json:"pairs"`   // pairs of joints that hang on it
}

// Copper is the foil side as nets.
type Copper struct {
	Nets     []Net    `json:"nets"`
	Joints   []Joint  `json:"joints"`
	Asked    []Answer `json:"at"`
	Doubtful []Doubt  `json:"doubtful"` // the place most worth checking first
	Labels   Labels   `json:"-"`

	plate  *Plate
	levels []uint8 // of every working pixel, corrections painted in
}

// Labels is the net of every working pixel.
type Labels struct {
	W, H  int
	Scale int     // photo pixels per working pixel
	Of    []NetID // 0 where there is no net
}

// At is the net of the working pixel that holds photo pixel p, 0 for none.
func (l Labels) At(p geom.Point) NetID {
	x, y := int((p.X+0.5)/float64(l.Scale)), int((p.Y+0.5)/float64(l.Scale))
	if p.X < -0.5 || p.Y < -0.5 || x >= l.W || y >= l.H {
		return 0
	}
	return l.Of[y*l.W+x]
}
