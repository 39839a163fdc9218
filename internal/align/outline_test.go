package align

import (
	"context"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"foilside/internal/num/approx"
	"foilside/internal/num/geom"
)

// scenery is a photo of a flat quad on a background, with noise, and a lamp
// that falls off to one side.
func scenery(w, h int, quad []geom.Point, board, back color.RGBA) *image.RGBA {
	rng := rand.New(rand.NewPCG(5, 6))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := back
			if geom.Inside(quad, geom.Point{X: float64(x), Y: float64(y)}) {
				c = board
			}
			lamp := 1 - 0.25*float64(x)/float64(w)
			shade := func(v uint8) uint8 {
				return uint8(max(0, min(255, lamp*float64(v)+3*rng.NormFloat64())))
			}
			img.SetRGBA(x, y, color.RGBA{shade(c.R), shade(c.G), shade(c.B), 255})
		}
	}
	return img
}

func fillRect(img *image.RGBA, r image.Rectangle, c color.RGBA) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			img.SetRGBA(x, y, c)
		}
	}
}

var (
	laminate = color.RGBA{190, 160, 110, 255}
	greenMat = color.RGBA{40, 90, 90, 255}
	wire     = color.RGBA{220, 220, 215, 255}
)

func TestOutlineIsFound(t *testing.T) {
	quad := []geom.Point{{X: 150, Y: 120}, {X: 1010, Y: 90}, {X: 1060, Y: 700}, {X: 120, Y: 690}}
	for _, c := range []struct {
		name  string
		dress func(*image.RGBA)
	}{
		{"bare", func(*image.RGBA) {}},
		{"a wire out of each side", func(img *image.RGBA) {
			fillRect(img, image.Rect(0, 300, 200, 310), wire)
			fillRect(img, image.Rect(900, 320, 1200, 330), wire)
			fillRect(img, image.Rect(600, 0, 610, 200), wire)
		}},
		{"a plug standing over one side", func(img *image.RGBA) { fillRect(img, image.Rect(1000, 300, 1080, 420), wire) }},
		{"holes and dark parts", func(img *image.RGBA) {
			fillRect(img, image.Rect(200, 200, 240, 240), greenMat)
			fillRect(img, image.Rect(500, 300, 800, 500), color.RGBA{30, 30, 30, 255})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			img := scenery(1200, 800, quad, laminate, greenMat)
			c.dress(img)
			o, err := findOutline(context.Background(), img)
			if err != nil || !o.seen {
				t.Fatalf("seen %v, %v", o.seen, err)
			}
			for _, want := range quad {
				nearest := math.Inf(1)
				for _, p := range o.quad {
					nearest = min(nearest, p.Dist(want))
				}
				if nearest > 6 {
					t.Errorf("corner %v is missed by %.1f px: %v", want, nearest, o.quad)
				}
			}
			if area := geom.Area(o.quad[:]); area <= 0 {
				t.Errorf("corners run anticlockwise: %v", o.quad)
			}
		})
	}
}

func TestBoardThatFillsThePhotoHasNoOutline(t *testing.T) {
	whole := []geom.Point{{X: -9, Y: -9}, {X: 900, Y: -9}, {X: 900, Y: 700}, {X: -9, Y: 700}}
	o, err := findOutline(context.Background(), scenery(800, 600, whole, laminate, greenMat))
	if err != nil || o.seen || o.quad != [4]geom.Point{{}, {X: 799}, {X: 799, Y: 599}, {Y: 599}} {
		t.Errorf("got %+v, %v; want the photo's edge", o, err)
	}
}

// disc paints an anti-aliased disc.
func disc(img *image.RGBA, at geom.Point, r float64, c uint8) {
	for y := int(at.Y - r - 2); y <= int(at.Y+r+2); y++ {
		for x := int(at.X - r - 2); x <= int(at.X+r+2); x++ {
			cover := math.Max(0, math.Min(1, r+0.5-at.Dist(geom.Point{X: float64(x), Y: float64(y)})))
			was := float64(img.RGBAAt(x, y).R)
			v := uint8(math.Round(was + cover*(float64(c)-was)))
			img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
}

func TestBlobsAreDiscsNotTracks(t *testing.T) {
	const w, h = 1000, 700
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	fillRect(img, img.Rect, color.RGBA{120, 120, 120, 255})
	fillRect(img, image.Rect(100, 500, 900, 512), color.RGBA{220, 220, 220, 255}) // a track
	type spot struct {
		at   geom.Point
		r    float64
		dark bool
	}
	spots := []spot{{geom.Point{X: 100.3, Y: 80.6}, 3, true}, {geom.Point{X: 500, Y: 200.5}, 6, false},
		{geom.Point{X: 803.2, Y: 310.1}, 9, true}, {geom.Point{X: 250.7, Y: 400.2}, 13, false}}
	for _, s := range spots {
		v := uint8(230)
		if s.dark {
			v = 30
		}
		disc(img, s.at, s.r, v)
	}
	board := outline{quad: [4]geom.Point{{}, {X: w - 1}, {X: w - 1, Y: h - 1}, {Y: h - 1}}}
	blobs, err := findBlobs(context.Background(), img, board, 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range spots {
		found := false
		for _, b := range blobs {
			if b.at.Dist(s.at) < 0.5 && b.dark == s.dark && b.radius > s.r/1.5 && b.radius < s.r*1.5 {
				found = true
			}
		}
		if !found {
			t.Errorf("the spot at %v of radius %v was not found", s.at, s.r)
		}
	}
	for _, b := range blobs {
		if b.at.Y > 480 && b.at.Y < 530 && b.at.X > 150 && b.at.X < 850 {
			t.Errorf("the track gave a blob at %v", b.at)
		}
	}
}

func TestBlobsOfAPartOfThePhoto(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 900, 700))
	fillRect(img, img.Rect, color.RGBA{120, 120, 120, 255})
	inside, outside := geom.Point{X: 500, Y: 400}, geom.Point{X: 60, Y: 60}
	disc(img, inside, 5, 20)
	disc(img, outside, 5, 20)
	board := outline{quad: [4]geom.Point{{X: 200, Y: 150}, {X: 850, Y: 160}, {X: 840, Y: 650}, {X: 210, Y: 640}}}
	blobs, err := findBlobs(context.Background(), img, board, 100)
	if err != nil || len(blobs) != 1 || blobs[0].at.Dist(inside) > 0.5 {
		t.Errorf("got %v, %v; want the one spot on the board", blobs, err)
	}
}

func TestThinKeepsTheStronger(t *testing.T) {
	strong := blob{at: geom.Point{X: 100, Y: 100}, radius: 10, power: 50}
	hole := blob{at: geom.Point{X: 102, Y: 101}, radius: 4, power: 30}
	far := blob{at: geom.Point{X: 100, Y: 130}, radius: 4, power: 10}
	if got := thin([]blob{strong, hole, far}, 10); len(got) != 2 || got[0] != strong || got[1] != far {
		t.Errorf("got %v", got)
	}
	if got := thin([]blob{strong, hole, far}, 1); len(got) != 1 {
		t.Errorf("at most one asked for, got %v", got)
	}
}

func TestStretched(t *testing.T) {
	for _, c := range []struct {
		name string
		m    geom.Projective
		want float64
	}{
		{"turned and scaled", geom.Projective{0, -3, 5, 3, 0, 1, 0, 0, 1}, 1},
		{"mirrored", geom.Projective{-2, 0, 0, 0, 2, 0, 0, 0, 1}, 1},
		{"twice as wide", geom.Projective{2, 0, 0, 0, 1, 0, 0, 0, 1}, 2},
		{"flattened", geom.Projective{1, 0, 0, 1, 0, 0, 0, 0, 1}, math.Inf(1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := stretched(c.m, geom.Point{}); !approx.AbsOrRel(got, c.want, 1e-9, 1e-9) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

// A board seen from both sides, turned over about its vertical axis: the first
// corner (top left) lands top right.
func TestTurnGuess(t *testing.T) {
	on := outline{quad: [4]geom.Point{{X: 10, Y: 10}, {X: 110, Y: 10}, {X: 110, Y: 60}, {X: 10, Y: 60}}}
	for _, c := range []struct {
		name string
		turn turn
		to   geom.Point // where the component's top left corner lands
		det  float64    // sign of the area factor
	}{
		{"over the vertical axis", turn{true, 1}, geom.Point{X: 110, Y: 10}, -1},
		{"over the horizontal axis", turn{true, 3}, geom.Point{X: 10, Y: 60}, -1},
		{"not turned over", turn{false, 0}, geom.Point{X: 10, Y: 10}, 1},
		{"half a turn in the plane", turn{false, 2}, geom.Point{X: 110, Y: 60}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, ok := c.turn.guess(on, on)
			if !ok || m.Apply(on.quad[0]).Dist(c.to) > 1e-9 {
				t.Fatalf("corner lands on %v, %v; want %v", m.Apply(on.quad[0]), ok, c.to)
			}
			j := m.Jacobian(geom.Point{X: 60, Y: 35})
			if (j[0]*j[3]-j[1]*j[2])*c.det <= 0 || stretched(m, geom.Point{X: 60, Y: 35}) > 1.001 {
				t.Errorf("area factor %v, stretch %v", j[0]*j[3]-j[1]*j[2], stretched(m, geom.Point{X: 60, Y: 35}))
			}
		})
	}
}
