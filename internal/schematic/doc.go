// Package schematic draws a circuit as a scene: symbols, wires, dots and
// texts as plain data, in drawing units of a quarter millimetre, x right,
// y down. package render turns a scene into SVG, PDF or PNG.
//
// In:  a circuit that Validate accepts, and Options.
// Out: a Drawing. The same circuit and options give the same drawing.
//
// What holds of every drawing:
//   - the circuit read back from its geometry alone (ReadBack) is the circuit
//     that went in;
//   - wires are horizontal and vertical, cross without joining where there is
//     no dot, and never meet four to a dot;
//   - no symbol or text lies on another, and no wire runs through either;
//   - a lead on a supply leads up, a lead on common leads down.
//
// How: rails and the level order of the nets are read from the structure
// (rails.go, level.go), the direction of the signal gives the order from left
// to right (flow.go); parts are placed on a grid by annealing a cost that says
// what a draughtsman dislikes (place*.go); a maze router draws the wires and
// takes them up again where they are in the way (route*.go); a net that can't
// be reached goes on by its name.
package schematic
