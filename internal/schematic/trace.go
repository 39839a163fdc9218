package schematic

// drawing writes the scene down.
func (b *board) drawing() Drawing {
	d := Drawing{Standard: b.opts.standard(), Origin: b.shift.point()}
	for i := range b.l.items {
		b.addPart(&d, i)
	}
	for net := range b.l.terms {
		b.traceNet(&d, net)
	}
	b.addRails(&d)
	d.TestPoints = append(d.TestPoints, b.points...)
	d.Marks = append(d.Marks, b.onward...)
	d.Texts = append(d.Texts, b.onTexts...)
	d.fit()
	d.Metrics = d.measure()
	return d
}

// addPart writes down a part with its texts and rail marks.
func (b *board) addPart(d *Drawing, i int) {
	it, sh := &b.l.items[i], b.l.shape(i)
	off := b.l.pos[i].add(b.shift).point()
	p := Part{Ref: it.part.Ref, Kind: it.part.Kind, Orient: sh.orient, Variant: sh.variant, Caption: sh.caption, At: off, Box: sh.box.move(off.X, off.Y),
		Strokes: moveStrokes(sh.orient.strokes(sh.sym.strokes), off.X, off.Y)}
	for _, n := range sh.pins {
		at := n.at.point()
		p.Leads = append(p.Leads, LeadEnd{Lead: n.lead, Net: b.l.view.nets[n.net].ID, At: Point{at.X + off.X, at.Y + off.Y}, Out: n.out})
	}
	d.Parts = append(d.Parts, p)
	for _, t := range sh.texts {
		d.Texts = append(d.Texts, t.move(off.X, off.Y))
	}
	for k, a := range sh.marks {
		b.addMark(d, i, k, a, off)
	}
}

// addMark writes down the wire to a rail mark, and the mark unless a line
// took its place.
func (b *board) addMark(d *Drawing, i, k int, a armed, off Point) {
	w := Wire{Net: a.mark.Net}
	for _, c := range a.wire {
		q := c.point()
		w.Points = append(w.Points, Point{q.X + off.X, q.Y + off.Y})
	}
	if line, ok := b.joined(i, k); ok {
		w.Points[len(w.Points)-1].Y = float64(line.y * Unit)
		d.Wires = append(d.Wires, w)
		return
	}
	d.Wires = append(d.Wires, w)
	d.Marks = append(d.Marks, a.mark.move(off.X, off.Y))
	for _, t := range a.texts {
		d.Texts = append(d.Texts, t.move(off.X, off.Y))
	}
}

func (t Text) move(dx, dy float64) Text {
	t.At = Point{t.At.X + dx, t.At.Y + dy}
	t.Box = t.Box.move(dx, dy)
	return t
}

func (m Mark) move(dx, dy float64) Mark {
	m.At = Point{m.At.X + dx, m.At.Y + dy}
	m.Box = m.Box.move(dx, dy)
	m.Strokes = moveStrokes(m.Strokes, dx, dy)
	return m
}

// traceNet writes down a net's wires as runs between ends, junctions and
// bends, and its dots.
func (b *board) traceNet(d *Drawing, net int) {
	id := b.l.view.nets[net].ID
	done := map[piece]bool{}
	for _, first := range b.m.pieces(net) {
		if done[first] || !b.runEnds(first.id, net) && !b.runEnds(b.m.step(first.id, first.side), net) {
			continue
		}
		start, side := first.id, first.side
		if !b.runEnds(start, net) {
			start, side = b.m.step(first.id, first.side), first.side.opposite()
		}
		d.Wires = append(d.Wires, Wire{Net: id, Points: b.run(start, side, net, done)})
	}
	for place := range b.m.arm {
		if b.m.arms(place, net) == 3 {
			d.Dots = append(d.Dots, Dot{Net: id, At: b.m.cell(place).point()})
		}
	}
}

// runEnds tells whether a run of wire ends at the place.
func (b *board) runEnds(place, net int) bool { return b.m.arms(place, net) != 2 }

// run follows a wire from an end to its other end and returns its corners.
func (b *board) run(place int, side Side, net int, done map[piece]bool) []Point {
	m := b.m
	pts := []Point{m.cell(place).point()}
	for {
		next := m.step(place, side)
		if side == Right || side == Down {
			done[piece{place, side}] = true
		} else {
			done[piece{next, side.opposite()}] = true
		}
		place = next
		if b.runEnds(place, net) {
			break
		}
		if m.arm[place][side] != int16(net+1) {
			pts = append(pts, m.cell(place).point())
			for s := Up; s <= Left; s++ {
				if s != side.opposite() && m.arm[place][s] == int16(net+1) {
					side = s
					break
				}
			}
		}
	}
	return append(pts, m.cell(place).point())
}
