// Package meter says what a meter shows when it is put to a circuit: not the
// voltage that was there before, but the one with the meter's own resistance,
// test source and polarity in the circuit.
//
// In:  a sim.Model, the meter, the two places its leads touch, the state.
// Out: a Reading for one unit, an Expected with its 95 % band over the
// tolerances of good units, or a table of them.
//
// Invariants: ohms, continuity and junction readings take every supply as
// off. An over-range reading has no number. Nothing here says that a circuit
// is safe to touch: hazards are only ever added.
//
// The defaults are those of docs/numerics.md, section "Meters".
package meter
