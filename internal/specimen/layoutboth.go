package specimen

import (
	"math"

	"foilside/internal/num/geom"
)

// layBoth routes about half the nets on each face, joins what is left over on
// the other face, and takes stretches of some tracks through to the component
// side. What then remains becomes wires on the foil side.
func (t *table) layBoth(b *Board, foil *router, s Style) {
	upper := newRouter(t.size, foil.rules, b.Mounts)
	upper.pads = foil.pads
	order := t.order()
	foil.names, upper.names = order, order
	home := map[string]*router{}
	lists := map[*router][]string{}
	for _, n := range order {
		r := foil
		if t.r.Float64() < 0.5 {
			r = upper
		}
		home[n] = r
		lists[r] = append(lists[r], n)
	}
	foil.lay(lists[foil])
	upper.lay(lists[upper])
	var jumpers []Jumper
	for _, n := range order {
		other := foil
		if home[n] == foil {
			other = upper
		}
		jumpers = append(jumpers, mendNet(n, home[n], other)...)
	}
	b.Upper = &Upper{Holes: s.Both, Tracks: upper.copper()}
	t.finish(b, foil, nil, jumpers, s)
	t.finishUpper(b, s)
}

// copper are the router's tracks without the wires it noted.
func (r *router) copper() []Track {
	var out []Track
	for _, n := range r.names {
		for _, tr := range r.tracks[n] {
			if tr.Width > 0 {
				out = append(out, tr)
			}
		}
	}
	return out
}

// mendNet joins the pieces of a net that its own face could not, by a track on
// the other face from pad to pad, else by an insulated wire.
func mendNet(net string, home, other *router) (jumpers []Jumper) {
	for {
		parts := home.pieces(net)
		if len(parts) < 2 {
			return jumpers
		}
		if home.joinByTrack(net, parts) {
			continue
		}
		other.bar(net, other.width/2)
		from, to := home.padCells(net, parts[0]), home.padCells(net, union(parts[1:]))
		if path := other.search(from, to, false); path != nil {
			other.tracks[net] = append(other.tracks[net], Track{Net: net, Width: other.width, Path: other.straighten(path)})
			home.joinByWire(net, path[0], path[len(path)-1])
			continue
		}
		a, c := nearest(home, parts[0], parts[1])
		jumpers = append(jumpers, Jumper{Net: net, Width: 1.3, Path: home.slack(a, c)})
		home.joinByWire(net, home.cell(a), home.cell(c))
	}
}

// padCells are the cells of a net's pads in a piece.
func (r *router) padCells(net string, piece map[int]bool) map[int]bool {
	out := map[int]bool{}
	for _, p := range r.pads {
		if c := r.cell(p.a); p.net == net && piece[c] {
			out[c] = true
		}
	}
	return out
}

// finishUpper draws the component side's copper and makes its joints.
func (t *table) finishUpper(b *Board, s Style) {
	t.upperPads(b)
	t.vias(b, s)
	u, _ := b.upperBoard()
	d := newDraughtsman(&u, s.Gap)
	if s.Wide > s.Width {
		d.widen(s.Wide, t.r)
	}
	if s.Rounded {
		d.round()
	}
	if s.Teardrop {
		d.teardrops()
	}
	if s.Pour {
		pour(&u, s.Gap)
	}
	b.Upper.Tracks, b.Upper.Areas = u.Tracks, u.Areas
}

// upperPads gives pads copper on the component side: all of them where holes
// are plated, else those on which a track ends there and some more.
func (t *table) upperPads(b *Board) {
	for i := range b.Pads {
		p := &b.Pads[i]
		ends := b.Upper.endsAt(p.At)
		if b.Upper.Holes == PlainHoles && !ends && t.r.Float64() > 0.2 {
			continue
		}
		p.Upper = p.Diameter * between(t.r, 0.85, 1)
		if p.Solder.Spread <= 0 {
			continue
		}
		if ends && b.Upper.Holes == PlainHoles || b.Upper.Holes == PlatedHoles && t.r.Float64() < 0.5 {
			p.Top = randomSolder(p.Upper, 0.3, t.r)
			p.Top.Height *= 0.6
		}
	}
}

// endsAt tells whether a track of the component side touches the pad at p.
func (u *Upper) endsAt(p geom.Point) bool {
	for _, t := range u.Tracks {
		for i := 1; i < len(t.Path); i++ {
			if _, d := along(t.Path[i-1], t.Path[i], p); d < 0.01 {
				return true
			}
		}
	}
	return false
}

const (
	viaPad   = 1.5  // diameter of a via's copper, mm
	viaHole  = 0.6  // of its hole
	viaReach = 12.0 // least length of a straight stretch that is taken through
)

// vias take the middle of some long straight tracks to the component side.
func (t *table) vias(b *Board, s Style) {
	for i := range len(b.Tracks) {
		tr := b.Tracks[i]
		k := longest(tr.Path)
		if k == 0 || tr.Taper > 0 || t.r.Float64() < 0.4 {
			continue
		}
		a, c := tr.Path[k-1], tr.Path[k]
		if a.Dist(c) < viaReach {
			continue
		}
		p, q := a.Add(c.Sub(a).Scale(between(t.r, 0.2, 0.35))), a.Add(c.Sub(a).Scale(between(t.r, 0.65, 0.8)))
		if !t.clearVia(b, tr.Net, p, s) || !t.clearVia(b, tr.Net, q, s) || !t.clearUpper(b, Track{Net: tr.Net, Width: tr.Width, Path: []geom.Point{p, q}}, s) {
			continue
		}
		first := append(append([]geom.Point{}, tr.Path[:k]...), p)
		rest := append([]geom.Point{q}, tr.Path[k:]...)
		b.Tracks[i].Path = first
		b.Tracks = append(b.Tracks, Track{Net: tr.Net, Width: tr.Width, Path: rest})
		b.Upper.Tracks = append(b.Upper.Tracks, Track{Net: tr.Net, Width: math.Min(tr.Width, viaPad), Path: []geom.Point{p, q}})
		b.Pads = append(b.Pads, t.via(b, tr.Net, p), t.via(b, tr.Net, q))
	}
}

// longest is the number of the end of a path's longest straight piece.
func longest(path []geom.Point) int {
	k, best := 0, 0.0
	for i := 1; i < len(path); i++ {
		if d := path[i].Dist(path[i-1]); d > best {
			k, best = i, d
		}
	}
	return k
}

func (t *table) clearVia(b *Board, net string, p geom.Point, s Style) bool {
	spot := Track{Net: net, Width: viaPad, Path: []geom.Point{p, p}}
	return newDraughtsman(b, s.Gap).clear(spot) && t.clearUpper(b, spot, s) && b.holesApart(p)
}

// holesApart tells whether no other hole is near p.
func (b *Board) holesApart(p geom.Point) bool {
	for _, q := range b.Pads {
		if q.At.Dist(p) < q.Diameter/2+viaPad/2+0.3 {
			return false
		}
	}
	return true
}

func (t *table) clearUpper(b *Board, tr Track, s Style) bool {
	u, _ := b.upperBoard()
	return newDraughtsman(&u, s.Gap).clear(tr)
}

// via is a hole that takes a track to the other face: plated, or with a piece
// of wire soldered on both.
func (t *table) via(b *Board, net string, p geom.Point) Pad {
	v := Pad{Net: net, At: p, Diameter: viaPad, Upper: viaPad, Hole: viaHole, Wire: true}
	if b.Upper.Holes == PlainHoles || t.r.Float64() < 0.4 {
		v.Solder = randomSolder(viaPad, 0.2, t.r)
		v.Top = randomSolder(viaPad, 0.2, t.r)
		v.Top.Height *= 0.6
	}
	return v
}
