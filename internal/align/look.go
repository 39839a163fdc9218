package align

import (
	"context"

	"foilside/internal/photo"
)

// Sight is what both photos show of a board before they are laid over each
// other. It takes most of the time, and stays the same whatever a person marks.
type Sight struct {
	on, under *seen
	sizes     Sizes
}

// Look finds board, edges, holes and joints in both photos.
//
// Errors: ctx.Err().
func Look(ctx context.Context, component, foil *photo.Photo, opts Options) (*Sight, error) {
	opts.report(0, "looking for the board")
	on, under, err := both(func(isFoil bool) (*seen, error) { return lookFor(ctx, either(isFoil, component, foil)) })
	if err != nil {
		return nil, err
	}
	opts.report(0.2, "looking for holes and joints")
	_, _, err = both(func(isFoil bool) (bool, error) { return true, either(isFoil, on, under).lookAt(ctx, isFoil) })
	return &Sight{on: on, under: under, sizes: Sizes{sizeOf(component), sizeOf(foil)}}, err
}

// Find lays the photos over each other: with fewer than four pairs by itself,
// the pairs as marks (Automatic); with four or more from the pairs
// (FromPairs), made more exact by the holes, joints and edges that both photos
// show where those agree with the pairs.
func (t *Sight) Find(ctx context.Context, pairs []Pair, opts Options) (Alignment, error) {
	if len(pairs) < MinPairs {
		return t.automatic(ctx, pairs, opts)
	}
	a, err := FromPairs(ctx, pairs, t.sizes, opts)
	if err != nil {
		return a, err
	}
	opts.report(0.6, "looking for the same holes and joints in both photos")
	return t.join(ctx, a, pairs, opts)
}

// seen is what one photo shows of its board, before anything is known of the
// other.
type seen struct {
	face   face
	board  outline
	snug   bool // the outline lies on clear edges, to a pixel or so
	edges  [4][]edge
	blobs  []blob
	marks  []mark // holes on the component side; holes, joints and bores on the foil side
	solder []ring // places of the foil side that look like solder
}

// lookFor finds a photo's board and its edges.
func lookFor(ctx context.Context, p *photo.Photo) (*seen, error) {
	board, err := findOutline(ctx, p.Pixels)
	if err != nil {
		return nil, err
	}
	s := &seen{face: newFace(p.Pixels, board), board: board}
	if s.settle(); s.snug {
		return s, ctx.Err()
	}
	quad, ok, err := linedQuad(ctx, p.Pixels)
	if err != nil {
		return nil, err
	}
	if ok {
		board := outline{quad: quad, seen: true}
		lined := &seen{face: newFace(p.Pixels, board), board: board}
		if lined.settle(); lined.snug {
			return lined, nil
		}
	}
	return s, ctx.Err()
}

// settle lays the outline on the edges near it, where they are clear.
func (s *seen) settle() {
	s.edges = s.face.findEdges(s.board)
	if s.board, s.snug = s.board.snug(s.edges); s.snug {
		s.face = newFace(s.face.img, s.board)
	}
}

// lookAt finds the spots and the round places of a board.
func (s *seen) lookAt(ctx context.Context, foil bool) error {
	var err error
	if s.blobs, err = findBlobs(ctx, s.face.img, s.board, mostBlobs); err != nil {
		return err
	}
	if !foil {
		s.marks, err = componentMarks(ctx, &s.face, s.board, s.blobs)
		return err
	}
	if s.marks, err = foilMarks(ctx, &s.face, s.board, s.blobs); err != nil {
		return err
	}
	s.solder, err = findSolder(ctx, s.face.img, s.board)
	return err
}

// newSharpener brings both photos together.
func newSharpener(on, under *seen, hints []Pair, sizes Sizes, opts Options) *sharpener {
	return &sharpener{component: &on.face, foil: &under.face, holes: on.marks, marks: under.marks, solder: under.solder, hints: hints,
		edgesOn: on.edges, edgesUnder: under.edges, longer: under.board.longer(), sizes: sizes, noLens: opts.NoLens,
		snug: on.snug && under.snug}
}
