package schematic

import (
	"cmp"
	"slices"
)

// hung is a rail mark of an item that may be joined to the rail's line.
type hung struct {
	item, mark int
	foot       cell // where the mark stands, on the maze
}

// railLine is a rail drawn as a line, with the marks that it replaces.
type railLine struct {
	net  int
	y    int
	hung []hung // by x
	up   bool
}

// drawRails replaces the marks of supplies and of common by lines at the top
// and at the foot, wherever a lead can be led straight to the line without
// crossing anything. The rail with most leads goes first.
func (b *board) drawRails() {
	if b.opts.NoRails {
		return
	}
	b.countSolids()
	byNet := map[int][]hung{}
	for i := range b.l.items {
		for k, a := range b.l.shape(i).marks {
			if b.l.view.rail[a.net] != negativeRail {
				foot := a.wire[len(a.wire)-1].add(b.l.pos[i]).add(b.shift)
				byNet[a.net] = append(byNet[a.net], hung{i, k, foot})
			}
		}
	}
	var nets []int
	for n := range byNet {
		nets = append(nets, n)
	}
	slices.SortFunc(nets, func(x, y int) int {
		return cmp.Or(cmp.Compare(len(byNet[y]), len(byNet[x])), cmp.Compare(x, y))
	})
	for _, n := range nets {
		b.railLine(n, byNet[n])
	}
}

// countSolids counts for every place how many blocks of items cover it.
func (b *board) countSolids() {
	b.cover = make([]int16, b.m.w*b.m.h)
	for i := range b.l.items {
		at := b.l.pos[i].add(b.shift)
		for _, r := range b.l.shape(i).solid {
			b.addCover(r.move(at), 1)
		}
	}
	for _, x := range b.extra {
		b.addCover(x, 1)
	}
	b.symbols = make([]bool, len(b.cover))
	for id, n := range b.cover {
		b.symbols[id] = n > 0
	}
}

func (b *board) addCover(r rect, d int16) {
	for y := max(r.y0, 0); y <= min(r.y1, b.m.h-1); y++ {
		for x := max(r.x0, 0); x <= min(r.x1, b.m.w-1); x++ {
			b.cover[y*b.m.w+x] += d
		}
	}
}

// lift takes a mark off the count, or puts it back.
func (b *board) lift(h hung, d int16) {
	at := b.l.pos[h.item].add(b.shift)
	a := b.l.shape(h.item).marks[h.mark]
	for _, r := range a.rects()[:1+len(a.texts)] { // not the wire to it
		b.addCover(r.move(at), d)
	}
}

// railLine joins as many marks of a net as can be reached. A rail of fewer
// than three, unless there are no more, or of less than half of the marks, is
// left to the marks.
func (b *board) railLine(net int, all []hung) {
	line := railLine{net: net, up: b.l.view.rail[net].up(), hung: all}
	for _, h := range line.hung {
		b.lift(h, -1)
	}
	for {
		line.y = b.railRow(line)
		var kept []hung
		for _, h := range line.hung {
			if b.clearTo(h.foot, line.y) {
				kept = append(kept, h)
			} else {
				b.lift(h, 1)
			}
		}
		done := len(kept) == len(line.hung)
		line.hung = kept
		if done {
			break
		}
	}
	if n := len(line.hung); n < min(3, len(all)) || n < 2 || 2*n < len(all) {
		for _, h := range line.hung {
			b.lift(h, 1)
		}
		return
	}
	slices.SortFunc(line.hung, func(x, y hung) int { return cmp.Compare(x.foot.x, y.foot.x) })
	first, last := line.hung[0].foot.x, line.hung[len(line.hung)-1].foot.x
	b.takeUpRoom(rect{first - 5, line.y - 2, first, line.y + 2})
	b.takeUpRoom(rect{first - 2, line.y, last, line.y})
	for _, h := range line.hung {
		b.takeUpRoom(rect{h.foot.x, min(h.foot.y, line.y), h.foot.x, max(h.foot.y, line.y)})
	}
	b.rails = append(b.rails, line)
}

// takeUpRoom keeps other rails and test points off a line.
func (b *board) takeUpRoom(r rect) {
	b.addCover(r, 1)
	for y := max(r.y0, 0); y <= min(r.y1, b.m.h-1); y++ {
		for x := max(r.x0, 0); x <= min(r.x1, b.m.w-1); x++ {
			b.m.solid[y*b.m.w+x] = true
		}
	}
}

// railRow is the row for a line: beyond everything over its width.
func (b *board) railRow(line railLine) int {
	if len(line.hung) == 0 {
		return 0
	}
	x0, x1 := line.hung[0].foot.x, line.hung[0].foot.x
	for _, h := range line.hung {
		x0, x1 = min(x0, h.foot.x), max(x1, h.foot.x)
	}
	top, bottom := b.m.h, 0
	for y := range b.m.h {
		for x := max(x0-5, 0); x <= min(x1+1, b.m.w-1); x++ {
			if id := y*b.m.w + x; b.cover[id] > 0 || !b.m.empty(id) {
				top, bottom = min(top, y), max(bottom, y)
			}
		}
	}
	for _, h := range line.hung {
		top, bottom = min(top, h.foot.y+1), max(bottom, h.foot.y-1)
	}
	if line.up {
		return top - 2
	}
	return bottom + 2
}

// clearTo tells whether the column from a mark's place to the row is free.
func (b *board) clearTo(from cell, row int) bool {
	step := 1
	if row < from.y {
		step = -1
	}
	for y := from.y + step; y != row; y += step {
		c := cell{from.x, y}
		if b.m.inside(c) {
			if id := b.m.id(c); b.cover[id] > 0 || !b.m.empty(id) {
				return false
			}
		}
	}
	return true
}

// joined tells whether a mark was replaced by a line.
func (b *board) joined(item, mark int) (railLine, bool) {
	for _, r := range b.rails {
		for _, h := range r.hung {
			if h.item == item && h.mark == mark {
				return r, true
			}
		}
	}
	return railLine{}, false
}

// addRails writes the lines down, each with one mark at its left end.
func (b *board) addRails(d *Drawing) {
	for _, r := range b.rails {
		id := b.l.view.nets[r.net].ID
		want := Down
		if r.up {
			want = Up
		}
		end := cell{r.hung[0].foot.x - 2, r.y}
		at := end.add(want.step())
		mark, texts := b.l.view.railMark(r.net, at.point(), b.ruler)
		d.Marks = append(d.Marks, mark)
		d.Texts = append(d.Texts, texts...)
		line := []Point{at.point(), end.point()}
		for k, h := range r.hung {
			p := cell{h.foot.x, r.y}.point()
			line = append(line, p)
			d.Wires = append(d.Wires, Wire{Net: id, Points: line})
			line = []Point{p}
			if k < len(r.hung)-1 {
				d.Dots = append(d.Dots, Dot{Net: id, At: p})
			}
		}
	}
}
