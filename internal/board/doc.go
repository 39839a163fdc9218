// Package board puts parts on the copper: where a person placed a lead, there
// is a joint, and the joint is on a net.
//
// In:  the copper of the foil side, the places of the leads in foil pixels with
// their uncertainty, and the names that a person gave to copper.
// Out: the net of every lead (Land), and the list of continuity checks that
// confirms the nets (Buzz); on boards with copper on both faces, which coppers
// are one conductor through the holes (JoinFaces); and the wires that lie over
// the board, as objects of their own (FindWires).
//
// Invariants: a copper net has one name in the result; the same input gives the
// same names. What a person named keeps its name; other nets are called N1, N2
// and so on in reading order. A lead that lands on no copper is reported, never
// put on a net of its own.
package board
