// Package sim computes the operating point of a circuit: the voltage of every
// net and the current into every lead with all supplies steady; and what its
// voltages do over time from the moment the supplies come on.
//
// In:  a circuit.Circuit, the state it is set to, faults and tolerance draws.
// Out: a Solution, or Waveforms, or an error that says in the circuit's words
// why there is none.
//
// The road is Compile → Model → Instance → Solve. A Model is one circuit with
// all its parameters resolved and never changes; it may be shared by any
// number of goroutines. An Instance is the equations of one state and one
// Variant (a set of faults); it solves any number of tolerance draws on one
// matrix pattern and is used by one goroutine at a time. Model.OperatingPoint
// is the short way for a single answer.
//
// Model.Transient is the road over time. It has an Instance of its own whose
// parts may store charge and flux (storing, moving.go); a stepper (step.go)
// takes single steps, a run (run.go) chooses them and finds jumps, a trace
// keeps the points. A beat (beat.go) finds its cycles, a leaper (leap.go) goes
// over those that hardly differ; Model.Settle ends where the circuit settles,
// and Model.SmallSignal takes the same equations at a frequency.
//
// Invariants: neither a Solution nor Waveforms hold NaN or an infinity;
// iterations are bounded; the same input gives bit for bit the same answer,
// whatever was solved before. A part that has no model is refused by name,
// never guessed.
//
// Equations, device models, limits and sources: docs/numerics.md.
package sim
