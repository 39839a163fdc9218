package schematic

import (
	"fmt"

	"foilside/internal/lettering"
)

// joinByName gives every piece of a net that no wire could join a mark with
// the net's name.
//
// Errors:  no room for a mark anywhere.
func (b *board) joinByName(r *router) error {
	for net := range b.l.terms {
		pieces := r.pieces(net)
		if len(pieces) < 2 {
			continue
		}
		for _, p := range pieces {
			if !b.onwardMark(r, net, p) {
				return fmt.Errorf("no room on the drawing for the name of net %s", b.l.view.nets[net].ID)
			}
		}
	}
	return nil
}

// onwardMark leads a wire from a piece of a net to the nearest place with room
// for the net's name, and sets the mark there.
func (b *board) onwardMark(r *router, net int, piece []int) bool {
	name := string(b.l.view.nets[net].ID)
	w := b.ruler.Width(name, lettering.Plain, textSize)
	found := -1
	var mark Mark
	var text Text
	r.force = false
	ok := r.search(net, piece, func(id int, s Side) bool {
		if s.vertical() || r.m.arms(id, net) > 0 || !r.m.empty(id) {
			return false
		}
		mark, text = b.arrowMark(net, r.m.cell(id).point(), s, name, w)
		for _, box := range []Box{mark.Box, text.Box} {
			if !b.free(gridRect(box, textGap), id) {
				return false
			}
		}
		found = id
		return true
	})
	if !ok || found < 0 {
		return false
	}
	b.onward = append(b.onward, mark)
	b.onTexts = append(b.onTexts, text)
	r.m.block(gridRect(mark.Box, 0.5))
	r.m.block(gridRect(text.Box, textGap))
	return true
}

// arrowMark is an arrow head at the wire's end with the name beyond it.
func (b *board) arrowMark(net int, at Point, s Side, name string, w float64) (Mark, Text) {
	dir := float64(s.step().x)
	d := &pen{}
	d.head(at.X+dir*5, at.Y, dir, 0)
	x := at.X + 8
	if dir < 0 {
		x = at.X - 8 - w
	}
	id := b.l.view.nets[net].ID
	base := at.Y + 3
	return Mark{Net: id, Kind: OnwardMark, At: at, Strokes: d.strokes, Box: strokeBox(d.strokes)},
		Text{Text: name, Role: NetText, Size: textSize, At: Point{x, base}, Box: textBox(x, base, w), Net: id}
}

// free tells whether nothing but the place itself is used within r.
func (b *board) free(r rect, but int) bool {
	for y := r.y0; y <= r.y1; y++ {
		for x := r.x0; x <= r.x1; x++ {
			c := cell{x, y}
			if !b.m.inside(c) {
				return false
			}
			id := b.m.id(c)
			if id != but && (b.m.solid[id] || b.m.owner[id] != 0 || !b.m.empty(id)) {
				return false
			}
		}
	}
	return true
}
