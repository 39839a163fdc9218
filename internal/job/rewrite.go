package job

import (
	"bytes"
	"slices"
	"strings"
)

// RewriteText writes the document as text in place of the old text, and keeps
// of it what it can: the order of sections, and every line, with its comments,
// of sections and records that say the same as before. Where the old text
// can't be kept to, the whole is written as WriteText does.
func RewriteText(old []byte, d Document) []byte {
	if !bytes.Contains(old, []byte("\r\n")) {
		return rewritten(old, d)
	}
	text := rewritten(bytes.ReplaceAll(old, []byte("\r\n"), []byte("\n")), d)
	return bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))
}

func rewritten(old []byte, d Document) []byte {
	fresh := WriteText(d)
	root, problems := parseYAML(old, "")
	if root == nil || len(problems) > 0 || root.kind != mapNode || bytes.HasPrefix(bytes.TrimSpace(old), []byte("{")) {
		return fresh
	}
	before, problems := readTree(root, "")
	if len(Errors(problems)) > 0 {
		return fresh
	}
	w := weaver{lines: strings.SplitAfter(string(old), "\n")}
	text := w.weave(root, before.tree(false), d.tree(false))
	again, problems := ReadText(text, "")
	if len(Errors(problems)) > 0 || !again.tree(false).equal(d.tree(false)) {
		return fresh
	}
	return text
}

// weaver puts old lines and new ones together.
type weaver struct {
	lines []string // of the old text, with their line breaks
	out   strings.Builder
}

// span is an entry of the old text: the comments and blank lines before it
// begin at lead, its own lines at start, and it ends before end. Lines count
// from 0.
type span struct{ lead, start, end int }

// weave writes the top of the document: said holds what the old text said, now
// what the new text shall say.
func (w *weaver) weave(root, said, now *node) []byte {
	starts := make([]int, len(root.pairs))
	for i, p := range root.pairs {
		starts[i] = p.line - 1
	}
	spans, tail, ok := w.spans(0, len(w.lines), starts)
	if !ok {
		return writeYAML(now)
	}
	w.copy(0, spans[0].lead)
	for _, key := range sectionOrder(root, now) {
		i := slices.IndexFunc(root.pairs, func(p pair) bool { return p.key == key })
		fresh := now.get(key)
		switch {
		case i < 0:
			w.section(key, fresh)
		case said.get(key).equal(fresh) || (fresh == nil && root.pairs[i].value.empty()):
			w.copy(spans[i].lead, spans[i].end)
		case fresh != nil:
			w.copy(spans[i].lead, spans[i].start)
			w.changed(root.pairs[i], spans[i], said.get(key), fresh)
		}
	}
	w.copy(tail, len(w.lines))
	return []byte(w.out.String())
}

// sectionOrder lists the sections: the old text's order, new ones after the
// section that they follow when written afresh.
func sectionOrder(root, now *node) []string {
	var order []string
	for _, p := range root.pairs {
		order = append(order, p.key)
	}
	after := 0
	for _, p := range now.pairs {
		if i := slices.Index(order, p.key); i >= 0 {
			after = i + 1
			continue
		}
		order = slices.Insert(order, after, p.key)
		after++
	}
	return order
}

// spans finds the lines of entries that begin at the given lines, between two
// lines. It fails where entries share lines.
func (w *weaver) spans(from, to int, starts []int) (out []span, tail int, ok bool) {
	tail = from
	for i, start := range starts {
		limit := to
		if i+1 < len(starts) {
			limit = starts[i+1]
		}
		if start < tail || start >= limit || limit > len(w.lines) {
			return nil, 0, false
		}
		end := limit
		for end > start+1 && silent(w.lines[end-1]) {
			end--
		}
		out = append(out, span{lead: tail, start: start, end: end})
		tail = end
	}
	return out, tail, len(out) > 0
}

// silent tells lines that say nothing: blank ones, comments, and document
// marks.
func silent(line string) bool {
	s := strings.TrimSpace(line)
	return s == "" || s == "..." || strings.HasPrefix(s, "#")
}

func (w *weaver) copy(from, to int) {
	for _, line := range w.lines[from:to] {
		w.put(line)
	}
}

// put adds a line; the old text's last line may lack its line break.
func (w *weaver) put(line string) {
	w.out.WriteString(line)
	if !strings.HasSuffix(line, "\n") && line != "" {
		w.out.WriteByte('\n')
	}
}

func (w *weaver) section(key string, value *node) {
	var b strings.Builder
	writeSection(&b, pair{key: key, value: value})
	w.put(b.String())
}

// changed writes a section that says something new: entry by entry where it
// has a line for each, else as a whole.
func (w *weaver) changed(old pair, s span, said, now *node) {
	starts, indent := w.entryLines(old.value)
	spans, tail, ok := w.spans(s.start+1, s.end, starts)
	if !ok || !blockSection(old.key) || now.isScalar() || now.empty() || now.kind != old.value.kind {
		var b strings.Builder
		writeSection(&b, pair{key: old.key, value: now})
		w.put(strings.TrimSuffix(b.String(), "\n") + w.remark(s, b.String()))
		return
	}
	w.copy(s.start, s.start+1)
	match := matchEntries(old.value, said, now)
	texts := entries(old.key, now)
	for i, text := range texts {
		at := match[i]
		switch {
		case at.same:
			w.copy(spans[at.old].lead, spans[at.old].end)
		case at.old >= 0:
			w.copy(spans[at.old].lead, spans[at.old].start)
			w.put(reindent(text, indent) + w.remark(spans[at.old], text))
		default:
			w.put(reindent(text, indent))
		}
	}
	w.copy(tail, s.end)
}

// entryLines are the lines where the entries of a block section begin, and how
// far they are indented.
func (w *weaver) entryLines(n *node) (starts []int, indent string) {
	for _, p := range n.pairs {
		starts = append(starts, p.line-1)
	}
	for _, item := range n.items {
		starts = append(starts, item.line-1)
	}
	if len(starts) > 0 && starts[0] >= 0 && starts[0] < len(w.lines) {
		line := w.lines[starts[0]]
		indent = line[:len(line)-len(strings.TrimLeft(line, " "))]
	}
	return starts, indent
}

// matched says which old entry a new one continues, or -1, and whether it says
// the same.
type matched struct {
	old  int
	same bool
}

// matchEntries pairs new entries with old ones: of a map by their keys, of a
// list from both ends as far as they are equal, and in order between.
func matchEntries(old, said, now *node) []matched {
	var out []matched
	for _, p := range now.pairs {
		i := slices.IndexFunc(old.pairs, func(q pair) bool { return q.key == p.key })
		out = append(out, matched{i, i >= 0 && p.value.equal(said.get(p.key))})
	}
	if len(now.items) == 0 {
		return out
	}
	was := said.items
	first, last := 0, 0
	for first < min(len(was), len(now.items)) && was[first].equal(now.items[first]) {
		first++
	}
	for last < min(len(was), len(now.items))-first && was[len(was)-1-last].equal(now.items[len(now.items)-1-last]) {
		last++
	}
	for i := range now.items {
		switch fromEnd := len(now.items) - i; {
		case i < first:
			out = append(out, matched{i, true})
		case fromEnd <= last:
			out = append(out, matched{len(was) - fromEnd, true})
		case i < len(was)-last:
			out = append(out, matched{i, false})
		default:
			out = append(out, matched{-1, false})
		}
	}
	return out
}

// reindent moves an entry to the old text's indentation.
func reindent(text, indent string) string {
	lines := strings.SplitAfter(strings.TrimSuffix(text, "\n"), "\n")
	for i, line := range lines {
		lines[i] = indent + strings.TrimPrefix(line, "  ")
	}
	return strings.Join(lines, "")
}

// remark is the comment at the end of an old entry of one line, with the
// spaces before it, for a new entry of one line.
func (w *weaver) remark(s span, text string) string {
	if s.end != s.start+1 || strings.Count(text, "\n") != 1 {
		return ""
	}
	line := strings.TrimRight(w.lines[s.start], "\r\n")
	whole, _ := parseYAML([]byte(line), "")
	if whole == nil {
		return ""
	}
	for i := 0; i < len(line); i++ {
		if line[i] != '#' || i == 0 || line[i-1] != ' ' {
			continue
		}
		if cut, _ := parseYAML([]byte(line[:i]), ""); cut != nil && cut.equal(whole) {
			return line[len(strings.TrimRight(line[:i], " ")):]
		}
	}
	return ""
}
