// Package specimen makes boards that never existed and photographs them, so
// that whatever reads photographs of boards can be judged against exact truth.
//
// In: a Board (plain data: outline, materials, copper, holes, parts, joints,
// dirt) and a Shot (the two photographs: where the camera stood, its lens, the
// light, its faults). Out: two JPEG photographs and a Truth that says, for any
// place on the board, where both photographs show it, which copper it is on
// (of either face, where a board has copper on both),
// and which circuit the board carries.
//
// A Board comes from text (ReadBoard), from Varied (drawn as widely as old
// boards differ, to train on; RenderVaried photographs its foil side, the
// command trainingset many of them), from Generate (a random plausible
// single-sided board) or GenerateBoth (copper on both faces), from Layout (a given circuit placed and routed), or from
// Demo (the two demonstration units).
//
// Invariants: everything is a pure function of its arguments; equal seeds give
// equal bytes. Board coordinates are millimetres seen from the component side,
// x right, y down, (0, 0) the corner of the board's box. Pixels are photo
// pixels, (0, 0) the centre of the first one. The foil photograph is taken from
// the foil side, so its map from millimetres mirrors.
//
// The package never looks at copper or align: it is their judge.
package specimen
