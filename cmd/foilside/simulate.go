package main

import (
	"bufio"
	"context"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/sim"
)

func simulateVerb(c *call) *cobra.Command {
	var q bench.SimulateQuery
	cmd := c.onJob("simulate JOB", "waveforms of the circuit over time",
		`Follows the circuit over time and writes the voltage of every net watched, to the
job's common, as CSV: seconds, then volts.

The unit begins discharged at the moment its supplies come on; with --from settled
it begins at its operating point. A computed voltage is no proof that a place is
safe to touch: measure.`,
		"  foilside simulate amplifier.foilside --for 20ms --watch out,base --state talking",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			w, err := b.Simulate(ctx, q)
			if err != nil {
				return err
			}
			for _, warning := range w.Warnings {
				c.note("caution: %s", warning.Text)
			}
			if len(w.Gaps) > 0 {
				c.note("cycles were gone over in %d stretches, which are straight lines here; they may have gone higher", len(w.Gaps))
			}
			if c.json {
				return c.answer(w, nil)
			}
			return c.writeWaveforms(w, columns(q.Watch, w))
		})
	f := cmd.Flags()
	f.StringVar(&q.For, "for", "", "how long, with its unit: 20ms")
	f.StringSliceVar(&q.Watch, "watch", nil, "nets to write, with commas between (all)")
	f.StringVar(&q.State, "state", "", "state of the unit (every part at its default)")
	f.StringVar(&q.From, "from", "", "settled: begin at the operating point (discharged)")
	f.Float64Var(&q.Tolerance, "tolerance", 0, "error allowed, of a net's largest voltage (1e-4)")
	f.BoolVar(&q.Leaps, "leaps", false, "go over cycles that hardly differ, as of a converter that charges its store")
	return cmd
}

// columns are the nets in the order they were asked for, else in natural
// order.
func columns(watch []string, w *sim.Waveforms) []circuit.NetID {
	var out []circuit.NetID
	seen := map[circuit.NetID]bool{}
	for _, word := range watch {
		if n := circuit.NetID(strings.TrimSpace(word)); !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	if len(out) == 0 {
		out = w.Order()
	}
	return out
}

// writeWaveforms writes a row for every point: time, then the nets.
func (c *call) writeWaveforms(w *sim.Waveforms, nets []circuit.NetID) error {
	buffer := bufio.NewWriter(c.out)
	rows := csv.NewWriter(buffer)
	row := []string{"time"}
	for _, n := range nets {
		row = append(row, string(n))
	}
	fail := func(err error) error { return fmt.Errorf("write the waveforms: %w", err) }
	if err := rows.Write(row); err != nil {
		return fail(err)
	}
	for k, t := range w.Time {
		row = append(row[:0], strconv.FormatFloat(t, 'g', -1, 64))
		for _, n := range nets {
			row = append(row, strconv.FormatFloat(w.Nets[n][k], 'g', -1, 64))
		}
		if err := rows.Write(row); err != nil {
			return fail(err)
		}
	}
	rows.Flush()
	if err := rows.Error(); err != nil {
		return fail(err)
	}
	if err := buffer.Flush(); err != nil {
		return fail(err)
	}
	return nil
}
