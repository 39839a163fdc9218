package job

import (
	"slices"
	"strconv"
)

// nodeKind tells the forms of a node apart.
type nodeKind uint8

const (
	scalarNode nodeKind = iota
	numberNode          // a scalar that JSON writes as a number
	listNode
	mapNode
	nullNode // nothing is written
)

// node is a text as a tree, before it has a meaning: the one form between YAML
// or JSON on one side and the Document on the other. Commands work on it.
type node struct {
	kind      nodeKind
	text      string  // of a scalar, as written
	items     []*node // of a list
	pairs     []pair  // of a map, in the order written
	line, col int     // from 1; 0: not from a text
}

// pair is one key of a map and what stands under it.
type pair struct {
	key       string
	line, col int
	value     *node
}

func scalar(text string) *node { return &node{kind: scalarNode, text: text} }

func number(v float64) *node {
	if v == 0 {
		v = 0 // no negative zero
	}
	return &node{kind: numberNode, text: strconv.FormatFloat(v, 'f', -1, 64)}
}

func list(items ...*node) *node { return &node{kind: listNode, items: items} }

func mapping() *node { return &node{kind: mapNode} }

// put adds a pair, unless the value is nil, and returns the map.
func (n *node) put(key string, value *node) *node {
	if value != nil {
		n.pairs = append(n.pairs, pair{key: key, value: value})
	}
	return n
}

// putText adds a scalar, unless it is empty.
func (n *node) putText(key, text string) *node {
	if text == "" {
		return n
	}
	return n.put(key, scalar(text))
}

// get returns what stands under a key, or nil.
func (n *node) get(key string) *node {
	if n == nil {
		return nil
	}
	for _, p := range n.pairs {
		if p.key == key {
			return p.value
		}
	}
	return nil
}

// isScalar reports whether the node is one piece of text.
func (n *node) isScalar() bool { return n.kind == scalarNode || n.kind == numberNode }

// empty reports whether nothing stands in a list or map.
func (n *node) empty() bool {
	return n.kind == nullNode || (!n.isScalar() && len(n.items) == 0 && len(n.pairs) == 0)
}

// equal compares what two trees say: a number and the same text are equal,
// places in the text do not count, the order of keys does.
func (n *node) equal(m *node) bool {
	if n == nil || m == nil {
		return n == m
	}
	if n.isScalar() && m.isScalar() {
		return n.text == m.text
	}
	return n.kind == m.kind &&
		slices.EqualFunc(n.items, m.items, (*node).equal) &&
		slices.EqualFunc(n.pairs, m.pairs, func(a, b pair) bool { return a.key == b.key && a.value.equal(b.value) })
}

// describe says in a message what was found.
func (n *node) describe() string {
	switch n.kind {
	case listNode:
		return "a list"
	case mapNode:
		return "a group of keys"
	case nullNode:
		return "nothing"
	}
	return strconv.Quote(shorten(n.text))
}

// shorten keeps a message readable where the text is long.
func shorten(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
