// Package board puts parts on the copper: where a person placed a lead, there
// is a joint, and the joint is on a net.
//
// In:  the copper of the foil side, the places of the leads in foil pixels with
// their uncertainty, and the names that a person gave to copper.
// Out: the net of every lead, with the probability of each joint it may be in
// (Land); from the answers of continuity checks, taken as evidence that may be
// misheard (Weigh), how sure the nets are, what is still in doubt, and the
// fewest checks that confirm them (Plan); on boards with copper on both faces,
// which coppers are one conductor through the holes (JoinFaces); and the wires
// that lie over the board, as objects of their own (FindWires).
//
// Invariants: a copper net has one name in the result; the same input gives the
// same names. What a person named keeps its name; other nets are called N1, N2
// and so on in reading order. A lead that lands on no copper is reported, never
// put on a net of its own.
package board
