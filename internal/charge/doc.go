// Package charge says what the capacitors of a unit may still hold, how to
// make it safe, how hard each part is worked, and what may replace it.
//
// In:  a circuit, and the faults that the readings have not excluded.
// Out: a Report of stored charge with the steps to remove it; a Replacement
// for one part.
//
// Invariants: voltages and times are upper bounds over every fault that is
// left, any single open part and every state; whatever is not known counts at
// its worst. Nothing here is ever a statement that something is safe to touch:
// every step ends with a reading of the person's own meter. Dangers of the
// class of mains, microwave ovens and picture tubes get no guidance, and are
// told why.
package charge
