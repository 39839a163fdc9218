package job

import (
	"encoding/json"
	"slices"
	"strconv"
)

// Diff returns the command that turns one document into the other.
func Diff(before, after Document, label string) Command {
	d := differ{}
	d.compare(nil, before.tree(true), after.tree(true))
	return Command{Version: CommandVersion, Label: label, Changes: d.changes}
}

// differ gathers the changes between two trees. Records (a part, a reading) are
// replaced whole; what holds records is compared entry by entry.
type differ struct {
	changes []Change
}

func (d *differ) compare(path []string, a, b *node) {
	switch {
	case a.equal(b):
	case !holdsRecords(path) || a.kind != b.kind || a.isScalar():
		d.add(path, 0, a, b)
	case a.kind == mapNode:
		d.compareMaps(path, a, b)
	default:
		d.compareLists(path, a.items, b.items)
	}
}

// holdsRecords tells the places whose entries are records of their own.
func holdsRecords(path []string) bool {
	switch {
	case len(path) == 0:
		return true
	case path[0] == "copper":
		return len(path) == 1 || len(path) == 2 || (len(path) == 3 && path[1] == "samples")
	case path[0] == "unit" || path[0] == "common" || path[0] == "demonstration" || path[0] == "scale":
		return false
	}
	return len(path) == 1
}

func (d *differ) add(path []string, index int, before, after *node) {
	d.changes = append(d.changes, Change{
		Path: slices.Clone(path), Index: index, Before: side(before), After: side(after),
	})
}

func side(n *node) json.RawMessage {
	if n == nil {
		return nil
	}
	return writeJSON(n)
}

// compareMaps takes out keys from the back, changes what stays, and puts in
// keys from the front, so that each index holds when its turn comes. Where keys
// changed places the whole map is replaced.
func (d *differ) compareMaps(path []string, a, b *node) {
	inA, inB := a.byKey(), b.byKey()
	if !sameOrder(a, b, inA, inB) {
		d.add(path, 0, a, b)
		return
	}
	for i, p := range slices.Backward(a.pairs) {
		if inB[p.key] == nil {
			d.add(append(path, p.key), i, p.value, nil)
		}
	}
	for _, p := range a.pairs {
		if other := inB[p.key]; other != nil {
			d.compare(append(path, p.key), p.value, other)
		}
	}
	for i, p := range b.pairs {
		if inA[p.key] == nil {
			d.add(append(path, p.key), i, nil, p.value)
		}
	}
}

// byKey looks values up by key.
func (n *node) byKey() map[string]*node {
	out := make(map[string]*node, len(n.pairs))
	for _, p := range n.pairs {
		out[p.key] = p.value
	}
	return out
}

// sameOrder reports whether the keys in both maps come in the same order.
func sameOrder(a, b *node, inA, inB map[string]*node) bool {
	i := 0
	for _, p := range a.pairs {
		if inB[p.key] == nil {
			continue
		}
		for i < len(b.pairs) && inA[b.pairs[i].key] == nil {
			i++
		}
		if i == len(b.pairs) || b.pairs[i].key != p.key {
			return false
		}
		i++
	}
	return true
}

// compareLists keeps what is equal at both ends; what lies between is replaced
// item by item, and where it grew or shrank the rest is put in or taken out.
func (d *differ) compareLists(path []string, a, b []*node) {
	first := 0
	for first < len(a) && first < len(b) && a[first].equal(b[first]) {
		first++
	}
	endA, endB := len(a), len(b)
	for endA > first && endB > first && a[endA-1].equal(b[endB-1]) {
		endA--
		endB--
	}
	both := min(endA, endB)
	for i := endA - 1; i >= both; i-- {
		d.add(append(path, strconv.Itoa(i)), 0, a[i], nil)
	}
	for i := first; i < both; i++ {
		d.compare(append(path, strconv.Itoa(i)), a[i], b[i])
	}
	for i := both; i < endB; i++ {
		d.add(append(path, strconv.Itoa(i)), 0, nil, b[i])
	}
}
