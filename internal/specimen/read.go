package specimen

import (
	"fmt"

	"github.com/goccy/go-yaml"
)

// ReadBoard reads a board from YAML or JSON.
//
// Errors: text that is no YAML, or a key that no board has, with its line.
func ReadBoard(text []byte) (Board, error) {
	var b Board
	if err := yaml.UnmarshalWithOptions(text, &b, yaml.Strict()); err != nil {
		return Board{}, fmt.Errorf("board: %w", err)
	}
	return b, b.check()
}

// WriteBoard writes a board as YAML, for ReadBoard.
func WriteBoard(b Board) ([]byte, error) { return yaml.Marshal(b) }

// ReadCircuit takes the parts from job text (CONTRACT §2). It is here so that
// this package needs nothing of job: parameters stay as written.
func ReadCircuit(job []byte) ([]CircuitPart, error) {
	var doc struct {
		Parts yaml.MapSlice `yaml:"parts"`
	}
	if err := yaml.Unmarshal(job, &doc); err != nil {
		return nil, fmt.Errorf("job text: %w", err)
	}
	var out []CircuitPart
	for _, item := range doc.Parts {
		fields, ok := item.Value.(map[string]any)
		if !ok {
			return nil, fmt.Errorf("job text: part %v is no list of keys", item.Key)
		}
		p, err := partOf(fmt.Sprint(item.Key), fields)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

func partOf(ref string, fields map[string]any) (CircuitPart, error) {
	p := CircuitPart{Ref: ref, Params: map[string]string{}, Leads: map[string]string{}}
	for k, v := range fields {
		switch k {
		case "kind":
			p.Kind = fmt.Sprint(v)
		case "leads":
			leads, ok := v.(map[string]any)
			if !ok {
				return p, fmt.Errorf("job text: part %s: leads want lead: net", ref)
			}
			for lead, net := range leads {
				p.Leads[lead] = fmt.Sprint(net)
			}
		case "windings":
			if err := p.readWindings(v); err != nil {
				return p, err
			}
		default:
			p.Params[k] = fmt.Sprint(v)
		}
	}
	return p, nil
}

func (p *CircuitPart) readWindings(v any) error {
	windings, ok := v.(map[string]any)
	if !ok {
		return fmt.Errorf("job text: part %s: windings want name: {leads: [a, b]}", p.Ref)
	}
	for name, w := range windings {
		fields, _ := w.(map[string]any)
		leads, _ := fields["leads"].([]any)
		if len(leads) != 2 {
			return fmt.Errorf("job text: part %s: winding %s wants leads: [a, b]", p.Ref, name)
		}
		p.Leads[name+".1"], p.Leads[name+".2"] = fmt.Sprint(leads[0]), fmt.Sprint(leads[1])
	}
	return nil
}
