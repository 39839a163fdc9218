package knownboard

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"foilside/internal/photo"
	"foilside/internal/specimen"
)

// Numbers of joints of the boards of a study.
const (
	fewestJoints = 20
	mostJoints   = 120
)

// StudyBoard is board number i of the study whose seeds start at a number:
// 20 to 120 joints, by turns one of specimen.Generate with difficulty 0 to 0.6
// and one of specimen.Varied, which has no end of nastiness. With the
// environment's FOILSIDE_STUDY_KEEP, a folder, it is rendered once and kept
// there.
func StudyBoard(ctx context.Context, seeds uint64, i int) (Board, error) {
	file := ""
	if dir := os.Getenv("FOILSIDE_STUDY_KEEP"); dir != "" {
		file = filepath.Join(dir, fmt.Sprintf("%d-%d.gob", seeds, i))
		if b, err := readKept(ctx, file); err == nil {
			return b, nil
		}
	}
	b, jpeg, err := render(ctx, seeds+uint64(i), i)
	if err != nil {
		return Board{}, fmt.Errorf("study board %d of seeds %d: %w", i, seeds, err)
	}
	if file != "" {
		err = keep(file, b, jpeg)
	}
	return b, err
}

// steps through joints and difficulties so that any slice of the study holds
// easy and nasty, small and large boards.
func render(ctx context.Context, seed uint64, i int) (Board, []byte, error) {
	if i%2 == 1 {
		return renderVaried(ctx, seed)
	}
	joints := fewestJoints + i/2*37%(mostJoints-fewestJoints+1)
	difficulty := 0.6 * float64(i/2*61%100) / 100
	plan, err := specimen.Generate(ctx, joints, difficulty, seed)
	if err != nil {
		return Board{}, nil, err
	}
	face, err := specimen.RenderFace(ctx, plan, true, specimen.RandomShot(Width, seed, difficulty).Foil, Width, 0, seed)
	if err != nil {
		return Board{}, nil, err
	}
	b, err := Of(ctx, plan, face)
	b.What = "ordinary " + grade(difficulty) + traits(plan)
	return b, face.JPEG, err
}

// grade names a difficulty.
func grade(d float64) string {
	switch {
	case d < 0.2:
		return "easy"
	case d < 0.4:
		return "middling"
	}
	return "nasty"
}

// traits names what makes a board harder to read.
func traits(b specimen.Board) string {
	s := ""
	if len(b.Jumpers) > 0 {
		s += ", wires"
	}
	if b.FoilLegend {
		s += ", print"
	}
	return s
}

// renderVaried takes the first board from the seed on that can be laid out and
// has joints enough.
func renderVaried(ctx context.Context, seed uint64) (Board, []byte, error) {
	for ; ; seed += 1000 {
		plan, _, err := specimen.Varied(ctx, seed)
		if ctx.Err() != nil {
			return Board{}, nil, ctx.Err()
		}
		if err != nil || len(plan.Pads) < fewestJoints || len(plan.Pads) > mostJoints {
			continue // a layout that doesn't fit is no board
		}
		face, err := specimen.RenderVaried(ctx, seed, Width)
		if err != nil {
			return Board{}, nil, err
		}
		b, err := Of(ctx, plan, face)
		if len(b.Sure()) < fewestJoints && err == nil {
			continue
		}
		b.What = variedTraits(plan)
		return b, face.JPEG, err
	}
}

// variedTraits names a board of specimen.Varied and what it has on it.
func variedTraits(b specimen.Board) string {
	s := "varied"
	if b.Mask != specimen.NoMask {
		s += ", mask"
	}
	l := b.Look
	if len(l.Wires)+len(b.Jumpers) > 0 {
		s += ", wires"
	}
	if len(l.Prints) > 0 {
		s += ", print"
	}
	if len(l.Covers)+len(l.Fingers)+len(l.Fronts) > 0 {
		s += ", covered"
	}
	return s
}

// kept is a rendered board as a file.
type kept struct {
	What   string
	JPEG   []byte
	Copper []byte // PNG
	Joints []Joint
}

func keep(file string, b Board, jpeg []byte) error {
	var copper, all bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	err := errors.Join(enc.Encode(&copper, b.Copper), gob.NewEncoder(&all).Encode(kept{b.What, jpeg, copper.Bytes(), b.Joints}))
	if err != nil {
		return err
	}
	return os.WriteFile(file, all.Bytes(), 0o644)
}

func readKept(ctx context.Context, file string) (Board, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return Board{}, err
	}
	var k kept
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&k); err != nil {
		return Board{}, err
	}
	p, err := photo.Decode(ctx, k.JPEG, file)
	if err != nil {
		return Board{}, err
	}
	m, err := png.Decode(bytes.NewReader(k.Copper))
	if err != nil {
		return Board{}, err
	}
	copper, ok := m.(*image.Gray16)
	if !ok {
		return Board{}, fmt.Errorf("%s: its copper is a %T", file, m)
	}
	return Board{What: k.What, Pixels: p.Pixels, Joints: k.Joints, Copper: copper}, nil
}
