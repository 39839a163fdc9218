// Package job holds the document: everything that a person said or supplied
// about one unit on the bench, as plain data, with the commands that change it.
//
// In:  the text of a job (YAML 1.2 or JSON, CONTRACT §2) through ReadText and
// ReadJSON, or commands from the bench.
// Out: a Document, the problems of a text with line and column, the text again
// through WriteText, and a circuit through Circuit.
//
// A change is a Command: a list of places in the document with what stood there
// before and what stands there after. The inverse of a command is the same list
// backwards, so undo, redo, the work log and crash safety come from one list.
//
// Invariants: a Document from ReadText, ReadJSON or Apply has known kinds, all
// leads of each kind, amounts in the units of circuit's table, and names no
// part, state or meter that is not there. The person's spelling of values and
// the order of parts are kept. Results (alignment, nets, readings) never stand
// in a Document.
//
// The package opens no file and asks no clock; jobfile and bench do.
package job
