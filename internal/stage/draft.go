package stage

import (
	"math"
	"slices"

	"foilside/internal/quantity"
)

// draft is a stage in the making.
type draft struct {
	kind    Kind
	lead    int // the part that it is named for
	devices []*device
	members []int
	role    map[int]Role
	in, out []int // nets
	across  []int // nets of others that its transformer drives
	inside  []int // nets that are its own: the emitter of its transistor
	nested  bool
	say     func() // sets text and figures when all parts are known
	text    string
	figures []Figure
	notes   []string
}

// start makes a stage of its core parts.
func (f *finder) start(k Kind, core ...int) *draft {
	d := &draft{kind: k, lead: core[0], role: map[int]Role{}}
	f.drafts = append(f.drafts, d)
	f.take(d, Core, core...)
	return d
}

// startDevice makes a stage of devices.
func (f *finder) startDevice(k Kind, all ...*device) *draft {
	d := f.start(k, all[0].part)
	for _, x := range all {
		f.take(d, Core, x.parts...)
		f.takeBranch(d, Helper, x.stopper...)
		f.takeBranch(d, Helper, x.ballast...)
		d.devices = append(d.devices, x)
		d.own(f.nets(x.g0, x.k0, x.k)...)
		d.own(f.nets(x.inner...)...)
	}
	return d
}

// nest notes a stage whose parts some other will take as a whole.
func (f *finder) nest(k Kind, parts []int, what string) {
	d := &draft{kind: k, lead: parts[0], role: map[int]Role{}, nested: true}
	for _, p := range parts {
		d.members = append(d.members, p)
		d.role[p] = Core
	}
	d.say = func() { f.sayDarlington(d, what) }
	// A larger one holds the smaller.
	f.drafts = slices.DeleteFunc(f.drafts, func(o *draft) bool {
		return o.nested && o.kind == k && slices.Contains(parts, o.members[0])
	})
	f.drafts = append(f.drafts, d)
}

// take claims parts that no stage has yet.
func (f *finder) take(d *draft, r Role, parts ...int) {
	at := slices.Index(f.drafts, d)
	for _, p := range parts {
		if f.taken[p] < 0 {
			f.taken[p] = at
			d.members = append(d.members, p)
			d.role[p] = r
		}
	}
}

func (f *finder) takeBranch(d *draft, r Role, all ...*branch) {
	for _, b := range all {
		if b != nil {
			f.take(d, r, b.parts...)
		}
	}
}

// open tells whether no part of the branch has a stage yet.
func (f *finder) open(b *branch) bool {
	return !slices.ContainsFunc(b.parts, func(p int) bool { return f.taken[p] >= 0 })
}

// has tells whether the branch belongs to the stage, at least in part.
func (f *finder) has(d *draft, b *branch) bool {
	_, ok := d.role[b.parts[0]]
	return ok
}

// own adds nets that are the stage's inside.
func (d *draft) own(nets ...int) {
	for _, n := range nets {
		if n >= 0 && !slices.Contains(d.inside, n) {
			d.inside = append(d.inside, n)
		}
	}
}

func (d *draft) inputs(nets ...int)  { d.in = addNets(d.in, nets) }
func (d *draft) outputs(nets ...int) { d.out = addNets(d.out, nets) }

func addNets(list, more []int) []int {
	for _, n := range more {
		if n >= 0 && !slices.Contains(list, n) {
			list = append(list, n)
		}
	}
	return list
}

// nets keeps those that are no rails.
func (f *finder) nets(all ...int) []int {
	var out []int
	for _, n := range all {
		if n >= 0 && !f.held(n) {
			out = append(out, n)
		}
	}
	return out
}

// figure adds a number to the stage's figures and returns it as printed. What
// values at the ends of the scale make of it is no number and left out.
func (d *draft) figure(name string, v float64, u quantity.Unit, how string) string {
	x := Figure{Name: name, Value: v, Unit: u, Sign: u.String(), How: how}
	if !math.IsNaN(v) && !math.IsInf(v, 0) {
		d.figures = append(d.figures, x)
	}
	return x.Text()
}

func (d *draft) note(text string) {
	if !slices.Contains(d.notes, text) {
		d.notes = append(d.notes, text)
	}
}

// between lists the branches of the sorts between two nets.
func (f *finder) between(s sort, x, y int) []*branch {
	var out []*branch
	if x < 0 || y < 0 {
		return nil
	}
	for _, b := range f.on[x] {
		if b.sort&s != 0 && b.joins(x, y) {
			out = append(out, b)
		}
	}
	return out
}

// leads lists the branches of the sorts on a net.
func (f *finder) leads(s sort, net int) []*branch {
	var out []*branch
	if net < 0 {
		return nil
	}
	for _, b := range f.on[net] {
		if b.sort&s != 0 {
			out = append(out, b)
		}
	}
	return out
}

// way is how two nets are coupled.
type way struct {
	ok       bool
	ac       bool // through a capacitor only
	branches []*branch
}

// couple finds how an output reaches a control: through resistors, capacitors
// and junctions, over nets that are no rails, not quiet and have no leads of
// devices. A path for direct current goes before one with capacitors.
func (f *finder) couple(from, to int) way {
	if w, ok := f.ways[[2]int{from, to}]; ok {
		return w
	}
	w := f.search(from, to)
	f.ways[[2]int{from, to}] = w
	return w
}

func (f *finder) search(from, to int) way {
	if from < 0 || to < 0 || f.held(from) || f.held(to) {
		return way{}
	}
	if from == to {
		return way{ok: true}
	}
	for _, s := range []sort{resist | junction, resist | junction | capac} {
		if path := f.path(from, to, s, 3); path != nil {
			return way{ok: true, ac: s&capac != 0, branches: f.beside(path)}
		}
	}
	return way{}
}

// path is the shortest chain of branches of the sorts over private nets.
func (f *finder) path(from, to int, s sort, depth int) []*branch {
	type step struct {
		net  int
		path []*branch
	}
	seen := map[int]bool{from: true}
	queue := []step{{net: from}}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, b := range f.on[at.net] {
			o := b.other(at.net)
			if b.sort&s == 0 || seen[o] {
				continue
			}
			path := append(slices.Clone(at.path), b)
			if o == to {
				return path
			}
			seen[o] = true
			if len(path) < depth && !f.held(o) && len(f.pins[o]) == 0 && f.bypass(o) == nil {
				queue = append(queue, step{o, path})
			}
		}
	}
	return nil
}

// beside adds to a path what lies in parallel with its branches: the capacitor
// that speeds up a resistor.
func (f *finder) beside(path []*branch) []*branch {
	out := slices.Clone(path)
	for _, b := range path {
		for _, x := range f.between(resist|capac|junction, b.a, b.b) {
			if !slices.Contains(out, x) {
				out = append(out, x)
			}
		}
	}
	return out
}
