package schematic

import (
	"slices"
	"strings"

	"foilside/internal/circuit"
)

// railKind is how a net that the whole circuit hangs on is shown.
type railKind uint8

const (
	noRail       railKind = iota
	supplyRail            // above
	commonRail            // below, the earth or frame sign
	negativeRail          // below, by its name
)

// up tells whether the rail's marks lead upward.
func (k railKind) up() bool { return k == supplyRail }

// netView is the circuit by nets, in natural order.
type netView struct {
	nets      []circuit.Net
	index     map[circuit.NetID]int
	rail      []railKind
	level     []float64                // 1 at the supply, 0 at common; see level.go
	volts     []float64                // of a supply's net, NaN-free: 0 where unknown
	known     []bool                   // volts is known
	sheet     int                      // which one this is
	elsewhere [][]int                  // the other sheets that a net is on; nil where there is one sheet
	back      map[circuit.PartRef]bool // parts that lead from an output back to its own input
}

// viewNets finds the rails.
func viewNets(c *circuit.Circuit) *netView {
	v := &netView{nets: c.Nets(), index: map[circuit.NetID]int{}}
	for i, n := range v.nets {
		v.index[n.ID] = i
	}
	v.rail = make([]railKind, len(v.nets))
	v.volts = make([]float64, len(v.nets))
	v.known = make([]bool, len(v.nets))
	common := v.findCommon(c)
	if common >= 0 {
		v.rail[common] = commonRail
	}
	v.findSupplies(c, common)
	v.findFeedback(c)
	return v
}

// findCommon is the net that the person named, or else the net that speaks
// most for itself: a source's minus, an earthy name, many leads.
func (v *netView) findCommon(c *circuit.Circuit) int {
	if i, ok := v.index[c.Common]; ok {
		return i
	}
	best, bestScore := -1, 2
	for i, n := range v.nets {
		score := len(n.Leads)
		if len(n.Leads) < 2 {
			continue
		}
		if earthy(n.ID) {
			score += 20
		}
		for _, l := range n.Leads {
			if p, _ := c.Part(l.Part); (p.Kind == circuit.Battery || p.Kind == circuit.Supply) && l.Lead == "-" {
				score += 10
			}
		}
		if score > bestScore {
			best, bestScore = i, score
		}
	}
	return best
}

func earthy(id circuit.NetID) bool {
	switch strings.ToLower(string(id)) {
	case "0", "0v", "gnd", "ground", "common", "chassis", "earth", "frame", "minus":
		return true
	}
	return false
}

func supplyName(id circuit.NetID) bool {
	s := strings.ToLower(string(id))
	for _, word := range []string{"supply", "vcc", "vdd", "b+", "plus"} {
		if strings.HasPrefix(s, word) {
			return true
		}
	}
	return strings.HasPrefix(s, "+")
}

// findSupplies marks as rails what the sources feed, also through switches
// and fuses, where enough leads hang on it to be worth a rail.
func (v *netView) findSupplies(c *circuit.Circuit, common int) {
	for _, p := range c.Parts {
		if p.Kind != circuit.Battery && p.Kind != circuit.Supply {
			continue
		}
		plus, minus := v.index[p.Net("+")], v.index[p.Net("-")]
		volts, known := p.Amount("voltage")
		switch {
		case minus == common && plus != common:
			v.feed(c, plus, supplyRail, volts, known)
		case plus == common && minus != common:
			v.feed(c, minus, negativeRail, -volts, known)
		}
	}
	if slices.Contains(v.rail, supplyRail) || slices.Contains(v.rail, negativeRail) {
		return
	}
	for i, n := range v.nets { // no source was placed: go by the names
		if v.rail[i] == noRail && supplyName(n.ID) && len(n.Leads) > 2 {
			v.rail[i] = supplyRail
		}
	}
}

// feed follows a source through closed paths and makes rails of the nets with
// many leads. A net with few leads stays a wire.
func (v *netView) feed(c *circuit.Circuit, start int, kind railKind, volts float64, known bool) {
	seen := map[int]bool{start: true}
	queue := []int{start}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		if v.rail[i] == noRail {
			if len(v.nets[i].Leads) >= railLeads || v.feedsBlock(c, i) || kind == supplyRail && i == start && !v.isSwitched(c, i) {
				v.rail[i] = kind
			}
			v.volts[i], v.known[i] = volts, known
		}
		for _, l := range v.nets[i].Leads {
			p, _ := c.Part(l.Part)
			if (p.Kind != circuit.Switch && p.Kind != circuit.Fuse) || len(p.Leads) != 2 {
				continue
			}
			for _, q := range p.Leads {
				if j := v.index[q.Net]; !seen[j] && v.rail[j] != commonRail {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
	}
}

// isSwitched tells whether a net is only the wire from a source to its switch
// or fuse.
func (v *netView) isSwitched(c *circuit.Circuit, net int) bool {
	for _, l := range v.nets[net].Leads {
		if p, _ := c.Part(l.Part); p.Kind == circuit.Switch || p.Kind == circuit.Fuse || p.Kind == circuit.Changeover {
			return true
		}
	}
	return false
}

// feedsBlock tells whether a supply pin of an integrated circuit is on the net:
// such a supply is always shown as a rail.
func (v *netView) feedsBlock(c *circuit.Circuit, net int) bool {
	for _, l := range v.nets[net].Leads {
		p, _ := c.Part(l.Part)
		if p.Kind == circuit.OpAmp && (l.Lead == "v+" || l.Lead == "v-") || p.Kind == circuit.Timer555 && l.Lead == "8" {
			return true
		}
	}
	return false
}

// railLeads is how many leads make a supply net a rail.
const railLeads = 3
