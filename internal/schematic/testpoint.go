package schematic

import (
	"cmp"
	"fmt"
	"slices"

	"foilside/internal/lettering"
)

// numberSize is that of the figure in a test point's circle.
const numberSize = 6.5

// circleRadius is that of a test point's circle; its middle stands one grid
// step off the wire.
const circleRadius = 5.5

// spot is a place on a net's wire with the side on which the circle goes.
type spot struct {
	at   cell
	side Side
}

// placeTestPoints gives every net asked for a numbered circle where there is
// room beside its wire, or at the end of a wire led to where there is. A net
// that can't be reached is left without one. The rails' nets take their turn
// once their lines are drawn.
func (b *board) placeTestPoints(r *router, rails bool) {
	for i, t := range b.opts.TestPoints {
		net, ok := b.l.view.index[t.Net]
		if !ok || (b.l.view.rail[net] != noRail) != rails {
			continue
		}
		tp, text, ok := b.besideWire(net, i+1, t)
		if !ok {
			tp, text, ok = b.atWireEnd(r, net, i+1, t)
		}
		if !ok {
			continue
		}
		b.points = append(b.points, tp)
		b.onTexts = append(b.onTexts, text...)
		for _, box := range tp.room(text[1:]) {
			g := gridRect(box, textGap)
			b.m.block(g)
			b.coverSymbols(g)
			b.extra = append(b.extra, g)
		}
	}
}

// room is all that a test point takes up: its circle, its words, its sketch.
func (tp TestPoint) room(words []Text) []Box {
	out := []Box{tp.Box}
	for _, t := range words {
		out = append(out, t.Box)
	}
	if len(tp.Wave) > 0 {
		out = append(out, tp.Sketch)
	}
	return out
}

// besideWire looks along the net's wires, from the middle outward.
func (b *board) besideWire(net, number int, words TestPointText) (TestPoint, []Text, bool) {
	for _, s := range b.spots(net) {
		tp, text := b.circle(net, number, words, s)
		if b.hasRoom(tp, text, b.m.id(s.at)) {
			return tp, text, true
		}
	}
	return TestPoint{}, nil, false
}

// hasRoom tells whether a test point's circle and words lie free.
func (b *board) hasRoom(tp TestPoint, text []Text, but int) bool {
	if !b.free(gridRect(tp.Box, 0.5), but) {
		return false
	}
	for _, box := range tp.room(text[1:])[1:] {
		if !b.free(gridRect(box, textGap), but) {
			return false
		}
	}
	return true
}

// spots lists the places of a net's wires where nothing crosses, those near
// the middle of the net first, above the wire before beside and below it.
func (b *board) spots(net int) []spot {
	var places []cell
	for id := range b.m.arm {
		if b.m.arms(id, net) > 1 && b.m.owner[id] == 0 && b.onlyOwn(id, net) {
			places = append(places, b.m.cell(id))
		}
	}
	for _, line := range b.rails {
		if line.net == net {
			for x := line.hung[0].foot.x - 1; x < line.hung[len(line.hung)-1].foot.x; x++ {
				places = append(places, cell{x, line.y})
			}
		}
	}
	sum := cell{}
	for _, c := range places {
		sum = sum.add(c)
	}
	far := func(c cell) int {
		return abs(c.x*len(places)-sum.x) + abs(c.y*len(places)-sum.y)
	}
	slices.SortStableFunc(places, func(p, q cell) int { return cmp.Compare(far(p), far(q)) })
	var out []spot
	for _, c := range places {
		if !b.m.inside(c) {
			continue
		}
		for _, s := range []Side{Up, Right, Left, Down} {
			out = append(out, spot{c, s})
		}
	}
	return out
}

// onlyOwn tells whether only the net's own wires meet at the place.
func (b *board) onlyOwn(id, net int) bool {
	for _, a := range b.m.arm[id] {
		if a != 0 && a != int16(net+1) {
			return false
		}
	}
	return true
}

// atWireEnd leads a wire from the net to where a circle has room.
func (b *board) atWireEnd(r *router, net, number int, words TestPointText) (TestPoint, []Text, bool) {
	var tp TestPoint
	var text []Text
	r.force = false
	for _, p := range r.pieces(net) {
		ok := r.search(net, p, func(key int32) bool {
			id, s := int(key/4), Side(key%4)
			if b.m.arms(id, net) > 0 || !b.m.empty(id) {
				return false
			}
			tp, text = b.circle(net, number, words, spot{b.m.cell(id), s})
			for _, box := range tp.room(text) {
				if r.wayMeets(key, gridRect(box, 0.5)) {
					return false
				}
			}
			return b.hasRoom(tp, text, id)
		})
		if ok {
			return tp, text, true
		}
	}
	return TestPoint{}, nil, false
}

// circle draws a test point: a short line off the wire, the numbered circle,
// the expected voltage beside it. The number is the first text.
func (b *board) circle(net, number int, asked TestPointText, s spot) (TestPoint, []Text) {
	words := asked.Text
	at := s.at.point()
	v := s.side.step()
	c := Point{at.X + Unit*float64(v.x), at.Y + Unit*float64(v.y)}
	d := &pen{}
	gap := float64(Unit - circleRadius)
	d.line(at.X, at.Y, at.X+gap*float64(v.x), at.Y+gap*float64(v.y))
	d.circle(c.X, c.Y, circleRadius)
	id := b.l.view.nets[net].ID
	tp := TestPoint{Number: number, Net: id, At: at, Strokes: d.strokes, Box: strokeBox(d.strokes)}
	figure := fmt.Sprint(number)
	w := b.ruler.Width(figure, lettering.Plain, numberSize)
	n := Text{Text: figure, Role: NumberText, Size: numberSize, At: Point{c.X - w/2, c.Y + numberSize*0.36}, Net: id}
	n.Box = Box{n.At.X, n.At.Y - numberSize*0.73, w, numberSize * 0.73}
	texts := []Text{n}
	w, x := 0.0, c.X+circleRadius+3
	if words != "" {
		w = b.ruler.Width(words, lettering.Plain, textSize)
	}
	if s.side == Left {
		x = c.X - circleRadius - 3 - w
	}
	if len(asked.Wave) > 1 {
		tp.Sketch = Box{x + w + 4, c.Y - sketchHigh/2, sketchWide, sketchHigh}
		if s.side == Left {
			tp.Sketch.X = x - 4 - sketchWide
		}
		tp.Wave = sketch(asked.Wave, tp.Sketch)
	}
	if words != "" {
		base := c.Y + 3
		texts = append(texts, Text{Text: words, Role: VoltageText, Size: textSize, At: Point{x, base}, Box: textBox(x, base, w), Net: id})
	}
	return tp, texts
}

// A sketch's size in drawing units: 9 mm by 3 mm.
const (
	sketchWide = 36.0
	sketchHigh = 12.0
)

// sketch draws values at even times into a box, the lowest at its foot, over a
// line that is the time.
func sketch(wave []float64, in Box) []Stroke {
	low, high := slices.Min(wave), slices.Max(wave)
	if !(high > low) {
		high = low + 1
	}
	line := Stroke{}
	for i, v := range wave {
		line.Points = append(line.Points, Point{in.X + in.W*float64(i)/float64(len(wave)-1), in.bottom() - 1 - (in.H-1)*(v-low)/(high-low)})
	}
	return []Stroke{line, {Points: []Point{{in.X, in.bottom()}, {in.right(), in.bottom()}}}}
}

// coverSymbols notes that a test point covers r.
func (b *board) coverSymbols(r rect) {
	for y := max(r.y0, 0); b.symbols != nil && y <= min(r.y1, b.m.h-1); y++ {
		for x := max(r.x0, 0); x <= min(r.x1, b.m.w-1); x++ {
			b.symbols[y*b.m.w+x] = true
		}
	}
}
