package httpapi

import (
	"context"
	"math"
	"strconv"
	"strings"

	"foilside/internal/align"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

// WorkingCopy is the photo that the page shows.
func (l *live) WorkingCopy(ctx context.Context, side Side) ([]byte, error) {
	data, _, err := l.bench.WorkingCopy(ctx, job.Face(side))
	return data, fault(err)
}

// Alignment is the map that the program itself uses, so that the page's view
// through the board agrees with where leads land.
func (l *live) Alignment(ctx context.Context) (Alignment, error) {
	f, err := l.bench.Faces(ctx)
	if err != nil {
		return Alignment{}, fault(err)
	}
	r := f.Alignment.Report(f.Frame)
	out := Alignment{Matrix: r.Exact.Matrix, ResidualPx: r.ResidualPx, ResidualMM: r.ResidualMM, Found: r.Found,
		Lens: Lenses{Component: lensWire(r.Exact.Lens.Component), Foil: lensWire(r.Exact.Lens.Foil)}}
	out.Confidence, out.Spread = r.Confidence, spreadWire(r.ErrorPx, r.MMPerPixel)
	for i, p := range l.bench.Snapshot().Document.Align {
		off := f.Alignment.ToFoil(p.Component.Point()).Dist(p.Foil.Point())
		fit := PairFit{ResidualPx: off, Bad: leftOut(r.Left, i+1)}
		if r.MMPerPixel != nil {
			mm := off * *r.MMPerPixel
			fit.ResidualMM = &mm
		}
		out.Pairs = append(out.Pairs, fit)
	}
	return out, nil
}

// spreadWire is how far the map may be off over the component photo. nil where
// some place of it tells nothing.
func spreadWire(m align.ErrorMap, mm *float64) *Spread {
	if m.Columns < 2 || m.Rows < 2 || len(m.Places) != m.Columns*m.Rows {
		return nil
	}
	out := &Spread{Columns: m.Columns, Rows: m.Rows}
	for _, p := range m.Places {
		if p.Error95 <= 0 {
			return nil
		}
		out.OffPx = append(out.OffPx, p.Error95)
	}
	if mm != nil {
		out.MMPerPx = *mm
	}
	return out
}

func lensWire(t align.LensTerm) Lens { return Lens{Centre: t.Centre, Norm: t.Norm, K1: t.K1} }

func leftOut(left []align.Misfit, pair int) bool {
	for _, m := range left {
		if m.Pair == pair {
			return true
		}
	}
	return false
}

func netName(id copper.NetID) string { return "N" + strconv.Itoa(int(id)) }

// Copper is the foil side as nets.
func (l *live) Copper(ctx context.Context) (Copper, error) {
	c, err := l.bench.Copper(ctx)
	if err != nil {
		return Copper{}, fault(err)
	}
	foil, err := l.bench.Photo(ctx, job.FoilSide)
	if err != nil {
		return Copper{}, fault(err)
	}
	out := Copper{Width: foil.Width(), Height: foil.Height(), Labels: labelsWire(c.Labels)}
	for _, n := range c.Nets {
		out.Nets = append(out.Nets, Net{ID: netName(n.ID), AreaMM2: n.AreaMM2, AreaPx: n.AreaPX})
	}
	for _, j := range c.Joints {
		joint := Joint{X: j.X, Y: j.Y}
		if j.Net != nil {
			joint.Net = netName(*j.Net)
		}
		out.Joints = append(out.Joints, joint)
	}
	for _, d := range c.Doubtful {
		out.Doubtful = append(out.Doubtful, Doubtful{X: d.X, Y: d.Y, Nets: [2]string{netName(d.Nets[0]), netName(d.Nets[1])},
			ProbabilityJoined: d.ProbabilityJoined, Between: [2]Point{pointWire(d.Between[0]), pointWire(d.Between[1])}})
	}
	return out, nil
}

// NetLook is one net looked at closely.
func (l *live) NetLook(ctx context.Context, net string) (NetLook, error) {
	n, err := strconv.Atoi(strings.TrimPrefix(net, "N"))
	if err != nil {
		return NetLook{}, fault(err)
	}
	look, err := l.bench.NetLook(ctx, copper.NetID(n))
	if err != nil {
		return NetLook{}, fault(err)
	}
	mm := func(px float64) *float64 {
		if look.MMPerPixel <= 0 {
			return nil
		}
		v := px * look.MMPerPixel
		return &v
	}
	out := NetLook{Net: net}
	if t := look.Tracks; t != nil {
		out.Tracks = &Tracks{UsualPx: t.Usual, UsualMM: mm(t.Usual), LeastPx: t.Least, LeastMM: mm(t.Least), Narrow: pointWire(t.Narrow)}
	}
	for _, f := range look.Neighbours {
		out.Neighbours = append(out.Neighbours, Neighbour{Net: netName(f.Net), WidthPx: f.Width, WidthMM: mm(f.Width),
			From: pointWire(f.From), To: pointWire(f.To)})
	}
	return out, nil
}

func pointWire(p geom.Point) Point {
	tenth := func(v float64) float64 { return math.Round(v*10) / 10 }
	return Point{tenth(p.X), tenth(p.Y)}
}

// Circuit is every net with the leads on it, and where those can be touched.
func (l *live) Circuit(ctx context.Context) (Circuit, error) {
	built, err := l.bench.Circuit(ctx)
	if err != nil {
		return Circuit{}, fault(err)
	}
	out := Circuit{Common: string(built.Circuit.Common)}
	for _, p := range built.Problems {
		out.Problems = append(out.Problems, Trouble{Text: p.Text, Part: string(p.Part)})
	}
	foil, pieces := map[circuit.LeadRef]Point{}, map[circuit.NetID][]string{}
	if built.Landed != nil {
		for _, p := range built.Landed.Placed {
			foil[p.Lead] = pointWire(p.At)
		}
		for id, net := range built.Landed.Names {
			pieces[net] = append(pieces[net], netName(id))
		}
	}
	for _, n := range built.Circuit.Nets() {
		out.Nets = append(out.Nets, circuitNet(n, pieces[n.ID], foil))
	}
	return out, nil
}

func circuitNet(n circuit.Net, pieces []string, foil map[circuit.LeadRef]Point) CircuitNet {
	out := CircuitNet{ID: string(n.ID), Copper: pieces}
	for _, lead := range n.Leads {
		place := LeadPlace{Part: string(lead.Part), Lead: string(lead.Lead)}
		if at, ok := foil[lead]; ok {
			place.Foil = &at
		}
		out.Leads = append(out.Leads, place)
	}
	return out
}
