package copper_test

import (
	"errors"
	"testing"

	"foilside/internal/copper"
	"foilside/internal/num/geom"
)

// On the two tracks of picture, which run from x = 80 to 420 at y = 110 and
// y = 160, a brush joins, parts, adds and takes away.
func TestStrokes(t *testing.T) {
	pt := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	across := copper.Stroke{Points: []geom.Point{pt(250, 105), pt(250, 165)}, Radius: 4, Copper: true}
	type place struct {
		x, y float64
		net  string // places with the same letter are on one net, "" is none
	}
	rows := []struct {
		name    string
		strokes []copper.Stroke
		places  []place
	}{
		{"none", nil, []place{{100, 110, "a"}, {400, 110, "a"}, {100, 160, "b"}, {250, 135, ""}}},
		{"copper from one track to the other joins them", []copper.Stroke{across},
			[]place{{100, 110, "a"}, {100, 160, "a"}, {250, 135, "a"}}},
		{"bare across a track parts it", []copper.Stroke{{Points: []geom.Point{pt(250, 95), pt(250, 125)}, Radius: 4}},
			[]place{{100, 110, "a"}, {400, 110, "b"}, {100, 160, "c"}}},
		{"a large dab of copper on bare board is a net of its own", []copper.Stroke{{Points: []geom.Point{pt(200, 215)}, Radius: 25, Copper: true}},
			[]place{{100, 110, "a"}, {100, 160, "b"}, {200, 215, "c"}}},
		{"what was drawn later holds", []copper.Stroke{across, {Points: []geom.Point{pt(240, 135), pt(260, 135)}, Radius: 6}},
			[]place{{100, 110, "a"}, {100, 160, "b"}, {250, 135, ""}}},
		{"a corner of the path is copper too", []copper.Stroke{{Points: []geom.Point{pt(100, 110), pt(60, 110), pt(60, 160), pt(100, 160)}, Radius: 4, Copper: true}},
			[]place{{400, 110, "a"}, {400, 160, "a"}, {60, 135, "a"}}},
	}
	plate, err := copper.Look(t.Context(), picture(), pointed(), copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			ev := pointed()
			ev.Strokes = row.strokes
			got, err := plate.Nets(t.Context(), ev)
			if err != nil {
				t.Fatal(err)
			}
			seen, letters := map[string]copper.NetID{"": 0}, map[copper.NetID]string{0: ""}
			for _, p := range row.places {
				id := netAt(t, got, p.x, p.y)
				if _, known := seen[p.net]; !known {
					seen[p.net] = id
				}
				if _, known := letters[id]; !known {
					letters[id] = p.net
				}
				if seen[p.net] != id || letters[id] != p.net {
					t.Errorf("(%g, %g) is on net %d, want what %q stands for", p.x, p.y, id, p.net)
				}
			}
		})
	}
}

func TestAStrokeIsBelieved(t *testing.T) {
	ev := pointed()
	ev.Strokes = []copper.Stroke{{Points: []geom.Point{{X: 250, Y: 105}, {X: 250, Y: 165}}, Radius: 4, Copper: true}}
	got, err := copper.Trace(t.Context(), picture(), ev, copper.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if a := got.At(geom.Point{X: 250, Y: 135}); a.Net == nil || a.Confidence < 0.99 {
		t.Errorf("a brushed place is on %v with confidence %g, want sure", a.Net, a.Confidence)
	}
	ev.Strokes[0].Points[1].Y = 300
	var outside *copper.OutsideError
	if _, err := copper.Trace(t.Context(), picture(), ev, copper.Options{}); !errors.As(err, &outside) || outside.What != "brush stroke" {
		t.Errorf("a stroke that leaves the photo gives %v", err)
	}
}
