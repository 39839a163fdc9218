package bench

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/diagnosis"
	"foilside/internal/job"
	"foilside/internal/meter"
	"foilside/internal/num/geom"
	"foilside/internal/sim"
	"foilside/internal/specimen"
)

// smallBoard is three tracks, a b c from top to bottom, two resistors across
// each gap; a's joints stand at 2, 12, 32 and 42.
func smallBoard() (*copper.Copper, board.Landed, *circuit.Circuit) {
	const w, h = 45, 16
	c := &copper.Copper{Labels: copper.Labels{W: w, H: h, Scale: 1, Of: make([]copper.NetID, w*h)}, Nets: make([]copper.Net, 3)}
	for n, y := range []int{2, 6, 12} {
		for x := 1; x < w-1; x++ {
			c.Labels.Of[y*w+x] = copper.NetID(n + 1)
		}
	}
	names := map[copper.NetID]circuit.NetID{1: "a", 2: "b", 3: "c"}
	landed := board.Landed{Names: names}
	of := &circuit.Circuit{Common: "c"}
	for i, p := range []struct {
		ref circuit.PartRef
		at  [2]geom.Point
		on  [2]copper.NetID
	}{
		{"R1", [2]geom.Point{{X: 2, Y: 2}, {X: 2, Y: 6}}, [2]copper.NetID{1, 2}},
		{"R2", [2]geom.Point{{X: 12, Y: 2}, {X: 12, Y: 6}}, [2]copper.NetID{1, 2}},
		{"R3", [2]geom.Point{{X: 32, Y: 2}, {X: 32, Y: 12}}, [2]copper.NetID{1, 3}},
		{"R4", [2]geom.Point{{X: 42, Y: 2}, {X: 42, Y: 12}}, [2]copper.NetID{1, 3}},
	} {
		part := circuit.Part{Ref: p.ref, Kind: circuit.Resistor, Amounts: map[string]circuit.Amount{"value": {Value: 1000 * float64(i+1)}}}
		for k, lead := range []circuit.LeadName{"1", "2"} {
			id := p.on[k]
			c.Joints = append(c.Joints, copper.Joint{X: p.at[k].X, Y: p.at[k].Y, Net: &id})
			landed.Placed = append(landed.Placed, board.Placed{Lead: circuit.LeadRef{Part: p.ref, Lead: lead}, At: p.at[k], Copper: id, Net: names[id]})
			part.Leads = append(part.Leads, circuit.Lead{Name: lead, Net: names[id]})
		}
		of.Parts = append(of.Parts, part)
	}
	return c, landed, of
}

// TestFlaws: the near pair is the likelier bridge, the pair with a net between
// is none, a crack in the middle of a track parts two leads from two, and one
// near its end a single lead.
func TestFlaws(t *testing.T) {
	c, landed, of := smallBoard()
	weight := map[string]float64{}
	var sum float64
	for _, f := range flaws(c, landed, of, 0.5) {
		weight[f.String()] += f.Prior
		sum += f.Prior
	}
	if math.Abs(sum-crackShare-bridgeShare-dirtShare) > 1e-9 {
		t.Errorf("the copper's faults weigh %g, want %g", sum, crackShare+bridgeShare+dirtShare)
	}
	heard := func(part string) (out float64) {
		for name, w := range weight {
			if len(name) >= len(part) && name[:len(part)] == part {
				out += w
			}
		}
		return out
	}
	if near, far := heard("bridge between a and b"), heard("bridge between b and c"); near <= far || far == 0 {
		t.Errorf("bridge a to b %.4f, b to c %.4f: the nearer must weigh more", near, far)
	}
	if hidden := heard("bridge between a and c"); hidden != 0 {
		t.Errorf("a and c, with b between, weigh %.4f", hidden)
	}
	if middle := heard("track of a cracked: R"); middle == 0 {
		t.Errorf("no crack parts two leads of a: %v", weight)
	}
	if end := heard("R1 dry-joint at 1 (or a crack"); end == 0 {
		t.Errorf("no crack parts R1 alone: %v", weight)
	}
}

// TestCrackIsFound: ohms that only a crack in the middle of a track explains.
func TestCrackIsFound(t *testing.T) {
	c, landed, of := smallBoard()
	p, err := diagnosis.New(of, diagnosis.Options{Extra: flaws(c, landed, of, 0.5)})
	if err != nil {
		t.Fatal(err)
	}
	var ev diagnosis.Evidence
	for _, k := range [][2]circuit.NetID{{"a", "c"}, {"b", "c"}} {
		ev.Readings = append(ev.Readings, diagnosis.Reading{Check: diagnosis.Check{Mode: meter.Ohms, Red: k[0], Black: k[1]}, Overrange: true})
	}
	a, err := p.Suspects(t.Context(), ev)
	if err != nil {
		t.Fatal(err)
	}
	if first := a.Suspects[0]; first.Part != nil || first.Fault != diagnosis.Open {
		t.Errorf("nothing conducts to c, and R3 and R4 hang on the same stretch: first %s, want the cracked track", first.Text)
	}
}

// TestAblation: what the copper adds. On the boards of the demonstrations a
// bridge, dirt or a crack is put where such things come, and the search is
// made with the parts' faults alone, and with the copper's (FOILSIDE_STUDY=N,
// N of each on each board).
func TestAblation(t *testing.T) {
	n := 0
	if _, err := fmt.Sscan(os.Getenv("FOILSIDE_STUDY"), &n); err != nil || n == 0 {
		t.Skip("a study: FOILSIDE_STUDY=N")
	}
	for _, name := range specimen.Names() {
		d, photos, err := DemoJob(t.Context(), name, false)
		if err != nil {
			t.Fatal(err)
		}
		b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}, photos...), Options{Now: clock})
		if err != nil {
			t.Fatal(err)
		}
		built, err := b.Circuit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		c, err := b.Copper(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		extra := flaws(c, *built.Landed, built.Circuit, b.mmPerFoilPixel(t.Context()))
		rng := rand.New(rand.NewPCG(7, 7))
		truths := drawFlaws(extra, n, rng)
		for _, with := range []bool{false, true} {
			opt := diagnosis.Options{Shelf: b.shelf}
			if with {
				opt.Extra = extra
			}
			p, err := diagnosis.New(built.Circuit, opt)
			if err != nil {
				t.Fatal(err)
			}
			counts := map[diagnosis.Name][4]int{}
			for _, f := range truths {
				r := hunt(t, b, built.Circuit, p, f, rand.New(rand.NewPCG(9, 9)))
				k := counts[f.Name]
				k[0]++
				if r.first {
					k[1]++
				}
				if r.outside {
					k[2]++
				}
				k[3] += r.readings
				counts[f.Name] = k
			}
			for _, kind := range []diagnosis.Name{diagnosis.Bridge, diagnosis.Dirt, diagnosis.Open, diagnosis.DryJoint} {
				if k := counts[kind]; k[0] > 0 {
					t.Logf("%s, copper %v, %s: %d, right group first %d, outside said %d, %.1f readings", name, with, kind, k[0], k[1], k[2], float64(k[3])/float64(k[0]))
				}
			}
		}
	}
}

// drawFlaws draws n of every sort, by place alone: each listed place is as
// likely as another, whatever weight the diagnosis gives it.
func drawFlaws(extra []diagnosis.Fault, n int, rng *rand.Rand) []diagnosis.Fault {
	by := map[diagnosis.Name][]diagnosis.Fault{}
	for _, f := range extra {
		by[f.Name] = append(by[f.Name], f)
	}
	var out []diagnosis.Fault
	for _, kind := range []diagnosis.Name{diagnosis.Bridge, diagnosis.Dirt, diagnosis.Open, diagnosis.DryJoint} {
		for range n {
			if all := by[kind]; len(all) > 0 {
				out = append(out, all[rng.IntN(len(all))])
			}
		}
	}
	return out
}

// hunted is the end of a search.
type hunted struct {
	first, outside bool
	readings       int
}

// hunt searches a fault of the copper with a meter that has its error.
func hunt(t *testing.T, b *Bench, c *circuit.Circuit, p *diagnosis.Predictor, f diagnosis.Fault, rng *rand.Rand) hunted {
	t.Helper()
	of := c
	var variant sim.Variant
	if all := diagnosis.Variants(c, f); len(all) > 0 {
		variant = all[rng.IntN(len(all))]
		if f.Name == diagnosis.Dirt {
			variant = all[len(all)/2+rng.IntN((len(all)+1)/2)] // mild dirt shows in nothing
		}
	} else {
		of = f.Altered(c)
	}
	model, err := sim.Compile(of, sim.Options{Shelf: b.shelf})
	if err != nil {
		t.Fatal(err)
	}
	var draw sim.Draw
	for range model.Spreads() {
		draw = append(draw, 2*rng.Float64()-1)
	}
	m := meter.Default(meter.Digital)
	var ev diagnosis.Evidence
	for {
		plan, a, err := p.Assess(t.Context(), ev, diagnosis.Danger{Judged: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(plan.Next) == 0 || len(ev.Readings) == 15 {
			return hunted{named(a, f), a.Outside > 0.5, len(ev.Readings)}
		}
		ev.Readings = append(ev.Readings, readAs(t, model, m, variant, draw, plan.Next[0].Check, rng))
	}
}

func readAs(t *testing.T, model *sim.Model, m meter.Meter, v sim.Variant, d sim.Draw, k diagnosis.Check, rng *rand.Rand) diagnosis.Reading {
	t.Helper()
	state, _ := model.Circuit().State(k.State)
	q := meter.Query{Mode: k.Mode, Red: sim.OnNet(k.Red), Black: sim.OnNet(k.Black), State: state}
	rs, err := m.Distribution(context.Background(), model, v, q, []sim.Draw{d})
	if err != nil {
		t.Fatal(err)
	}
	r := rs[0]
	if r.Overrange {
		return diagnosis.Reading{Check: k, Overrange: true}
	}
	value := r.Value + (2*rng.Float64()-1)*m.MaxError(k.Mode, r.Value)
	if !k.Mode.Powered() {
		value = max(value, 0)
	}
	return diagnosis.Reading{Check: k, Value: m.Round(k.Mode, value)}
}

// named tells whether the fault is in the likeliest group.
func named(a diagnosis.Answer, f diagnosis.Fault) bool {
	for _, s := range a.Suspects {
		same := s.Fault == f.Name && slices.Equal(s.Nets, f.Nets)
		if f.Part != "" {
			same = s.Part != nil && *s.Part == f.Part && s.Fault == f.Name && s.Lead == f.Lead
		}
		if same && len(a.Groups) > 0 && s.Group == a.Groups[0].Group {
			return true
		}
	}
	return false
}
