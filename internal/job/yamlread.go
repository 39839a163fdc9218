package job

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// Bounds on a text, so that no file can make the reader run away. A job with a
// thousand parts has about 100 KB, 20 000 nodes and nests six deep.
const (
	maxTextBytes = 8 << 20
	maxNodes     = 500_000
	maxDepth     = 40
)

// parseYAML reads the text to a tree. The tree is nil where it can't be read,
// and the problems say why.
func parseYAML(data []byte, file string) (*node, []Problem) {
	fail := func(line, col int, format string, args ...any) (*node, []Problem) {
		return nil, []Problem{{File: file, Line: line, Column: col, Text: fmt.Sprintf(format, args...)}}
	}
	if p := unfit(data); p != nil {
		p.File = file
		return nil, []Problem{*p}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	f, err := parseGuarded(data)
	if err != nil {
		line, col, text := syntaxFault(err)
		return fail(line, col, "not readable as YAML: %s", text)
	}
	body, line := soleBody(f)
	if line > 0 {
		return fail(line, 1, "a second document begins here; a job is one document a file")
	}
	if body == nil {
		return fail(1, 1, "the file is empty; write a job into it, like\nparts:\n  R1: {kind: resistor, value: 4k7, leads: {1: a, 2: b}}")
	}
	c := converter{file: file, anchors: map[string]*node{}}
	return c.convert(body, 0), c.problems
}

// unfit refuses what must not reach the parser: too large, no text, or nested
// so deep that the parser's time or stack would run away.
func unfit(data []byte) *Problem {
	switch {
	case len(data) > maxTextBytes:
		return &Problem{Line: 1, Column: 1, Text: fmt.Sprintf("the text has %d bytes; a job text has at most %d", len(data), maxTextBytes)}
	case bytes.HasPrefix(data, []byte("SQLite format 3\x00")):
		return &Problem{Line: 1, Column: 1, Text: "this is a database and no text; a job's one-file form must be opened as such, or turned into text with foilside unpack"}
	case bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data):
		line := 1 + bytes.Count(data[:badByte(data)], []byte("\n"))
		return &Problem{Line: line, Column: 1, Text: "this is no UTF-8 text; a job is written as YAML in UTF-8"}
	}
	return tooDeep(data)
}

func badByte(data []byte) int {
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		if r == 0 || (r == utf8.RuneError && size == 1) {
			return i
		}
		i += size
	}
	return 0
}

// tooDeep bounds nesting before parsing. It counts brackets without regard to
// quotes, and indentation and dashes at the start of each line, so it is
// coarse: its bounds lie far above any job.
func tooDeep(data []byte) *Problem {
	const mostOpen, mostLead = 300, 400
	open, line := 0, 0
	for row := range bytes.Lines(data) {
		line++
		lead := len(row) - len(bytes.TrimLeft(row, " -?\t:"))
		for _, b := range row {
			switch b {
			case '[', '{':
				open++
			case ']', '}':
				open = max(open-1, 0)
			}
		}
		if open > mostOpen || lead > mostLead {
			return &Problem{Line: line, Column: 1, Text: "nested too deep; a job nests a handful of levels"}
		}
	}
	return nil
}

// parseGuarded turns a panic of the YAML library into an error: its input
// comes from outside, and its faults must not reach a user.
func parseGuarded(data []byte) (f *ast.File, err error) {
	defer func() {
		if r := recover(); r != nil {
			f, err = nil, errors.New("the reader gave up on this text")
		}
	}()
	return parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
}

// syntaxFault takes the place and the reason out of the library's message,
// which begins "[line:column] reason" and goes on with the marked lines.
func syntaxFault(err error) (line, col int, text string) {
	text, _, _ = strings.Cut(err.Error(), "\n")
	if _, scan := fmt.Sscanf(text, "[%d:%d]", &line, &col); scan == nil {
		if _, rest, ok := strings.Cut(text, "] "); ok {
			text = rest
		}
	}
	return line, col, text
}

// soleBody returns the one document of a file, and the line of a second one.
func soleBody(f *ast.File) (body ast.Node, secondLine int) {
	for _, d := range f.Docs {
		if d.Body == nil || d.Body.Type() == ast.CommentType || d.Body.Type() == ast.DirectiveType {
			continue
		}
		if body != nil {
			return nil, max(lineOf(d.Body), 1)
		}
		body = d.Body
	}
	return body, 0
}

func lineOf(n ast.Node) int {
	if t := n.GetToken(); t != nil && t.Position != nil {
		return t.Position.Line
	}
	return 0
}

// converter turns the library's tree into ours.
type converter struct {
	file     string
	anchors  map[string]*node
	nodes    int
	problems []Problem
}

func (c *converter) problem(n *node, format string, args ...any) {
	c.problems = append(c.problems, Problem{File: c.file, Line: n.line, Column: n.col, Text: fmt.Sprintf(format, args...)})
}

// convert returns the tree under a node, never nil.
func (c *converter) convert(from ast.Node, depth int) *node {
	n := &node{kind: nullNode}
	if from == nil {
		return n
	}
	n.line, n.col = place(from)
	if c.nodes++; c.nodes > maxNodes || depth > maxDepth {
		if len(c.problems) == 0 || c.nodes <= maxNodes {
			c.problem(n, "too much here: a job has at most %d values and nests at most %d deep", maxNodes, maxDepth)
		}
		return n
	}
	switch v := from.(type) {
	case *ast.MappingNode:
		c.convertMap(n, v.Values, depth)
	case *ast.MappingValueNode:
		c.convertMap(n, []*ast.MappingValueNode{v}, depth)
	case *ast.SequenceNode:
		n.kind = listNode
		for _, item := range v.Values {
			n.items = append(n.items, c.convert(item, depth+1))
		}
	case *ast.AnchorNode:
		inner := c.convert(v.Value, depth+1)
		c.anchors[scalarText(v.Name)] = inner
		return inner
	case *ast.AliasNode:
		return c.alias(n, v)
	case *ast.TagNode:
		return c.convert(v.Value, depth+1)
	case *ast.LiteralNode:
		n.kind, n.text = scalarNode, v.Value.Value
	case *ast.NullNode:
	case ast.ScalarNode:
		n.kind, n.text = scalarNode, scalarText(from)
	default:
		c.problem(n, "this form of YAML has no place in a job")
	}
	return n
}

func (c *converter) convertMap(n *node, values []*ast.MappingValueNode, depth int) {
	n.kind = mapNode
	for _, v := range values {
		line, col := place(v.Key)
		if _, merge := v.Key.(*ast.MergeKeyNode); merge {
			c.problem(&node{line: line, col: col}, "the merge key << has no place in a job; write the keys out")
			continue
		}
		n.pairs = append(n.pairs, pair{key: keyText(v.Key), line: line, col: col, value: c.convert(v.Value, depth+1)})
	}
}

// alias repeats an anchored tree. What it stands for is counted again, so that
// aliases of aliases can't blow up.
func (c *converter) alias(n *node, v *ast.AliasNode) *node {
	target, ok := c.anchors[scalarText(v.Value)]
	if !ok {
		c.problem(n, "the alias *%s has no anchor before it", scalarText(v.Value))
		return n
	}
	if c.nodes += target.count(maxNodes); c.nodes > maxNodes {
		c.problem(n, "too much here: aliases repeat more than %d values", maxNodes)
		return n
	}
	return target
}

// count is the size of the tree, up to a limit.
func (n *node) count(limit int) int {
	total := 1
	for _, i := range n.items {
		if total > limit {
			break
		}
		total += i.count(limit - total)
	}
	for _, p := range n.pairs {
		if total > limit {
			break
		}
		total += p.value.count(limit - total)
	}
	return total
}

// place is the line and column of a node, counted from 1.
func place(n ast.Node) (line, col int) {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		return place(m.Values[0].Key)
	}
	t := n.GetToken()
	if t == nil || t.Position == nil {
		return 0, 0
	}
	return t.Position.Line, max(t.Position.Column, 1)
}

func keyText(k ast.Node) string {
	if m, ok := k.(*ast.MappingKeyNode); ok {
		return scalarText(m.Value)
	}
	return scalarText(k)
}

// scalarText is a scalar as it was written, quotes and escapes resolved:
// numbers and words of YAML keep their spelling.
func scalarText(n ast.Node) string {
	switch v := n.(type) {
	case nil:
		return ""
	case *ast.StringNode:
		return v.Value
	case *ast.LiteralNode:
		return v.Value.Value
	case *ast.TagNode:
		return scalarText(v.Value)
	case *ast.AnchorNode:
		return scalarText(v.Value)
	}
	if t := n.GetToken(); t != nil {
		return t.Value
	}
	return ""
}
