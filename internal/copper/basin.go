package copper

// tileSide is the side of a tile in working pixels. Smaller tiles make a cut
// cheaper to redo and the graph larger; 64 keeps both small.
const tileSide = 64

// floorLevel is the lowest level that enters the graph: below it, log odds of
// -6, a pixel is bare whatever its neighbours are.
const floorLevel = 33

// flatness is the depth in levels up to which a dip between two summits is
// taken for noise and doesn't divide them: log odds of 0.3. It bounds the error
// of any log odds read from the tree.
const flatness = 5

// basinTile is the part of the graph inside one tile. Every pixel at or above
// floorLevel belongs to the basin of a summit that it can climb to.
type basinTile struct {
	x0, y0, x1, y1 int     // working pixels, x1 and y1 excluded
	of             []int32 // per pixel of the tile: basin, -1 below floorLevel
	basins         []basin
	edges          []saddle // basins of this tile only
}

// basin is a hill of copper probability within one tile.
type basin struct {
	peak   uint8 // level of the summit
	summit int32 // its pixel, y·W+x
	solid  int32 // pixels at or above cutLevel
}

// saddle is the highest pass between two basins.
type saddle struct {
	a, b  int32 // basins
	level uint8
	at    int32 // pixel, y·W+x, of the lower side
}

// flood divides one tile of the level plane into basins.
//
// Method: pixels by descending level; one without labelled neighbours starts a
// basin, others join one; where two basins meet, that is their saddle.
func flood(levels []uint8, w int, t *basinTile) {
	f := newFlooder(levels, w, t)
	for _, p := range f.order() {
		f.place(p)
	}
	f.finish()
}

type flooder struct {
	levels []uint8
	w      int // width of the plane
	t      *basinTile
	tw     int     // width of the tile
	up     []int32 // union-find over provisional basins
	hills  []basin
	passes map[[2]int32]saddle
}

func newFlooder(levels []uint8, w int, t *basinTile) *flooder {
	f := &flooder{levels: levels, w: w, t: t, tw: t.x1 - t.x0, passes: map[[2]int32]saddle{}}
	n := f.tw * (t.y1 - t.y0)
	if cap(t.of) < n {
		t.of = make([]int32, n)
	}
	t.of = t.of[:n]
	for i := range t.of {
		t.of[i] = -1
	}
	return f
}

// pixel is the plane's index of a tile pixel.
func (f *flooder) pixel(i int32) int32 {
	return int32(f.t.y0+int(i)/f.tw)*int32(f.w) + int32(f.t.x0+int(i)%f.tw)
}

// order sorts the tile's pixels by descending level, in reading order within
// a level, leaving out those below floorLevel.
func (f *flooder) order() []int32 {
	var count [257]int32
	for i := range f.t.of {
		count[256-int(f.levels[f.pixel(int32(i))])]++
	}
	for l := 1; l < len(count); l++ {
		count[l] += count[l-1]
	}
	sorted := make([]int32, len(f.t.of))
	for i := range f.t.of {
		l := 255 - int(f.levels[f.pixel(int32(i))])
		sorted[count[l]] = int32(i)
		count[l]++
	}
	return sorted[:count[255-floorLevel]]
}

func (f *flooder) find(b int32) int32 {
	for f.up[b] != b {
		f.up[b] = f.up[f.up[b]]
		b = f.up[b]
	}
	return b
}

// place gives tile pixel i to a basin and notes the saddles it makes.
func (f *flooder) place(i int32) {
	level := f.levels[f.pixel(i)]
	own := int32(-1)
	f.neighbours(i, func(j int32) {
		b := f.t.of[j]
		if b < 0 {
			return
		}
		b = f.find(b)
		switch {
		case own < 0:
			own = b
		case own != b:
			own = f.meet(own, b, level, f.pixel(i))
		}
	})
	if own < 0 {
		own = int32(len(f.hills))
		f.up = append(f.up, own)
		f.hills = append(f.hills, basin{peak: level, summit: f.pixel(i)})
	}
	f.t.of[i] = own
	if level >= cutLevel {
		f.hills[own].solid++
	}
}

// meet records that basins a and b touch at a level; where the lower summit
// hardly rises above it, the two become one. It returns the basin of the pixel.
func (f *flooder) meet(a, b int32, level uint8, at int32) int32 {
	if f.hills[a].peak < f.hills[b].peak {
		a, b = b, a
	}
	if f.hills[b].peak-level > flatness {
		key := [2]int32{min(a, b), max(a, b)}
		if _, known := f.passes[key]; !known {
			f.passes[key] = saddle{key[0], key[1], level, at}
		}
		return a
	}
	f.up[b] = a
	f.hills[a].solid += f.hills[b].solid
	return a
}

func (f *flooder) neighbours(i int32, visit func(j int32)) {
	x, tw := int(i)%f.tw, int32(f.tw)
	if x > 0 {
		visit(i - 1)
	}
	if x+1 < f.tw {
		visit(i + 1)
	}
	if i >= tw {
		visit(i - tw)
	}
	if int(i+tw) < len(f.t.of) {
		visit(i + tw)
	}
}

// finish numbers the basins that are left and the best saddle of each pair.
func (f *flooder) finish() {
	t := f.t
	t.basins, t.edges = t.basins[:0], t.edges[:0]
	number := make([]int32, len(f.hills))
	for i, h := range f.hills {
		if f.find(int32(i)) == int32(i) {
			number[i] = int32(len(t.basins))
			t.basins = append(t.basins, h)
		}
	}
	for i, b := range t.of {
		if b >= 0 {
			t.of[i] = number[f.find(b)]
		}
	}
	best := map[[2]int32]saddle{}
	for _, s := range f.passes {
		s.a, s.b = number[f.find(s.a)], number[f.find(s.b)]
		keepBest(best, s)
	}
	t.edges = appendSorted(t.edges, best)
}
