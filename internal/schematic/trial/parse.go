package trial

import (
	"fmt"
	"slices"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Named is a circuit with where it is from.
type Named struct {
	Name    string
	Source  string // book and place, or "own"
	Circuit *circuit.Circuit
}

// parse reads one circuit. The first line is NAME | SOURCE | COMMON, every
// other one part: REF KIND [VALUE|@TYPE …] : NET NET …, the nets in the order
// of the kind's leads. A transformer's windings are NAME=TURNS; a connector's
// leads NAME=NET.
func parse(text string) (Named, error) {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	head := strings.Split(lines[0], "|")
	if len(head) != 3 {
		return Named{}, fmt.Errorf("the first line is not NAME | SOURCE | COMMON: %q", lines[0])
	}
	n := Named{Name: strings.TrimSpace(head[0]), Source: strings.TrimSpace(head[1]),
		Circuit: &circuit.Circuit{Unit: strings.TrimSpace(head[0]), Common: circuit.NetID(strings.TrimSpace(head[2]))}}
	for _, line := range lines[1:] {
		if strings.TrimSpace(line) == "" {
			continue
		}
		p, err := parsePart(line)
		if err != nil {
			return Named{}, fmt.Errorf("%s: %q: %w", n.Name, line, err)
		}
		n.Circuit.Parts = append(n.Circuit.Parts, p)
	}
	n.Circuit.SortParts()
	return n, nil
}

func parsePart(line string) (circuit.Part, error) {
	what, nets, ok := strings.Cut(line, " : ")
	if !ok {
		return circuit.Part{}, fmt.Errorf("no nets")
	}
	w := strings.Fields(what)
	if len(w) < 2 {
		return circuit.Part{}, fmt.Errorf("no kind")
	}
	p := circuit.Part{Ref: circuit.PartRef(w[0]), Kind: circuit.Kind(w[1]), Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	info, ok := circuit.Lookup(p.Kind)
	if !ok {
		return p, fmt.Errorf("no such kind")
	}
	for _, word := range w[2:] {
		if err := p2(&p, info, word); err != nil {
			return p, err
		}
	}
	return p, setLeads(&p, strings.Fields(nets))
}

// p2 takes one word after the kind: a type, a winding, a pole count, a value.
func p2(p *circuit.Part, info circuit.Info, word string) error {
	if t, ok := strings.CutPrefix(word, "@"); ok {
		p.Type = t
		return nil
	}
	if name, turns, ok := strings.Cut(word, "="); ok {
		v, err := quantity.Parse(turns, quantity.None)
		if name == "poles" {
			p.Amounts["poles"] = circuit.Amount{Value: v}
		} else {
			p.Windings = append(p.Windings, circuit.Winding{Name: name, Turns: v})
		}
		return err
	}
	params := info.Params
	if p.Kind == circuit.Zener { // its voltage, before its forward drop
		i := slices.IndexFunc(params, func(q circuit.Param) bool { return q.Name == "zener voltage" })
		params = slices.Concat(params[i:], params[:i])
	}
	for _, param := range params {
		for _, u := range param.Units {
			if v, err := quantity.Parse(word, u); err == nil {
				p.Amounts[param.Name] = circuit.Amount{Value: v, Unit: u}
				return nil
			}
		}
	}
	return fmt.Errorf("no parameter takes %q", word)
}

func setLeads(p *circuit.Part, nets []string) error {
	names := circuit.LeadNames(p.Kind, p.Windings, p.Poles())
	if names == nil {
		for _, n := range nets {
			lead, net, ok := strings.Cut(n, "=")
			if !ok {
				return fmt.Errorf("write LEAD=NET")
			}
			p.Leads = append(p.Leads, circuit.Lead{Name: circuit.LeadName(lead), Net: circuit.NetID(net)})
		}
		return nil
	}
	if len(names) != len(nets) {
		return fmt.Errorf("%d nets for %d leads", len(nets), len(names))
	}
	for i, n := range names {
		p.Leads = append(p.Leads, circuit.Lead{Name: n, Net: circuit.NetID(nets[i])})
	}
	return nil
}
