package schematic

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"foilside/internal/circuit"
	"foilside/internal/schematic/trial"
)

var update = flag.Bool("update", false, "write the golden files anew")

// text writes a scene as lines that can be read and compared.
func (d *Drawing) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%.0f × %.0f, %d crossings, %d bends\n", d.Width, d.Height, d.Metrics.Crossings, d.Metrics.Bends)
	for _, p := range d.Parts {
		fmt.Fprintf(&b, "part %s %s", p.Ref, p.Kind)
		if p.Orient != (Orient{}) {
			fmt.Fprintf(&b, " turned %d", p.Orient.Quarters)
			if p.Orient.Mirror {
				b.WriteString(" mirrored")
			}
		}
		for _, l := range p.Leads {
			fmt.Fprintf(&b, ", %s at %v %s", l.Lead, l.At, l.Out)
		}
		b.WriteString("\n")
	}
	for _, w := range d.Wires {
		fmt.Fprintf(&b, "wire %s %v\n", w.Net, w.Points)
	}
	for _, x := range d.Dots {
		fmt.Fprintf(&b, "dot %s %v\n", x.Net, x.At)
	}
	for _, m := range d.Marks {
		fmt.Fprintf(&b, "%s mark %s %v\n", m.Kind, m.Net, m.At)
	}
	for _, t := range d.TestPoints {
		fmt.Fprintf(&b, "test point %d %s %v\n", t.Number, t.Net, t.At)
	}
	for _, t := range d.Texts {
		fmt.Fprintf(&b, "%s %q at %.1f %.1f\n", t.Role, t.Text, t.At.X, t.At.Y)
	}
	return b.String()
}

func named(t *testing.T, name string) *circuit.Circuit {
	t.Helper()
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		if n.Name == name {
			return n.Circuit
		}
	}
	t.Fatalf("no circuit %q", name)
	return nil
}

func TestGoldenScenes(t *testing.T) {
	for name, o := range map[string]Options{
		"voltage doubler":         {},
		"fixed bias":              {Standard: IEEE, Value: Code},
		"wheatstone bridge meter": {TestPoints: []TestPointText{{Net: "a", Text: "1.82 V"}, {Net: "b", Text: "1.9 V", Wave: []float64{0, 0, 3, 3, 0, 0, 3, 3}}}},
	} {
		t.Run(name, func(t *testing.T) {
			o.Attempts = 1
			d, err := Draw(context.Background(), named(t, name), o)
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join("testdata", strings.ReplaceAll(name, " ", "_")+".txt")
			if *update {
				if err := os.MkdirAll("testdata", 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(file, []byte(d.text()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), d.text()); diff != "" {
				t.Errorf("the scene changed; run with -update if it should (-was +is):\n%s", diff)
			}
		})
	}
}

func TestTheSameCircuitGivesTheSameDrawing(t *testing.T) {
	c := named(t, "voltage doubler")
	a, err := Draw(context.Background(), c, Options{Attempts: 2})
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		b, _ := Draw(context.Background(), c, Options{Attempts: 2})
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatal(diff)
		}
	}
}

// Every kind has a symbol in both standards, with all its leads, on the grid.
func TestEveryKindHasASymbol(t *testing.T) {
	for _, std := range []Standard{IEC, IEEE} {
		for _, k := range circuit.Kinds() {
			for _, poles := range []float64{1, 3} {
				p := circuit.Part{Ref: "X1", Kind: k, Amounts: map[string]circuit.Amount{"poles": {Value: poles}}}
				if k == circuit.Transformer {
					p.Windings = []circuit.Winding{{Name: "p"}, {Name: "s"}, {Name: "t"}, {Name: "u"}}[:1+int(poles)]
				}
				if poles > 1 && k != circuit.Switch && k != circuit.Changeover && k != circuit.Relay {
					delete(p.Amounts, "poles")
				}
				names := circuit.LeadNames(k, p.Windings, p.Poles())
				if names == nil {
					names = []circuit.LeadName{"a", "b", "c", "d"}[:int(poles)+1]
				}
				for _, n := range names {
					p.Leads = append(p.Leads, circuit.Lead{Name: n, Net: circuit.NetID("n" + string(n))})
				}
				s, err := symbolOf(p, std)
				if err != nil {
					t.Errorf("%s %s: %v", std, k, err)
					continue
				}
				checkSymbol(t, fmt.Sprintf("%s %s with %g poles", std, k, poles), s, names)
			}
		}
	}
}

func checkSymbol(t *testing.T, what string, s symbol, names []circuit.LeadName) {
	t.Helper()
	if len(s.ports) != len(names) {
		t.Errorf("%s: %d leads of %d", what, len(s.ports), len(names))
	}
	seen := map[Point]bool{}
	for _, q := range s.ports {
		if gridCell(q.at).point() != q.at {
			t.Errorf("%s: lead %s ends off the grid at %v", what, q.name, q.at)
		}
		if seen[q.at] {
			t.Errorf("%s: two leads end at %v", what, q.at)
		}
		seen[q.at] = true
		if !strokesReach(s.strokes, q.at) {
			t.Errorf("%s: no line reaches the end of lead %s", what, q.name)
		}
		step := q.out.step().point()
		if inner := s.body.grow(-0.1); inner.holds(Point{q.at.X + step.X/2, q.at.Y + step.Y/2}) {
			t.Errorf("%s: lead %s leaves into the symbol", what, q.name)
		}
	}
}

func strokesReach(strokes []Stroke, at Point) bool {
	for _, s := range strokes {
		if s.Points[0] == at || s.Points[len(s.Points)-1] == at {
			return true
		}
	}
	return false
}

func TestOddCircuits(t *testing.T) {
	r := func(ref, a, b string) circuit.Part {
		return circuit.Part{Ref: circuit.PartRef(ref), Kind: circuit.Resistor, Leads: []circuit.Lead{{Name: "1", Net: circuit.NetID(a)}, {Name: "2", Net: circuit.NetID(b)}}}
	}
	star := &circuit.Circuit{}
	for i := range 14 {
		star.Parts = append(star.Parts, r(fmt.Sprintf("R%d", i+1), "hub", fmt.Sprintf("tip%d", i)))
	}
	long := r("R1", "a", "b")
	long.Type = strings.Repeat("very long type number ", 6)
	for name, c := range map[string]*circuit.Circuit{
		"no parts":                 {},
		"one part on its own":      {Parts: []circuit.Part{r("R1", "a", "b")}},
		"a part across one net":    {Common: "a", Parts: []circuit.Part{r("R1", "a", "a")}},
		"two parts in parallel":    {Parts: []circuit.Part{r("R1", "a", "b"), r("R2", "a", "b")}},
		"fourteen on one net":      star,
		"a long type number":       {Parts: []circuit.Part{long, r("R2", "a", "b")}},
		"an unknown net as common": {Common: "nowhere", Parts: []circuit.Part{r("R1", "a", "b"), r("R2", "b", "c")}},
		"a battery short-circuited": {Parts: []circuit.Part{
			{Ref: "B1", Kind: circuit.Battery, Leads: []circuit.Lead{{Name: "+", Net: "a"}, {Name: "-", Net: "a"}}}}},
	} {
		t.Run(name, func(t *testing.T) {
			d, err := Draw(context.Background(), c, Options{Attempts: 1})
			if err != nil {
				t.Fatal(err)
			}
			sound(t, c, d)
		})
	}
}

func TestRefusals(t *testing.T) {
	c := &circuit.Circuit{Parts: []circuit.Part{{Ref: "R1", Kind: circuit.Resistor, Leads: []circuit.Lead{{Name: "1", Net: "a"}}}}}
	if _, err := Draw(context.Background(), c, Options{}); err == nil || !strings.Contains(err.Error(), "R1") {
		t.Errorf("a resistor with one lead: %v", err)
	}
	c.Parts[0].Kind = "wobbler"
	if _, err := Draw(context.Background(), c, Options{}); err == nil || !strings.Contains(err.Error(), "wobbler") {
		t.Errorf("an unknown kind: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Draw(ctx, named(t, "fixed bias"), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// The reader must see what is wrong with a spoilt drawing, or it proves
// nothing of a good one.
func TestReadBackSeesFaults(t *testing.T) {
	c := named(t, "two-stage RC-coupled amplifier")
	spoil := map[string]func(d *Drawing){
		"a wire is missing": func(d *Drawing) { d.Wires = d.Wires[1:] },
		"a mark has another name": func(d *Drawing) {
			for i := range d.Marks {
				d.Marks[i].Net = "vcc"
			}
		},
		"a wire ends short": func(d *Drawing) { d.Wires[2].Points[0].X += 3 },
		"a wire joins two nets": func(d *Drawing) {
			d.Wires = append(d.Wires, Wire{Points: []Point{d.Parts[1].Leads[0].At, d.Parts[3].Leads[1].At}})
		},
	}
	for name, f := range spoil {
		t.Run(name, func(t *testing.T) {
			d, err := Draw(context.Background(), c, Options{Attempts: 1})
			if err != nil {
				t.Fatal(err)
			}
			f(&d)
			if cmp.Equal(Partition(c), d.Geometry().ReadBack()) {
				t.Error("the fault went unseen")
			}
		})
	}
}

func TestValuesAreWrittenInBothStyles(t *testing.T) {
	c := named(t, "two-stage RC-coupled amplifier")
	for style, want := range map[ValueStyle]string{Prose: "4.7 kΩ", Code: "4k7"} {
		d, err := Draw(context.Background(), c, Options{Value: style, Attempts: 1})
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, x := range d.Texts {
			found = found || x.Text == want
		}
		if !found {
			t.Errorf("%s: %q is not on the drawing", style, want)
		}
	}
}

func TestNoRailsLeavesMarks(t *testing.T) {
	c := named(t, "two-stage RC-coupled amplifier")
	d, err := Draw(context.Background(), c, Options{NoRails: true, Attempts: 1})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, c, d)
	if len(d.Marks) < 10 {
		t.Errorf("only %d marks", len(d.Marks))
	}
}

// complaints gathers what a check finds.
type complaints []string

func (c *complaints) Errorf(format string, args ...any) {
	*c = append(*c, fmt.Sprintf(format, args...))
}

// A junction without its dot reads the same, so that another check must see it.
func TestAMissingDotIsSeen(t *testing.T) {
	d, err := Draw(context.Background(), named(t, "two-stage RC-coupled amplifier"), Options{Attempts: 1})
	if err != nil {
		t.Fatal(err)
	}
	d.Dots = d.Dots[1:]
	var c complaints
	fourWay(&c, d)
	if len(c) == 0 {
		t.Error("the missing dot went unseen")
	}
}

// CONTRACT §4: wires that cross without a dot are not joined; with a dot they
// are; ends that meet are joined without one.
func TestReadBackRules(t *testing.T) {
	lead := func(ref string, x, y float64) SeenLead {
		return SeenLead{circuit.LeadRef{Part: circuit.PartRef(ref), Lead: "1"}, Point{x, y}}
	}
	cross := Geometry{
		Leads: []SeenLead{lead("A", 0, 10), lead("B", 20, 10), lead("C", 10, 0), lead("D", 10, 20)},
		Wires: [][]Point{{{0, 10}, {20, 10}}, {{10, 0}, {10, 20}}},
	}
	dotted := cross
	dotted.Dots = []Point{{10, 10}}
	tee := Geometry{Leads: cross.Leads[:3], Wires: [][]Point{{{0, 10}, {20, 10}}, {{10, 0}, {10, 10}}}}
	corner := Geometry{Leads: []SeenLead{lead("A", 0, 10), lead("B", 10, 0)}, Wires: [][]Point{{{0, 10}, {10, 10}}, {{10, 0}, {10, 10}}}}
	named := Geometry{Leads: corner.Leads, Marks: []SeenMark{{"n", Point{0, 10}}, {"n", Point{10, 0}}}}
	for name, c := range map[string]struct {
		g    Geometry
		want string
	}{
		"crossing":              {cross, "A B|C D"},
		"crossing with a dot":   {dotted, "A B C D"},
		"an end on a wire":      {tee, "A B|C"},
		"two ends that meet":    {corner, "A B"},
		"two marks of one name": {named, "A B"},
	} {
		t.Run(name, func(t *testing.T) {
			var nets []string
			for _, n := range c.g.ReadBack() {
				var refs []string
				for _, l := range n {
					refs = append(refs, string(l.Part))
				}
				nets = append(nets, strings.Join(refs, " "))
			}
			if got := strings.Join(nets, "|"); got != c.want {
				t.Errorf("read %s, want %s", got, c.want)
			}
		})
	}
}
