package schematic

import (
	"cmp"
	"context"
	"fmt"
	"slices"

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
	v := viewNets(c)
	v.setLevels(c)
	if len(c.Parts) > sheetParts+sheetParts/6 && !opts.OneSheet {
		return drawSheets(ctx, c, v, opts)
	}
	return drawSheet(ctx, c, v, opts)
}

// drawSheet draws what stands on one sheet.
func drawSheet(ctx context.Context, c *circuit.Circuit, v *netView, opts Options) (Drawing, error) {
	ruler, err := lettering.NewRuler()
	if err != nil {
		return Drawing{}, err
	}
	l, err := newLayout(c, &shaper{view: v, opts: opts, ruler: ruler})
	if err != nil {
		return Drawing{}, err
	}
	opts.report(0.1, "placing the parts")
	bare := opts
	bare.TestPoints = nil // the layout is the same whatever is printed beside it
	b, err := kept(ctx, l, bare, ruler)
	if b == nil && err == nil {
		b, err = afresh(ctx, l, bare)
	}
	if err != nil {
		return Drawing{}, err
	}
	if len(opts.TestPoints) > 0 {
		if c := (&board{l: b.l, opts: opts, ruler: b.ruler}); c.build(ctx) == nil {
			b = c
		}
	}
	opts.report(1, "drawn")
	d := b.drawing()
	d.showPins(opts.Places)
	return d, ctx.Err()
}

// afresh places and wires the circuit from nothing.
func afresh(ctx context.Context, l *layout, opts Options) (*board, error) {
	b, err := bestAttempt(ctx, l, opts)
	if err != nil || opts.Attempts == 1 {
		return b, err
	}
	opts.report(0.6, "tidying up")
	b.findWorst()
	if b, err = slideFeedback(ctx, b, opts); err != nil {
		return nil, err
	}
	return tinker(ctx, b, opts)
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
	lane    []int16 // before leads that wait for their mark
	symbols []bool  // places that symbols, texts and marks cover, once rails are drawn
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
