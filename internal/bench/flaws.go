package bench

import (
	"context"
	"fmt"
	"math"
	"slices"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/diagnosis"
	"foilside/internal/num/geom"
)

// What the copper itself may suffer, as shares of all faults. A printed board
// fails by an opening three times as often as by a short (F40 of the outside
// checks, from memory); that an old unit's copper and dirt have a tenth of all
// its faults is common practice.
const (
	crackShare  = 0.05
	bridgeShare = 0.03
	dirtShare   = 0.02
	// Most of each that are looked at, the most exposed places first.
	mostBridges, mostDirt, mostCracks = 40, 20, 40
	// A gap wider than this, in millimetres or as a share of the photo's
	// diagonal, neither solder nor dirt spans.
	widestMM    = 3.0
	widestShare = 0.02
)

// copperFaults are the bridges, dirt and cracks that the foil side makes
// likely; none where the circuit was not landed on copper.
func (b *Bench) copperFaults(ctx context.Context, built *Built) ([]diagnosis.Fault, error) {
	if built.Landed == nil {
		return nil, nil
	}
	c, err := b.Copper(ctx)
	if err != nil {
		return nil, err
	}
	k := key(built.Circuit, built.Landed.Placed, c.Nets, c.Joints)
	return remember(ctx, &b.memo, "flaws", k, func(context.Context) ([]diagnosis.Fault, error) {
		return flaws(c, *built.Landed, built.Circuit, b.mmPerFoilPixel(ctx)), nil
	})
}

func flaws(c *copper.Copper, landed board.Landed, of *circuit.Circuit, mm float64) []diagnosis.Fault {
	out := between(c, landed, of, mm)
	return append(out, cracks(c, landed, of)...)
}

// between are bridges and dirt, by how the nets lie beside each other; a net
// pair that the photo leaves in doubt counts as a bridge too: it may be one net.
func between(c *copper.Copper, landed board.Landed, of *circuit.Circuit, mm float64) []diagnosis.Fault {
	reach := widestShare * math.Hypot(float64(c.Labels.W), float64(c.Labels.H)) * float64(c.Labels.Scale)
	if mm > 0 {
		reach = widestMM / mm
	}
	var pairs []diagnosis.Fault
	for _, e := range board.Exposures(c.Labels, reach) {
		a, okA := landed.Names[e.Nets[0]]
		z, okZ := landed.Names[e.Nets[1]]
		if !okA || !okZ || a == z || !wired(of, a) || !wired(of, z) {
			continue
		}
		f := diagnosis.Fault{Nets: []circuit.NetID{a, z}, Prior: e.Weight, Basis: "spacing and run length of the foil side"}
		f.Word = fmt.Sprintf("%.0f pixels apart along %.0f", e.Width, e.Run)
		if mm > 0 {
			f.Word = fmt.Sprintf("%.1f mm apart along %.0f mm", e.Width*mm, e.Run*mm)
		}
		pairs = append(pairs, f)
	}
	out := shared(pairs, diagnosis.Bridge, mostBridges, bridgeShare)
	out = append(out, shared(pairs, diagnosis.Dirt, mostDirt, dirtShare)...)
	return doubted(out, c, landed, of)
}

// doubted raises the weight of a bridge where the photo leaves open whether
// two nets are one, by the chance that they are.
func doubted(out []diagnosis.Fault, c *copper.Copper, landed board.Landed, of *circuit.Circuit) []diagnosis.Fault {
	for _, d := range c.Doubtful {
		a, okA := landed.Names[d.Nets[0]]
		z, okZ := landed.Names[d.Nets[1]]
		if !okA || !okZ || a == z || !wired(of, a) || !wired(of, z) {
			continue
		}
		at := slices.IndexFunc(out, func(f diagnosis.Fault) bool {
			return f.Name == diagnosis.Bridge && slices.Contains(f.Nets, a) && slices.Contains(f.Nets, z)
		})
		if at < 0 {
			at = len(out)
			out = append(out, diagnosis.Fault{Name: diagnosis.Bridge, Nets: []circuit.NetID{a, z}, Basis: "a doubtful place of the foil photo"})
		}
		out[at].Prior += bridgeShare * d.ProbabilityJoined
		out[at].Word = "the photo leaves open whether they are one net"
	}
	return out
}

// shared gives the likeliest of a list their part of a share.
func shared(list []diagnosis.Fault, name diagnosis.Name, most int, share float64) []diagnosis.Fault {
	list = slices.Clone(list[:min(len(list), most)])
	var total float64
	for _, f := range list {
		total += f.Prior
	}
	for i := range list {
		list[i].Name = name
		list[i].Prior *= share / total
	}
	return list
}

// wired tells whether the circuit has a net.
func wired(c *circuit.Circuit, n circuit.NetID) bool {
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			if l.Net == n {
				return true
			}
		}
	}
	return false
}

// cracks are the stretches of copper whose crack parts leads from others. One
// that parts a single lead does what a dry joint of it does, and is called so.
func cracks(c *copper.Copper, landed board.Landed, of *circuit.Circuit) []diagnosis.Fault {
	leads := leadsAt(c, landed, of)
	var out []diagnosis.Fault
	for _, s := range board.Stretches(c) {
		net, ok := landed.Names[s.Net]
		if !ok {
			continue
		}
		var away []circuit.LeadRef
		for _, j := range s.Away {
			away = append(away, leads[j]...)
		}
		f := diagnosis.Fault{Prior: s.Weight(), Basis: "width and length of the track"}
		switch others := leadCount(of, net) - len(away); {
		case len(away) == 0 || others <= 0:
			continue
		case len(away) == 1:
			f.Name, f.Part, f.Lead, f.Word = diagnosis.DryJoint, away[0].Part, away[0].Lead, "or a crack in the track to it"
		default:
			f.Name, f.Nets, f.Away = diagnosis.Open, []circuit.NetID{net}, away
		}
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(a, b diagnosis.Fault) int {
		switch {
		case a.Prior > b.Prior:
			return -1
		case a.Prior < b.Prior:
			return 1
		}
		return 0
	})
	out = out[:min(len(out), mostCracks)]
	var total float64
	for _, f := range out {
		total += f.Prior
	}
	for i := range out {
		out[i].Prior *= crackShare / total
	}
	return out
}

// leadsAt are the leads in every joint of the copper.
func leadsAt(c *copper.Copper, landed board.Landed, of *circuit.Circuit) map[int][]circuit.LeadRef {
	out := map[int][]circuit.LeadRef{}
	for _, p := range landed.Placed {
		if part, ok := of.Part(p.Lead.Part); !ok || part.Net(p.Lead.Lead) == "" {
			continue // an end of a wire
		}
		best, far := -1, math.Inf(1)
		for j, at := range c.Joints {
			if at.Net == nil || *at.Net != p.Copper {
				continue
			}
			if d := p.At.Dist(geom.Point{X: at.X, Y: at.Y}); d < far {
				best, far = j, d
			}
		}
		if best >= 0 {
			out[best] = append(out[best], p.Lead)
		}
	}
	return out
}

// leadCount counts the leads of a net.
func leadCount(c *circuit.Circuit, net circuit.NetID) int {
	n := 0
	for _, p := range c.Parts {
		for _, l := range p.Leads {
			if l.Net == net {
				n++
			}
		}
	}
	return n
}
