package sparse

import "slices"

// Pattern is where a square matrix may be other than zero, by columns: the
// rows of column j are Row[ColPtr[j]:ColPtr[j+1]], ascending.
type Pattern struct {
	N      int
	ColPtr []int32
	Row    []int32
}

// NNZ is the number of entries.
func (p Pattern) NNZ() int { return len(p.Row) }

// Find is the place of the number in row i, column j; −1 where there is none.
func (p Pattern) Find(i, j int) int {
	first := p.ColPtr[j]
	at, ok := slices.BinarySearch(p.Row[first:p.ColPtr[j+1]], int32(i))
	if !ok {
		return -1
	}
	return int(first) + at
}

// MulAdd adds A·x to y, A being the numbers a on the pattern.
func (p Pattern) MulAdd(y, a, x []float64) {
	for j := range p.N {
		xj := x[j]
		for t := p.ColPtr[j]; t < p.ColPtr[j+1]; t++ {
			y[p.Row[t]] += a[t] * xj
		}
	}
}

// Builder collects the entries of a pattern. The same entry may be added any
// number of times; it is then one number that all of them add into.
type Builder struct {
	n    int
	keys []uint64 // column in the high half, row in the low half
}

// NewBuilder begins an n × n pattern.
func NewBuilder(n int) *Builder { return &Builder{n: n} }

// Grow makes room for further additions.
func (b *Builder) Grow(additions int) { b.keys = slices.Grow(b.keys, additions) }

// Add puts an entry at row i, column j and returns its number of addition,
// which Build turns into a place.
func (b *Builder) Add(i, j int) int {
	b.keys = append(b.keys, uint64(j)<<32|uint64(i))
	return len(b.keys) - 1
}

// Within returns for each addition the place of its number in a pattern; ok is
// false where that lacks one.
func (b *Builder) Within(p Pattern) (places []int32, ok bool) {
	if p.N != b.n {
		return nil, false
	}
	places = make([]int32, len(b.keys))
	for k, key := range b.keys {
		at := p.Find(int(key&0xffffffff), int(key>>32))
		if at < 0 {
			return nil, false
		}
		places[k] = int32(at)
	}
	return places, true
}

// Build returns the pattern, and for each addition the place of its number.
func (b *Builder) Build() (Pattern, []int32) {
	sorted := slices.Clone(b.keys)
	slices.Sort(sorted)
	sorted = slices.Compact(sorted)
	p := Pattern{N: b.n, ColPtr: make([]int32, b.n+1), Row: make([]int32, len(sorted))}
	for t, k := range sorted {
		p.Row[t] = int32(k & 0xffffffff)
		p.ColPtr[k>>32+1]++
	}
	for j := range b.n {
		p.ColPtr[j+1] += p.ColPtr[j]
	}
	places := make([]int32, len(b.keys))
	for i, k := range b.keys {
		j := k >> 32
		rows := p.Row[p.ColPtr[j]:p.ColPtr[j+1]]
		at, _ := slices.BinarySearch(rows, int32(k&0xffffffff))
		places[i] = p.ColPtr[j] + int32(at)
	}
	return p, places
}
