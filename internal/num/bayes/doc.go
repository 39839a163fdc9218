// Package bayes reasons over a finite list of hypotheses: posteriors kept as
// logarithms, entropy and expected information in bits, predictive densities
// from a handful of simulated draws, and groups that no observation separates.
//
// It works on plain float64 and knows no electronics. Slices are indexed by
// hypothesis, then by outcome; no function keeps or changes its arguments
// unless it says so.
package bayes
