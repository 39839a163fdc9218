package bench

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/schematic"
)

// stood remembers where parts stood on the last drawing, so that the next one
// differs little from it.
type stood struct {
	mu   sync.Mutex
	last map[schematic.Standard]standing
}

// standing is one drawing's places, and how many parts it had when it was last
// placed from nothing.
type standing struct {
	places []schematic.Place
	whole  int
}

func (s *stood) note(std schematic.Standard, places []schematic.Place, afresh bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.last == nil {
		s.last = map[schematic.Standard]standing{}
	}
	whole := s.last[std].whole
	if afresh {
		whole = len(places)
	}
	s.last[std] = standing{places, whole}
}

// of returns the last places while the circuit has grown little since it was
// placed from nothing: what is only ever added to becomes a patchwork.
func (s *stood) of(std schematic.Standard, parts int) []schematic.Place {
	s.mu.Lock()
	defer s.mu.Unlock()
	last := s.last[std]
	if whole := last.whole; whole == 0 || parts > whole+max(1, whole/10) || parts < whole-whole/4 {
		return nil
	}
	return last.places
}

// places are where the parts should stay: as the job keeps them, or else as
// they stood on the last drawing.
func (b *Bench) places(o DrawOptions, c *circuit.Circuit) []schematic.Place {
	if o.Afresh {
		return nil
	}
	d := b.document()
	if len(d.Layout) == 0 {
		return b.stood.of(o.Standard, len(c.Parts))
	}
	var out []schematic.Place
	for _, s := range d.Layout {
		out = append(out, schematic.Place{Ref: s.Part, X: s.X, Y: s.Y, Orient: schematic.Orient{Mirror: s.Mirror, Quarters: s.Turn / 90},
			Variant: s.Figure, Caption: s.Caption, Sheet: s.Sheet, Pinned: s.Pinned})
	}
	return out
}

// Hand says what a move of a hand on the drawing does to the job, and names it:
// from then on the job keeps where every part stands.
func (b *Bench) Hand(ctx context.Context, o DrawOptions, h schematic.Hand) (func(*job.Document) error, string, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return nil, "", err
	}
	o.Afresh = false
	d, err := b.Drawing(ctx, o)
	if err != nil {
		return nil, "", err
	}
	places, err := schematic.Laid(built.Circuit, d.Places(), h, schematic.Options{Standard: o.Standard, Value: o.Value})
	if err != nil {
		return nil, "", BadInput(err)
	}
	return keepPlaces(places), handLabel(h), nil
}

func handLabel(h schematic.Hand) string {
	var names []string
	for _, p := range h.Parts {
		names = append(names, string(p))
	}
	what := strings.Join(names, ", ")
	if len(names) > 4 {
		what = fmt.Sprintf("%d parts", len(names))
	}
	return strings.ToUpper(string(h.Move[:1])) + string(h.Move[1:]) + " " + what + " on the drawing"
}

// KeepLayout keeps in the job where the parts of a drawing stand.
func (b *Bench) KeepLayout(ctx context.Context, d schematic.Drawing) error {
	_, err := b.Revise(ctx, "Keep the drawing's layout", keepPlaces(d.Places()))
	return err
}

func keepPlaces(places []schematic.Place) func(*job.Document) error {
	return func(d *job.Document) error {
		for _, p := range places {
			d.SetStanding(job.Standing{Part: p.Ref, X: p.X, Y: p.Y, Turn: 90 * p.Orient.Quarters, Mirror: p.Orient.Mirror,
				Figure: p.Variant, Caption: p.Caption, Sheet: p.Sheet, Pinned: p.Pinned})
		}
		return nil
	}
}

// ForgetPlaces lets the next drawing place all parts from nothing, unless the
// job keeps a layout.
func (b *Bench) ForgetPlaces() {
	for _, std := range []schematic.Standard{schematic.IEC, schematic.IEEE} {
		b.stood.note(std, nil, true)
	}
}
