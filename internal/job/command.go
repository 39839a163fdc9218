package job

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// CommandVersion is the version of a command's JSON form that this program
// writes; it reads this one and those before it.
const CommandVersion = 1

// Command is one change of a document that a person would undo as one. It says
// what stood at each place before, so its inverse is the same list backwards,
// and a command made for another state of the job is noticed.
type Command struct {
	Version int      `json:"version"`
	Label   string   `json:"label"` // for the log: "Place R1"
	Changes []Change `json:"changes"`
}

// Change is one place of a document that a command changes. The path leads
// through keys and, in lists, indices: ["parts", "R1"], ["readings", "3"].
type Change struct {
	Path   []string        `json:"path"`
	Index  int             `json:"index,omitempty"`  // where among its neighbours an added or removed key stands
	Before json.RawMessage `json:"before,omitempty"` // nothing: it is added
	After  json.RawMessage `json:"after,omitempty"`  // nothing: it is removed
}

// Inverse returns the command that takes c back.
func (c Command) Inverse() Command {
	out := Command{Version: c.Version, Label: c.Label, Changes: slices.Clone(c.Changes)}
	slices.Reverse(out.Changes)
	for i := range out.Changes {
		ch := &out.Changes[i]
		ch.Before, ch.After = ch.After, ch.Before
	}
	return out
}

// Empty reports whether the command changes nothing.
func (c Command) Empty() bool { return len(c.Changes) == 0 }

// Apply returns the document after the command, and the command that takes it
// back. The document given is left as it is.
//
// Errors: ErrStale where the document is not the one that the command was made
// for, *InvalidError where the result would not be a job.
func Apply(d Document, c Command) (Document, Command, error) {
	if c.Version < 1 || c.Version > CommandVersion {
		return d, Command{}, fmt.Errorf("the command is of version %d, and this program knows 1 to %d: take a newer program", c.Version, CommandVersion)
	}
	root := d.tree(true)
	for _, ch := range c.Changes {
		if err := ch.apply(root); err != nil {
			return d, Command{}, fmt.Errorf("%s: %w", strings.Join(ch.Path, "."), err)
		}
	}
	after, problems := readTree(root, "")
	if err := AsError(problems); err != nil {
		return d, Command{}, err
	}
	return after, Diff(d, after, c.Label).Inverse(), nil
}

// Revise makes the command that a change to the typed document amounts to. The
// function gets a deep copy, and its error is handed on.
//
// Errors: *InvalidError where the result would not be a job.
func Revise(d Document, label string, change func(*Document) error) (Command, error) {
	next := d.Clone()
	if err := change(&next); err != nil {
		return Command{}, err
	}
	next, problems := readTree(next.tree(true), "")
	if err := AsError(problems); err != nil {
		return Command{}, err
	}
	return Diff(d, next, label), nil
}

// Clone returns a deep copy: nothing done to it shows in d.
func (d Document) Clone() Document {
	c, _ := readTree(d.tree(true), "")
	return c
}

// apply makes one change to a full tree.
func (ch Change) apply(root *node) error {
	if len(ch.Path) == 0 {
		return fmt.Errorf("a change needs a path")
	}
	parent, err := root.walk(ch.Path[:len(ch.Path)-1])
	if err != nil {
		return err
	}
	before, err := optional(ch.Before)
	if err != nil {
		return err
	}
	after, err := optional(ch.After)
	if err != nil {
		return err
	}
	last := ch.Path[len(ch.Path)-1]
	if parent.kind == listNode {
		return parent.changeItem(last, before, after)
	}
	return parent.changeKey(last, ch.Index, before, after)
}

// optional reads the JSON of one side of a change; nothing is nil.
func optional(data json.RawMessage) (*node, error) {
	if len(data) == 0 || string(data) == "null" {
		return nil, nil
	}
	return parseJSON(data)
}

// walk follows a path down a tree.
func (n *node) walk(path []string) (*node, error) {
	for _, step := range path {
		next := n.get(step)
		if n.kind == listNode {
			if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(n.items) {
				next = n.items[i]
			}
		}
		if next == nil {
			return nil, fmt.Errorf("nothing is at %q: %w", step, ErrStale)
		}
		n = next
	}
	return n, nil
}

func (n *node) changeItem(step string, before, after *node) error {
	i, err := strconv.Atoi(step)
	limit := len(n.items)
	if before == nil {
		limit++
	}
	if err != nil || i < 0 || i >= limit {
		return fmt.Errorf("there is no item %q: %w", step, ErrStale)
	}
	if before != nil && !n.items[i].equal(before) {
		return ErrStale
	}
	switch {
	case before == nil && after == nil:
		return fmt.Errorf("a change needs something before or after it")
	case before == nil:
		n.items = slices.Insert(n.items, i, after)
	case after == nil:
		n.items = slices.Delete(n.items, i, i+1)
	default:
		n.items[i] = after
	}
	return nil
}

func (n *node) changeKey(key string, index int, before, after *node) error {
	if n.kind != mapNode {
		return fmt.Errorf("nothing can be at %q: %w", key, ErrStale)
	}
	i := slices.IndexFunc(n.pairs, func(p pair) bool { return p.key == key })
	if (before == nil) != (i < 0) || (before != nil && !n.pairs[i].value.equal(before)) {
		return ErrStale
	}
	switch {
	case before == nil && after == nil:
		return fmt.Errorf("a change needs something before or after it")
	case before == nil:
		index = min(max(index, 0), len(n.pairs))
		n.pairs = slices.Insert(n.pairs, index, pair{key: key, value: after})
	case after == nil:
		n.pairs = slices.Delete(n.pairs, i, i+1)
	default:
		n.pairs[i].value = after
	}
	return nil
}
