// Command foilside is the bench for a dead electronic unit without a drawing:
// from two photographs of its board to the failed part and a service sheet.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}

// streams are the three of the process, so that a test can hold them.
type streams struct {
	in  io.Reader
	out io.Writer
	err io.Writer
}
