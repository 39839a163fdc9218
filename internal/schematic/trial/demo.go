package trial

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// FromYAML reads the parts of a job text whose leads are all on named nets.
// It takes what a drawing needs and is no check of the text.
func FromYAML(text []byte) (*circuit.Circuit, error) {
	var job struct {
		Unit, Common string
		Parts        map[string]yamlPart
	}
	if err := yaml.Unmarshal(text, &job); err != nil {
		return nil, err
	}
	c := &circuit.Circuit{Unit: job.Unit, Common: circuit.NetID(job.Common)}
	for ref, y := range job.Parts {
		p, err := y.part(ref)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", ref, err)
		}
		c.Parts = append(c.Parts, p)
	}
	c.SortParts()
	return c, nil
}

type yamlPart struct {
	Kind, Type string
	Leads      map[string]string
	Windings   yaml.MapSlice
	More       map[string]any `yaml:",inline"`
}

func (y yamlPart) part(ref string) (circuit.Part, error) {
	p := circuit.Part{Ref: circuit.PartRef(ref), Kind: circuit.Kind(y.Kind), Type: y.Type, Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	info, ok := circuit.Lookup(p.Kind)
	if !ok {
		return p, fmt.Errorf("no kind %q", y.Kind)
	}
	for name, v := range y.More {
		param, ok := info.Param(name)
		text, _, _ := strings.Cut(fmt.Sprint(v), " at ")
		if !ok || len(param.Units) == 0 {
			continue
		}
		for _, u := range param.Units {
			if n, err := quantity.Parse(text, u); err == nil {
				p.Amounts[name] = circuit.Amount{Value: n, Unit: u}
			}
		}
	}
	for _, w := range y.Windings {
		name := fmt.Sprint(w.Key)
		p.Windings = append(p.Windings, circuit.Winding{Name: name})
		body, _ := w.Value.(map[string]any)
		ends, _ := body["leads"].([]any)
		for i, e := range ends {
			p.Leads = append(p.Leads, circuit.Lead{Name: circuit.LeadName(fmt.Sprintf("%s.%d", name, i+1)), Net: circuit.NetID(fmt.Sprint(e))})
		}
	}
	names := circuit.LeadNames(p.Kind, nil, 1)
	if names == nil && len(y.Windings) == 0 {
		for _, n := range sortedKeys(y.Leads) {
			names = append(names, circuit.LeadName(n))
		}
	}
	for _, n := range names {
		p.Leads = append(p.Leads, circuit.Lead{Name: n, Net: circuit.NetID(y.Leads[string(n)])})
	}
	return p, nil
}

func sortedKeys(m map[string]string) []string {
	return slices.SortedFunc(maps.Keys(m), circuit.NaturalCompare)
}
