// Package circuit holds a circuit as plain data: parts of a known kind, their
// parameters, their leads on nets, and the states that the unit can be set to.
//
// What each kind of part is — its leads, its parameters with unit, default and
// source, its reference letters — stands once, in the table behind Lookup.
// Everything else (job text, simulator, drawing, suspects) reads that table.
//
// Invariants of a Circuit that Validate accepts: references are unique, every
// part has all leads of its kind on named nets, every amount has the unit its
// parameter asks for, states name parts that exist.
package circuit
