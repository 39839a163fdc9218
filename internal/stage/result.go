package stage

import (
	"cmp"
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// result turns the drafts into stages in the order of the signal.
func (f *finder) result() Found {
	f.settleNested()
	all := slices.DeleteFunc(slices.Clone(f.drafts), func(d *draft) bool { return len(d.members) == 0 })
	feeds := f.feeds(all)
	rank := ranks(len(all), feeds, f.entrances(all))
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(all[a].kind.entrance(), all[b].kind.entrance()), cmp.Compare(rank[a], rank[b]),
			circuit.NaturalCompare(string(f.ref(all[a].lead)), string(f.ref(all[b].lead))))
	})
	place := make([]int, len(all))
	for to, from := range order {
		place[from] = to
	}
	out := Found{Stages: make([]Stage, len(all)), Feeds: []Feed{}, Nets: f.netRoles()}
	for i, d := range all {
		s := f.stage(d)
		s.Rank = rank[i]
		s.Within = -1
		if d.nested {
			if at := slices.IndexFunc(all, func(o *draft) bool { return o != d && !o.nested && slices.Contains(o.members, d.members[0]) }); at >= 0 {
				s.Within = place[at]
			}
		}
		out.Stages[place[i]] = s
	}
	for _, e := range feeds {
		e.From, e.To = place[e.From], place[e.To]
		out.Feeds = append(out.Feeds, e)
	}
	slices.SortFunc(out.Feeds, func(a, b Feed) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), strings.Compare(string(a.Net), string(b.Net)))
	})
	f.rest(&out)
	return out
}

// entrance orders supplies before what they feed.
func (k Kind) entrance() int {
	switch {
	case k == PowerSource:
		return 0
	case k.supplies():
		return 1
	}
	return 2
}

// supplies tells whether stages of the kind give power, not a signal.
func (k Kind) supplies() bool {
	switch k {
	case PowerSource, BridgeRectifier, FullWave, HalfWave, Doubler, Multiplier, ZenerRegulator, SeriesRegulator,
		ShuntRegulator, GasRegulator, ThreeTerminal, Decoupling:
		return true
	}
	return false
}

// settleNested gives a pair that no stage took a place of its own.
func (f *finder) settleNested() {
	for i, d := range f.drafts {
		if d.nested && f.taken[d.members[0]] < 0 {
			d.nested = false
			for _, p := range d.members {
				f.taken[p] = i
			}
		}
	}
}

func (f *finder) ref(part int) circuit.PartRef { return f.c.Parts[part].Ref }

func (f *finder) stage(d *draft) Stage {
	s := Stage{Kind: d.kind, Name: string(d.kind) + " " + f.title(d), Text: d.text, Figures: append([]Figure{}, d.figures...), Notes: d.notes}
	for _, p := range d.members {
		s.Members = append(s.Members, Member{f.ref(p), d.role[p]})
	}
	slices.SortFunc(s.Members, func(a, b Member) int { return circuit.NaturalCompare(string(a.Part), string(b.Part)) })
	s.In, s.Out = f.netNames(d.in), f.netNames(d.out)
	return s
}

// title names the parts that the stage is known by.
func (f *finder) title(d *draft) string {
	if len(d.devices) > 0 {
		var parts []int
		for _, x := range d.devices {
			for _, p := range x.parts {
				if d.role[p] == Core {
					parts = append(parts, p)
				}
			}
		}
		return f.refs(parts...)
	}
	return string(f.ref(d.lead))
}

// refs writes references as a person would: "Q1", "Q1 and Q2", "R1, R2 and C3".
func (f *finder) refs(parts ...int) string {
	var out []string
	for _, p := range parts {
		if r := string(f.ref(p)); !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	slices.SortFunc(out, circuit.NaturalCompare)
	return words(out)
}

func words(all []string) string {
	switch len(all) {
	case 0:
		return "nothing"
	case 1:
		return all[0]
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}

func (f *finder) netNames(nets []int) []circuit.NetID {
	out := []circuit.NetID{}
	for _, n := range nets {
		out = append(out, f.names[n])
	}
	slices.SortFunc(out, func(a, b circuit.NetID) int { return circuit.NaturalCompare(string(a), string(b)) })
	return out
}

func (f *finder) netRoles() map[circuit.NetID]NetRole {
	out := map[circuit.NetID]NetRole{}
	for id, i := range f.index {
		switch {
		case i == f.common:
			out[id] = CommonNet
		case f.held(i):
			out[id] = SupplyNet
		case f.quiet(i) && !slices.ContainsFunc(f.devices, func(d *device) bool { return d.o == i }):
			out[id] = QuietNet
		default:
			out[id] = SignalNet
		}
	}
	return out
}

// rest lists the parts without a stage.
func (f *finder) rest(out *Found) {
	out.Outside, out.Left = []circuit.PartRef{}, []circuit.PartRef{}
	for i, p := range f.c.Parts {
		switch {
		case f.taken[i] >= 0:
		case f.aside(i):
			out.Outside = append(out.Outside, p.Ref)
		default:
			out.Left = append(out.Left, p.Ref)
		}
	}
}

// feeds lists which stage's output another one uses.
func (f *finder) feeds(all []*draft) []Feed {
	outs := map[int][]int{}
	for i, d := range all {
		for _, n := range slices.Concat(d.out, d.across) {
			if !d.nested && n != f.common {
				outs[n] = append(outs[n], i)
			}
		}
	}
	var feeds []Feed
	seen := map[[3]int]bool{}
	add := func(from, to, net int) {
		k := [3]int{from, to, net}
		if from == to || seen[k] {
			return
		}
		seen[k] = true
		power := f.held(net) && !slices.Contains(all[to].in, net)
		feeds = append(feeds, Feed{From: from, To: to, Net: f.names[net], Power: power})
	}
	for to, d := range all {
		if d.nested {
			continue
		}
		for _, net := range f.usedNets(d) {
			for _, from := range outs[net] {
				if !slices.Contains(d.out, net) {
					add(from, to, net)
				}
			}
		}
	}
	return feeds
}

// usedNets lists the nets that a stage's parts are on.
func (f *finder) usedNets(d *draft) []int {
	var out []int
	for _, p := range d.members {
		for _, l := range f.c.Parts[p].Leads {
			out = addNets(out, []int{f.index[l.Net]})
		}
	}
	return out
}

// entrances tells which stages a signal enters from outside.
func (f *finder) entrances(all []*draft) []bool {
	out := make([]bool, len(all))
	for i, d := range all {
		for _, n := range f.usedNets(d) {
			if !f.held(n) && f.fedDirectly(n) && len(f.leads(winding, n)) == 0 {
				out[i] = true
			}
		}
	}
	return out
}

// ranks counts how many stages the signal passes before each, and marks the
// feeds that lead back. Where all that remain feed each other in a ring, the
// ring is entered where a signal comes from outside, else at the first.
func ranks(n int, feeds []Feed, entrance []bool) []int {
	rank, done := make([]int, n), make([]bool, n)
	waits := func(i int) int {
		count := 0
		for _, e := range feeds {
			if e.To == i && !done[e.From] && !e.Back && !e.Power {
				count++
			}
		}
		return count
	}
	for range n {
		best, bestScore := -1, 0
		for i := range n {
			if done[i] {
				continue
			}
			score := 4 * waits(i)
			if score > 0 && entrance[i] {
				score = 1
			}
			if best < 0 || score < bestScore {
				best, bestScore = i, score
			}
		}
		for k := range feeds {
			e := &feeds[k]
			switch {
			case e.To != best || e.Power:
			case !done[e.From]:
				e.Back = true
			default:
				rank[best] = max(rank[best], rank[e.From]+1)
			}
		}
		done[best] = true
	}
	return rank
}
