package schematic

import (
	"math"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// rect is a block of grid lines, ends included.
type rect struct{ x0, y0, x1, y1 int }

func (r rect) move(d cell) rect { return rect{r.x0 + d.x, r.y0 + d.y, r.x1 + d.x, r.y1 + d.y} }

func (r rect) grow(k int) rect { return rect{r.x0 - k, r.y0 - k, r.x1 + k, r.y1 + k} }

func (r rect) meets(s rect) bool {
	return r.x0 <= s.x1 && s.x0 <= r.x1 && r.y0 <= s.y1 && s.y0 <= r.y1
}

func (r rect) union(s rect) rect {
	return rect{min(r.x0, s.x0), min(r.y0, s.y0), max(r.x1, s.x1), max(r.y1, s.y1)}
}

// gridRect is the grid lines that a box covers or comes nearer to than gap.
func gridRect(b Box, gap float64) rect {
	lo := func(v float64) int { return int(math.Floor((v-gap)/Unit)) + 1 }
	hi := func(v float64) int { return int(math.Ceil((v+gap)/Unit)) - 1 }
	return rect{lo(b.X), lo(b.Y), hi(b.right()), hi(b.bottom())}
}

// textGap is the least distance of a wire from lettering.
const textGap = 1.5

// pin is a lead of a placed shape.
type pin struct {
	lead circuit.LeadName
	net  int
	at   cell
	out  Side
	rail bool // ends in a mark, needs no route
	// loose: a rail's lead without room for a mark beside the symbol; the
	// router finds a place for it.
	loose bool
}

// shape is one way to draw a part: turned, with its texts and marks about it,
// all relative to the symbol's origin.
type shape struct {
	sym     symbol
	orient  Orient
	variant int // which of the part's symbols
	caption int // which of the free places for its caption
	pins    []pin
	body    rect   // the symbol
	solid   []rect // symbol, texts, marks: wires keep out, other parts keep a line free
	arms    []rect // the way out of each lead: other parts keep off
	hull    rect
	box     Box
	texts   []Text
	marks   []armed
	cost    float64 // how much a draughtsman would rather not
}

// armed is a rail mark with the wire that leads to it.
type armed struct {
	net   int
	wire  []cell
	mark  Mark
	texts []Text
}

// shaper makes the shapes of parts.
type shaper struct {
	view  *netView
	opts  Options
	ruler *lettering.Ruler
}

// shapes lists the ways to draw a part, the customary first. Where some lead
// supplies up and common down, no shape that doesn't is kept.
func (s *shaper) shapes(p circuit.Part) ([]shape, error) {
	syms, err := s.symbols(p)
	if err != nil {
		return nil, err
	}
	var all []shape
	for i, sym := range syms {
		for _, o := range turns(sym, p) {
			base := s.turned(p, sym, o)
			base.cost += sym.cost
			base.variant = i
			all = append(all, s.captioned(p, base)...)
		}
	}
	return keepRight(all), nil
}

// symbols are the part's symbol and its variants: an op-amp with its inputs
// exchanged, a transformer with a winding turned round.
func (s *shaper) symbols(p circuit.Part) ([]symbol, error) {
	sym, err := symbolOf(p, s.opts.standard())
	if err != nil {
		return nil, err
	}
	out := []symbol{sym}
	switch p.Kind {
	case circuit.OpAmp:
		swapped := opampSymbol(s.opts.standard(), true).onlyLeadsOf(p)
		swapped.cost = 0.5
		out = append(out, swapped)
	case circuit.Transformer:
		out = out[:0]
		for _, set := range settings(len(p.Windings)) {
			v := transformerSymbol(p, set).onlyLeadsOf(p)
			v.cost = set.cost
			out = append(out, v)
		}
	}
	return out, nil
}

// turns lists the orientations that suit a symbol.
func turns(sym symbol, p circuit.Part) []Orient {
	all := []Orient{{}, {Mirror: true}}
	switch {
	case sym.flips && sym.upright:
		all = append(all, Orient{Quarters: 2}, Orient{Mirror: true, Quarters: 2})
	case !sym.upright:
		all = append(all, Orient{Quarters: 1}, Orient{Quarters: 2}, Orient{Quarters: 3},
			Orient{Mirror: true, Quarters: 1}, Orient{Mirror: true, Quarters: 2}, Orient{Mirror: true, Quarters: 3})
	}
	switch p.Kind {
	case circuit.NPN, circuit.PNP, circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP, circuit.UJT,
		circuit.Triode, circuit.Pentode:
		all = all[:2]
	case circuit.Battery, circuit.Supply, circuit.Signal:
		all = []Orient{{}, {Quarters: 1}, {Quarters: 3}, {Quarters: 2}}
	case circuit.Timer555:
		all = all[:1] // or its lettering would read backwards
	}
	return all
}

// turned places the symbol and its rail marks, without caption. A lead without
// room for its mark becomes loose and needs a free lane as a wired lead does,
// so that the marks are placed anew.
func (s *shaper) turned(p circuit.Part, sym symbol, o Orient) shape {
	loose := map[circuit.LeadName]bool{}
	for {
		sh, more := s.tryMarks(p, sym, o, loose)
		if !more {
			return sh
		}
	}
}

// tryMarks places the marks of all leads but the loose ones. It notes those
// that turn out to be loose too, and reports whether there are any.
func (s *shaper) tryMarks(p circuit.Part, sym symbol, o Orient, loose map[circuit.LeadName]bool) (sh shape, more bool) {
	sh = shape{sym: sym, orient: o, box: o.box(sym.body)}
	sh.body = gridRect(sh.box, 0.5)
	for _, q := range sym.ports {
		net := s.view.index[p.Net(q.name)]
		n := pin{lead: q.name, net: net, at: gridCell(o.apply(q.at)), out: o.side(q.out), rail: s.view.rail[net] != noRail, loose: loose[q.name]}
		sh.body = sh.body.union(rect{n.at.x, n.at.y, n.at.x, n.at.y})
		sh.pins = append(sh.pins, n)
	}
	sh.solid = []rect{sh.body}
	for i, q := range sym.ports {
		if q.text != "" {
			sh.addText(s.pinText(p, q.text, sh.pins[i]))
		}
	}
	for _, n := range sh.pins {
		switch {
		case n.wired(s.view):
			e := n.at.add(n.out.step())
			sh.arms = append(sh.arms, rect{e.x, e.y, e.x, e.y})
			if n.loose {
				sh.cost += wrongWay / 2
			}
		case n.rail && !sh.addMark(s, n):
			loose[n.lead] = true
			more = true
		}
	}
	sh.cost += s.stance(p, sh)
	return sh, more
}

func (sh *shape) addText(t Text) {
	sh.texts = append(sh.texts, t)
	sh.solid = append(sh.solid, gridRect(t.Box, textGap))
}

// addMark leads a rail's lead to its mark by the shortest way that is clear of
// the symbol and of the other leads. It reports false where there is none.
func (sh *shape) addMark(s *shaper, n pin) bool {
	want := Down
	if s.view.rail[n.net].up() {
		want = Up
	}
	for _, wire := range markArms(n.at, n.out, want) {
		a := armed{net: n.net, wire: wire}
		a.mark, a.texts = s.view.railMark(n.net, wire[len(wire)-1].point(), s.ruler)
		if sh.clearOf(s, n, a) {
			sh.marks = append(sh.marks, a)
			sh.solid = append(sh.solid, a.rects()...)
			sh.cost += wayCost(n.out, want, len(sh.sym.ports))
			return true
		}
	}
	return false
}

// wayCost is what a rail's lead costs that doesn't leave the rail's way.
func wayCost(out, want Side, leads int) float64 {
	switch {
	case out == want:
		return 0
	case out == want.opposite():
		return wrongWay
	case leads == 2:
		return 4 * sideWay
	}
	return sideWay
}

// wired tells whether a wire is routed to the lead.
func (p pin) wired(v *netView) bool { return p.loose || !p.rail && v.joins(p.net) }

// joins tells whether a net leads from one lead to another, here or on another
// sheet.
func (v *netView) joins(net int) bool { return len(v.nets[net].Leads) > 1 || v.goesOn(net) }

// goesOn tells whether a net goes on on another sheet.
func (v *netView) goesOn(net int) bool { return v.elsewhere != nil && len(v.elsewhere[net]) > 0 }

// boxes are what a mark takes up, the wire to it last.
func (a armed) boxes() []Box {
	out := []Box{markRoom(a.mark)}
	for _, t := range a.texts {
		out = append(out, t.Box)
	}
	for i := 1; i < len(a.wire); i++ {
		out = append(out, boxOf(a.wire[i-1].point(), a.wire[i].point()))
	}
	return out
}

// rects are the grid places that a mark and its wire take up.
func (a armed) rects() []rect {
	out := []rect{gridRect(markRoom(a.mark), 0.5)}
	for _, t := range a.texts {
		out = append(out, gridRect(t.Box, textGap))
	}
	for i := 1; i < len(a.wire); i++ {
		p, q := a.wire[i-1], a.wire[i]
		out = append(out, rect{min(p.x, q.x), min(p.y, q.y), max(p.x, q.x), max(p.y, q.y)})
	}
	return out
}

// markRoom is the room that a mark needs. Under an earth sign one more line is
// kept free, or a wire there would look joined to it.
func markRoom(m Mark) Box {
	b := m.Box
	if m.Kind == CommonMark {
		b.H = Unit + 1
	}
	return b
}

// clearOf tells whether a lead's mark keeps off the symbol, the other leads
// and their marks.
func (sh *shape) clearOf(s *shaper, n pin, a armed) bool {
	for _, b := range a.boxes() {
		if b.overlaps(sh.box) || crossesInside(b, sh.box) {
			return false
		}
		for _, t := range sh.texts {
			if b.grow(1).overlaps(t.Box) {
				return false
			}
		}
		for _, m := range sh.marks {
			for _, c := range m.boxes() {
				if b.grow(1).overlaps(c.grow(1)) {
					return false
				}
			}
		}
	}
	for _, q := range sh.pins {
		if q.at == n.at {
			continue
		}
		reach := 1
		if q.wired(s.view) {
			reach = freeLane // its wire must get away
		}
		tip := q.at.add(q.out.step().times(reach))
		lead := boxOf(q.at.point(), tip.point()).grow(2)
		for _, b := range a.boxes() {
			if b.grow(0.5).overlaps(lead) {
				return false
			}
		}
	}
	return true
}

// freeLane is how far before a lead no mark of the same part may stand, in grid
// steps.
const freeLane = 10

const (
	wrongWay = 1000 // a supply's lead that leaves downward
	sideWay  = 3    // one that leaves sideways
)

// keepRight drops the shapes with a lead that leaves the wrong way, unless
// the part has no other.
func keepRight(all []shape) []shape {
	var right []shape
	for _, s := range all {
		if s.cost < wrongWay {
			right = append(right, s)
		}
	}
	if len(right) == 0 {
		right = all
	}
	for i := range right {
		right[i].hull = right[i].solid[0]
		for _, r := range append(right[i].solid, right[i].arms...) {
			right[i].hull = right[i].hull.union(r)
		}
	}
	return right
}

// pinText is the name or number beside a lead: above a lead that lies, to the
// right of one that stands.
func (s *shaper) pinText(p circuit.Part, text string, n pin) Text {
	const size = 7.0
	w := s.ruler.Width(text, lettering.Plain, size)
	at := n.at.point()
	t := Text{Text: text, Role: PinText, Size: size, Part: p.Ref}
	if p.Kind == circuit.Connector || p.Kind == circuit.TestPoint {
		t.At = Point{at.X - 15 - w, at.Y + 2.5} // the terminal's far side
		if n.out == Left {
			t.At.X = at.X + 15
		}
	} else {
		switch n.out {
		case Left:
			t.At = Point{at.X + pinStub - 3 - w, at.Y - 2.5}
		case Right:
			t.At = Point{at.X - pinStub + 3, at.Y - 2.5}
		case Up:
			t.At = Point{at.X + 2.5, at.Y + pinStub - 4}
		default:
			t.At = Point{at.X + 2.5, at.Y - pinStub + 4 + size*0.73}
		}
	}
	t.Box = Box{t.At.X, t.At.Y - size*lettering.Ascent, w, size * (lettering.Ascent + lettering.Descent)}
	return t
}
