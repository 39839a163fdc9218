package specimen

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"foilside/internal/num/geom"
)

// Style is how a board is drawn and made.
type Style struct {
	Laminate   Laminate `yaml:"laminate" json:"laminate"`
	Finish     Finish   `yaml:"finish" json:"finish"`
	Mask       Mask     `yaml:"mask,omitempty" json:"mask,omitempty"`
	Legend     bool     `yaml:"legend,omitempty" json:"legend,omitempty"`
	Width      float64  `yaml:"width" json:"width"`                           // least track width, mm
	Wide       float64  `yaml:"wide,omitempty" json:"wide,omitempty"`         // greatest track width; 0: all tracks alike
	Gap        float64  `yaml:"gap" json:"gap"`                               // least gap between nets, mm
	Pad        float64  `yaml:"pad" json:"pad"`                               // pad diameter, mm
	Rounded    bool     `yaml:"rounded,omitempty" json:"rounded,omitempty"`   // tracks bend in curves
	Teardrop   bool     `yaml:"teardrop,omitempty" json:"teardrop,omitempty"` // tracks widen toward pads
	Pour       bool     `yaml:"pour,omitempty" json:"pour,omitempty"`         // copper fills the space up to the gap
	Fill       float64  `yaml:"fill,omitempty" json:"fill,omitempty"`         // share of the board that parts take; 0: 0.42
	Aspect     float64  `yaml:"aspect,omitempty" json:"aspect,omitempty"`     // width by height; 0: 1.5
	Joint      float64  `yaml:"joint,omitempty" json:"joint,omitempty"`       // 0 neat solder joints … 1 careless ones
	Jumpers    int      `yaml:"jumpers,omitempty" json:"jumpers,omitempty"`   // wires on the foil side that are put up with
	Missing    float64  `yaml:"missing,omitempty" json:"missing,omitempty"`   // share of the parts that were taken out
	Etched     string   `yaml:"etched,omitempty" json:"etched,omitempty"`     // lettering in copper, where there is room
	FoilLegend bool     `yaml:"foilLegend,omitempty" json:"foilLegend,omitempty"`
	Both       Holes    `yaml:"both,omitempty" json:"both,omitempty"` // copper on both faces, joined as its holes are; none: on the foil side only
	Wear       Wear     `yaml:"wear,omitempty" json:"wear,omitempty"`
}

// Hand is a part placed by hand: where its first lead stands, and its quarter
// turns clockwise.
type Hand struct {
	At   geom.Point `yaml:"at" json:"at"`
	Turn int        `yaml:"turn,omitempty" json:"turn,omitempty"`
}

// Layout places the parts of a circuit on a board and routes its nets on one
// side, with wire links where no track gets through.
//
// Errors: a part of a kind without a body, a lead without a net, a net with
// one lead, or a board on which the parts find no room.
func Layout(ctx context.Context, circuit []CircuitPart, style Style, hand map[string]Hand, seed uint64) (Board, error) {
	var best Board
	for try := range layoutTries {
		b, err := layoutOnce(ctx, circuit, style, hand, seed+uint64(try)*7919)
		if err != nil {
			return Board{}, err
		}
		if try == 0 || len(b.Jumpers) < len(best.Jumpers) {
			best = b
		}
		if len(best.Jumpers) <= style.Jumpers {
			break
		}
		style.Fill = fillOf(style) * 0.9
	}
	return best, nil
}

// layoutTries is how often a layout is begun again, with more room each time,
// where it needed more wires on the foil side than the style allows.
const layoutTries = 3

func layoutOnce(ctx context.Context, circuit []CircuitPart, style Style, hand map[string]Hand, seed uint64) (Board, error) {
	t, err := newTable(circuit, style, hand, seed)
	if err != nil {
		return Board{}, err
	}
	if err := t.room(style); err != nil {
		return Board{}, err
	}
	t.anneal(4000 + 900*len(t.parts))
	if err := ctx.Err(); err != nil {
		return Board{}, err
	}
	b := t.board(circuit, style)
	r := newRouter(t.size, rules{width: style.Width, gap: style.Gap, edge: 1, safety: 0.12}, b.Mounts)
	for _, p := range b.Pads {
		r.pads = append(r.pads, conductor{stroke{p.At, p.At, p.Diameter, p.Diameter}, p.Net})
	}
	for _, p := range t.parts {
		lo, hi := p.box()
		r.bodies = append(r.bodies, [2]geom.Point{lo, hi})
	}
	if style.Both != NoUpper {
		t.layBoth(&b, r, style)
		return b, ctx.Err()
	}
	links, jumpers := r.route(t.order())
	t.finish(&b, r, links, jumpers, style)
	return b, ctx.Err()
}

func newTable(circuit []CircuitPart, style Style, hand map[string]Hand, seed uint64) (*table, error) {
	t := &table{r: newRand(seed, 91), index: map[string]int{}, margin: 3.5}
	for _, c := range circuit {
		p, err := placementOf(c, t.r)
		if err != nil {
			return nil, err
		}
		p.room = (style.Pad+style.Gap)/2 + 0.1
		p.measure()
		if h, ok := hand[c.Ref]; ok {
			p.at, p.turn, p.held = h.At, h.Turn, true
		}
		for i, l := range p.part.Leads {
			p.nets = append(p.nets, t.join(l.Net, pinRef{len(t.parts), i}))
		}
		t.parts = append(t.parts, p)
	}
	for n, pins := range t.nets {
		if len(pins) < 2 {
			p := t.parts[pins[0].part].part
			return nil, fmt.Errorf("net %s has one lead only (part %s): join it to another or leave the part out", t.names[n], p.Ref)
		}
	}
	t.trees = make([][]edge, len(t.nets))
	return t, nil
}

// join notes a lead of a net and returns the net's number.
func (t *table) join(net string, pin pinRef) int {
	n, ok := t.index[net]
	if !ok {
		n = len(t.names)
		t.index[net] = n
		t.names = append(t.names, net)
		t.nets = append(t.nets, nil)
	}
	t.nets[n] = append(t.nets[n], pin)
	return n
}

func placementOf(c CircuitPart, r *rand.Rand) (*placement, error) {
	part, err := dress(c, r)
	if err != nil {
		return nil, err
	}
	p := &placement{part: part, foot: footprintOf(part.Body, part.Size, len(part.Leads))}
	if len(p.foot.leads) != len(part.Leads) {
		return nil, fmt.Errorf("part %s: body %s has %d leads, the circuit gives %d", c.Ref, part.Body, len(p.foot.leads), len(part.Leads))
	}
	for _, l := range part.Leads {
		if l.Net == "" {
			return nil, fmt.Errorf("part %s: lead %s is on no net", c.Ref, l.Name)
		}
	}
	return p, nil
}

// room sizes the board so that all parts find a place.
func (t *table) room(style Style) error {
	area := 0.0
	for _, p := range t.parts {
		lo, hi := p.box()
		area += (hi.X - lo.X) * (hi.Y - lo.Y)
	}
	fill, aspect := fillOf(style), style.Aspect
	if aspect == 0 {
		aspect = 1.5
	}
	if err := t.checkHeld(); err != nil {
		return err
	}
	order := t.bySize()
	for try := range 12 {
		h := math.Sqrt(area/fill/aspect) * (1 + 0.06*float64(try))
		reach := t.heldReach()
		t.size = geom.Point{X: snap(max(h*aspect+2*t.margin, reach.X)), Y: snap(max(h+2*t.margin, reach.Y))}
		t.keep = cornerMounts(t.size)
		if t.scatter(order) {
			return nil
		}
	}
	return fmt.Errorf("the %d parts find no room on a board of %.0f × %.0f mm: give a smaller fill", len(t.parts), t.size.X, t.size.Y)
}

// checkHeld refuses parts placed by hand on one another or off the board's
// upper left corner; the board grows to take in the rest.
func (t *table) checkHeld() error {
	for i, p := range t.parts {
		if !p.held {
			continue
		}
		lo, hi := p.box()
		if lo.X < 0 || lo.Y < 0 {
			return fmt.Errorf("part %s, placed by hand at (%g, %g) mm, hangs over the board's edge: move it by (%.1f, %.1f) mm",
				p.part.Ref, p.at.X, p.at.Y, max(0, -lo.X), max(0, -lo.Y))
		}
		for _, o := range t.parts[:i] {
			if a, b := o.box(); o.held && lo.X < b.X && hi.X > a.X && lo.Y < b.Y && hi.Y > a.Y {
				return fmt.Errorf("parts %s and %s, placed by hand, stand on each other: move one of them", o.part.Ref, p.part.Ref)
			}
		}
	}
	return nil
}

// heldReach is the corner of the board that parts placed by hand need.
func (t *table) heldReach() geom.Point {
	var reach geom.Point
	for _, p := range t.parts {
		if _, hi := p.box(); p.held {
			reach = geom.Point{X: max(reach.X, hi.X+t.margin), Y: max(reach.Y, hi.Y+t.margin)}
		}
	}
	return reach
}

func fillOf(s Style) float64 {
	if s.Fill == 0 {
		return 0.42
	}
	return s.Fill
}

func snap(v float64) float64 { return math.Round(v/pitch) * pitch }

func cornerMounts(size geom.Point) []Mount {
	const in, d = 4.0, 3.2
	return []Mount{{geom.Point{X: in, Y: in}, d}, {geom.Point{X: size.X - in, Y: in}, d},
		{geom.Point{X: in, Y: size.Y - in}, d}, {geom.Point{X: size.X - in, Y: size.Y - in}, d}}
}

func (t *table) bySize() []int {
	area := func(k int) float64 {
		lo, hi := t.parts[k].box()
		return (hi.X - lo.X) * (hi.Y - lo.Y)
	}
	order := make([]int, len(t.parts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(area(b), area(a)) })
	return order
}

// order lists the nets, the shortest first: long ones find ways around.
func (t *table) order() []string {
	length := map[string]float64{}
	for n, name := range t.names {
		for _, e := range t.spanning(n) {
			length[name] += e.a.Dist(e.b)
		}
	}
	names := slices.Sorted(slices.Values(t.names))
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(length[a], length[b]) })
	return names
}

// board turns the placement into a board without tracks.
func (t *table) board(circuit []CircuitPart, s Style) Board {
	b := Board{Size: t.size, Corner: oneOf(t.r, 0.3, 0.3, 1.5), Laminate: s.Laminate, Finish: s.Finish, Mask: s.Mask,
		Legend: s.Legend, FoilLegend: s.FoilLegend, Mounts: t.keep, Wear: s.Wear, Circuit: circuit}
	for _, p := range t.parts {
		part := p.part
		part.Leads = slices.Clone(part.Leads)
		for i := range part.Leads {
			part.Leads[i].At = p.lead(i)
			d := s.Pad
			hole := 0.9
			if part.Body == TransformerBody || part.Body == WiresBody || part.Body == SwitchBody || part.Body == FuseBody {
				hole = 1.2
			}
			d = math.Min(d, padRoom(p.foot.leads)*pitch-s.Gap-0.05)
			b.Pads = append(b.Pads, Pad{Net: part.Leads[i].Net, At: part.Leads[i].At, Diameter: d, Hole: hole})
		}
		b.Parts = append(b.Parts, part)
	}
	return b
}

// padRoom is the least distance between a footprint's leads, in pitches.
func padRoom(leads []geom.Point) float64 {
	best := 2.0
	for i := range leads {
		for j := range i {
			best = math.Min(best, leads[i].Dist(leads[j]))
		}
	}
	return best
}

// finish adds tracks, links and solder to the board.
func (t *table) finish(b *Board, r *router, links []Part, jumpers []Jumper, s Style) {
	for _, l := range links {
		for _, e := range l.Leads {
			b.Pads = append(b.Pads, Pad{Net: e.Net, At: e.At, Diameter: linkPad, Hole: 0.8})
		}
	}
	b.Parts = append(b.Parts, links...)
	b.Jumpers = jumpers
	for i := range b.Jumpers {
		b.Jumpers[i].Colour = oneOf(t.r, "black", "red", "blue", "yellow", "white", "green")
	}
	for _, n := range r.names {
		for _, tr := range r.tracks[n] {
			if tr.Width > 0 {
				b.Tracks = append(b.Tracks, tr)
			}
		}
	}
	d := newDraughtsman(b, s.Gap)
	if s.Wide > s.Width {
		d.widen(s.Wide, t.r)
	}
	if s.Rounded {
		d.round()
	}
	if s.Teardrop {
		d.teardrops()
	}
	if s.Pour {
		pour(b, s.Gap)
	}
	solderAll(b, s, t.r)
	takeOut(b, s.Missing, t.r)
	if s.Etched != "" {
		d.etch(s.Etched, t.r)
	}
}

// takeOut leaves some parts' holes empty.
func takeOut(b *Board, share float64, r *rand.Rand) {
	for i := range b.Parts {
		p := &b.Parts[i]
		if p.Missing = r.Float64() < share && p.Body != LinkBody; !p.Missing {
			continue
		}
		for j := range b.Pads {
			for _, l := range p.Leads {
				if b.Pads[j].At == l.At {
					b.Pads[j].Solder = Solder{}
				}
			}
		}
	}
}
