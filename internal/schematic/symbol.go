package schematic

import (
	"fmt"

	"foilside/internal/circuit"
)

// port is where a lead leaves a symbol.
type port struct {
	name circuit.LeadName
	at   Point // on the grid
	out  Side
	text string // printed beside the lead; "" prints nothing
}

// symbol is a part's figure about its own origin, the first lead up.
type symbol struct {
	strokes []Stroke
	ports   []port
	body    Box // without the stubs of leads that have text beside them
	// upright symbols are not turned by quarters: blocks with pins by use.
	upright bool
	// flips allows the symbol to be turned upside down as a mirror image.
	flips bool
	cost  float64 // how much a draughtsman would rather have another variant
}

// twoLead are the ports of a symbol that stands upright: a above, b below.
func twoLead(a, b circuit.LeadName) []port {
	return []port{{name: a, at: Point{0, -20}, out: Up}, {name: b, at: Point{0, 20}, out: Down}}
}

// finish closes a symbol whose box is the box of its strokes and leads.
func (p *pen) finish(ports []port) symbol {
	b := strokeBox(p.strokes)
	for _, q := range ports {
		b = b.union(Box{X: q.at.X, Y: q.at.Y})
	}
	return symbol{strokes: p.strokes, ports: ports, body: b}
}

// symbolOf draws the part's symbol by the standard.
//
// Errors:  a kind without a symbol.
func symbolOf(p circuit.Part, std Standard) (symbol, error) {
	for _, draw := range []func(circuit.Part, Standard) (symbol, bool){
		passiveSymbol, junctionSymbol, transistorSymbol, tubeSymbol, contactSymbol, sourceSymbol, soundSymbol, blockSymbol,
	} {
		if s, ok := draw(p, std); ok {
			return s.onlyLeadsOf(p), nil
		}
	}
	return symbol{}, fmt.Errorf("%s: there is no symbol for a %q; draw it as a connector, or correct its kind", p.Ref, p.Kind)
}

// onlyLeadsOf drops ports that the part has no lead for: an unused pin that
// was not written down stays a stub.
func (s symbol) onlyLeadsOf(p circuit.Part) symbol {
	var kept []port
	for _, q := range s.ports {
		if p.Net(q.name) != "" {
			kept = append(kept, q)
		}
	}
	s.ports = kept
	return s
}
