// Package diagnosis finds which part of a unit has failed, and which reading
// to take next.
//
// In:  a circuit, the readings and symptoms so far, and what package charge
// says of stored charge. Out: an Answer (suspects with probabilities, groups
// that no reading tells apart, readings that don't fit) and a Plan (readings
// worth taking, each with what its outcomes would mean, its price in seconds
// and its hazard).
//
// Every single fault is put into the simulated circuit at several severities;
// every reading is simulated for each over units drawn within their
// tolerances, the same draws for all. A Predictor keeps what was simulated,
// so that a further reading answers quickly.
//
// Invariants: probabilities of the suspects, of a healthy unit and of a fault
// outside the list sum to 1 (what is below a thousandth is not listed). The
// same circuit, evidence and seed give the same answer whatever the number of
// workers and whatever was asked before. No computed voltage is ever given as
// a proof of safety; a proposed reading without power asks for the unit to be
// made safe unless the stores were judged harmless.
package diagnosis
