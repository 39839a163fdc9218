// Command trainingset writes foil photographs with their truth, for training
// what reads them. For each seed: NNNNN.jpg; NNNNN.json, the joints in sight,
// in pixels; and last NNNNN.png, an 8-bit grey picture of specimen.Class, plus
// 8 where there is metal, also under a wire. Every third board is one of
// specimen.Generate, the others of specimen.Varied.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"sync"

	"foilside/internal/specimen"
)

func main() {
	from := flag.Uint64("from", 0, "first seed")
	to := flag.Uint64("to", 9, "last seed")
	width := flag.Int("width", 2000, "width of the photographs, pixels")
	out := flag.String("out", ".", "folder to write to")
	side := flag.String("side", "foil", "foil; component: the component side of boards with copper on both; mixed: that for every eighth")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	take, ok := map[string]photographer{"foil": photograph, "component": photographUpper, "mixed": photographMixed}[*side]
	if !ok {
		fmt.Fprintf(os.Stderr, "trainingset: -side %q: give foil, component or mixed\n", *side)
		os.Exit(2)
	}
	if err := run(ctx, take, *from, *to, *width, *out); err != nil {
		fmt.Fprintln(os.Stderr, "trainingset:", err)
		os.Exit(1)
	}
}

// photographer takes the board of a seed.
type photographer func(ctx context.Context, seed uint64, width int) (specimen.Board, specimen.Face, error)

// run renders all seeds on all cores and gathers what went wrong.
func run(ctx context.Context, take photographer, from, to uint64, width int, out string) error {
	if to < from {
		return fmt.Errorf("-to %d lies before -from %d", to, from)
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	seeds := make(chan uint64)
	var (
		wg   sync.WaitGroup
		mu   sync.Mutex
		errs []error
	)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for s := range seeds {
				if err := write(ctx, take, s, width, out); err != nil {
					mu.Lock()
					errs = append(errs, fmt.Errorf("seed %d: %w", s, err))
					mu.Unlock()
				}
			}
		})
	}
	for s := from; s <= to && ctx.Err() == nil; s++ {
		seeds <- s
	}
	close(seeds)
	wg.Wait()
	return errors.Join(append(errs, ctx.Err())...)
}

func write(ctx context.Context, take photographer, seed uint64, width int, out string) error {
	b, face, err := take(ctx, seed, width)
	if err != nil {
		return err
	}
	name := filepath.Join(out, fmt.Sprintf("%05d", seed))
	if err := os.WriteFile(name+".jpg", face.JPEG, 0o644); err != nil {
		return err
	}
	joints, err := json.Marshal(inSight(b, face))
	if err != nil {
		return err
	}
	if err := os.WriteFile(name+".json", joints, 0o644); err != nil {
		return err
	}
	return writeLabels(name, labels(face))
}

// writeLabels lets the file appear under its name when it is whole, so that who
// sees it can read all three.
func writeLabels(name string, l *image.Gray) error {
	f, err := os.Create(name + ".part")
	if err != nil {
		return err
	}
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := errors.Join(enc.Encode(f, l), f.Close()); err != nil {
		return err
	}
	return os.Rename(name+".part", name+".png")
}

// ordinary is how many boards go on one of specimen.Generate.
const ordinary = 3

func photograph(ctx context.Context, seed uint64, width int) (specimen.Board, specimen.Face, error) {
	if seed%ordinary != 0 {
		b, _, err := specimen.Varied(ctx, seed)
		if err != nil {
			return b, specimen.Face{}, err
		}
		f, err := specimen.RenderVaried(ctx, seed, width)
		return b, f, err
	}
	difficulty := float64(seed/ordinary%100) / 100
	b, err := specimen.Generate(ctx, 15+int(seed*7%100), difficulty, seed)
	if err != nil {
		return b, specimen.Face{}, err
	}
	f, err := specimen.RenderFace(ctx, b, true, specimen.RandomShot(width, seed, difficulty).Foil, width, 0, seed)
	return b, f, err
}

// photographMixed takes every eighth board from the component side.
func photographMixed(ctx context.Context, seed uint64, width int) (specimen.Board, specimen.Face, error) {
	if seed%8 == 0 {
		return photographUpper(ctx, seed, width)
	}
	return photograph(ctx, seed, width)
}

// photographUpper takes the component side of a board with copper on both.
func photographUpper(ctx context.Context, seed uint64, width int) (specimen.Board, specimen.Face, error) {
	b, _, err := specimen.VariedBoth(ctx, seed)
	if err != nil {
		return b, specimen.Face{}, err
	}
	f, err := specimen.RenderVariedUpper(ctx, seed, width)
	return b, f, err
}

// labels is the class of each pixel, plus metal where there is any that shows
// or lies under a wire.
func labels(f specimen.Face) *image.Gray {
	l := image.NewGray(f.Class.Rect)
	copy(l.Pix, f.Class.Pix)
	for i, c := range l.Pix {
		if c != uint8(specimen.Background) && f.Copper.Pix[2*i]|f.Copper.Pix[2*i+1] != 0 {
			l.Pix[i] |= metal
		}
	}
	return l
}

const metal = 8

type place struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// inSight lists the joints that the photograph shows.
func inSight(b specimen.Board, f specimen.Face) []place {
	out := []place{}
	for _, p := range b.Pads {
		q := f.View.ToPixel(p.At)
		x, y := int(math.Round(q.X)), int(math.Round(q.Y))
		if !(image.Point{X: x, Y: y}).In(f.Class.Rect) {
			continue
		}
		if c := specimen.Class(f.Class.GrayAt(x, y).Y); c != specimen.Background && c != specimen.WireClass {
			out = append(out, place{q.X, q.Y})
		}
	}
	return out
}
