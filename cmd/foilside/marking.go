package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"foilside/internal/bench"
	"foilside/internal/circuit"
	"foilside/internal/marking"
)

// markingAnswer is the likeliest reading with the others behind it.
type markingAnswer struct {
	marking.Reading
	Alternatives []marking.Reading `json:"alternatives,omitempty"`
}

func markingVerb(c *call) *cobra.Command {
	var kind string
	var shelf bool
	cmd := &cobra.Command{
		Use:     "marking TEXT",
		Short:   "decode the marking on a part",
		Long:    "Decodes colour bands, letter and figure codes and type numbers. Every reading that a marking can have is listed, the likeliest first.",
		Example: "  foilside marking yellow violet orange gold\n  foilside marking 104 --kind capacitor\n  foilside marking --shelf",
		RunE: func(_ *cobra.Command, args []string) error {
			if shelf {
				return c.shelf()
			}
			return c.decode(strings.Join(args, " "), circuit.Kind(kind))
		},
	}
	cmd.Flags().StringVar(&kind, "kind", "", "keep readings of this kind only")
	cmd.Flags().BoolVar(&shelf, "shelf", false, "list every parameter that is assumed, with its source")
	return cmd
}

func (c *call) decode(text string, kind circuit.Kind) error {
	readings, err := marking.Decode(text, kind)
	if err != nil {
		return bench.BadInput(err)
	}
	return c.answer(markingAnswer{readings[0], readings[1:]}, func() {
		for i, r := range readings {
			lead := "or:"
			if i == 0 {
				lead = "  :"
			}
			c.line("%s %-14s %s   [%s]", lead, r.Kind, strings.TrimSpace(r.Type+" "+r.Text), r.Source)
		}
	})
}

// shelfRow is one assumed parameter.
type shelfRow struct {
	Kind      circuit.Kind `json:"kind"`
	Type      string       `json:"type,omitempty"`
	Parameter string       `json:"parameter"`
	Value     float64      `json:"value"`
	Unit      string       `json:"unit,omitempty"`
	Word      string       `json:"word,omitempty"`
	Source    string       `json:"source"`
}

func (c *call) shelf() error {
	rows := append(kindDefaults(), typeDefaults()...)
	return c.answer(rows, func() {
		for _, r := range rows {
			value := r.Word
			if value == "" {
				value = strings.TrimSpace(fmt.Sprintf("%g %s", r.Value, r.Unit))
			}
			c.line("%-14s %-9s %-22s %-12s [%s]", r.Kind, r.Type, r.Parameter, value, r.Source)
		}
	})
}

func kindDefaults() []shelfRow {
	var rows []shelfRow
	for _, k := range circuit.Kinds() {
		info, _ := circuit.Lookup(k)
		for _, p := range info.Params {
			if p.Default == nil {
				continue
			}
			row := shelfRow{Kind: k, Parameter: p.Name, Value: p.Default.Value, Word: p.Default.Word, Source: p.Default.Source}
			if len(p.Units) > 0 {
				row.Unit = p.Units[0].String()
			}
			rows = append(rows, row)
		}
	}
	return rows
}

func typeDefaults() []shelfRow {
	var rows []shelfRow
	for _, e := range marking.Shelf() {
		info, _ := circuit.Lookup(e.Kind)
		var names []string
		for name := range e.Amount {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			p, _ := info.Param(name)
			rows = append(rows, shelfRow{Kind: e.Kind, Type: e.Type, Parameter: name, Value: e.Amount[name], Unit: p.Units[0].String(), Source: e.Source})
		}
	}
	return rows
}
