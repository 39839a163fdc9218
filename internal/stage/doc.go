// Package stage finds the stages of a circuit: the functional groups that a
// repairer names when reading a drawing (a bridge rectifier with its
// reservoir, a common-emitter stage with its bias parts, a blocking
// oscillator with its transformer).
//
// In:  a circuit. Values may be missing; what needs them is then left unsaid.
// Out: Found: the stages, each with its parts by role, its inputs and outputs,
// two sentences on how it works and its computed figures; which stage feeds
// which, through which net; and the parts that belong to none.
//
// What holds of every answer:
//   - a part belongs to one stage at most, but for stages that lie within
//     another (Within), whose parts are also the other's;
//   - the feeds that are not marked Back form no cycle;
//   - the same circuit gives the same answer, whatever its nets are called and
//     in whatever order its parts stand.
//
// How: by electrical role, not by templates. The view (view.go) reduces the
// circuit first: fuses are wires, resistors and capacitors in series or in
// parallel are one, leads behind a stopper resistor lie where the stopper
// leads. Every net is then a rail, quiet (bypassed) or carries a signal
// (rails.go), every transistor, FET and valve is one device with an output, a
// control and a reference lead (device.go). The recognisers ask for roles: what
// drives the control, what is quiet, which loop feeds back with what sign.
// They run from the most particular to the most general; what is left is
// handed to the stage whose leads it serves (attach.go).
package stage
