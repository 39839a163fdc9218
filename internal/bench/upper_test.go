package bench

import (
	"fmt"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/specimen"
)

// bareBoard is a board with copper on both faces and plated holes, its leads cut
// off and its parts taken away, photographed with care, and its truth.
func bareBoard(t *testing.T, seed uint64, width int) *specimen.Specimen {
	t.Helper()
	b, err := specimen.GenerateBoth(t.Context(), 20, 0, specimen.PlatedHoles, seed)
	if err != nil {
		t.Fatal(err)
	}
	b.Laminate, b.Finish, b.Mask = specimen.Cream, specimen.Bare, specimen.NoMask
	b.Legend, b.FoilLegend, b.Etched, b.Drops, b.Jumpers = false, false, nil, nil, nil
	for i := range b.Parts {
		b.Parts[i].Missing = true
	}
	for i := range b.Pads {
		b.Pads[i].Top = specimen.Solder{}
		if b.Pads[i].Solder.Spread == 0 {
			b.Pads[i].Solder = specimen.Solder{Spread: b.Pads[i].Diameter / 2, Height: 0.5, Convex: 0.5}
		}
	}
	s, err := specimen.Render(t.Context(), b, specimen.PlainShot(width, seed))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// openBare opens the job of a bare board: six point pairs, and one connector
// with a lead at every joint on the component side.
func openBare(t *testing.T, s *specimen.Specimen, upper job.Holes) *Bench {
	t.Helper()
	photos := []job.Blob{{Name: "top.jpg", MediaType: "image/jpeg", Data: s.Component.JPEG}, {Name: "bottom.jpg", MediaType: "image/jpeg", Data: s.Foil.JPEG}}
	var leads []string
	for i, j := range s.Truth.Joints {
		leads = append(leads, fmt.Sprintf("%d: {at: [%.1f, %.1f]}", i+1, j.Component.X, j.Component.Y))
	}
	d, problems := job.ReadText([]byte("parts:\n  J1: {kind: connector, leads: {"+strings.Join(leads, ", ")+"}}\n"), "job.yaml")
	if err := job.AsError(problems); err != nil {
		t.Fatal(err)
	}
	for _, p := range s.Truth.Pairs(8, 0.3, 1) {
		d.Align = append(d.Align, job.PointPair{Component: job.PixelAt(p.Component), Foil: job.PixelAt(p.Foil)})
	}
	d.Photos.Component = &job.Photo{File: photos[0].Name, SHA256: photos[0].SHA256()}
	d.Photos.Foil = &job.Photo{File: photos[1].Name, SHA256: photos[1].SHA256()}
	d.Copper.Upper = upper
	b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}, photos...), Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// pairsOf counts the pairs of joints that the circuit puts on one net, and how
// many of them the board joins.
func pairsOf(t *testing.T, b *Bench, truth specimen.Truth) (right, wrong, missed int) {
	t.Helper()
	built, err := b.Circuit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	want := truth.Conductors(false)
	net := make([]circuit.NetID, len(want))
	j1, _ := built.Circuit.Part("J1")
	for _, l := range j1.Leads {
		var i int
		if _, err := fmt.Sscan(string(l.Name), &i); err != nil {
			t.Fatal(err)
		}
		net[i-1] = l.Net
	}
	for i := range want {
		for k := range i {
			switch same := net[i] != "" && net[i] == net[k]; {
			case same && want[i] == want[k]:
				right++
			case same:
				wrong++
			case want[i] == want[k]:
				missed++
			}
		}
	}
	return right, wrong, missed
}

// The circuit of a board with copper on both faces joins what the component
// side's copper joins. Of the first six
// such boards this is one of two whose small pads the tracer finds without
// samples; the others tell nothing of the joining.
func TestCircuitOverBothFaces(t *testing.T) {
	withoutItsPhotograph(t, bareBoard(t, 1, 500))
	s := bareBoard(t, 1, 1400)
	right, wrong, missed := pairsOf(t, openBare(t, s, job.PlatedHoles), s.Truth)
	alone := 0 // pairs that the foil side's copper joins by itself
	for i, j := range s.Truth.Joints {
		for _, k := range s.Truth.Joints[:i] {
			if j.Copper == k.Copper {
				alone++
			}
		}
	}
	t.Logf("%d pairs of joints rightly joined, %d wrongly, %d missed; from the foil side alone %d", right, wrong, missed, alone)
	if wrong > 0 || missed > 0 {
		t.Errorf("%d pairs wrongly joined, %d missed", wrong, missed)
	}
	if alone >= right {
		t.Errorf("the foil side alone gives %d pairs: this board says nothing", alone)
	}
}

// Where the component photograph is missing, the circuit says so.
func withoutItsPhotograph(t *testing.T, s *specimen.Specimen) {
	t.Helper()
	b := openBare(t, s, job.PlatedHoles)
	d := b.document()
	d.Photos.Component = nil
	for i := range d.Parts[0].Leads {
		l := &d.Parts[0].Leads[i]
		foil := job.PixelAt(s.Truth.FoilOf(l.Place.At.Point()))
		l.Place = job.Place{Joint: &foil}
	}
	b, err := New(t.Context(), job.NewMemory(job.Snapshot{Document: d}, job.Blob{Name: "bottom.jpg", MediaType: "image/jpeg", Data: s.Foil.JPEG}), Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	built, err := b.Circuit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range built.Problems {
		if p.Warning && strings.Contains(p.Text, "component side joins nothing yet") {
			return
		}
	}
	t.Errorf("nothing is said of the missing photograph: %+v", built.Problems)
}
