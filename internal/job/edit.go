package job

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"foilside/internal/circuit"
)

// EditOp says what an Edit does at its path.
type EditOp string

// The operations of an Edit.
const (
	SetOp    EditOp = "set"    // puts the value there, in place of what stood there
	AddOp    EditOp = "add"    // puts the value at the end of the list there, or before the item at the path
	RemoveOp EditOp = "remove" // takes away what stands there
)

// Edit is a wish from outside (the bench's page, the command line): a place and
// what shall stand there. Plan turns wishes into a command.
type Edit struct {
	Op    EditOp          `json:"op" enum:"set,add,remove"`
	Path  []string        `json:"path"`
	Value json.RawMessage `json:"value,omitempty"`
}

// Plan turns edits, made one after the other, into the command that they
// amount to.
//
// Errors: an edit whose place is not there, *InvalidError where the result
// would not be a job.
func Plan(d Document, label string, edits ...Edit) (Command, error) {
	root := d.tree(true)
	for _, e := range edits {
		if err := e.apply(root); err != nil {
			return Command{}, fmt.Errorf("%s %s: %w", e.Op, strings.Join(e.Path, "."), err)
		}
	}
	next, problems := readTree(root, "")
	if err := AsError(problems); err != nil {
		return Command{}, err
	}
	return Diff(d, next, label), nil
}

func (e Edit) apply(root *node) error {
	if len(e.Path) == 0 {
		return errors.New("an edit needs a path")
	}
	value, err := optional(e.Value)
	if err != nil {
		return err
	}
	if (value == nil) != (e.Op == RemoveOp) {
		return errors.New("set and add need a value, remove has none")
	}
	parent, err := root.walk(e.Path[:len(e.Path)-1])
	if err != nil {
		return err
	}
	last := e.Path[len(e.Path)-1]
	switch e.Op {
	case SetOp:
		return parent.set(last, value)
	case AddOp:
		return parent.addAt(last, value)
	case RemoveOp:
		return parent.remove(last)
	}
	return fmt.Errorf("there is no operation %q; expected set, add or remove", e.Op)
}

func (n *node) set(step string, value *node) error {
	if n.kind == listNode {
		i, err := n.index(step, len(n.items))
		if err == nil {
			n.items[i] = value
		}
		return err
	}
	for i := range n.pairs {
		if n.pairs[i].key == step {
			n.pairs[i].value = value
			return nil
		}
	}
	return n.changeKey(step, len(n.pairs), nil, value)
}

// addAt adds to the list under a key, or into this list before an item.
func (n *node) addAt(step string, value *node) error {
	if n.kind == listNode {
		i, err := n.index(step, len(n.items)+1)
		if err == nil {
			n.items = slices.Insert(n.items, i, value)
		}
		return err
	}
	to := n.get(step)
	if to == nil || to.kind != listNode {
		return fmt.Errorf("there is no list %q to add to", step)
	}
	to.items = append(to.items, value)
	return nil
}

func (n *node) remove(step string) error {
	if n.kind == listNode {
		i, err := n.index(step, len(n.items))
		if err == nil {
			n.items = slices.Delete(n.items, i, i+1)
		}
		return err
	}
	i := slices.IndexFunc(n.pairs, func(p pair) bool { return p.key == step })
	if i < 0 {
		return fmt.Errorf("nothing is at %q", step)
	}
	n.pairs = slices.Delete(n.pairs, i, i+1)
	return nil
}

func (n *node) index(step string, limit int) (int, error) {
	i, err := strconv.Atoi(step)
	if err != nil || i < 0 || i >= limit {
		return 0, fmt.Errorf("there is no item %q; the list has %d", step, len(n.items))
	}
	return i, nil
}

// RemovePart takes a part out, and with it its settings in states, the
// symptoms seen at it and its place on the drawing.
func (d *Document) RemovePart(ref circuit.PartRef) {
	d.Parts = slices.DeleteFunc(d.Parts, func(p Part) bool { return p.Ref == ref })
	for i := range d.States {
		d.States[i].Settings = slices.DeleteFunc(d.States[i].Settings, func(s Setting) bool { return s.Part == ref })
	}
	d.Symptoms = slices.DeleteFunc(d.Symptoms, func(s Symptom) bool { return s.Part == ref })
	d.dropStanding(ref)
}

// RenamePart gives a part another reference wherever it is named. Work done
// keeps the old name: it says what was so.
func (d *Document) RenamePart(from, to circuit.PartRef) error {
	if _, ok := d.Part(to); ok && from != to {
		return fmt.Errorf("there is a part %s already", to)
	}
	for i := range d.Parts {
		if d.Parts[i].Ref == from {
			d.Parts[i].Ref = to
		}
	}
	for i := range d.Layout {
		if d.Layout[i].Part == from {
			d.Layout[i].Part = to
		}
	}
	for i := range d.States {
		for j := range d.States[i].Settings {
			if d.States[i].Settings[j].Part == from {
				d.States[i].Settings[j].Part = to
			}
		}
	}
	for i := range d.Symptoms {
		if d.Symptoms[i].Part == from {
			d.Symptoms[i].Part = to
		}
	}
	lead := func(n circuit.NetID) circuit.NetID {
		if rest, ok := strings.CutPrefix(string(n), string(from)+"."); ok {
			return circuit.NetID(string(to) + "." + rest)
		}
		return n
	}
	d.eachProbe(func(p *Place) { p.Net = lead(p.Net) })
	return nil
}

// RenameNet gives a net another name wherever it is named. Where the new name
// is that of another net, the two become one.
func (d *Document) RenameNet(from, to circuit.NetID) {
	rename := func(p *Place) {
		if p.Net == from {
			p.Net = to
		}
	}
	for i := range d.Parts {
		for j := range d.Parts[i].Leads {
			rename(&d.Parts[i].Leads[j].Place)
		}
		for j := range d.Parts[i].Windings {
			rename(&d.Parts[i].Windings[j].Leads[0])
			rename(&d.Parts[i].Windings[j].Leads[1])
		}
	}
	for i := range d.Wires {
		rename(&d.Wires[i].From)
		rename(&d.Wires[i].To)
	}
	d.eachProbe(rename)
	for i := range d.Nets {
		if d.Nets[i].Name == from {
			d.Nets[i].Name = to
		}
	}
	if d.Common == from {
		d.Common = to
	}
}

// eachProbe visits the places where readings held the meter's leads.
func (d *Document) eachProbe(visit func(*Place)) {
	for i := range d.Readings {
		visit(&d.Readings[i].Red)
		if d.Readings[i].Black != nil {
			visit(d.Readings[i].Black)
		}
	}
}

// AdoptPhotos gives the photos of a document that came as text the bytes of
// the photos in old with the same file names.
func (d *Document) AdoptPhotos(old Document) {
	for _, p := range d.Photos.All() {
		for _, q := range old.Photos.All() {
			if p.SHA256 == "" && p.File == q.File {
				p.SHA256 = q.SHA256
			}
		}
	}
}

// PlaceOf returns the place of a lead, for a change to be made to it, or nil
// where there is no such lead.
func (d *Document) PlaceOf(ref circuit.PartRef, lead circuit.LeadName) *Place {
	for i := range d.Parts {
		p := &d.Parts[i]
		if p.Ref != ref {
			continue
		}
		for j := range p.Leads {
			if p.Leads[j].Name == lead {
				return &p.Leads[j].Place
			}
		}
		for j := range p.Windings {
			w := circuit.Winding{Name: p.Windings[j].Name}
			switch lead {
			case w.First():
				return &p.Windings[j].Leads[0]
			case w.Second():
				return &p.Windings[j].Leads[1]
			}
		}
	}
	return nil
}
