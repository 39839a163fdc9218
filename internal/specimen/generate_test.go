package specimen

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"reflect"
	"sort"
	"testing"

	"foilside/internal/num/geom"
)

// plot draws a board's copper at 10 pixels a mm, knowing only what a stroke
// and a polygon are, and returns the net at each pixel; it fails where two
// nets meet.
func plot(t *testing.T, b Board) (net []string, w, h int) {
	t.Helper()
	const k = 10.0
	w, h = int(b.Size.X*k)+1, int(b.Size.Y*k)+1
	net = make([]string, w*h)
	set := func(x, y int, n string) {
		if o := net[y*w+x]; o != "" && o != n {
			t.Fatalf("nets %s and %s meet at (%.1f, %.1f) mm", o, n, float64(x)/k, float64(y)/k)
		}
		net[y*w+x] = n
	}
	within := func(lo, hi geom.Point, f func(x, y int, p geom.Point)) {
		for y := max(0, int(lo.Y*k)); y <= min(h-1, int(hi.Y*k)+1); y++ {
			for x := max(0, int(lo.X*k)); x <= min(w-1, int(hi.X*k)+1); x++ {
				f(x, y, geom.Point{X: float64(x) / k, Y: float64(y) / k})
			}
		}
	}
	for _, a := range b.Areas {
		for y := range h {
			row := float64(y) / k
			var xs []float64
			for _, c := range a.contours() {
				for i, p := range c {
					if q := c[(i+1)%len(c)]; (p.Y < row) != (q.Y < row) {
						xs = append(xs, (p.X+(q.X-p.X)*(row-p.Y)/(q.Y-p.Y))*k)
					}
				}
			}
			sort.Float64s(xs)
			for i := 0; i+1 < len(xs); i += 2 {
				for x := int(math.Ceil(xs[i])); x <= int(xs[i+1]); x++ {
					set(x, y, a.Net)
				}
			}
		}
	}
	line := func(a, c geom.Point, wa, wc float64, n string) {
		r := math.Max(wa, wc) / 2
		lo, hi := bounds([]geom.Point{a, c})
		within(lo.Sub(geom.Point{X: r, Y: r}), hi.Add(geom.Point{X: r, Y: r}), func(x, y int, p geom.Point) {
			if u, d := along(a, c, p); d <= (wa+u*(wc-wa))/2 {
				set(x, y, n)
			}
		})
	}
	for _, tr := range b.Tracks {
		tr.each(func(p, q geom.Point, wp, wq float64) { line(p, q, wp, wq, tr.Net) })
	}
	for _, p := range b.Pads {
		a, c := p.ends()
		line(a, c, p.Diameter, p.Diameter, p.Net)
	}
	return net, w, h
}

// reachable numbers the connected pieces of a plot.
func reachable(net []string, w int) []int {
	piece := make([]int, len(net))
	n := 0
	for s := range net {
		if net[s] == "" || piece[s] != 0 {
			continue
		}
		n++
		piece[s] = n
		for todo := []int{s}; len(todo) > 0; {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, j := range []int{i - w, i + w, i - 1, i + 1} {
				if j >= 0 && j < len(net) && piece[j] == 0 && net[j] == net[s] {
					piece[j] = n
					todo = append(todo, j)
				}
			}
		}
	}
	return piece
}

// checkJoined holds that copper, links and jumpers together join all pads of
// every net.
func checkJoined(t *testing.T, b Board) {
	t.Helper()
	net, w, _ := plot(t, b)
	piece := reachable(net, w)
	at := func(p geom.Point) int { return piece[int(math.Round(p.Y*10))*w+int(math.Round(p.X*10))] }
	join := map[int]int{}
	var root func(int) int
	root = func(i int) int {
		if j, ok := join[i]; ok {
			return root(j)
		}
		return i
	}
	wire := func(p, q geom.Point) {
		if a, c := root(at(p)), root(at(q)); a != c {
			join[a] = c
		}
	}
	for _, p := range b.Parts {
		if p.Body == LinkBody {
			wire(p.Leads[0].At, p.Leads[1].At)
		}
	}
	for _, j := range b.Jumpers {
		wire(j.Path[0], j.Path[len(j.Path)-1])
	}
	first := map[string]int{}
	for _, p := range b.Pads {
		r := root(at(p.At))
		if first[p.Net] == 0 {
			first[p.Net] = r
		}
		if r == 0 || r != first[p.Net] {
			t.Errorf("pad of net %s at %v is not joined to the rest of its net", p.Net, p.At)
		}
	}
}

// checkGap holds the distance of different nets against the promised gap by
// walking the middle lines of strokes in small steps.
func checkGap(t *testing.T, b Board, gap float64) {
	t.Helper()
	shapes := shapesOf(&b)
	for i, s := range shapes {
		for _, o := range shapes[:i] {
			if s.net == o.net || !s.near(o, 1) {
				continue
			}
			for _, p := range s.all() {
				for _, q := range o.all() {
					if d := walk(p, q); d < gap-0.02 {
						t.Fatalf("nets %s and %s are %.3f mm apart near %v, want %.2f", s.net, o.net, d, p.a, gap)
					}
				}
			}
		}
	}
}

// walk is the least distance between two strokes found in steps of 0.1 mm
// along the first one.
func walk(p, q stroke) float64 {
	reach := p.a.Dist(p.b) + q.a.Dist(q.b) + 6
	if p.a.Dist(q.a) > reach {
		return math.Inf(1)
	}
	n := math.Ceil(p.a.Dist(p.b)/0.1) + 1
	best := math.Inf(1)
	for i := 0.0; i <= n; i++ {
		t := i / n
		u, d := along(q.a, q.b, p.a.Add(p.b.Sub(p.a).Scale(t)))
		best = math.Min(best, d-(p.wa+t*(p.wb-p.wa))/2-(q.wa+u*(q.wb-q.wa))/2)
	}
	return best
}

func TestGeneratedBoards(t *testing.T) {
	for seed := range uint64(30) {
		joints := 15 + int(seed)*105/29
		difficulty := float64(seed%5) / 4
		t.Run(fmt.Sprintf("seed %d, %d joints", seed, joints), func(t *testing.T) {
			t.Parallel()
			b, err := Generate(context.Background(), joints, difficulty, seed)
			if err != nil {
				t.Fatal(err)
			}
			leads := 0
			for _, p := range b.Circuit {
				leads += len(p.Leads)
			}
			if leads < joints || leads > joints+16 {
				t.Errorf("%d leads, asked for %d joints", leads, joints)
			}
			checkJoined(t, b)
			checkGap(t, b, 0.4)
		})
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	make1 := func() ([]byte, []byte, Board) {
		b, err := Generate(context.Background(), 30, 0.6, 5)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Render(context.Background(), b, RandomShot(500, 5, 0.6))
		if err != nil {
			t.Fatal(err)
		}
		return s.Component.JPEG, s.Foil.JPEG, b
	}
	c1, f1, b1 := make1()
	c2, f2, b2 := make1()
	if !reflect.DeepEqual(b1, b2) {
		t.Error("the same seed laid out two different boards")
	}
	if !bytes.Equal(c1, c2) || !bytes.Equal(f1, f2) {
		t.Error("the same seed gave different photographs")
	}
	b3, err := Generate(context.Background(), 30, 0.6, 6)
	if err != nil {
		t.Fatal(err)
	}
	if reflect.DeepEqual(b1.Pads, b3.Pads) {
		t.Error("another seed laid out the same board")
	}
}

func TestInventedCircuitsHaveNoLooseEnds(t *testing.T) {
	for seed := range uint64(300) {
		leads := map[string]int{}
		for _, p := range randomCircuit(newRand(seed, 1), 15+int(seed)%106) {
			for _, n := range p.Leads {
				leads[n]++
			}
		}
		for n, k := range leads {
			if k < 2 {
				t.Errorf("seed %d: net %s has %d lead", seed, n, k)
			}
		}
	}
}

func TestGenerateRefuses(t *testing.T) {
	for _, n := range []int{0, 14, 121} {
		if _, err := Generate(context.Background(), n, 0, 1); err == nil {
			t.Errorf("%d joints: want an error", n)
		}
	}
}

func TestBoardAsText(t *testing.T) {
	b, err := Generate(context.Background(), 20, 0.3, 2)
	if err != nil {
		t.Fatal(err)
	}
	text, err := WriteBoard(b)
	if err != nil {
		t.Fatal(err)
	}
	back, err := ReadBoard(text)
	if err != nil {
		t.Fatal(err)
	}
	again, err := WriteBoard(back)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, again) {
		t.Error("a board written, read and written again differs")
	}
	if _, err := ReadBoard([]byte("name: x\nsise: {x: 1, y: 2}\n")); err == nil {
		t.Error("an unknown key is taken without an error")
	}
}

func TestLayoutRefuses(t *testing.T) {
	style := Style{Laminate: Cream, Finish: Tinned, Width: 1, Gap: 0.6, Pad: 2}
	resistor := func(a, b string) CircuitPart {
		return CircuitPart{Ref: "R1", Kind: "resistor", Params: map[string]string{"value": "1k"}, Leads: map[string]string{"1": a, "2": b}}
	}
	lonely := []CircuitPart{resistor("a", "b")}
	odd := resistor("a", "b")
	odd.Kind = "flux capacitor"
	short := resistor("a", "b")
	delete(short.Leads, "2")
	wrong := resistor("a", "b")
	wrong.Params = map[string]string{"value": "4x7"}
	for _, k := range []struct {
		name    string
		circuit []CircuitPart
	}{{"net with one lead", lonely}, {"unknown kind", []CircuitPart{odd}}, {"missing lead", []CircuitPart{short}}, {"value 4x7", []CircuitPart{wrong}}} {
		t.Run(k.name, func(t *testing.T) {
			if _, err := Layout(context.Background(), k.circuit, style, nil, 1); err == nil {
				t.Error("want an error")
			} else {
				t.Log(err)
			}
		})
	}
}

func TestPartsPlacedByHandStay(t *testing.T) {
	d, err := About("intercom")
	if err != nil {
		t.Fatal(err)
	}
	style := Style{Laminate: Cream, Finish: Tinned, Width: 1, Gap: 0.6, Pad: 2}
	hand := map[string]Hand{"T1": {At: geom.Point{X: 30.48, Y: 15.24}}, "Q3": {At: geom.Point{X: 60.96, Y: 50.8}, Turn: 1}}
	b, err := Layout(context.Background(), d.Circuit, style, hand, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Parts {
		if h, ok := hand[p.Ref]; ok && p.Leads[0].At != h.At {
			t.Errorf("%s was placed at %v, stands at %v", p.Ref, h.At, p.Leads[0].At)
		}
	}
	checkJoined(t, b)
	hand["Q2"] = Hand{At: geom.Point{X: 62.23, Y: 52.07}}
	if _, err := Layout(context.Background(), d.Circuit, style, hand, 3); err == nil {
		t.Error("two parts placed on each other are taken without an error")
	}
	hand["Q2"] = Hand{At: geom.Point{X: 0, Y: 0}}
	if _, err := Layout(context.Background(), d.Circuit, style, hand, 3); err == nil {
		t.Error("a part placed over the edge is taken without an error")
	}
}
