package specimen

import (
	"fmt"
	"math"

	"foilside/internal/num/geom"
)

// perforated makes a board of ready-made pads or strips on the pitch, wired by
// hand with runs of solder, bare wire and insulated wire.
func (v *variation) perforated(style Style) {
	r := v.r
	nx, ny := 8+r.IntN(26), 6+r.IntN(16)
	rim := between(r, 1.5, 5)
	b := &Board{
		Size:   geom.Point{X: float64(nx-1)*pitch + 2*rim, Y: float64(ny-1)*pitch + 2*rim},
		Corner: oneOf(r, 0.3, 1.5), Laminate: Cream, Finish: style.Finish, Wear: style.Wear,
	}
	v.b, v.gap = b, 0.5
	p := &perf{v: v, nx: nx, ny: ny, pad: between(r, 1.6, 2.1), net: make([]string, nx*ny)}
	p.origin = geom.Point{X: rim, Y: rim}
	b.Look = v.look()
	b.Look.Bulge = between(r, 0.2, 0.7) * (pitch - p.pad) / 2
	if r.Float64() < 0.3 {
		p.strips()
	} else {
		for range 2 + r.IntN(nx*ny/14+1) {
			p.walk()
		}
	}
	p.pads()
	p.lone()
	if r.Float64() < 0.5 {
		b.Mounts = cornerMountsIn(b.Size, rim*0.5, rim*0.6)
	}
}

func cornerMountsIn(size geom.Point, in, d float64) []Mount {
	return []Mount{{geom.Point{X: in, Y: in}, d}, {geom.Point{X: size.X - in, Y: size.Y - in}, d}}
}

// perf is a perforated board being wired.
type perf struct {
	v      *variation
	nx, ny int
	origin geom.Point
	pad    float64
	net    []string // of each hole, row by row
}

func (p *perf) at(i int) geom.Point {
	return p.origin.Add(geom.Point{X: float64(i%p.nx) * pitch, Y: float64(i/p.nx) * pitch})
}

// strips joins the holes of each row, with cuts.
func (p *perf) strips() {
	r, b := p.v.r, p.v.b
	n := 0
	for y := range p.ny {
		for x := 0; x < p.nx; {
			end := p.nx - 1
			if r.Float64() < 0.5 {
				end = min(p.nx-1, x+2+r.IntN(p.nx))
			}
			n++
			name := fmt.Sprintf("strip %d", n)
			for k := x; k <= end; k++ {
				p.net[y*p.nx+k] = name
			}
			b.Tracks = append(b.Tracks, Track{Net: name, Width: p.pad, Path: []geom.Point{p.at(y*p.nx + x), p.at(y*p.nx + end)}})
			x = end + 1
		}
	}
}

// walk joins neighbouring holes by a run of solder.
func (p *perf) walk() {
	r, b := p.v.r, p.v.b
	i := r.IntN(p.nx * p.ny)
	if p.net[i] != "" {
		return
	}
	name := fmt.Sprintf("run %d", i)
	p.net[i] = name
	path := []geom.Point{p.at(i)}
	way := r.IntN(4)
	for range 1 + r.IntN(9) {
		if r.Float64() < 0.25 {
			way = r.IntN(4)
		}
		j, ok := p.step(i, way)
		if !ok || p.net[j] != "" {
			break
		}
		p.net[j] = name
		path = append(path, p.at(j))
		i = j
	}
	if len(path) < 2 {
		return
	}
	b.Tracks = append(b.Tracks, Track{Net: name, Width: between(r, 0.6, 1.4), Path: path})
	b.Look.Runs = append(b.Look.Runs, Run{len(b.Tracks) - 1, 0, 1, between(r, 0.7, 1.1), r.Float64(), Solder{
		Height: between(r, 0.3, 1), Convex: r.Float64(), Dull: math.Pow(r.Float64(), 2),
	}})
}

func (p *perf) step(i, way int) (int, bool) {
	x, y := i%p.nx+[]int{1, 0, -1, 0}[way], i/p.nx+[]int{0, 1, 0, -1}[way]
	return y*p.nx + x, x >= 0 && y >= 0 && x < p.nx && y < p.ny
}

// pads gives every hole its pad, those on runs their joints.
func (p *perf) pads() {
	r, b := p.v.r, p.v.b
	hole := p.pad * between(r, 0.45, 0.6)
	careless, lone := r.Float64(), r.Float64()*0.2
	for i, net := range p.net {
		if net == "" {
			net = fmt.Sprintf("hole %d", i)
		}
		q := Pad{Net: net, At: p.at(i), Diameter: p.pad, Hole: hole}
		if p.net[i] != "" && r.Float64() < 0.5 || r.Float64() < lone {
			q.Solder = randomSolder(q.Diameter, careless, r)
			q.Solder.Toward = r.Float64() * 2 * math.Pi
			if r.Float64() < 0.2 {
				q.Solder.Lead = between(r, 0.7, 5)
			}
		}
		b.Pads = append(b.Pads, q)
	}
}

// lone joins single soldered holes in pairs, so that wires can run between.
func (p *perf) lone() {
	b := p.v.b
	last := -1
	for i := range b.Pads {
		if p.net[i] != "" || b.Pads[i].Solder.Spread <= 0 || p.v.r.Float64() < 0.3 {
			continue
		}
		if last < 0 {
			last = i
			continue
		}
		b.Pads[i].Net = b.Pads[last].Net
		p.v.link(b.Pads[last].At, b.Pads[i].At, b.Pads[i].Net)
		last = -1
	}
}
