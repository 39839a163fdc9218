// Package sparse solves sparse square systems A·x = b by LU factors whose
// order is found once and kept.
//
// The road is Builder → Pattern → Analyze → Factor → Refactor … → Solve. The
// pattern never changes over a run; Refactor keeps order and pivots and only
// renews the numbers, and says when the kept pivots no longer serve.
//
// In:  a pattern by columns, numbers in the order of the pattern.
// Out: solutions, and for a singular matrix the column that has no pivot, so
// that the caller can say it in its own words.
//
// Invariants: entries of the pattern stay in the factors even when their
// number is zero, so that one analysis serves every set of numbers. An LU is
// not safe for concurrent use; a Symbolic and the Pivots are, and many LUs may
// stand on the same.
package sparse
