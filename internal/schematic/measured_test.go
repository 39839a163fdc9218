package schematic_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/render"
	"foilside/internal/schematic"
	"foilside/internal/schematic/trial"
)

// figures is what is counted of one drawing.
type figures struct {
	name              string
	parts             int
	crossings, bends  int
	twoLead, twoBends int // connections of two leads, and the bends in them
	marks             int // nets broken up into names
	faults            int // overlaps, and nets read back otherwise
	steps, forward    int // from stage to stage, and those that lead to the right
	seconds           float64
}

func (f *figures) add(g figures) {
	f.parts += g.parts
	f.crossings += g.crossings
	f.bends += g.bends
	f.twoLead += g.twoLead
	f.twoBends += g.twoBends
	f.marks += g.marks
	f.faults += g.faults
	f.steps += g.steps
	f.forward += g.forward
	f.seconds += g.seconds
}

func (f figures) String() string {
	return fmt.Sprintf("%-38.38s %4d parts %3d crossings %4d bends, %.2f in each of %d two-lead connections, %d nets by name, %d faults, %d of %d steps forward, %.2f s",
		f.name, f.parts, f.crossings, f.bends, float64(f.twoBends)/float64(max(f.twoLead, 1)), f.twoLead, f.marks, f.faults, f.forward, f.steps, f.seconds)
}

// figuresOf counts from the scene and the circuit alone.
func figuresOf(name string, c *circuit.Circuit, d schematic.Drawing) figures {
	f := figures{name: name, parts: len(c.Parts), crossings: d.Metrics.Crossings, bends: d.Metrics.Bends, faults: len(d.Conflicts())}
	if fmt.Sprint(schematic.Partition(c)) != fmt.Sprint(d.Geometry().ReadBack()) {
		f.faults++
	}
	marked, rail, broken := map[circuit.NetID]bool{}, map[circuit.NetID]bool{}, map[circuit.NetID]bool{}
	for _, m := range d.Marks {
		marked[m.Net] = true
		if m.Kind == schematic.OnwardMark {
			broken[m.Net] = true
		} else {
			rail[m.Net] = true
		}
	}
	f.marks = len(broken)
	bends := map[circuit.NetID]int{}
	for _, w := range d.Wires {
		bends[w.Net] += len(w.Points) - 2
	}
	for _, n := range c.Nets() {
		if len(n.Leads) == 2 && !marked[n.ID] {
			f.twoLead++
			f.twoBends += bends[n.ID]
		}
	}
	at := map[circuit.PartRef]float64{}
	for _, p := range d.Parts {
		at[p.Ref] = p.Box.X + p.Box.W/2
	}
	for _, s := range steps(c, rail) {
		f.steps++
		if at[s[0]] < at[s[1]] {
			f.forward++
		}
	}
	return f
}

// inputs and outputs are the leads by which an amplifying or switching part is
// driven and drives; written here anew, so that the drawing's own idea of the
// signal's way doesn't judge itself.
var inputs = map[circuit.Kind][]circuit.LeadName{
	circuit.NPN: {"b"}, circuit.PNP: {"b"}, circuit.JFETN: {"g"}, circuit.JFETP: {"g"}, circuit.MOSFETN: {"g"}, circuit.MOSFETP: {"g"},
	circuit.Triode: {"g"}, circuit.Pentode: {"g1"}, circuit.OpAmp: {"+in", "-in"}, circuit.Timer555: {"2", "6"}, circuit.SCR: {"g"}, circuit.Regulator: {"in"},
}

var outputs = map[circuit.Kind][]circuit.LeadName{
	circuit.NPN: {"c", "e"}, circuit.PNP: {"c", "e"}, circuit.JFETN: {"d", "s"}, circuit.JFETP: {"d", "s"}, circuit.MOSFETN: {"d", "s"}, circuit.MOSFETP: {"d", "s"},
	circuit.Triode: {"a", "k"}, circuit.Pentode: {"a", "k"}, circuit.OpAmp: {"out"}, circuit.Timer555: {"3"}, circuit.UJT: {"b1"}, circuit.Regulator: {"out"}, circuit.Bridge: {"+"},
}

// steps lists which part drives which, at once or over coupling parts.
// What drives itself round a loop has no direction and is left out.
func steps(c *circuit.Circuit, rail map[circuit.NetID]bool) [][2]circuit.PartRef {
	next := map[circuit.NetID][]circuit.NetID{}
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Resistor, circuit.Capacitor, circuit.Electrolytic:
			a, b := p.Leads[0].Net, p.Leads[1].Net
			if !rail[a] && !rail[b] {
				next[a], next[b] = append(next[a], b), append(next[b], a)
			}
		}
	}
	drives := map[circuit.PartRef][]circuit.PartRef{}
	for _, p := range c.Parts {
		reached := map[circuit.NetID]bool{}
		for _, l := range outputs[p.Kind] {
			n := p.Net(l)
			if n == "" || rail[n] {
				continue
			}
			reached[n] = true
			for queue := []circuit.NetID{n}; len(queue) > 0; queue = queue[1:] {
				for _, m := range next[queue[0]] {
					if !reached[m] {
						reached[m] = true
						queue = append(queue, m)
					}
				}
			}
		}
		for _, q := range c.Parts {
			for _, l := range inputs[q.Kind] {
				if q.Ref != p.Ref && reached[q.Net(l)] {
					drives[p.Ref] = append(drives[p.Ref], q.Ref)
					break
				}
			}
		}
	}
	var leads func(from, to circuit.PartRef, seen map[circuit.PartRef]bool) bool
	leads = func(from, to circuit.PartRef, seen map[circuit.PartRef]bool) bool {
		if from == to {
			return true
		}
		seen[from] = true
		for _, q := range drives[from] {
			if !seen[q] && leads(q, to, seen) {
				return true
			}
		}
		return false
	}
	var out [][2]circuit.PartRef
	for _, p := range c.Parts {
		for _, q := range drives[p.Ref] {
			if !leads(q, p.Ref, map[circuit.PartRef]bool{}) {
				out = append(out, [2]circuit.PartRef{p.Ref, q})
			}
		}
	}
	return out
}

// FOILSIDE_STUDY=set measures the whole set and prints the figures of every
// drawing; FOILSIDE_SLICE=2/4 takes every fourth from the second;
// FOILSIDE_PICTURES=DIR keeps the drawings, FOILSIDE_DUMP=FILE the circuits. Without it five are measured.
func TestMeasuredSet(t *testing.T) {
	all, err := trial.Measured()
	if err != nil {
		t.Fatal(err)
	}
	part, of := 1, 1
	if s := os.Getenv("FOILSIDE_SLICE"); s != "" {
		if _, err := fmt.Sscanf(s, "%d/%d", &part, &of); err != nil {
			t.Fatal(err)
		}
	}
	if os.Getenv("FOILSIDE_STUDY") != "set" {
		of = len(all) / 4
	}
	var sum figures
	var dump []any
	for i := part - 1; i < len(all); i += of {
		n := all[i]
		start := time.Now()
		d, err := schematic.Draw(context.Background(), n.Circuit, schematic.Options{})
		if err != nil {
			t.Errorf("%s: %v", n.Name, err)
			continue
		}
		f := figuresOf(n.Name, n.Circuit, d)
		f.seconds = time.Since(start).Seconds()
		t.Log(f)
		sum.add(f)
		if f.faults > 0 {
			t.Errorf("%s: %d faults", n.Name, f.faults)
		}
		keepPicture(t, n.Name, d)
		dump = append(dump, dumped(n.Name, n.Circuit, d))
	}
	keepDump(t, dump)
	sum.name = "in all"
	t.Log(sum)
}

func keepPicture(t *testing.T, name string, d schematic.Drawing) {
	dir := os.Getenv("FOILSIDE_PICTURES")
	if dir == "" {
		return
	}
	file := filepath.Join(dir, strings.ReplaceAll(name, " ", "_")+".svg")
	if err := os.WriteFile(file, render.SVG(d, render.White()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// dumped is a circuit as a graph of boxes with ports, for crosscheck/layered.mjs:
// parts as they stand on our drawing, nets without the rails.
func dumped(name string, c *circuit.Circuit, d schematic.Drawing) any {
	type lead struct {
		Lead string  `json:"lead"`
		X    float64 `json:"x"`
		Y    float64 `json:"y"`
		Side string  `json:"side"`
	}
	type part struct {
		Ref   string  `json:"ref"`
		W     float64 `json:"w"`
		H     float64 `json:"h"`
		Leads []lead  `json:"leads"`
	}
	side := map[schematic.Side]string{schematic.Up: "NORTH", schematic.Right: "EAST", schematic.Down: "SOUTH", schematic.Left: "WEST"}
	rail := map[circuit.NetID]bool{}
	for _, m := range d.Marks {
		rail[m.Net] = rail[m.Net] || m.Kind != schematic.OnwardMark
	}
	var parts []part
	nets := map[string][]string{}
	for _, p := range d.Parts {
		q := part{Ref: string(p.Ref), W: p.Box.W, H: p.Box.H}
		for _, l := range p.Leads {
			q.Leads = append(q.Leads, lead{string(l.Lead), l.At.X - p.Box.X, l.At.Y - p.Box.Y, side[l.Out]})
			if !rail[l.Net] {
				nets[string(l.Net)] = append(nets[string(l.Net)], string(p.Ref)+"."+string(l.Lead))
			}
		}
		parts = append(parts, q)
	}
	return map[string]any{"name": name, "parts": parts, "nets": nets, "crossings": d.Metrics.Crossings}
}

func keepDump(t *testing.T, all []any) {
	file := os.Getenv("FOILSIDE_DUMP")
	if file == "" {
		return
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// FOILSIDE_STUDY=best compares the crossings of every drawing of up to 14 parts
// with the fewest of 120 placements. That is no proof of an optimum, which an
// exhaustive search over places and turns is too large for; a drawing without a
// crossing is one by itself.
func TestCrossingsBesideTheBestKnown(t *testing.T) {
	if os.Getenv("FOILSIDE_STUDY") != "best" {
		t.Skip("a study of a minute: FOILSIDE_STUDY=best")
	}
	all, err := trial.Measured()
	if err != nil {
		t.Fatal(err)
	}
	ours, best, circuits := 0, 0, 0
	for _, n := range all {
		if len(n.Circuit.Parts) > 14 {
			continue
		}
		circuits++
		d, err := schematic.Draw(context.Background(), n.Circuit, schematic.Options{})
		if err != nil {
			t.Fatal(err)
		}
		fewest := d.Metrics.Crossings
		if fewest > 0 {
			e, err := schematic.Draw(context.Background(), n.Circuit, schematic.Options{Attempts: 120})
			if err != nil {
				t.Fatal(err)
			}
			fewest = min(fewest, e.Metrics.Crossings)
			t.Logf("%s: %d crossings, best known %d", n.Name, d.Metrics.Crossings, fewest)
		}
		ours += d.Metrics.Crossings
		best += fewest
	}
	t.Logf("%d circuits of up to 14 parts: %d crossings, best known %d", circuits, ours, best)
}
