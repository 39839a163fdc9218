package schematic

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"foilside/internal/lettering"
)

// joinByName gives every piece of a net that no wire could join a mark with
// the net's name.
//
// Errors:  no room for a mark anywhere.
func (b *board) joinByName(r *router) error {
	b.lane = make([]int16, b.m.w*b.m.h)
	for net := range b.l.terms {
		b.laneOf(net, nil, 1)
	}
	for net := range b.l.terms {
		pieces := r.pieces(net)
		rail := b.l.view.rail[net] != noRail
		if len(pieces) < 2 && !rail && !b.l.view.goesOn(net) {
			continue
		}
		done := map[int]bool{} // places of the pieces that have their mark
		for _, p := range pieces {
			if done[p[0]] {
				continue
			}
			b.laneOf(net, p, -1)
			if rail && !b.looseMark(r, net, p, done) || !rail && !b.onwardMark(r, net, p) {
				return fmt.Errorf("no room on the drawing for the name of net %s", b.l.view.nets[net].ID)
			}
			for _, q := range r.pieces(net) {
				if slices.Contains(q, p[0]) {
					for _, id := range q {
						done[id] = true
					}
				}
			}
		}
	}
	return nil
}

// laneOf adds to, or takes off, the lanes kept free before a loose rail's
// leads until their turn comes.
func (b *board) laneOf(net int, piece []int, d int16) {
	if b.l.view.rail[net] == noRail {
		return
	}
	for i := range b.l.items {
		for _, p := range b.l.shape(i).pins {
			at := p.at.add(b.l.pos[i]).add(b.shift)
			if !p.loose || p.net != net || piece != nil && !slices.Contains(piece, b.m.id(at)) {
				continue
			}
			for k := 1; k <= 4; k++ {
				if c := at.add(p.out.step().times(k)); b.m.inside(c) {
					b.lane[b.m.id(c)] += d
				}
			}
		}
	}
}

// onwardMark leads a wire from a piece of a net to the nearest place with room
// for the net's name, and sets the mark there.
func (b *board) onwardMark(r *router, net int, piece []int) bool {
	name := b.l.view.onwardName(net)
	w := b.ruler.Width(name, lettering.Plain, textSize)
	var mark Mark
	var text Text
	r.force = false
	ok := r.search(net, piece, func(key int32) bool {
		id, s := int(key/4), Side(key%4)
		if s.vertical() || r.m.arms(id, net) > 0 || !r.m.empty(id) {
			return false
		}
		mark, text = b.arrowMark(net, r.m.cell(id).point(), s, name, w)
		for _, box := range []Box{mark.Box, text.Box} {
			if g := gridRect(box, textGap); !b.free(g, id) || r.wayMeets(key, g) {
				return false
			}
		}
		return true
	})
	if !ok {
		return false
	}
	b.claim(mark, text)
	return true
}

// onwardName is a net's name, and the sheets that it goes on on.
func (v *netView) onwardName(net int) string {
	name := string(v.nets[net].ID)
	if !v.goesOn(net) {
		return name
	}
	var sheets []string
	for _, s := range v.elsewhere[net] {
		sheets = append(sheets, strconv.Itoa(s))
	}
	return name + " / " + strings.Join(sheets, ", ")
}

// looseMark leads a rail's lead to the nearest place with room for the rail's
// mark, to arrive there the rail's way, or to a wire that has its mark.
func (b *board) looseMark(r *router, net int, piece []int, done map[int]bool) bool {
	want := Down
	if b.l.view.rail[net].up() {
		want = Up
	}
	var mark Mark
	var texts []Text
	r.force = false
	joined := false
	ok := r.search(net, piece, func(key int32) bool {
		id, s := int(key/4), Side(key%4)
		if joined = done[id]; joined {
			return true
		}
		if s != want || r.m.arms(id, net) > 0 || !r.m.empty(id) {
			return false
		}
		mark, texts = b.l.view.railMark(net, r.m.cell(id).point(), b.ruler)
		boxes := []Box{markRoom(mark)}
		for _, t := range texts {
			boxes = append(boxes, t.Box)
		}
		for _, box := range boxes {
			if g := gridRect(box, textGap); !b.free(g, id) || r.wayMeets(key, g) {
				return false
			}
		}
		return true
	})
	if ok && !joined {
		b.claim(mark, texts...)
	}
	return ok
}

// claim keeps the places of a mark and its texts.
func (b *board) claim(mark Mark, texts ...Text) {
	b.onward = append(b.onward, mark)
	b.onTexts = append(b.onTexts, texts...)
	blocks := []rect{gridRect(markRoom(mark), 0.5)}
	for _, t := range texts {
		blocks = append(blocks, gridRect(t.Box, textGap))
	}
	for _, r := range blocks {
		b.m.block(r)
		b.extra = append(b.extra, r)
	}
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

// free tells whether nothing but the place itself is used within r, and no
// symbol or text stands right beside it.
func (b *board) free(r rect, but int) bool {
	g := r.grow(1)
	for y := g.y0; y <= g.y1; y++ {
		for x := g.x0; x <= g.x1; x++ {
			c := cell{x, y}
			if !b.m.inside(c) {
				return false
			}
			id := b.m.id(c)
			if id == but {
				continue
			}
			within := x >= r.x0 && x <= r.x1 && y >= r.y0 && y <= r.y1
			if within && (b.m.solid[id] || b.lane[id] > 0) || b.symbolAt(id) || within && (b.m.owner[id] != 0 || !b.m.empty(id)) {
				return false
			}
		}
	}
	return true
}

// symbolAt tells whether a symbol, text or mark covers the place; a rail's
// line may run beside a mark.
func (b *board) symbolAt(id int) bool {
	if b.symbols == nil {
		return b.m.solid[id]
	}
	return b.symbols[id]
}
