// Package pixelnet says what each pixel of a foil photo shows, by a small
// convolutional network trained on rendered boards (docs/pixelmodel.md).
//
// In:  the pixels of a working copy of the photo.
//
// Out: for each pixel the log odds that there is metal (copper or solder, also
// where a wire hides it) and the probability of each Class; and how likely a
// joint has its centre in each cell of 4×4 pixels, with its place in the cell.
//
// Invariants: the same picture gives the same bits on every machine and with
// any number of processors: sums run in a fixed order in 32-bit floats, and
// every product is rounded by itself, so that no compiler fuses it with a sum.
package pixelnet
