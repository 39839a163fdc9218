package render

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/schematic"
	"foilside/internal/schematic/trial"
)

// readSVG takes the geometry from an SVG by CONTRACT §4, knowing nothing of
// the scene that it was written from.
func readSVG(t *testing.T, svg []byte) schematic.Geometry {
	t.Helper()
	var g schematic.Geometry
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Errorf("%q is no number", s)
		}
		return v
	}
	dec := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return g
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		a := map[string]string{}
		for _, x := range e.Attr {
			a[x.Name.Local] = x.Value
		}
		if _, ok := a["transform"]; ok {
			t.Errorf("a transform on <%s>", e.Name.Local)
		}
		switch a["class"] {
		case "lead":
			if a["r"] != "0" {
				t.Errorf("lead %s of %s has radius %s", a["data-lead"], a["data-ref"], a["r"])
			}
			g.Leads = append(g.Leads, schematic.SeenLead{
				Lead: circuit.LeadRef{Part: circuit.PartRef(a["data-ref"]), Lead: circuit.LeadName(a["data-lead"])},
				At:   schematic.Point{X: number(a["cx"]), Y: number(a["cy"])}})
		case "dot":
			g.Dots = append(g.Dots, schematic.Point{X: number(a["cx"]), Y: number(a["cy"])})
		case "continues":
			g.Marks = append(g.Marks, schematic.SeenMark{Name: a["data-net"], At: schematic.Point{X: number(a["data-x"]), Y: number(a["data-y"])}})
		case "wire":
			g.Wires = append(g.Wires, readPath(t, a["d"]))
		}
	}
}

// readPath reads a path of M, H and V only.
func readPath(t *testing.T, d string) []schematic.Point {
	var pts []schematic.Point
	d = strings.NewReplacer("M", " M ", "H", " H ", "V", " V ").Replace(d)
	f := strings.Fields(d)
	at := schematic.Point{}
	for i := 0; i < len(f); i++ {
		n := func() float64 {
			i++
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				t.Fatalf("wire path %q", d)
			}
			return v
		}
		switch f[i] {
		case "M":
			at.X = n()
			at.Y = n()
		case "H":
			at.X = n()
		case "V":
			at.Y = n()
		default:
			t.Fatalf("wire path %q has more than M, H and V", d)
		}
		pts = append(pts, at)
	}
	return pts
}

func TestSVGReadsBackAsTheCircuit(t *testing.T) {
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		t.Run(n.Name, func(t *testing.T) {
			d := drawn(t, n.Circuit, schematic.Options{})
			if diff := cmp.Diff(schematic.Partition(n.Circuit), readSVG(t, SVG(d, WarmPaper())).ReadBack()); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// A net's name may hold what XML must not.
func TestNamesAreEscaped(t *testing.T) {
	c := amplifier(t).Circuit.Clone()
	for i := range c.Parts {
		for k, l := range c.Parts[i].Leads {
			if l.Net == "vcc" {
				c.Parts[i].Leads[k].Net = `<a & "b">`
			}
		}
	}
	c.Parts[0].Type = `<"&'>`
	d := drawn(t, c, schematic.Options{})
	if diff := cmp.Diff(schematic.Partition(c), readSVG(t, SVG(d, Night())).ReadBack()); diff != "" {
		t.Error(diff)
	}
}

func drawn(t *testing.T, c *circuit.Circuit, o schematic.Options) schematic.Drawing {
	t.Helper()
	o.Attempts = 1
	d, err := schematic.Draw(context.Background(), c, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func amplifier(t *testing.T) trial.Named {
	t.Helper()
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	return all[1]
}
