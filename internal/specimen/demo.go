package specimen

import (
	"context"
	"embed"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

//go:embed demo/*.yaml
var demoFiles embed.FS

// Demonstration is one made-up unit to practise on.
type Demonstration struct {
	Name  string
	Title string
	Story string // what its owner says
	// Job is its job text (CONTRACT §2): unit, common, parts with nets, states
	// and symptoms; no photographs and no hint of the fault.
	Job     string
	Circuit []CircuitPart
	Board   Board
	Shot    Shot
	Fault   HiddenFault
}

// HiddenFault is what is wrong with a demonstration unit.
type HiddenFault struct {
	Part  string `yaml:"part" json:"part"`
	Lead  string `yaml:"lead,omitempty" json:"lead,omitempty"`
	Fault string `yaml:"fault" json:"fault"`                     // a fault name of CONTRACT §3
	Value string `yaml:"value,omitempty" json:"value,omitempty"` // what the part has become, as a quantity
	Found string `yaml:"found" json:"found"`                     // what one tells the owner
}

// demoBoard is the text beside a demonstration's job text.
type demoBoard struct {
	Title string          `yaml:"title"`
	Story string          `yaml:"story"`
	Seed  uint64          `yaml:"seed"`
	Bench Bench           `yaml:"bench"`
	Style Style           `yaml:"style"`
	Hand  map[string]Hand `yaml:"hand"`
	Fault HiddenFault     `yaml:"fault"`
}

// Names lists the demonstrations.
func Names() []string {
	entries, err := demoFiles.ReadDir("demo")
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		if n, ok := strings.CutSuffix(e.Name(), "-board.yaml"); ok {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// demoWidth is the width of a demonstration's photographs in pixels.
const demoWidth = 2400

// About returns a demonstration's words, circuit and fault without the work of
// laying out its board: Board and Shot stay empty.
//
// Errors: a name that is not in Names.
func About(name string) (Demonstration, error) {
	d, _, err := readDemo(name)
	return d, err
}

// Demo returns a demonstration with its board laid out; Render(d.Board,
// d.Shot) photographs it.
//
// Errors: a name that is not in Names, or the context's error.
func Demo(ctx context.Context, name string) (Demonstration, error) {
	d, side, err := readDemo(name)
	if err != nil {
		return Demonstration{}, err
	}
	if d.Board, err = Layout(ctx, d.Circuit, side.Style, side.Hand, side.Seed); err != nil {
		return Demonstration{}, fmt.Errorf("demonstration %s: %w", name, err)
	}
	d.Board.Name = name
	d.Shot = RandomShot(demoWidth, side.Seed, 0.25)
	d.Shot.Component.Bench, d.Shot.Foil.Bench = side.Bench, side.Bench
	return d, nil
}

func readDemo(name string) (Demonstration, demoBoard, error) {
	var side demoBoard
	if !slices.Contains(Names(), name) {
		return Demonstration{}, side, fmt.Errorf("no demonstration %q: there are %s", name, strings.Join(Names(), ", "))
	}
	job, err := demoFiles.ReadFile("demo/" + name + ".yaml")
	if err != nil {
		return Demonstration{}, side, err
	}
	text, err := demoFiles.ReadFile("demo/" + name + "-board.yaml")
	if err != nil {
		return Demonstration{}, side, err
	}
	if err := yaml.UnmarshalWithOptions(text, &side, yaml.Strict()); err != nil {
		return Demonstration{}, side, fmt.Errorf("demonstration %s: %w", name, err)
	}
	d := Demonstration{Name: name, Title: side.Title, Story: side.Story, Job: string(job), Fault: side.Fault}
	if d.Circuit, err = ReadCircuit(job); err != nil {
		return Demonstration{}, side, fmt.Errorf("demonstration %s: %w", name, err)
	}
	return d, side, nil
}
