// Package align lays the component-side photograph of a board over its
// foil-side photograph.
//
// In:  pairs of corresponding pixels and the sizes of both photos (FromPairs),
// or the photos themselves with at most three marks (Automatic). Find takes
// whichever is at hand.
//
// Out: an Alignment. Its Plain map alone is the best projective map from
// component pixel to foil pixel. Its Exact map goes undistorted → matrix →
// distorted with one radial lens term a photo, where the pairs can bear one;
// otherwise both are the same. ToFoil and ToComponent use Exact. The foil
// photo is never mirrored to look like the component photo: a board turned
// over gives maps of negative determinant.
//
// FromPairs: least squares over the pairs that belong together, a bad one named
// and left out (robust.go); a weak prior where the pairs leave the map open
// (prior.go); lens terms as far as the pairs give evidence of them
// (lensfit.go).
//
// Automatic: the board's outline against its background (outline.go, and by
// long straight lines in lines.go), laid on the board's own edges between
// pixels (edges.go); small round spots, which holes, pads and joints are
// (blobs.go), and their rims (rings.go, circle.go, marks.go); every turn of the
// board, also the impossible ones, judged by spots (search.go, refine.go), by
// holes against joints (sharpen.go) and by how the component side looks where
// solder comes to lie (solder.go, busy.go); a decision that refuses unless one map
// stands out (decide.go), with what is wrong with a photo (explain.go).
//
// Refinement (sharpen.go, refined.go): every hole, lead, joint and bore whose
// rim is seen in both photos, its centre on the board found in a levelled photo
// (level.go), the board's sides as lines (rims.go), the person's pairs, all in
// one estimate of map, lenses and what shifts marks of one sort alike (slips.go)
// with a Gaussian-plus-uniform likelihood; its
// covariance says how exact the map is anywhere (Covariance, ErrorMap), and so
// which joint a lead belongs to (JointsOf). Pairs from four upwards are joined
// with it where both agree (join.go).
//
// Look finds what each photo shows by itself, which takes most of the time and
// stays when pairs are marked; Find and Automatic do all at once. Further lays
// a close-up or a backlit photo over its face's main photo.
//
// A Frame adds millimetres: board coordinates seen from the component side, x
// right, y down.
//
// Invariants: results hold finite numbers only; a pair that doesn't fit is
// named, never silently averaged in; a map that doesn't mirror carries a
// Problem that says so. Nothing here keeps state, and nothing is random: the
// same pairs give the same map.
package align
