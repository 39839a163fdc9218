package board

import (
	"math"
	"slices"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// WireKind says what sort of wire lies over a board.
type WireKind string

// The sorts of wires.
const (
	JumperWire WireKind = "jumper"    // from joint to joint
	OffBoard   WireKind = "off-board" // from a joint away from the board
	LooseWire  WireKind = "loose"     // no joint was found for an end
)

// Wire is a wire that lies over the board: an object of its own, no copper.
// Wires join nets in the circuit, not in the copper.
type Wire struct {
	Kind  WireKind     `json:"kind"`
	Width float64      `json:"width"` // photo pixels
	Path  [][2]float64 `json:"path"`  // along its middle, photo pixels
	Ends  [2]WireEnd   `json:"ends"`
}

// WireEnd is one end of a wire.
type WireEnd struct {
	X float64 `json:"x"` // where the wire ends to the eye, photo pixels
	Y float64 `json:"y"`
	// Joint is the number of the joint in which the end most likely is, nil
	// where there is none, or where the wire leaves the board.
	Joint      *int          `json:"joint"`
	Net        *copper.NetID `json:"net"`
	Confidence float64       `json:"confidence"`
	Leaves     bool          `json:"leaves"` // the board or the photo ends before the wire
}

// WiresInput is what FindWires works from.
type WiresInput struct {
	// Front is where wires and parts lie over the board, Off where the photo
	// shows no board; both in working pixels of Scale photo pixels.
	Front, Off raster.Mask
	Scale      int
	Joints     []copper.Joint // photo pixels
}

// Sizes by which wires are told from other things, in widths of the wire.
const (
	leastLength  = 3.0 // of a wire
	frayLength   = 1.2 // of an end that only thinning made
	joinLength   = 1.6 // of the line between the two meetings that a crossing leaves
	turnReach    = 2.0 // over which a direction is taken
	crossingBend = 0.9 // radians: greatest bend where wires cross
	stripReach   = 5.0 // from the end of the insulation to the joint
	endSpread    = 0.6 // radians: how far off its direction a wire's end may lead
	noJoint      = 0.1 // weight of no joint at all, against one straight ahead
)

// FindWires traces the wires of a mask: its thinned lines, followed straight
// on where wires cross, each end taken to the joint ahead of it.
func FindWires(in WiresInput) []Wire {
	parts := raster.Components(in.Front, true)
	depth := raster.Distance(in.Front.Not())
	s := strandsOf(thin(in.Front))
	width := partWidths(parts, depth, s, in.Front.W)
	s.prune(frayLength * median(width))
	s.collapse(joinLength * median(width))
	var out []Wire
	for _, path := range s.chains(median(width)) {
		if w, ok := in.wire(path, depth); ok {
			out = append(out, w)
		}
	}
	return out
}

// partWidths are the widths of the mask along its thinned lines.
func partWidths(parts raster.Labels, depth raster.Plane, s strands, w int) []float64 {
	var out []float64
	for _, st := range s.strands {
		for _, p := range st.path {
			i := int(p.Y)*w + int(p.X)
			if parts.Of[i] != 0 {
				out = append(out, 2*float64(depth.Pix[i]))
			}
		}
	}
	return out
}

// chains joins strands straight on over their knots, from free end to free
// end. width is a usual wire's.
func (s *strands) chains(width float64) [][]geom.Point {
	on := make([]map[int]int, len(s.knots))
	for k := range s.knots {
		on[k] = s.straightest(k, turnReach*width, crossingBend)
	}
	used := make([]bool, len(s.strands))
	var out [][]geom.Point
	for k := range s.strands {
		st := s.strands[k]
		if used[k] || st.path == nil {
			continue
		}
		for _, from := range []int{st.from, st.to} {
			if on[from][k] < 0 && !used[k] {
				out = append(out, s.chain(k, from, on, used))
			}
		}
	}
	return out
}

// chain follows strand k from a knot on which it begins.
func (s *strands) chain(k, from int, on []map[int]int, used []bool) []geom.Point {
	var path []geom.Point
	for k >= 0 && !used[k] {
		used[k] = true
		st := s.strands[k]
		p, to := st.path, st.to
		if st.from != from {
			p, to = reversedPath(p), st.from
		}
		path = append(path, p...)
		next, ok := on[to][k]
		if !ok {
			break
		}
		k, from = next, to
	}
	return path
}

// wire judges one chain of working pixels.
func (in *WiresInput) wire(path []geom.Point, depth raster.Plane) (Wire, bool) {
	var widths []float64
	for _, p := range path {
		widths = append(widths, 2*float64(depth.Pix[int(p.Y)*in.Front.W+int(p.X)]))
	}
	width := median(widths)
	if width <= 0 || length(path) < leastLength*width {
		return Wire{}, false
	}
	w := Wire{Width: width * float64(in.Scale)}
	for i := 0; i < len(path); i += max(1, int(width)) {
		w.Path = append(w.Path, in.photo(path[i]))
	}
	w.Path = append(w.Path, in.photo(path[len(path)-1]))
	w.Ends = [2]WireEnd{in.end(reversedPath(path), width), in.end(path, width)}
	w.Kind = kindOf(w.Ends)
	return w, w.Ends[0].Joint != nil || w.Ends[1].Joint != nil
}

func kindOf(ends [2]WireEnd) WireKind {
	a, b := ends[0], ends[1]
	switch {
	case a.Joint != nil && b.Joint != nil:
		return JumperWire
	case a.Leaves || b.Leaves:
		return OffBoard
	}
	return LooseWire
}

func (in *WiresInput) photo(p geom.Point) [2]float64 {
	q := p.Add(geom.Point{X: 0.5, Y: 0.5}).Scale(float64(in.Scale)).Sub(geom.Point{X: 0.5, Y: 0.5})
	return [2]float64{q.X, q.Y}
}

// end looks which joint lies ahead of a path's last point.
func (in *WiresInput) end(path []geom.Point, width float64) WireEnd {
	tip := path[len(path)-1]
	at := in.photo(tip)
	e := WireEnd{X: at[0], Y: at[1]}
	if in.leaves(tip, width) {
		e.Leaves, e.Confidence = true, 1
		return e
	}
	back := path[max(0, len(path)-1-int(turnReach*width))]
	way := tip.Sub(back)
	if n := way.Norm(); n > 0 {
		way = way.Scale(1 / n)
	}
	sum, best := noJoint, 0.0
	for i, j := range in.Joints {
		p := in.weigh(geom.Point{X: j.X, Y: j.Y}, geom.Point{X: at[0], Y: at[1]}, way, width*float64(in.Scale))
		sum += p
		if p > best {
			best, e.Joint, e.Net = p, &i, j.Net
		}
	}
	if best < noJoint {
		e.Joint, e.Net = nil, nil
	}
	e.Confidence = math.Max(best, noJoint) / sum
	return e
}

// weigh is how well a joint suits a wire's end.
func (in *WiresInput) weigh(joint, tip, way geom.Point, width float64) float64 {
	v := joint.Sub(tip)
	d := v.Norm()
	if d > stripReach*width {
		return 0
	}
	if d < width { // the wire covers its joint
		return 1
	}
	t := angle(way, v.Scale(1/d))
	return math.Exp(-t*t/(2*endSpread*endSpread) - d*d/(stripReach*stripReach*width*width)*2)
}

// leaves tells whether the photo or the board ends where the wire does.
func (in *WiresInput) leaves(tip geom.Point, width float64) bool {
	m := 2 + width
	if tip.X < m || tip.Y < m || tip.X > float64(in.Front.W)-1-m || tip.Y > float64(in.Front.H)-1-m {
		return true
	}
	off := 0
	for k := range 12 {
		s, c := math.Sincos(float64(k) * math.Pi / 6)
		q := tip.Add(geom.Point{X: c, Y: s}.Scale(1.5 * width))
		if x, y := int(q.X+0.5), int(q.Y+0.5); x >= 0 && y >= 0 && x < in.Off.W && y < in.Off.H && in.Off.Yes(x, y) {
			off++
		}
	}
	return off >= 6
}

// median of a list, 0 of none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
