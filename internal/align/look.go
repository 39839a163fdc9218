package align

import (
	"context"

	"foilside/internal/photo"
)

// seen is what one photo shows of its board, before anything is known of the
// other.
type seen struct {
	face  face
	board outline
	snug  bool // the outline lies on clear edges, to a pixel or so
	edges [4][]edge
	blobs []blob
	marks []mark // holes on the component side; holes, joints and bores on the foil side
}

// lookFor finds a photo's board and its edges.
func lookFor(ctx context.Context, p *photo.Photo) (*seen, error) {
	board, err := findOutline(ctx, p.Pixels)
	if err != nil {
		return nil, err
	}
	s := &seen{face: newFace(p.Pixels, board), board: board}
	s.settle()
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
	if foil {
		s.marks, err = foilMarks(ctx, &s.face, s.board, s.blobs)
	} else {
		s.marks, err = componentMarks(ctx, &s.face, s.board, s.blobs)
	}
	return err
}

// newSharpener brings both photos together.
func newSharpener(on, under *seen, hints []Pair, sizes Sizes, opts Options) *sharpener {
	return &sharpener{component: &on.face, foil: &under.face, holes: on.marks, marks: under.marks, hints: hints,
		edgesOn: on.edges, edgesUnder: under.edges, longer: under.board.longer(), sizes: sizes, noLens: opts.NoLens,
		snug: on.snug && under.snug}
}
