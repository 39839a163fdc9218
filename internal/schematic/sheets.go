package schematic

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/lettering"
	"foilside/internal/stage"
)

// sheetParts is about how many parts one sheet holds with ease.
const sheetParts = 60

// Sheet is one of several that a larger circuit is drawn on.
type Sheet struct {
	Number int   `json:"number"`
	Box    Box   `json:"box"`
	Origin Point `json:"origin"` // where the corner lies that Options.Places count from
}

// share says which sheet every part goes on, from 1 on.
type share struct {
	of    []int // by part
	count int
}

// shareOut cuts a circuit into sheets where the fewest nets are cut, its
// functional groups kept whole and the signal running from sheet to sheet.
// Parts whose sheet is known from before stay on it.
func shareOut(ctx context.Context, c *circuit.Circuit, v *netView, places []Place) (share, error) {
	n := len(c.Parts)
	before := map[circuit.PartRef]int{}
	most := 0
	for _, p := range places {
		before[p.Ref] = p.Sheet
		most = max(most, p.Sheet)
	}
	s := share{of: make([]int, n), count: (n + sheetParts - 1) / sheetParts}
	groups, err := groupsOf(ctx, c)
	if err != nil {
		return share{}, err
	}
	p := newPartition(c, v, groups)
	if most > 0 {
		s.count = most
		p.begin(func(part int) int { return before[c.Parts[part].Ref] })
		p.refine(s.count, true)
	} else {
		p.cutInOrder(s.count)
	}
	for g, parts := range p.groups {
		for _, i := range parts {
			s.of[i] = p.on[g]
		}
	}
	return s, nil
}

// groupsOf lists the parts by functional group; what belongs to none is a group
// of its own.
func groupsOf(ctx context.Context, c *circuit.Circuit) ([][]int, error) {
	found, err := stage.Find(ctx, c)
	if err != nil {
		return nil, err
	}
	at := map[int]int{} // stage → group
	var out [][]int
	for i, p := range c.Parts {
		k, ok := found.Of(p.Ref)
		g, seen := at[k]
		if !ok || !seen {
			g = len(out)
			out = append(out, nil)
		}
		if ok {
			at[k] = g
		}
		out[g] = append(out[g], i)
	}
	return out, nil
}

// partition is the groups of a circuit being shared out to sheets.
type partition struct {
	groups [][]int
	nets   [][]int // by group: the nets that are wired, each once
	order  []float64
	on     []int // by group: its sheet, 0 for none yet
	fixed  []bool
}

func newPartition(c *circuit.Circuit, v *netView, groups [][]int) *partition {
	p := &partition{groups: groups, on: make([]int, len(groups)), fixed: make([]bool, len(groups))}
	stages := v.stages(c)
	for _, parts := range groups {
		var nets []int
		sum := 0.0
		for _, i := range parts {
			sum += stages[i]
			for _, l := range c.Parts[i].Leads {
				if net := v.index[l.Net]; v.rail[net] == noRail && len(v.nets[net].Leads) > 1 {
					nets = append(nets, net)
				}
			}
		}
		slices.Sort(nets)
		p.nets = append(p.nets, slices.Compact(nets))
		if slices.ContainsFunc(parts, func(i int) bool {
			return c.Parts[i].Kind == circuit.Battery || c.Parts[i].Kind == circuit.Supply
		}) && len(nets) == 0 {
			sum = math.Inf(-1) // power comes in on the first sheet
		}
		p.order = append(p.order, sum/float64(len(parts)))
	}
	return p
}

// begin puts the groups on the sheets that most of their parts were on.
func (p *partition) begin(before func(part int) int) {
	for g, parts := range p.groups {
		votes := map[int]int{}
		for _, i := range parts {
			if s := before(i); s > 0 {
				votes[s]++
			}
		}
		for s, n := range votes {
			if best := p.on[g]; best == 0 || n > votes[best] || n == votes[best] && s < best {
				p.on[g] = s
			}
		}
		p.fixed[g] = p.on[g] > 0
	}
}

// cutInOrder lines the groups up, cuts the line into so many pieces of about one
// size, each where the fewest nets pass within reach of it, and mends the cut.
// Of a line along the signal and one that grows where it is tied most, the
// better is kept.
func (p *partition) cutInOrder(count int) {
	along := make([]int, len(p.groups))
	for g := range along {
		along[g] = g
	}
	slices.SortStableFunc(along, func(a, b int) int { return cmp.Compare(p.order[a], p.order[b]) })
	var best []int
	bestCut := math.MaxInt
	for _, line := range [][]int{along, p.grown(along)} {
		p.cutLine(line, count)
		p.refine(count, false)
		if cut := p.cut(); cut < bestCut {
			best, bestCut = slices.Clone(p.on), cut
		}
	}
	p.on = best
	p.numberAlong(count)
}

func (p *partition) cutLine(line []int, count int) {
	total := 0
	for _, parts := range p.groups {
		total += len(parts)
	}
	from := 0
	for sheet := 1; sheet <= count; sheet++ {
		to := len(line)
		if sheet < count {
			to = p.thinnest(line, from, total/count)
		}
		for _, g := range line[from:to] {
			p.on[g] = sheet
		}
		from = to
	}
}

// grown is the groups in an order that always takes the one next that leaves
// the fewest nets open.
func (p *partition) grown(along []int) []int {
	left := slices.Clone(along)
	users := map[int]int{} // groups on a net that are not in the line yet
	for _, nets := range p.nets {
		for _, n := range nets {
			users[n]++
		}
	}
	begun := map[int]bool{}
	var line []int
	for len(left) > 0 {
		best, bestOpen := 0, math.MaxInt
		for k, g := range left {
			open := 0
			for _, n := range p.nets[g] {
				switch {
				case begun[n] && users[n] == 1:
					open--
				case !begun[n] && users[n] > 1:
					open++
				}
			}
			if open < bestOpen {
				best, bestOpen = k, open
			}
		}
		g := left[best]
		left = slices.Delete(left, best, best+1)
		line = append(line, g)
		for _, n := range p.nets[g] {
			begun[n] = true
			users[n]--
		}
	}
	return line
}

// cut counts how often nets go on on a further sheet.
func (p *partition) cut() int {
	sheets := map[int]map[int]bool{}
	sum := 0
	for g, nets := range p.nets {
		for _, n := range nets {
			if sheets[n] == nil {
				sheets[n] = map[int]bool{}
			}
			if !sheets[n][p.on[g]] && len(sheets[n]) > 0 {
				sum++
			}
			sheets[n][p.on[g]] = true
		}
	}
	return sum
}

// numberAlong gives the sheets their numbers along the signal.
func (p *partition) numberAlong(count int) {
	sum, n := make([]float64, count+1), make([]float64, count+1)
	for g, s := range p.on {
		if !math.IsInf(p.order[g], 0) {
			sum[s] += p.order[g] * float64(len(p.groups[g]))
			n[s] += float64(len(p.groups[g]))
		}
	}
	byPlace := make([]int, count)
	for i := range byPlace {
		byPlace[i] = i + 1
	}
	slices.SortStableFunc(byPlace, func(a, b int) int {
		return cmp.Compare(sum[a]/math.Max(n[a], 1), sum[b]/math.Max(n[b], 1))
	})
	number := make([]int, count+1)
	for to, from := range byPlace {
		number[from] = to + 1
	}
	for g := range p.on {
		if p.on[g] = number[p.on[g]]; math.IsInf(p.order[g], -1) {
			p.on[g] = 1
		}
	}
}

// thinnest is where to cut the line after about so many parts.
func (p *partition) thinnest(line []int, from, size int) int {
	best, bestCut := from, math.MaxInt
	parts := 0
	for k := from; k < len(line); k++ {
		parts += len(p.groups[line[k]])
		if parts < size*3/4 {
			continue
		}
		if parts > size*5/4 && best > from {
			break
		}
		before := map[int]bool{}
		for _, g := range line[:k+1] {
			for _, net := range p.nets[g] {
				before[net] = true
			}
		}
		cut := map[int]bool{}
		for _, g := range line[k+1:] {
			for _, net := range p.nets[g] {
				if before[net] {
					cut[net] = true
				}
			}
		}
		if len(cut) < bestCut {
			best, bestCut = k+1, len(cut)
		}
	}
	return best
}

// refine moves groups to other sheets while that cuts fewer nets and leaves no
// sheet overfull or nearly empty. Groups that stood before stay.
func (p *partition) refine(count int, again bool) {
	size := make([]int, count+1)
	total := 0
	for g, s := range p.on {
		size[s] += len(p.groups[g])
		total += len(p.groups[g])
	}
	high, low := total/count*4/3+1, total/count/2
	for range 8 {
		moved := false
		for g := range p.groups {
			if p.fixed[g] {
				continue
			}
			best, bestCut := p.on[g], p.cutWith(g, p.on[g])
			for s := 1; s <= count; s++ {
				fits := size[s]+len(p.groups[g]) <= high && size[p.on[g]]-len(p.groups[g]) >= low || p.on[g] == 0 || again
				if cut := p.cutWith(g, s); fits && cut < bestCut {
					best, bestCut = s, cut
				}
			}
			if best != p.on[g] {
				size[p.on[g]] -= len(p.groups[g])
				size[best] += len(p.groups[g])
				p.on[g] = best
				moved = true
			}
		}
		if !moved {
			return
		}
	}
}

// cutWith counts on how many further sheets the nets of a group go on if it
// stands on the sheet. Sheet 0 is nowhere, and worse than any.
func (p *partition) cutWith(g, sheet int) int {
	if sheet == 0 {
		return math.MaxInt
	}
	cut := 0
	for _, net := range p.nets[g] {
		on := map[int]bool{sheet: true}
		for h := range p.groups {
			if h != g && p.on[h] > 0 && slices.Contains(p.nets[h], net) {
				on[p.on[h]] = true
			}
		}
		cut += len(on) - 1
	}
	return cut
}

// only is the view of the parts on one sheet: rails and levels as in the whole
// circuit, and where nets go on.
func (v *netView) only(c *circuit.Circuit, sheet int, elsewhere map[circuit.NetID][]int) *netView {
	s := &netView{sheet: sheet, nets: c.Nets(), index: map[circuit.NetID]int{}, back: v.back}
	for i, n := range s.nets {
		w := v.index[n.ID]
		s.index[n.ID] = i
		s.rail = append(s.rail, v.rail[w])
		s.level = append(s.level, v.level[w])
		s.volts = append(s.volts, v.volts[w])
		s.known = append(s.known, v.known[w])
		s.elsewhere = append(s.elsewhere, elsewhere[n.ID])
	}
	return s
}

// drawSheets draws every sheet by itself and lays them out side by side.
func drawSheets(ctx context.Context, c *circuit.Circuit, v *netView, opts Options) (Drawing, error) {
	shared, err := shareOut(ctx, c, v, opts.Places)
	if err != nil {
		return Drawing{}, err
	}
	whole := Drawing{Standard: opts.standard()}
	right := 0.0
	told := map[circuit.NetID]bool{}
	for sheet := 1; sheet <= shared.count; sheet++ {
		sub, elsewhere := onSheet(c, v, shared, sheet)
		if len(sub.Parts) == 0 {
			continue
		}
		own := opts
		own.Progress = func(done float64, what string) {
			opts.report((float64(sheet-1)+done)/float64(shared.count), what)
		}
		own.TestPoints = firstMention(opts.TestPoints, sub, told)
		d, err := drawSheet(ctx, sub, v.only(sub, sheet, elsewhere), own)
		if err != nil {
			return Drawing{}, fmt.Errorf("sheet %d: %w", sheet, err)
		}
		for i := range d.Parts {
			d.Parts[i].Sheet = sheet
		}
		right = whole.addSheet(d, right, sheet)
	}
	if err := whole.titleSheets(shared.count); err != nil {
		return Drawing{}, err
	}
	whole.Metrics = whole.measure()
	return whole, nil
}

// onSheet is the circuit of one sheet, and on which others its nets go on.
func onSheet(c *circuit.Circuit, v *netView, s share, sheet int) (*circuit.Circuit, map[circuit.NetID][]int) {
	sub := &circuit.Circuit{Unit: c.Unit, Common: c.Common}
	elsewhere := map[circuit.NetID][]int{}
	for i, p := range c.Parts {
		if s.of[i] == sheet {
			sub.Parts = append(sub.Parts, p)
			continue
		}
		for _, l := range p.Leads {
			if v.rail[v.index[l.Net]] == noRail && !slices.Contains(elsewhere[l.Net], s.of[i]) {
				elsewhere[l.Net] = append(elsewhere[l.Net], s.of[i])
			}
		}
	}
	for _, on := range elsewhere {
		slices.Sort(on)
	}
	return sub, elsewhere
}

// firstMention leaves the test points of the nets that no earlier sheet had;
// the others keep their numbers free.
func firstMention(all []TestPointText, c *circuit.Circuit, told map[circuit.NetID]bool) []TestPointText {
	here := map[circuit.NetID]bool{}
	for _, n := range c.Nets() {
		here[n.ID] = true
	}
	out := make([]TestPointText, len(all))
	for i, t := range all {
		if here[t.Net] && !told[t.Net] {
			out[i], told[t.Net] = t, true
		}
	}
	return out
}

const (
	sheetGap  = 4 * Unit // between sheets
	sheetHead = 2 * Unit // over a sheet's drawing, for its title
)

// addSheet puts a sheet's drawing to the right of those before and returns
// where the next one goes.
func (d *Drawing) addSheet(s Drawing, x float64, number int) float64 {
	const widths = 20 * Unit // so that a little more on one sheet seldom shifts the next
	s.Width = math.Ceil(s.Width/widths) * widths
	s.move(x, sheetHead)
	d.Parts = append(d.Parts, s.Parts...)
	d.Wires = append(d.Wires, s.Wires...)
	d.Dots = append(d.Dots, s.Dots...)
	d.Marks = append(d.Marks, s.Marks...)
	d.Texts = append(d.Texts, s.Texts...)
	d.TestPoints = append(d.TestPoints, s.TestPoints...)
	d.Sheets = append(d.Sheets, Sheet{Number: number, Box: Box{x, 0, s.Width, s.Height + sheetHead}, Origin: s.Origin})
	d.Width, d.Height = x+s.Width, math.Max(d.Height, s.Height+sheetHead)
	return x + s.Width + sheetGap
}

// titleSheets writes each sheet's number over it and makes all of one height.
func (d *Drawing) titleSheets(count int) error {
	ruler, err := lettering.NewRuler()
	if err != nil {
		return err
	}
	for i := range d.Sheets {
		b := &d.Sheets[i].Box
		b.H = d.Height
		line := fmt.Sprintf("Sheet %d of %d", d.Sheets[i].Number, count)
		w := ruler.Width(line, lettering.Bold, textSize)
		x, base := b.X+textSize, b.Y+sheetHead-textSize/2
		d.Texts = append(d.Texts, Text{Text: line, Role: SheetText, Bold: true, Size: textSize, At: Point{x, base}, Box: textBox(x, base, w)})
	}
	return nil
}

// OnSheet is the i-th sheet alone, at the corner.
func (d *Drawing) OnSheet(i int) Drawing {
	b := d.Sheets[i].Box
	on := func(p Point) bool { return b.holds(p) }
	s := Drawing{Standard: d.Standard, Width: b.W, Height: b.H}
	for _, p := range d.Parts {
		if on(p.At) {
			p.Leads = slices.Clone(p.Leads)
			s.Parts = append(s.Parts, p)
		}
	}
	for _, w := range d.Wires {
		if on(w.Points[0]) {
			s.Wires = append(s.Wires, Wire{Net: w.Net, Points: slices.Clone(w.Points)})
		}
	}
	for _, x := range d.Dots {
		if on(x.At) {
			s.Dots = append(s.Dots, x)
		}
	}
	for _, m := range d.Marks {
		if on(m.At) {
			s.Marks = append(s.Marks, m)
		}
	}
	for _, t := range d.Texts {
		if on(t.At) {
			s.Texts = append(s.Texts, t)
		}
	}
	for _, t := range d.TestPoints {
		if on(t.At) {
			s.TestPoints = append(s.TestPoints, t)
		}
	}
	s.move(-b.X, -b.Y)
	return s
}
