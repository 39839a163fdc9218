package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/httpapi"
	"foilside/internal/job"
	"foilside/internal/webui"
)

// benchFlags say how the bench is served.
type benchFlags struct {
	port   int
	noOpen bool
}

func (f *benchFlags) on(cmd *cobra.Command) {
	cmd.Flags().IntVar(&f.port, "port", 0, "port of the loopback address (any that is free)")
	cmd.Flags().BoolVar(&f.noOpen, "no-open", false, "do not open the browser, only print the address")
}

func benchVerb(c *call) *cobra.Command {
	var f benchFlags
	cmd := &cobra.Command{
		Use:   "bench [JOB]",
		Short: "open the bench on a job in the browser",
		Long: `Serves the bench on the loopback address of this machine and opens the browser.
Without a job it begins a new one, new-job.foilside in this folder.
The address holds a key of this start: whoever has it can change the job.`,
		Example: "  foilside bench amplifier.foilside\n  foilside bench amplifier.foilside --port 8080 --no-open",
		Args:    cobra.MaximumNArgs(1),
		RunE:    func(cmd *cobra.Command, args []string) error { return runBench(cmd.Context(), c, f, args) },
	}
	f.on(cmd)
	return cmd
}

func runBench(ctx context.Context, c *call, f benchFlags, args []string) error {
	if len(args) > 0 {
		return c.serve(ctx, f, args[0])
	}
	path := freeName("new-job")
	b, err := bench.Create(ctx, path, job.Document{}, nil, bench.Options{})
	if err != nil {
		return err
	}
	if err := b.Close(); err != nil {
		return bench.NotDone(err)
	}
	c.note("a new job: %s", path)
	return c.serve(ctx, f, path)
}

// freeName is NAME.foilside, or NAME-2.foilside and so on where that is taken.
func freeName(name string) string {
	path := name + ".foilside"
	for n := 2; ; n++ {
		if _, err := os.Stat(path); os.IsNotExist(err) {
			return path
		}
		path = fmt.Sprintf("%s-%d.foilside", name, n)
	}
}

// serving is what --json answers once the bench listens.
type serving struct {
	Address string `json:"address"`
}

// serve opens the job and answers the page until ctx ends.
func (c *call) serve(ctx context.Context, f benchFlags, path string) error {
	relay := &httpapi.Relay{}
	b, err := bench.Open(ctx, path, bench.Options{Progress: relay.Report})
	if err != nil {
		return err
	}
	err = c.listen(ctx, f, httpapi.Over(b, httpapi.LiveOptions{File: filepath.Base(path), Progress: relay}))
	return errors.Join(err, b.Close())
}

func (c *call) listen(ctx context.Context, f benchFlags, b httpapi.Bench) error {
	l, err := httpapi.Listen(f.port)
	if err != nil {
		return bench.NotDone(err)
	}
	page, err := webui.Files()
	if err != nil {
		return bench.NotDone(errors.Join(err, l.Close()))
	}
	token := httpapi.NewToken()
	address := httpapi.Address(l, token)
	if err := c.answer(serving{address}, func() {
		c.line("the bench is open at %s", address)
		c.line("stop it with Ctrl+C; every change is saved at once")
	}); err != nil {
		return errors.Join(err, l.Close())
	}
	if !f.noOpen {
		openBrowser(ctx, address)
	}
	return httpapi.New(b, httpapi.Options{Token: token, Page: page}).Serve(ctx, l)
}

// openBrowser asks the system to open the address. Where it can't, the address
// stands on the screen.
func openBrowser(ctx context.Context, address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	path, err := exec.LookPath(name)
	if err != nil {
		return
	}
	cmd := exec.CommandContext(ctx, path, args...)
	if cmd.Start() == nil {
		go cmd.Wait()
	}
}

func newVerb(c *call) *cobra.Command {
	var component, foil, unit string
	cmd := &cobra.Command{
		Use:     "new JOB",
		Short:   "begin a job from two photographs",
		Example: "  foilside new amplifier.foilside --component top.jpg --foil bottom.jpg --unit 'Intercom amplifier'",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			b, err := bench.Create(cmd.Context(), args[0], job.Document{Unit: unit}, nil, bench.Options{})
			if err != nil {
				return err
			}
			for face, path := range map[job.Face]string{job.ComponentSide: component, job.FoilSide: foil} {
				if err == nil && path != "" {
					err = addPhoto(cmd.Context(), b, face, path)
				}
			}
			if err := errors.Join(err, b.Close()); err != nil {
				return err
			}
			return c.answer(made{args[0]}, func() { c.line("made %s", args[0]) })
		},
	}
	cmd.Flags().StringVar(&component, "component", "", "photograph of the component side")
	cmd.Flags().StringVar(&foil, "foil", "", "photograph of the foil side")
	cmd.Flags().StringVar(&unit, "unit", "", "what the unit is, in your words")
	return cmd
}

func addPhoto(ctx context.Context, b *bench.Bench, face job.Face, path string) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return bench.BadInput(err)
	}
	_, err = b.SetPhoto(ctx, face, filepath.Base(path), data)
	return err
}
