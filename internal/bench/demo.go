package bench

import (
	"context"
	"math"
	"math/rand/v2"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/num/geom"
	"foilside/internal/specimen"
)

// DemoTitle names a demonstration.
type DemoTitle struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Story string `json:"story"` // what the unit's owner says
}

// DemoTitles lists the demonstrations.
func DemoTitles() ([]DemoTitle, error) {
	var out []DemoTitle
	for _, n := range specimen.Names() {
		d, err := specimen.About(n)
		if err != nil {
			return nil, NotDone(err)
		}
		out = append(out, DemoTitle{Name: n, Title: d.Title, Story: d.Story})
	}
	return out, nil
}

// What a demonstration job comes with, as a person would have marked it.
const (
	demoPairs   = 8
	demoSamples = 6   // of copper, and as many of bare board
	demoAim     = 1.0 // pixels that a hand is off
)

// DemoJob makes a demonstration job: its two photographs and, unless only the
// photographs are asked for, all that a person marks on them before the first
// reading. The leads stand on the photograph, so the nets come from the copper.
func DemoJob(ctx context.Context, name string, photosOnly bool) (job.Document, []job.Blob, error) {
	demo, err := specimen.Demo(ctx, name)
	if err != nil {
		return job.Document{}, nil, BadInput(err, "foilside demo --list tells the names")
	}
	s, err := specimen.Render(ctx, demo.Board, demo.Shot)
	if err != nil {
		return job.Document{}, nil, NotDone(err)
	}
	d, problems := job.ReadText([]byte(demo.Job), name+".yaml")
	if err := job.AsError(problems); err != nil {
		return job.Document{}, nil, NotDone(err)
	}
	if photosOnly {
		d = job.Document{Unit: d.Unit}
	} else {
		m := marker{doc: &d, truth: s.Truth, rng: rand.New(rand.NewPCG(demo.Shot.Seed, 0x6d61726b))}
		m.mark()
	}
	photos := []job.Blob{
		{Name: name + "-component.jpg", MediaType: "image/jpeg", Data: s.Component.JPEG},
		{Name: name + "-foil.jpg", MediaType: "image/jpeg", Data: s.Foil.JPEG},
	}
	d.Demonstration = name
	d.Photos.Component = &job.Photo{File: photos[0].Name, SHA256: photos[0].SHA256()}
	d.Photos.Foil = &job.Photo{File: photos[1].Name, SHA256: photos[1].SHA256()}
	return d, photos, nil
}

// marker marks on the photographs what a careful person would.
type marker struct {
	doc   *job.Document
	truth specimen.Truth
	rng   *rand.Rand
}

func (m marker) mark() {
	seed := m.rng.Uint64()
	for _, p := range m.truth.Pairs(demoPairs, demoAim, seed) {
		m.doc.Align = append(m.doc.Align, job.PointPair{Component: job.PixelAt(round(p.Component)), Foil: job.PixelAt(round(p.Foil))})
	}
	copper, bare := m.truth.Samples(demoSamples, seed)
	for _, p := range copper {
		m.doc.Copper.Samples.Copper = append(m.doc.Copper.Samples.Copper, job.PixelAt(p))
	}
	for _, p := range bare {
		m.doc.Copper.Samples.Bare = append(m.doc.Copper.Samples.Bare, job.PixelAt(p))
	}
	m.scale()
	m.leads()
	m.links()
}

// scale takes the board's width for the known distance.
func (m marker) scale() {
	b := m.truth.Board
	from, to := geom.Point{X: 0.1 * b.Size.X, Y: b.Size.Y / 2}, geom.Point{X: 0.9 * b.Size.X, Y: b.Size.Y / 2}
	m.doc.Scale = &job.Scale{From: job.PixelAt(round(m.truth.Component.ToPixel(from))), To: job.PixelAt(round(m.truth.Component.ToPixel(to))),
		MM: math.Round(10*0.8*b.Size.X) / 10, On: job.ComponentSide}
}

// leads puts every lead that has a joint where it shows on the component side,
// and keeps the nets' names by a place on their copper.
func (m marker) leads() {
	named := map[circuit.NetID]bool{}
	for _, j := range m.truth.Joints {
		place := m.doc.PlaceOf(circuit.PartRef(j.Part), circuit.LeadName(j.Lead))
		if place == nil {
			continue
		}
		if net := place.Net; net != "" && !named[net] {
			named[net] = true
			m.doc.Nets = append(m.doc.Nets, job.NamedNet{Name: net, Joint: job.PixelAt(round(j.Foil))})
		}
		at := job.PixelAt(round(m.aim(j.Component)))
		*place = job.Place{At: &at}
	}
}

// links are the wire links on the component side and the wires on the foil
// side: what joins copper without being copper.
func (m marker) links() {
	ends := map[string][]job.Place{}
	var order []string
	for _, j := range m.truth.Joints {
		if _, ok := m.doc.Part(circuit.PartRef(j.Part)); ok || j.Part == "" {
			continue
		}
		if len(ends[j.Part]) == 0 {
			order = append(order, j.Part)
		}
		at := job.PixelAt(round(m.aim(j.Component)))
		ends[j.Part] = append(ends[j.Part], job.Place{At: &at})
	}
	for _, w := range order {
		if e := ends[w]; len(e) == 2 {
			m.doc.Wires = append(m.doc.Wires, job.Wire{From: e[0], To: e[1]})
		}
	}
	for _, j := range m.truth.Board.Jumpers {
		from := job.PixelAt(round(m.truth.Foil.ToPixel(j.Path[0])))
		to := job.PixelAt(round(m.truth.Foil.ToPixel(j.Path[len(j.Path)-1])))
		m.doc.Wires = append(m.doc.Wires, job.Wire{From: job.Place{Joint: &from}, To: job.Place{Joint: &to}})
	}
}

// aim is a place as a hand would point at it.
func (m marker) aim(p geom.Point) geom.Point {
	return p.Add(geom.Point{X: demoAim * m.rng.NormFloat64(), Y: demoAim * m.rng.NormFloat64()})
}

func round(p geom.Point) geom.Point { return geom.Point{X: math.Round(p.X), Y: math.Round(p.Y)} }
