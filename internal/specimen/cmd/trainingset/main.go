// Command trainingset writes varied foil photographs with their truth, for
// training what reads them: for each seed NNNNN.jpg and NNNNN.png, the latter
// an 8-bit grey picture whose values are specimen.Class.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"image/png"
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
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *from, *to, *width, *out); err != nil {
		fmt.Fprintln(os.Stderr, "trainingset:", err)
		os.Exit(1)
	}
}

// run renders all seeds on all cores and gathers what went wrong.
func run(ctx context.Context, from, to uint64, width int, out string) error {
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
				if err := write(ctx, s, width, out); err != nil {
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

func write(ctx context.Context, seed uint64, width int, out string) error {
	face, err := specimen.RenderVaried(ctx, seed, width)
	if err != nil {
		return err
	}
	name := filepath.Join(out, fmt.Sprintf("%05d", seed))
	if err := os.WriteFile(name+".jpg", face.JPEG, 0o644); err != nil {
		return err
	}
	f, err := os.Create(name + ".png")
	if err != nil {
		return err
	}
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	return errors.Join(enc.Encode(f, face.Class), f.Close())
}
