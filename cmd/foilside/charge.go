package main

import (
	"context"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/quantity"
)

func chargeVerb(c *call) *cobra.Command {
	return c.onJob("charge JOB", "which capacitors can hold a charge, and how to make the unit safe",
		`Judges every capacitor over the faults that parts can have, any single open part
and every state: its greatest voltage, energy, and the time until it is safe.

Computed, not measured: only a meter on the capacitor shows that it is empty.`,
		"  foilside charge surveymeter.foilside",
		func(ctx context.Context, b *bench.Bench, _ []string) error {
			r, err := b.Charge(ctx)
			if err != nil {
				return err
			}
			return c.answer(r, func() {
				for _, s := range r.Stores {
					mark := "  "
					if s.Hazardous {
						mark = "!!"
					}
					after := "by itself perhaps never"
					if s.SecondsToSafe != nil {
						after = quantity.Format(*s.SecondsToSafe, quantity.Second, 2) + " to safe"
					}
					c.line("%s %-5s up to %-9s %-9s %s; %s", mark, s.Part, quantity.Format(s.Voltage, quantity.Volt, 3), quantity.Format(s.Energy, quantity.Joule, 3), after, s.Because)
				}
				if r.Refused != "" {
					c.line("no guidance: %s", r.Refused)
				}
				for i, s := range r.Steps {
					c.line("%2d. %s", i+1, s.Text)
				}
				for _, text := range r.Cautions {
					c.line("caution: %s", text)
				}
			})
		})
}
