// Package copper reads the copper of one foil photo: which places are metal,
// and which of them one conductor.
//
// In:  the upright pixels of the foil photo and the Evidence on it: colour
// samples, brush strokes, cuts, joins, measured continuity. Without samples the looks of
// copper and bare board are guessed from the photo.
//
// Out: a Copper record: nets, joints, and the places where the answer is
// doubtful, the one most worth checking first.
//
// How: See takes in what the photo alone decides, the pixel network's word
// included. Look gives every pixel of a working copy its probability of being
// copper and reduces the plane to a graph of basins and the passes between
// them. Nets grows the component tree over that graph: two places are joined
// with the probability of the weakest place on the best path between them.
// Cutting the tree at even odds gives the nets. Corrections enter the same
// tree: a stroke sets pixels, a cut lowers them, a join is a pass of full height, two places
// measured as separate are parted at the weakest place between them.
//
// Invariants: every function is pure; a Plate doesn't change once made; equal
// input gives equal output whatever the number of processors; probabilities
// lie in 0..1. All points that go in or out are photo pixels; everything
// inside works on pixels of the working copy.
package copper
