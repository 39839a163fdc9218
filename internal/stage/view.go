package stage

import (
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/marking"
)

// sort says what a branch is made of.
type sort uint16

const (
	resist sort = 1 << iota
	capac
	induct
	winding
	crystal
	diode
	zener
	led
	gas
	contact // a switch
	source  // battery, supply, signal
	meter
	load     // lamp, loudspeaker, motor, relay coil and the like
	passive  = resist | capac | induct
	junction = diode | zener | led
)

// branch is one two-lead element between nets: a part, a part of a part (half
// a control, one winding, one arm of a bridge), or several parts in series or
// in parallel. A junction leads from a to b.
type branch struct {
	sort  sort
	a, b  int
	parts []int
	value float64 // Ω, F, H; 0 where unknown
	half  bool    // one side of a control's wiper
	at    int     // which winding
}

// other is the net at the other end.
func (b *branch) other(net int) int {
	if b.a == net {
		return b.b
	}
	return b.a
}

func (b *branch) joins(x, y int) bool { return b.a == x && b.b == y || b.a == y && b.b == x }

// pin is a lead that belongs to no branch: of a transistor, a block, a
// connector.
type pin struct {
	part int
	lead circuit.LeadName
}

// finder holds the view of a circuit and the stages found so far.
type finder struct {
	c      *circuit.Circuit
	index  map[circuit.NetID]int
	names  []circuit.NetID // the first name of each merged net
	merged [][]int         // fuses that made one net of several

	branches []*branch
	on       [][]*branch // by net
	pins     [][]pin     // by net, test points left out
	common   int
	rail     []railSort
	volts    []float64 // of rails where known
	known    []bool
	shelf    *marking.Index // nil where no part has a type number
	devices  []*device

	drafts []*draft
	taken  []int // by part: index of its draft, -1
	ways   map[[2]int]way
	given  map[int]*draft // which stage gives its output on a net
	beads  []*branch      // small capacitors across a transistor's control, left out of the view
}

func newFinder(c *circuit.Circuit) *finder {
	own := *c
	own.Parts = slices.Clone(c.Parts)
	own.SortParts()
	c = &own
	f := &finder{c: c, index: map[circuit.NetID]int{}, common: -1, ways: map[[2]int]way{}}
	f.numberNets()
	f.taken = make([]int, len(c.Parts))
	for i := range f.taken {
		f.taken[i] = -1
	}
	f.openShelf()
	f.buildBranches()
	f.common = f.findCommon()
	f.reduce()
	f.leaveOutBeads()
	f.findRails()
	f.findDevices()
	return f
}

// numberNets gives every net a number; what a fuse joins has the same.
func (f *finder) numberNets() {
	// In the order in which the parts' leads meet them, so that names of nets
	// decide nothing.
	var nets []circuit.NetID
	at := map[circuit.NetID]int{}
	for _, p := range f.c.Parts {
		for _, l := range p.Leads {
			if _, ok := at[l.Net]; !ok {
				at[l.Net] = len(nets)
				nets = append(nets, l.Net)
			}
		}
	}
	root := make([]int, len(nets))
	for i := range nets {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			i = root[i]
		}
		return i
	}
	for _, p := range f.c.Parts {
		if p.Kind == circuit.Fuse && len(p.Leads) == 2 {
			a, b := find(at[p.Leads[0].Net]), find(at[p.Leads[1].Net])
			root[max(a, b)] = min(a, b)
		}
	}
	number := map[int]int{}
	for i, n := range nets {
		r := find(i)
		k, ok := number[r]
		if !ok {
			k = len(f.names)
			number[r] = k
			f.names = append(f.names, n)
		}
		f.index[n] = k
	}
	f.merged = make([][]int, len(f.names))
	for i, p := range f.c.Parts {
		if p.Kind == circuit.Fuse && len(p.Leads) == 2 {
			k := f.index[p.Leads[0].Net]
			f.merged[k] = append(f.merged[k], i)
		}
	}
	f.on = make([][]*branch, len(f.names))
	f.pins = make([][]pin, len(f.names))
	f.rail = make([]railSort, len(f.names))
	f.volts = make([]float64, len(f.names))
	f.known = make([]bool, len(f.names))
}

// net is the number of the net that a part's lead is on, -1 for none.
func (f *finder) net(part int, lead circuit.LeadName) int {
	if i, ok := f.index[f.c.Parts[part].Net(lead)]; ok {
		return i
	}
	return -1
}

// openShelf fetches the parts shelf if a part has a type number.
func (f *finder) openShelf() {
	for _, p := range f.c.Parts {
		if p.Type != "" {
			x := marking.NewIndex()
			f.shelf = &x
			return
		}
	}
}

// amount is a parameter as given, as the shelf has it, or the kind's default.
func (f *finder) amount(part int, name string) (float64, bool) {
	p := f.c.Parts[part]
	if v, ok := p.Amount(name); ok {
		return v, true
	}
	if f.shelf != nil && p.Type != "" {
		if a, _, ok := f.shelf.Amount(p.Kind, p.Type, name); ok {
			return a.Value, true
		}
	}
	info, _ := circuit.Lookup(p.Kind)
	return info.Default(name)
}

// twoLead is the sort of the plain two-lead kinds.
func twoLead(k circuit.Kind) sort {
	switch k {
	case circuit.Resistor, circuit.Thermistor, circuit.Photocell:
		return resist
	case circuit.Capacitor, circuit.Electrolytic:
		return capac
	case circuit.Inductor:
		return induct
	case circuit.Crystal:
		return crystal
	case circuit.Diode:
		return diode
	case circuit.Zener:
		return zener
	case circuit.LED:
		return led
	case circuit.Neon, circuit.GasTube:
		return gas
	case circuit.Battery, circuit.Supply, circuit.Signal:
		return source
	case circuit.MeterMovement:
		return meter
	case circuit.Lamp, circuit.Heater, circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor:
		return load
	}
	return 0
}

func (f *finder) buildBranches() {
	for i, p := range f.c.Parts {
		if s := twoLead(p.Kind); s != 0 && len(p.Leads) == 2 {
			value, _ := p.Amount("value")
			f.branch(&branch{sort: s, a: f.net(i, p.Leads[0].Name), b: f.net(i, p.Leads[1].Name), parts: []int{i}, value: value})
			continue
		}
		f.buildOthers(i, p)
	}
}

// branch adds one unless it leads nowhere.
func (f *finder) branch(b *branch) {
	if b.a < 0 || b.b < 0 || b.a == b.b {
		return
	}
	f.branches = append(f.branches, b)
	f.on[b.a] = append(f.on[b.a], b)
	f.on[b.b] = append(f.on[b.b], b)
}

func (f *finder) buildOthers(i int, p circuit.Part) {
	lead := func(l circuit.LeadName) int { return f.net(i, l) }
	two := func(s sort, a, b circuit.LeadName) {
		f.branch(&branch{sort: s, a: lead(a), b: lead(b), parts: []int{i}})
	}
	switch p.Kind {
	case circuit.Potentiometer:
		f.buildControl(i, p)
	case circuit.Transformer:
		for k, w := range p.Windings {
			value := 0.0
			if w.Inductance != nil {
				value = *w.Inductance
			}
			f.branch(&branch{sort: winding, a: lead(w.First()), b: lead(w.Second()), parts: []int{i}, at: k, value: value})
		}
	case circuit.Bridge:
		two(diode, "ac1", "+")
		two(diode, "ac2", "+")
		two(diode, "-", "ac1")
		two(diode, "-", "ac2")
	case circuit.Switch:
		for k := range p.Poles() {
			two(contact, circuit.PoleLead("1", k), circuit.PoleLead("2", k))
		}
	case circuit.Changeover:
		for k := range p.Poles() {
			two(contact, circuit.PoleLead("c", k), circuit.PoleLead("no", k))
			two(contact, circuit.PoleLead("c", k), circuit.PoleLead("nc", k))
		}
	case circuit.Relay:
		two(load, "coil1", "coil2")
		f.addPins(i, p, "coil1", "coil2")
	case circuit.Optocoupler:
		two(led, "a", "k")
		f.addPins(i, p, "a", "k")
	case circuit.Fuse, circuit.TestPoint:
	default:
		f.addPins(i, p)
	}
}

// buildControl makes one resistor of a control whose wiper is tied to an end,
// two halves of any other.
func (f *finder) buildControl(i int, p circuit.Part) {
	value, _ := p.Amount("value")
	a, w, b := f.net(i, "1"), f.net(i, "w"), f.net(i, "2")
	if a == w || b == w || a == b {
		if a == b {
			b = w
		}
		f.branch(&branch{sort: resist, a: a, b: b, parts: []int{i}, value: value})
		return
	}
	f.branch(&branch{sort: resist, a: a, b: w, parts: []int{i}, value: value / 2, half: true})
	f.branch(&branch{sort: resist, a: w, b: b, parts: []int{i}, value: value / 2, half: true})
}

func (f *finder) addPins(i int, p circuit.Part, except ...circuit.LeadName) {
	for _, l := range p.Leads {
		if k := f.net(i, l.Name); k >= 0 && !slices.Contains(except, l.Name) {
			f.pins[k] = append(f.pins[k], pin{i, l.Name})
		}
	}
}

func (f *finder) degree(net int) int { return len(f.on[net]) + len(f.pins[net]) }

// reduce joins resistors and capacitors in series and in parallel, so that a
// value made up of two parts reads like one.
func (f *finder) reduce() {
	for changed := true; changed; {
		changed = false
		for net := range f.names {
			if f.joinSeries(net) {
				changed = true
			}
		}
		for net := range f.names {
			if f.joinParallel(net) {
				changed = true
			}
		}
	}
}

func (f *finder) joinSeries(net int) bool {
	if net == f.common || f.degree(net) != 2 || len(f.on[net]) != 2 {
		return false
	}
	x, y := f.on[net][0], f.on[net][1]
	if x.sort != y.sort || x.sort != resist && x.sort != capac || x.half && y.half && len(union(x.parts, y.parts)) == len(x.parts)+len(y.parts) {
		return false
	}
	a, b := x.other(net), y.other(net)
	if a == b {
		return false
	}
	value := 0.0
	if x.value > 0 && y.value > 0 {
		value = x.value + y.value
		if x.sort == capac {
			value = x.value * y.value / (x.value + y.value)
		}
	}
	f.replace(&branch{sort: x.sort, a: a, b: b, parts: union(x.parts, y.parts), value: value, half: (x.half || y.half) && !(x.half && y.half)}, x, y)
	return true
}

// union lists the parts of both, each once.
func union(x, y []int) []int {
	out := slices.Clone(x)
	for _, p := range y {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

func (f *finder) joinParallel(net int) bool {
	for i, x := range f.on[net] {
		if x.sort != resist && x.sort != capac || x.half {
			continue
		}
		for _, y := range f.on[net][i+1:] {
			if y.sort != x.sort || y.half || !y.joins(x.a, x.b) {
				continue
			}
			value := 0.0
			if x.value > 0 && y.value > 0 {
				value = x.value + y.value
				if x.sort == resist {
					value = x.value * y.value / (x.value + y.value)
				}
			}
			f.replace(&branch{sort: x.sort, a: x.a, b: x.b, parts: append(slices.Clone(x.parts), y.parts...), value: value}, x, y)
			return true
		}
	}
	return false
}

// mostBead is the most that a capacitor from base to emitter has that only keeps
// radio out (common practice).
const mostBead = 1e-9

// leaveOutBeads takes small capacitors between a transistor's own base and
// emitter out of the view, where no coil or crystal is near that they could
// swing with: they change nothing about what the stage is.
func (f *finder) leaveOutBeads() {
	for i, p := range f.c.Parts {
		if p.Kind != circuit.NPN && p.Kind != circuit.PNP {
			continue
		}
		b, e, c := f.net(i, "b"), f.net(i, "e"), f.net(i, "c")
		for _, x := range f.between(capac, b, e) {
			if x.value > 0 && x.value <= mostBead && !f.nearCoil(b) && !f.nearCoil(e) && !f.nearCoil(c) {
				f.drop(x)
				f.beads = append(f.beads, x)
			}
		}
	}
}

// nearCoil tells whether a coil, a winding or a crystal is on a net or one
// capacitor away. Rails don't count.
func (f *finder) nearCoil(net int) bool {
	const reactive = induct | winding | crystal
	if net == f.common {
		return false
	}
	if len(f.leads(reactive, net)) > 0 {
		return true
	}
	return slices.ContainsFunc(f.leads(capac, net), func(b *branch) bool {
		return b.other(net) != f.common && len(f.leads(reactive, b.other(net))) > 0
	})
}

// drop takes a branch out of the view.
func (f *finder) drop(gone *branch) {
	same := func(b *branch) bool { return b == gone }
	f.on[gone.a] = slices.DeleteFunc(f.on[gone.a], same)
	f.on[gone.b] = slices.DeleteFunc(f.on[gone.b], same)
	f.branches = slices.DeleteFunc(f.branches, same)
}

// replace puts one branch in the place of two.
func (f *finder) replace(now, x, y *branch) {
	f.drop(x)
	f.drop(y)
	f.branch(now)
}
