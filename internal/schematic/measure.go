package schematic

// pieceOf is a straight piece of a wire.
type pieceOf struct {
	wire int
	a, b Point
}

// straights lists the straight pieces of all wires.
func (d *Drawing) straights() []pieceOf {
	var out []pieceOf
	for i, w := range d.Wires {
		for k := 1; k < len(w.Points); k++ {
			out = append(out, pieceOf{i, w.Points[k-1], w.Points[k]})
		}
	}
	return out
}

// measure counts how tidy the drawing is, from the scene alone.
func (d *Drawing) measure() Metrics {
	m := Metrics{Width: d.Width, Height: d.Height}
	for _, w := range d.Wires {
		m.Bends += max(len(w.Points)-2, 0)
	}
	lines := d.straights()
	for i, s := range lines {
		for _, t := range lines[:i] {
			if d.Wires[s.wire].Net != d.Wires[t.wire].Net && boxOf(s.a, s.b).touches(boxOf(t.a, t.b)) {
				m.Crossings++
			}
		}
	}
	m.Overlaps = len(d.Conflicts())
	return m
}

// touches tells whether the boxes share a point.
func (b Box) touches(c Box) bool {
	return b.X <= c.right() && c.X <= b.right() && b.Y <= c.bottom() && c.Y <= b.bottom()
}

// thing is something that nothing may lie on.
type thing struct {
	what  string
	box   Box
	frame bool // a test point's circle, which holds its number
	inner bool // such a number
}

// things lists the symbols, texts and marks.
func (d *Drawing) things() []thing {
	var out []thing
	for _, p := range d.Parts {
		out = append(out, thing{what: string(p.Ref), box: p.Box})
	}
	for _, t := range d.Texts {
		out = append(out, thing{what: "text " + t.Text, box: t.Box, inner: t.Role == NumberText})
	}
	for _, m := range d.Marks {
		out = append(out, thing{what: "mark of " + string(m.Net), box: m.Box})
	}
	for _, t := range d.TestPoints {
		out = append(out, thing{what: "test point of " + string(t.Net), box: t.Box, frame: true})
		if len(t.Wave) > 0 {
			out = append(out, thing{what: "wave of " + string(t.Net), box: t.Sketch})
		}
	}
	return out
}

// Conflicts names what lies on what: symbols, texts and marks on one another,
// wires through any of them. There are none in a drawing that Draw returns.
func (d *Drawing) Conflicts() []string {
	var out []string
	all := d.things()
	lines := d.straights()
	for i, b := range all {
		for _, c := range all[:i] {
			if b.box.overlaps(c.box) && !(b.inner && c.frame) && !(c.inner && b.frame) {
				out = append(out, b.what+" on "+c.what)
			}
		}
		for _, s := range lines {
			if crossesInside(boxOf(s.a, s.b), b.box) {
				out = append(out, "wire of "+string(d.Wires[s.wire].Net)+" through "+b.what)
			}
		}
	}
	return out
}

// crossesInside tells whether a straight piece, a box without width or height,
// runs within a box and not only along its edge.
func crossesInside(w, b Box) bool {
	if w.W == 0 && w.H == 0 {
		return false
	}
	if w.W == 0 {
		return b.X < w.X && w.X < b.right() && w.Y < b.bottom() && b.Y < w.bottom()
	}
	return b.Y < w.Y && w.Y < b.bottom() && w.X < b.right() && b.X < w.right()
}

// fit moves the drawing to the edge of its own box and sets its size.
func (d *Drawing) fit() {
	const edge = 15
	all := Box{}
	first := true
	add := func(b Box) {
		if first {
			all, first = b, false
		}
		all = all.union(b)
	}
	for _, p := range d.Parts {
		add(p.Box)
		add(strokeBox(p.Strokes))
	}
	for _, t := range d.Texts {
		add(t.Box)
	}
	for _, m := range d.Marks {
		add(m.Box)
	}
	for _, w := range d.Wires {
		add(boxOf(w.Points...))
	}
	for _, t := range d.TestPoints {
		add(t.Box)
		if len(t.Wave) > 0 {
			add(t.Sketch)
		}
	}
	// Whole grid steps, so that places stay round numbers.
	origin := gridCell(Point{all.X - edge, all.Y - edge})
	o := origin.point()
	d.move(-o.X, -o.Y)
	corner := gridCell(Point{all.right() - o.X + edge + Unit/2, all.bottom() - o.Y + edge + Unit/2}).point()
	d.Width, d.Height = corner.X, corner.Y
}

func (d *Drawing) move(dx, dy float64) {
	d.Origin = Point{d.Origin.X + dx, d.Origin.Y + dy}
	for i := range d.Parts {
		p := &d.Parts[i]
		p.Box = p.Box.move(dx, dy)
		p.At = Point{p.At.X + dx, p.At.Y + dy}
		p.Strokes = moveStrokes(p.Strokes, dx, dy)
		for k := range p.Leads {
			p.Leads[k].At = Point{p.Leads[k].At.X + dx, p.Leads[k].At.Y + dy}
		}
	}
	for i := range d.Wires {
		for k, q := range d.Wires[i].Points {
			d.Wires[i].Points[k] = Point{q.X + dx, q.Y + dy}
		}
	}
	for i := range d.Dots {
		d.Dots[i].At = Point{d.Dots[i].At.X + dx, d.Dots[i].At.Y + dy}
	}
	for i := range d.Marks {
		d.Marks[i] = d.Marks[i].move(dx, dy)
	}
	for i := range d.Texts {
		d.Texts[i] = d.Texts[i].move(dx, dy)
	}
	for i := range d.TestPoints {
		t := &d.TestPoints[i]
		t.At = Point{t.At.X + dx, t.At.Y + dy}
		t.Box = t.Box.move(dx, dy)
		t.Strokes = moveStrokes(t.Strokes, dx, dy)
		t.Wave = moveStrokes(t.Wave, dx, dy)
		t.Sketch = t.Sketch.move(dx, dy)
	}
}
