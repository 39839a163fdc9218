package schematic

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
)

// Draw lays the circuit out and draws it.
//
// Errors:  a circuit that Validate doesn't accept, with its first problem; a
// cancelled context.
func Draw(ctx context.Context, c *circuit.Circuit, opts Options) (Drawing, error) {
	for _, p := range c.Validate() {
		if !p.Warning {
			return Drawing{}, fmt.Errorf("the circuit can't be drawn: %s", p.Text)
		}
	}
	ruler, err := lettering.NewRuler()
	if err != nil {
		return Drawing{}, err
	}
	v := viewNets(c)
	v.setLevels(c)
	l, err := newLayout(c, &shaper{view: v, opts: opts, ruler: ruler})
	if err != nil {
		return Drawing{}, err
	}
	opts.report(0.1, "placing the parts")
	b, err := bestAttempt(ctx, l, opts)
	if err != nil {
		return Drawing{}, err
	}
	opts.report(0.6, "tidying up")
	b.findWorst()
	if opts.Attempts == 1 {
		return b.drawing(), nil
	}
	if b, err = tinker(ctx, b, opts); err != nil {
		return Drawing{}, err
	}
	opts.report(1, "drawn")
	return b.drawing(), nil
}

// bestAttempt places and wires the circuit a few times over, from different
// random numbers, and keeps the tidiest. Two run at a time.
func bestAttempt(ctx context.Context, l *layout, opts Options) (*board, error) {
	runs := min(max(60/max(len(l.items), 1), 2), 4)
	if opts.Attempts > 0 {
		runs = opts.Attempts
	}
	boards := make([]*board, runs)
	errs := make([]error, runs)
	var wait sync.WaitGroup
	free := make(chan struct{}, 2)
	for k := range runs {
		wait.Add(1)
		free <- struct{}{}
		go func() {
			defer func() { <-free; wait.Done() }()
			boards[k], errs[k] = attempt(ctx, l.fork(), uint64(k), opts)
		}()
	}
	wait.Wait()
	return pickBest(boards, errs)
}

// pickBest is the tidiest board, or the first error where there is none.
func pickBest(boards []*board, errs []error) (*board, error) {
	best := -1
	for k := range boards {
		if errs[k] == nil && (best < 0 || boards[k].score < boards[best].score) {
			best = k
		}
	}
	if best < 0 {
		return nil, errs[0]
	}
	return boards[best], nil
}

// attempt is one placement with its wires.
func attempt(ctx context.Context, l *layout, seed uint64, opts Options) (*board, error) {
	ruler, err := lettering.NewRuler()
	if err != nil {
		return nil, err
	}
	if err := l.place(ctx, seed); err != nil {
		return nil, err
	}
	b, err := wire(ctx, l, opts, ruler)
	if err != nil {
		return nil, err
	}
	b.score = b.untidiness()
	return b, nil
}

// untidiness weighs what a reader minds: nets broken up into names, crossings,
// bends, long wires, and what the placement itself holds against itself.
func (b *board) untidiness() float64 {
	d := b.drawing()
	sum := 12*float64(d.Metrics.Crossings) + 2*float64(d.Metrics.Bends) + 40*float64(len(b.onward))
	for _, s := range d.straights() {
		sum += 0.4 * (math.Abs(s.a.X-s.b.X) + math.Abs(s.a.Y-s.b.Y)) / Unit
	}
	sum += 1.5 * float64(len(d.Marks))
	for i := range b.l.items {
		sum += b.l.own(i)
		for _, o := range b.l.items[i].after {
			sum += b.l.pairOrder(i, o.item, o.weight)
		}
	}
	for _, p := range b.l.pairs {
		sum += b.l.pairCost(p)
	}
	return sum
}

// wire draws the wires of a placed circuit. Where there is no room for them,
// the parts are moved apart and it begins again.
func wire(ctx context.Context, l *layout, opts Options, ruler *lettering.Ruler) (*board, error) {
	const tries = 5
	for k := 1; ; k++ {
		b := &board{l: l, opts: opts, ruler: ruler}
		err := errCrowded
		if !l.crowded() {
			err = b.build(ctx)
		}
		if err == nil || ctx.Err() != nil || k == tries {
			return b, err
		}
		l.spread()
	}
}

var errCrowded = errors.New("the parts can't be kept apart; please report this circuit")

// place finds where every part goes.
func (l *layout) place(ctx context.Context, seed uint64) error {
	l.start()
	if err := l.anneal(ctx, seed, annealMoves(len(l.items)), 12); err != nil {
		return err
	}
	l.settle()
	if err := l.polish(ctx, 3, 6); err != nil {
		return err
	}
	l.squeeze()
	if err := l.polish(ctx, 2, 6); err != nil {
		return err
	}
	l.packIslands()
	return nil
}

func (l *layout) everything() []int {
	all := make([]int, len(l.items))
	for i := range all {
		all[i] = i
	}
	return all
}

// annealMoves gives small circuits many moves a part and keeps large ones
// within the time.
func annealMoves(n int) int {
	return min(3000*n, 45000)
}

// board is a placed circuit on the maze.
type board struct {
	l       *layout
	opts    Options
	ruler   *lettering.Ruler
	score   float64 // how untidy it came out
	worst   []int   // nets whose wires came out worse than estimated
	m       *maze
	shift   cell   // from layout to maze
	onward  []Mark // marks of nets that could not be joined by wires
	onTexts []Text
	extra   []rect // places of the onward marks
	cover   []int16
	symbols []bool // places that symbols, texts and marks cover, once rails are drawn
	rails   []railLine
	points  []TestPoint
}

// margin is the room round the parts in which wires may run, in grid steps.
const margin = 7

// build puts the parts on a maze and routes the nets.
func (b *board) build(ctx context.Context) error {
	l := b.l
	hull := rect{0, 0, 1, 1}
	for i := range l.items {
		h := l.shape(i).hull.move(l.pos[i])
		if i == 0 {
			hull = h
		}
		hull = hull.union(h)
	}
	b.shift = cell{margin - hull.x0, margin - hull.y0}
	b.m = newMaze(hull.x1-hull.x0+2*margin+1, hull.y1-hull.y0+2*margin+1)
	outs := make([][]wayOut, len(l.terms))
	for i := range l.items {
		sh, at := l.shape(i), l.pos[i].add(b.shift)
		for _, r := range sh.solid {
			b.m.block(r.move(at))
		}
	}
	for i := range l.items {
		for _, p := range l.shape(i).pins {
			if p.wired(l.view) {
				outs[p.net] = append(outs[p.net], wayOut{b.m.id(l.pos[i].add(b.shift).add(p.at)), p.out})
			}
		}
	}
	r := newRouter(b.m, outs)
	if err := r.routeAll(ctx, b.routeOrder()); err != nil {
		return err
	}
	if err := b.joinByName(r); err != nil {
		return err
	}
	b.placeTestPoints(r, false)
	b.drawRails()
	b.placeTestPoints(r, true)
	return nil
}

// routeOrder is short nets first: they have the least choice.
func (b *board) routeOrder() []int {
	var order []int
	for net, ts := range b.l.terms {
		if len(ts) > 1 {
			order = append(order, net)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int {
		return cmp.Compare(b.l.wire[x], b.l.wire[y])
	})
	return order
}

// drawing writes the scene down.
func (b *board) drawing() Drawing {
	d := Drawing{Standard: b.opts.standard()}
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
	p := Part{Ref: it.part.Ref, Kind: it.part.Kind, Orient: sh.orient, Box: sh.box.move(off.X, off.Y),
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
