package job

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"foilside/internal/circuit"
)

// maxProblems is where listing stops: a person mends the first and reads again.
const maxProblems = 100

// cursor is a place in a tree with its path from the top.
type cursor struct {
	*node
	path string
}

// under is the cursor for a key.
func (c cursor) under(key string, n *node) cursor {
	if c.path == "" {
		return cursor{n, key}
	}
	return cursor{n, c.path + "." + key}
}

// reader gives a tree its meaning and lists what has none.
type reader struct {
	file     string
	doc      Document
	kinds    kindTable
	probed   map[circuit.NetID]bool // names that a meter can be held to
	problems []Problem
}

func (r *reader) note(line, col int, path string, warning bool, text string) {
	if len(r.problems) < maxProblems {
		r.problems = append(r.problems, Problem{File: r.file, Line: line, Column: col, Path: path, Text: text, Warning: warning})
	}
}

func (r *reader) fail(c cursor, format string, args ...any) {
	r.note(c.line, c.col, c.path, false, fmt.Sprintf(format, args...))
}

func (r *reader) warn(c cursor, format string, args ...any) {
	r.note(c.line, c.col, c.path, true, fmt.Sprintf(format, args...))
}

// field is one key of a record and what reads its value.
type field struct {
	key      string
	required bool
	read     func(cursor)
}

// record reads a map with known keys. Its name stands in messages: "a reading".
func (r *reader) record(c cursor, name string, fields ...field) {
	if c.kind != mapNode {
		r.fail(c, "found %s where %s is expected, like {%s: …}", c.describe(), name, fields[0].key)
		return
	}
	seen := map[string]bool{}
	for _, p := range c.pairs {
		at := c.under(p.key, p.value)
		if r.repeated(p, at, seen) {
			continue
		}
		if f, ok := findField(fields, p.key); ok {
			f.read(at)
		} else {
			keys := fieldKeys(fields)
			r.note(p.line, p.col, at.path, false, fmt.Sprintf("%s has no key %q%s (it takes %s)",
				name, shorten(p.key), didYouMean(p.key, keys), strings.Join(keys, ", ")))
		}
	}
	for _, f := range fields {
		if f.required && !seen[f.key] {
			r.fail(c, "the key %s is missing: %s needs %s", f.key, name, requiredKeys(fields))
		}
	}
}

// each reads a map whose keys are the person's own names.
func (r *reader) each(c cursor, name string, read func(key string, at cursor)) {
	if c.kind == nullNode {
		return
	}
	if c.kind != mapNode {
		r.fail(c, "found %s where %s are expected, each under its name", c.describe(), name)
		return
	}
	seen := map[string]bool{}
	for _, p := range c.pairs {
		at := c.under(p.key, p.value)
		if r.repeated(p, at, seen) {
			continue
		}
		if !sound(p.key) {
			r.note(p.line, p.col, at.path, false, fmt.Sprintf("%q can't be a name: it must be one line of plain text", shorten(p.key)))
			continue
		}
		read(p.key, cursor{p.value, at.path})
	}
}

// repeated reports a key that stands twice in one map.
func (r *reader) repeated(p pair, at cursor, seen map[string]bool) bool {
	if seen[p.key] {
		r.note(p.line, p.col, at.path, false, fmt.Sprintf("%q stands twice; take one of them out or rename it", shorten(p.key)))
		return true
	}
	seen[p.key] = true
	return false
}

// items reads a list.
func (r *reader) items(c cursor, name string, read func(at cursor)) {
	if c.kind == nullNode {
		return
	}
	if c.kind != listNode {
		r.fail(c, "found %s where a list of %s is expected, like [ … ]", c.describe(), name)
		return
	}
	for i, item := range c.node.items {
		read(c.under(strconv.Itoa(i), item))
	}
}

func findField(fields []field, key string) (field, bool) {
	for _, f := range fields {
		if f.key == key {
			return f, true
		}
	}
	return field{}, false
}

func fieldKeys(fields []field) []string {
	keys := make([]string, len(fields))
	for i, f := range fields {
		keys[i] = f.key
	}
	return keys
}

func requiredKeys(fields []field) string {
	var keys []string
	for _, f := range fields {
		if f.required {
			keys = append(keys, f.key)
		}
	}
	return strings.Join(keys, ", ")
}

// text reads free text into a string; nothing written is no text.
func (r *reader) text(into *string, what string) func(cursor) {
	return func(c cursor) {
		if c.kind == nullNode {
			return
		}
		if s, ok := r.scalar(c, what); ok {
			*into = s
		}
	}
}

// scalar reads one piece of text.
func (r *reader) scalar(c cursor, what string) (string, bool) {
	if !c.isScalar() {
		r.fail(c, "found %s where %s is expected", c.describe(), what)
		return "", false
	}
	return c.node.text, true
}

// name reads text that others refer to, which must be one line.
func (r *reader) name(c cursor, what string) (string, bool) {
	s, ok := r.scalar(c, what)
	if ok && !sound(s) {
		r.fail(c, "found %s where %s is expected: one line of plain text", c.describe(), what)
		return "", false
	}
	return s, ok
}

// sound tells text that can be a name: one line, not empty, no space around.
func sound(s string) bool {
	return s != "" && len(s) <= 200 && strings.TrimSpace(s) == s && !strings.ContainsFunc(s, func(x rune) bool {
		return x < 0x20 || (x >= 0x7f && x < 0xa0) || x == 0x2028 || x == 0x2029 || x == 0xfeff
	})
}

// word reads one of a few words.
func (r *reader) word(c cursor, what string, allowed []string) (string, bool) {
	s, ok := r.scalar(c, what)
	if !ok {
		return "", false
	}
	for _, a := range allowed {
		if a == s {
			return s, true
		}
	}
	r.fail(c, "%q is no %s; expected %s%s", shorten(s), what, orList(allowed), didYouMean(s, allowed))
	return "", false
}

// plainNumber has no leading zeros: some readers take 010 for octal 8.
var plainNumber = regexp.MustCompile(`^[+-]?(0|[1-9][0-9]*)?(\.[0-9]+)?([eE][+-]?[0-9]{1,3})?$`)

// number reads a plain number between two limits.
func (r *reader) number(c cursor, what string, low, high float64) (float64, bool) {
	s, ok := r.scalar(c, what)
	if !ok {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !plainNumber.MatchString(s) || math.IsInf(v, 0) {
		hint := ""
		if len(s) > 1 && s[0] == '0' && strings.Trim(s, "0123456789") == "" {
			hint = "; a leading zero has no safe meaning"
		}
		r.fail(c, "found %s where %s is expected: a plain number%s", c.describe(), what, hint)
		return 0, false
	}
	if v < low || v > high {
		r.fail(c, "%s: %s must be from %g to %g", shorten(s), what, low, high)
		return 0, false
	}
	return v, true
}

// farthestPixel bounds coordinates: photos have at most 60 megapixels.
const farthestPixel = 1e6

// pixel reads [x, y].
func (r *reader) pixel(c cursor) (p Pixel, ok bool) {
	if c.kind != listNode || len(c.node.items) != 2 {
		r.fail(c, "found %s where a pixel is expected, like [412, 318]", c.describe())
		return p, false
	}
	x, okX := r.number(cursor{c.node.items[0], c.path}, "a pixel's x", -farthestPixel, farthestPixel)
	y, okY := r.number(cursor{c.node.items[1], c.path}, "a pixel's y", -farthestPixel, farthestPixel)
	return Pixel{x, y}, okX && okY
}

// into reads a pixel to a place.
func (r *reader) into(p *Pixel) func(cursor) {
	return func(c cursor) {
		if v, ok := r.pixel(c); ok {
			*p = v
		}
	}
}

// time reads a moment by RFC 3339; it is kept in universal time.
func (r *reader) time(into *time.Time) func(cursor) {
	return func(c cursor) {
		s, ok := r.scalar(c, "a time")
		if !ok {
			return
		}
		t, err := time.Parse(time.RFC3339Nano, s)
		if err != nil {
			r.fail(c, "%q is no time; write it like 2026-11-25T14:30:00Z (RFC 3339)", shorten(s))
			return
		}
		if y := t.UTC().Year(); y < 1 || y > 9999 {
			r.fail(c, "%q is no time: the year is out of range", shorten(s))
			return
		}
		*into = t.UTC()
	}
}
