package sparse

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Thresholds of pivoting. All are ratios to the largest number in what is
// left of the column.
const (
	// diagonalKeeps is how large the diagonal must be to be taken before a
	// larger number: it keeps the order that was made for little fill.
	// Common practice for circuit matrices.
	diagonalKeeps = 1e-3
	// refactorKeeps is when a kept pivot has become too small to go on with.
	refactorKeeps = 1e-3
	// rounding is a pivot made of nothing but rounding errors, as a ratio to
	// the largest number of the column before elimination: a few ulp.
	rounding = 8e-16
)

// ErrPivot says that the kept pivots no longer serve; Factor finds new ones.
var ErrPivot = errors.New("sparse: a kept pivot has become too small")

// SingularError names a column that has no pivot.
type SingularError struct{ Column int }

// Error says which column it is.
func (e *SingularError) Error() string {
	return fmt.Sprintf("sparse: the matrix is singular at column %d", e.Column)
}

// Symbolic is what is known of a pattern before any number: the order of its
// columns. It may be shared.
type Symbolic struct {
	pattern Pattern
	order   []int32
}

// Analyze finds the order of elimination for a pattern.
func Analyze(p Pattern) *Symbolic { return &Symbolic{pattern: p, order: MinimumDegree(p)} }

// Pattern is what was analyzed. It must not be changed.
func (s *Symbolic) Pattern() Pattern { return s.pattern }

// Pivots are the pivots that a factoring chose and the patterns of L and U
// that follow from them. They never change and may be shared.
//
// Shapes: everything is in the order of elimination. The rows of column k of L
// are lRow[lPtr[k]:lPtr[k+1]], the same for U; aPos/aIdx say where A's numbers
// go.
type Pivots struct {
	sym  *Symbolic
	pinv []int32 // row of A → place in the order
	lPtr []int32
	lRow []int32
	uPtr []int32
	uRow []int32
	aPos []int32
	aIdx []int32
	aPtr []int32
	odd  bool // rows and columns together are an odd permutation
}

// Symbolic is the analysis that the pivots were chosen in.
func (p *Pivots) Symbolic() *Symbolic { return p.sym }

// LU returns room for factors with these pivots. They are void until a
// Refactor succeeds.
func (p *Pivots) LU() *LU {
	n := len(p.pinv)
	f := &LU{Pivots: p, l: make([]entry, len(p.lRow)), u: make([]entry, len(p.uRow)), diag: make([]float64, n), work: make([]float64, n)}
	for t, r := range p.lRow {
		f.l[t].row = r
	}
	for t, r := range p.uRow {
		f.u[t].row = r
	}
	return f
}

// entry is a number of L or U with its row, side by side since they are always
// read together.
type entry struct {
	num float64
	row int32
}

// LU is P·A·Q = L·U. Column k of L (unit diagonal not kept) is
// l[lPtr[k]:lPtr[k+1]], of U above its diagonal u[uPtr[k]:uPtr[k+1]].
type LU struct {
	*Pivots
	l    []entry
	u    []entry
	diag []float64
	work []float64
}

// Factor computes the factors of the matrix with the numbers a, choosing
// pivots anew.
//
// Method:   left-looking, column by column, each column's pattern by a walk
// over the graph of L.
// Accuracy: growth is bounded by pivots ≥ diagonalKeeps of their column.
// Errors:   *SingularError.
// Source:   J. R. Gilbert, T. Peierls, SIAM J. Sci. Stat. Comput. 9 (1988)
// 862–874 (from memory).
func (s *Symbolic) Factor(a []float64) (*LU, error) {
	f := newFactoring(s)
	for k := range s.pattern.N {
		if err := f.column(k, a); err != nil {
			return nil, err
		}
	}
	return f.finish(), nil
}

// factoring is an LU in the making; rows of L are still rows of A.
type factoring struct {
	*LU
	mark  []int32
	stack []int32
	at    []int32
	reach []int32
}

func newFactoring(s *Symbolic) *factoring {
	n := s.pattern.N
	room := 4*s.pattern.NNZ() + n
	f := &factoring{
		LU: &LU{
			Pivots: &Pivots{
				sym: s, pinv: make([]int32, n),
				lPtr: make([]int32, 1, n+1), uPtr: make([]int32, 1, n+1), aPtr: make([]int32, 1, n+1),
			},
			diag: make([]float64, n), work: make([]float64, n),
			l: make([]entry, 0, room), u: make([]entry, 0, room),
		},
		mark: make([]int32, n), stack: make([]int32, 0, n), at: make([]int32, n),
	}
	for i := range f.pinv {
		f.pinv[i] = -1
		f.mark[i] = -1
	}
	return f
}

// column eliminates the k-th column of the order and chooses its pivot.
func (f *factoring) column(k int, a []float64) error {
	j := f.sym.order[k]
	p := f.sym.pattern
	f.reach = f.reach[:0]
	largest := 0.0
	for t := p.ColPtr[j]; t < p.ColPtr[j+1]; t++ {
		f.visit(p.Row[t], int32(k))
		f.work[p.Row[t]] = a[t]
		largest = max(largest, math.Abs(a[t]))
	}
	f.eliminate()
	pivot, err := f.choose(j, largest)
	if err != nil {
		return err
	}
	f.store(k, pivot)
	return nil
}

// visit walks the graph of L from row i and appends what it reaches, each row
// after all that it leads to.
func (f *factoring) visit(i, stamp int32) {
	if f.mark[i] == stamp {
		return
	}
	f.mark[i] = stamp
	f.stack = append(f.stack[:0], i)
	f.at[i] = 0
	for len(f.stack) > 0 {
		v := f.stack[len(f.stack)-1]
		if c := f.pinv[v]; c >= 0 {
			if w, ok := f.unseen(v, c, stamp); ok {
				f.mark[w] = stamp
				f.at[w] = 0
				f.stack = append(f.stack, w)
				continue
			}
		}
		f.stack = f.stack[:len(f.stack)-1]
		f.reach = append(f.reach, v)
	}
}

// unseen returns the next row of column c of L, which row v opened, that the
// walk has not been to.
func (f *factoring) unseen(v, c, stamp int32) (int32, bool) {
	for ; f.lPtr[c]+f.at[v] < f.lPtr[c+1]; f.at[v]++ {
		if w := f.l[f.lPtr[c]+f.at[v]].row; f.mark[w] != stamp {
			return w, true
		}
	}
	return 0, false
}

// eliminate subtracts the columns of L that reach this one, in their order.
func (f *factoring) eliminate() {
	for r := len(f.reach) - 1; r >= 0; r-- {
		c := f.pinv[f.reach[r]]
		if c < 0 {
			continue
		}
		u := f.work[f.reach[r]]
		for _, e := range f.l[f.lPtr[c]:f.lPtr[c+1]] {
			f.work[e.row] -= e.num * u
		}
	}
}

// choose picks the pivot row of column j: the diagonal where it is large
// enough, the largest number otherwise.
func (f *factoring) choose(j int32, original float64) (int32, error) {
	best, row := 0.0, int32(-1)
	for _, i := range f.reach {
		if f.pinv[i] < 0 {
			if v := math.Abs(f.work[i]); v > best {
				best, row = v, i
			}
		}
	}
	if row < 0 || best <= rounding*original || math.IsInf(best, 0) {
		return 0, &SingularError{Column: int(j)}
	}
	if f.pinv[j] < 0 && f.mark[j] == f.mark[row] && math.Abs(f.work[j]) >= diagonalKeeps*best {
		row = j
	}
	return row, nil
}

// store files the eliminated column and clears the work space.
func (f *factoring) store(k int, pivot int32) {
	d := f.work[pivot]
	for _, i := range f.reach {
		switch c := f.pinv[i]; {
		case c >= 0:
			f.u = append(f.u, entry{f.work[i], c})
		case i != pivot:
			f.l = append(f.l, entry{f.work[i] / d, i})
		}
		f.work[i] = 0
	}
	f.pinv[pivot] = int32(k)
	f.diag[k] = d
	f.lPtr = append(f.lPtr, int32(len(f.l)))
	f.uPtr = append(f.uPtr, int32(len(f.u)))
}

// finish turns rows into places of the order, and sorts U's columns so that
// Refactor meets them in a valid order.
func (f *factoring) finish() *LU {
	f.l, f.u = slices.Clone(f.l), slices.Clone(f.u) // gives back the room that was too much
	f.lRow, f.uRow = make([]int32, len(f.l)), make([]int32, len(f.u))
	for t := range f.l {
		f.l[t].row = f.pinv[f.l[t].row]
		f.lRow[t] = f.l[t].row
	}
	for k := range f.diag {
		slices.SortFunc(f.u[f.uPtr[k]:f.uPtr[k+1]], func(a, b entry) int { return int(a.row) - int(b.row) })
	}
	for t, e := range f.u {
		f.uRow[t] = e.row
	}
	p := f.sym.pattern
	f.aPos, f.aIdx = make([]int32, 0, p.NNZ()), make([]int32, 0, p.NNZ())
	for _, j := range f.sym.order {
		for t := p.ColPtr[j]; t < p.ColPtr[j+1]; t++ {
			f.aPos, f.aIdx = append(f.aPos, f.pinv[p.Row[t]]), append(f.aIdx, t)
		}
		f.aPtr = append(f.aPtr, int32(len(f.aPos)))
	}
	f.odd = oddPermutation(f.pinv) != oddPermutation(f.sym.order)
	return f.LU
}

// oddPermutation counts cycles.
func oddPermutation(p []int32) bool {
	seen := make([]bool, len(p))
	odd := false
	for i := range p {
		for j := p[i]; !seen[i] && j != int32(i); j = p[j] {
			seen[j] = true
			odd = !odd
		}
	}
	return odd
}

// Negative tells whether the determinant is negative.
func (f *LU) Negative() bool {
	negative := f.odd
	for _, d := range f.diag {
		negative = negative != (d < 0)
	}
	return negative
}

// Refactor renews the factors for the numbers a, keeping order and pivots.
//
// Errors: ErrPivot when a kept pivot has become too small beside the rest of
// its column; the factors are then void until Factor or a Refactor succeeds.
func (f *LU) Refactor(a []float64) error {
	// In locals: the compiler can't know that w overlaps none of it.
	p, w, diag, l, lPtr := f.Pivots, f.work, f.diag, f.l, f.lPtr
	aPtr, aPos, aIdx, uPtr := p.aPtr, p.aPos, p.aIdx[:len(p.aPos)], p.uPtr
	for k := range diag {
		for t := aPtr[k]; t < aPtr[k+1]; t++ {
			w[aPos[t]] = a[aIdx[t]]
		}
		above := f.u[uPtr[k]:uPtr[k+1]]
		for t := range above {
			c := above[t].row
			u := w[c]
			w[c] = 0
			above[t].num = u
			for _, e := range l[lPtr[c]:lPtr[c+1]] {
				w[e.row] -= e.num * u
			}
		}
		d := w[k]
		w[k] = 0
		diag[k] = d
		largest, inverse := 0.0, 1/d
		column := l[lPtr[k]:lPtr[k+1]]
		for s := range column {
			e := &column[s]
			v := w[e.row]
			w[e.row] = 0
			e.num = v * inverse
			// A number that is none is met again as a pivot.
			if v = math.Abs(v); v > largest {
				largest = v
			}
		}
		// Written so that a pivot that is no number fails too.
		if size := math.Abs(d); !(size > 0 && size >= refactorKeeps*largest && size <= math.MaxFloat64) {
			clear(w)
			return ErrPivot
		}
	}
	return nil
}

// Solve overwrites b with the solution of A·x = b. scratch has the length of
// b and is overwritten.
func (f *LU) Solve(b, scratch []float64) {
	p := f.Pivots
	y := scratch[:len(p.pinv)]
	for i, at := range p.pinv {
		y[at] = b[i]
	}
	l, lPtr := f.l, p.lPtr
	for k, v := range y {
		if v == 0 {
			continue
		}
		for _, e := range l[lPtr[k]:lPtr[k+1]] {
			y[e.row] -= e.num * v
		}
	}
	u, uPtr := f.u, p.uPtr
	for k := len(y) - 1; k >= 0; k-- {
		v := y[k] / f.diag[k]
		y[k] = v
		if v == 0 {
			continue
		}
		for _, e := range u[uPtr[k]:uPtr[k+1]] {
			y[e.row] -= e.num * v
		}
	}
	for k, j := range p.sym.order {
		b[j] = y[k]
	}
}

// Work is the number of multiplications that a Refactor makes, divisions by
// the pivots apart.
func (f *LU) Work() int {
	work := 0
	for _, c := range f.uRow {
		work += int(f.lPtr[c+1] - f.lPtr[c])
	}
	return work
}

// Fill is the number of entries kept in both factors, the diagonal included.
func (f *LU) Fill() int { return len(f.lRow) + len(f.uRow) + len(f.diag) }
