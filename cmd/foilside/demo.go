package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
)

func demoVerb(c *call) *cobra.Command {
	var f benchFlags
	var list, photosOnly, write bool
	var to string
	cmd := &cobra.Command{
		Use:   "demo [NAME]",
		Short: "write a demonstration job and open it on the bench",
		Long: `Writes a demonstration job: a made-up unit with a hidden fault, photographed on
both faces. What the owner saw is in the job; the bench can take readings on the
unit for you. With --photos-only the job holds the two photographs and nothing
else, to be worked from the start.`,
		Example: "  foilside demo --list\n  foilside demo intercom\n  foilside demo survey --photos-only -o practice.foilside",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if list {
				return c.listDemos()
			}
			name := "intercom"
			if len(args) > 0 {
				name = args[0]
			}
			path := to
			if path == "" {
				path = freeName("demo-" + name)
			}
			if err := writeDemo(cmd.Context(), name, path, photosOnly); err != nil {
				return err
			}
			c.note("a demonstration job: %s", path)
			if write {
				return nil
			}
			return c.serve(cmd.Context(), f, path)
		},
	}
	f.on(cmd)
	cmd.Flags().BoolVar(&list, "list", false, "list the demonstrations")
	cmd.Flags().BoolVar(&photosOnly, "photos-only", false, "only the two photographs, nothing marked")
	cmd.Flags().BoolVar(&write, "write", false, "only write the job file, do not open the bench")
	cmd.Flags().StringVarP(&to, "output", "o", "", "the job file to make (demo-NAME.foilside)")
	return cmd
}

func writeDemo(ctx context.Context, name, path string, photosOnly bool) error {
	d, photos, err := bench.DemoJob(ctx, name, photosOnly)
	if err != nil {
		return err
	}
	b, err := bench.Create(ctx, path, d, photos, bench.Options{})
	if err != nil {
		return err
	}
	return b.Close()
}

func (c *call) listDemos() error {
	titles, err := bench.DemoTitles()
	if err != nil {
		return err
	}
	return c.answer(titles, func() {
		for _, t := range titles {
			c.line("%-10s %s: %s", t.Name, t.Title, t.Story)
		}
	})
}
