package schematic

import (
	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// lineStep is the distance of the baselines of a caption.
const lineStep = 9

// block is a caption's place: where its lines begin, and how they are lined
// up on x (0 left, 0.5 centred, 1 right).
type block struct {
	x, top, align float64
	cost          float64
}

// captioned gives the turned symbol its reference, value and type number in
// every place that is free of the symbol's own leads and marks.
func (s *shaper) captioned(p circuit.Part, base shape) []shape {
	lines := append([]string{string(p.Ref)}, valueWords(p, s.opts.Value)...)
	var out []shape
	for _, texts := range s.captionPlaces(p, base, lines) {
		sh := base
		sh.texts = append([]Text(nil), base.texts...)
		sh.solid = append([]rect(nil), base.solid...)
		clear := true
		for _, t := range texts.lines {
			if sh.blocked(t.Box) {
				clear = false
			}
		}
		if !clear {
			continue
		}
		for _, t := range texts.lines {
			sh.addText(t)
		}
		sh.cost += texts.cost
		sh.caption = len(out)
		out = append(out, sh)
		if len(out) == 3 {
			break
		}
	}
	return out
}

type placedCaption struct {
	lines []Text
	cost  float64
}

// captionPlaces lists where a caption can stand, the customary place first.
// The last places lie ever further out, so that one is always free.
func (s *shaper) captionPlaces(p circuit.Part, base shape, lines []string) []placedCaption {
	b := base.box
	h := lineStep * float64(len(lines))
	mid := b.Y + b.H/2 - h/2
	beside := []block{{b.right() + 4, mid, 0, 0}, {b.X - 4, mid, 1, 0.4}}
	if base.orient.Mirror && len(base.pins) == 3 {
		beside[0], beside[1] = block{b.X - 4, mid, 1, 0}, block{b.right() + 4, mid, 0, 0.4}
	}
	if sidesLed(base) > 2 {
		beside = append(beside, block{b.right() + 4, b.Y, 0, 0.2}, block{b.right() + 4, b.bottom() - h, 0, 0.3}, block{b.X - 4, b.Y, 1, 0.4})
	}
	over := []block{
		{b.X + b.W/2, b.Y - h - 3, 0.5, 0.2}, {b.X + b.W/2, b.bottom() + 3, 0.5, 0.6},
		{b.right() - 2, b.Y - h - 2, 0, 0.6}, {b.X + 2, b.Y - h - 2, 1, 0.8},
		{b.right() - 2, b.bottom() + 3, 0, 0.9}, {b.X + 2, b.bottom() + 3, 1, 1},
	}
	var blocks []block
	var out []placedCaption
	lying := len(base.pins) == 2 && !base.pins[0].out.vertical()
	if lying {
		out = append(out, s.splitCaption(p, b, lines))
		blocks = over
	} else {
		blocks = append(beside, over...)
	}
	for k := 1; k <= 6; k++ {
		d := float64(k) * Unit
		blocks = append(blocks, block{b.right() + 4 + d, b.Y - h - d, 0, 1 + d}, block{b.right() + 4 + d, b.bottom() + d, 0, 1 + d})
	}
	for _, k := range blocks {
		out = append(out, placedCaption{s.stack(p, lines, k), k.cost})
	}
	return out
}

// splitCaption puts the reference over a lying part and the rest under it.
func (s *shaper) splitCaption(p circuit.Part, b Box, lines []string) placedCaption {
	c := b.X + b.W/2
	first := s.stack(p, lines[:1], block{c, b.Y - lineStep - 2.5, 0.5, 0})
	rest := s.stack(p, lines[1:], block{c, b.bottom() + 2.5, 0.5, 0})
	for i := range rest {
		rest[i].Role = ValueText
	}
	return placedCaption{append(first, rest...), 0}
}

// stack sets lines one under the other.
func (s *shaper) stack(p circuit.Part, lines []string, k block) []Text {
	var out []Text
	for i, line := range lines {
		w := s.ruler.Width(line, lettering.Plain, textSize)
		x := k.x - k.align*w
		base := k.top + lineStep*float64(i) + textSize*lettering.Ascent
		t := Text{Text: line, Role: ValueText, Size: textSize, At: Point{x, base}, Box: textBox(x, base, w), Part: p.Ref}
		if i == 0 {
			t.Role = RefText
		}
		out = append(out, t)
	}
	return out
}

// blocked tells whether a text would lie on the shape's own symbol, leads,
// marks or texts.
func (sh *shape) blocked(b Box) bool {
	if b.overlaps(sh.box.grow(1)) {
		return true
	}
	for _, t := range sh.texts {
		if b.overlaps(t.Box.grow(1)) {
			return true
		}
	}
	for _, n := range sh.pins {
		at, tip := n.at.point(), n.at.add(n.out.step().times(3)).point()
		lead := boxOf(at, tip)
		if !sh.box.holds(at) { // a stub outside the body
			lead = boxOf(n.at.add(n.out.opposite().step().times(pinStub/Unit)).point(), tip)
		}
		if b.overlaps(lead.grow(textGap)) {
			return true
		}
	}
	for _, m := range sh.marks {
		if b.overlaps(m.mark.Box.grow(2)) {
			return true
		}
		for _, t := range m.texts {
			if b.overlaps(t.Box.grow(1)) {
				return true
			}
		}
		for i := 1; i < len(m.wire); i++ {
			if b.overlaps(boxOf(m.wire[i-1].point(), m.wire[i].point()).grow(textGap)) {
				return true
			}
		}
	}
	return false
}

// sidesLed counts the sides on which a shape's leads leave.
func sidesLed(sh shape) int {
	var led [4]bool
	n := 0
	for _, p := range sh.pins {
		if !led[p.out] {
			led[p.out] = true
			n++
		}
	}
	return n
}
