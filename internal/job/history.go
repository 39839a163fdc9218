package job

import (
	"errors"
	"slices"
	"time"
)

// Step is one command of a job's history and when it was done.
type Step struct {
	Command Command   `json:"command"`
	Time    time.Time `json:"time"` // universal time
}

// History is what was done to a job. Steps from Done on were taken back and
// can be done again.
type History struct {
	Steps []Step `json:"steps"`
	Done  int    `json:"done"`
}

// The reasons why there is no step to take.
var (
	ErrNothingToUndo = errors.New("there is nothing to undo")
	ErrNothingToRedo = errors.New("there is nothing to redo")
)

// CanUndo returns the label of the step that Undo would take back.
func (h History) CanUndo() (label string, ok bool) {
	if h.Done < 1 || h.Done > len(h.Steps) {
		return "", false
	}
	return h.Steps[h.Done-1].Command.Label, true
}

// CanRedo returns the label of the step that Redo would do again.
func (h History) CanRedo() (label string, ok bool) {
	if h.Done < 0 || h.Done >= len(h.Steps) {
		return "", false
	}
	return h.Steps[h.Done].Command.Label, true
}

// Do applies a command and puts it on the history; what was taken back before
// can then no longer be done again. Document and history given stay as they
// are. A command that changes nothing leaves the history alone.
func Do(d Document, h History, c Command, at time.Time) (Document, History, error) {
	next, inverse, err := Apply(d, c)
	if err != nil || inverse.Empty() {
		return d, h, err
	}
	// The inverse is made from the documents, so the step is kept in the same
	// exact form whatever way the command was written.
	steps := append(slices.Clone(h.Steps[:h.Done]), Step{Command: inverse.Inverse(), Time: at.UTC()})
	return next, History{Steps: steps, Done: len(steps)}, nil
}

// Undo takes the last step back.
//
// Errors: ErrNothingToUndo.
func Undo(d Document, h History) (Document, History, error) {
	if _, ok := h.CanUndo(); !ok {
		return d, h, ErrNothingToUndo
	}
	next, _, err := Apply(d, h.Steps[h.Done-1].Command.Inverse())
	if err != nil {
		return d, h, err
	}
	return next, History{Steps: h.Steps, Done: h.Done - 1}, nil
}

// Redo does the step again that was taken back last.
//
// Errors: ErrNothingToRedo.
func Redo(d Document, h History) (Document, History, error) {
	if _, ok := h.CanRedo(); !ok {
		return d, h, ErrNothingToRedo
	}
	next, _, err := Apply(d, h.Steps[h.Done].Command)
	if err != nil {
		return d, h, err
	}
	return next, History{Steps: h.Steps, Done: h.Done + 1}, nil
}
