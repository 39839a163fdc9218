package job

import (
	"regexp"
	"strings"
)

// flowWidth is where a record that fits on one line is broken up instead.
const flowWidth = 160

// writeYAML writes a document's tree: sections as blocks, each record of a
// section in flow style on a line of its own, as in CONTRACT §2.
func writeYAML(n *node) []byte {
	var b strings.Builder
	for _, p := range n.pairs {
		writeSection(&b, p)
	}
	return []byte(b.String())
}

func writeSection(b *strings.Builder, p pair) {
	if p.value.isScalar() {
		b.WriteString(yamlKey(p.key) + ": " + blockScalar(p.value.text) + "\n")
		return
	}
	if !blockSection(p.key) || p.value.empty() {
		b.WriteString(yamlKey(p.key) + ": " + flow(p.value) + "\n")
		return
	}
	b.WriteString(yamlKey(p.key) + ":\n")
	for _, line := range entries(p.key, p.value) {
		b.WriteString(line)
	}
}

// blockSection tells the sections whose entries have lines of their own.
func blockSection(key string) bool {
	switch key {
	case "photos", "scale":
		return false
	}
	return true
}

// entries returns a section's entries as they are written, line breaks included.
func entries(section string, n *node) []string {
	var out []string
	for _, p := range n.pairs {
		out = append(out, mapEntry(section, p))
	}
	for _, item := range n.items {
		out = append(out, "  - "+flow(item)+"\n")
	}
	return out
}

// mapEntry writes one record of a section. A long record of parts has a line
// for each of its groups; copper has its lists one item a line.
func mapEntry(section string, p pair) string {
	head := "  " + yamlKey(p.key) + ":"
	line := head + " " + flow(p.value) + "\n"
	if len(line) <= flowWidth || p.value.isScalar() || p.value.empty() || section == "states" {
		return line
	}
	var b strings.Builder
	b.WriteString(head + "\n")
	for _, q := range p.value.pairs {
		b.WriteString("    " + yamlKey(q.key) + ": " + flow(q.value) + "\n")
	}
	for _, item := range p.value.items {
		b.WriteString("    - " + flow(item) + "\n")
	}
	return b.String()
}

// flow writes a tree on one line.
func flow(n *node) string {
	switch n.kind {
	case listNode:
		parts := make([]string, len(n.items))
		for i, item := range n.items {
			parts[i] = flow(item)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case mapNode:
		parts := make([]string, len(n.pairs))
		for i, p := range n.pairs {
			parts[i] = yamlKey(p.key) + ": " + flow(p.value)
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case nullNode:
		return "null"
	}
	return yamlScalar(n.text)
}

// plain matches scalars that YAML 1.2 reads back as they stand, in flow style
// too: they begin with a letter, digit, or a harmless sign and hold no mark
// that means something.
var plain = regexp.MustCompile(`^[\pL\pN_.+µΩ\x{2126}%/][\pL\pN_.+\-µΩ\x{2126}%/()*=;°±·~^ ]*$`)

// moment matches times, whose colons are plain since no space follows them.
var moment = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+Z$`)

// yamlScalar writes text plain where that is safe, and quoted elsewhere.
func yamlScalar(s string) string {
	if moment.MatchString(s) || plain.MatchString(s) && !strings.HasSuffix(s, " ") && !strings.HasPrefix(s, "%") && !reserved(s) {
		return s
	}
	return quoted(s)
}

// blockScalar writes text that stands outside flow style, where a comma means
// nothing.
func blockScalar(s string) string {
	if without := strings.ReplaceAll(s, ", ", " "); without != s && yamlScalar(without) == without && !strings.HasPrefix(s, ",") {
		return s
	}
	return yamlScalar(s)
}

// yamlKey writes a key. A lone + or - is plain before a colon.
func yamlKey(s string) string {
	if s == "+" || s == "-" || s == "-in" {
		return s
	}
	return yamlScalar(s)
}

// reserved tells the words that YAML reads as nothing or as a document mark.
func reserved(s string) bool {
	switch s {
	case "null", "Null", "NULL", "~", "<<", "...", "---":
		return true
	}
	return strings.HasPrefix(s, "... ")
}

// quoted writes a double-quoted scalar: every text has such a form.
func quoted(s string) string {
	const hex = "0123456789abcdef"
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r < 0x20 || (r >= 0x7f && r < 0xa0):
			b.WriteString(`\x` + string(hex[r>>4&15]) + string(hex[r&15]))
		case r == 0x2028 || r == 0x2029 || r == 0xfeff:
			b.WriteString(`\u`)
			for shift := 12; shift >= 0; shift -= 4 {
				b.WriteByte(hex[r>>shift&15])
			}
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
