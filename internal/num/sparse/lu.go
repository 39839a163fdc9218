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
// (unit diagonal not kept) are lRow[lPtr[k]:lPtr[k+1]], the same for U above
// its diagonal; aPos/aIdx say where A's numbers go.
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
	return &LU{Pivots: p, lNum: make([]float64, len(p.lRow)), uNum: make([]float64, len(p.uRow)), diag: make([]float64, n), work: make([]float64, n)}
}

// LU is P·A·Q = L·U, the numbers of L and U standing as their rows do.
type LU struct {
	*Pivots
	lNum []float64
	uNum []float64
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
				lRow: make([]int32, 0, room), uRow: make([]int32, 0, room),
			},
			diag: make([]float64, n), work: make([]float64, n),
			lNum: make([]float64, 0, room), uNum: make([]float64, 0, room),
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
		if w := f.lRow[f.lPtr[c]+f.at[v]]; f.mark[w] != stamp {
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
		for t := f.lPtr[c]; t < f.lPtr[c+1]; t++ {
			f.work[f.lRow[t]] -= f.lNum[t] * u
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
			f.uRow, f.uNum = append(f.uRow, c), append(f.uNum, f.work[i])
		case i != pivot:
			f.lRow, f.lNum = append(f.lRow, i), append(f.lNum, f.work[i]/d)
		}
		f.work[i] = 0
	}
	f.pinv[pivot] = int32(k)
	f.diag[k] = d
	f.lPtr = append(f.lPtr, int32(len(f.lRow)))
	f.uPtr = append(f.uPtr, int32(len(f.uRow)))
}

// finish turns rows into places of the order, and sorts U's columns so that
// Refactor meets them in a valid order.
func (f *factoring) finish() *LU {
	for t, i := range f.lRow {
		f.lRow[t] = f.pinv[i]
	}
	for k := range f.diag {
		sortBoth(f.uRow[f.uPtr[k]:f.uPtr[k+1]], f.uNum[f.uPtr[k]:f.uPtr[k+1]])
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

// sortBoth sorts rows ascending and carries the numbers along. Columns are
// short, so insertion is the quick way.
func sortBoth(row []int32, num []float64) {
	if slices.IsSorted(row) {
		return
	}
	for i := 1; i < len(row); i++ {
		for j := i; j > 0 && row[j-1] > row[j]; j-- {
			row[j-1], row[j] = row[j], row[j-1]
			num[j-1], num[j] = num[j], num[j-1]
		}
	}
}

// Refactor renews the factors for the numbers a, keeping order and pivots.
//
// Errors: ErrPivot when a kept pivot has become too small beside the rest of
// its column; the factors are then void until Factor or a Refactor succeeds.
func (f *LU) Refactor(a []float64) error {
	p, w := f.Pivots, f.work
	lPtr, lRow, lNum := p.lPtr, p.lRow, f.lNum
	for k := range f.diag {
		for t := p.aPtr[k]; t < p.aPtr[k+1]; t++ {
			w[p.aPos[t]] = a[p.aIdx[t]]
		}
		for t := p.uPtr[k]; t < p.uPtr[k+1]; t++ {
			c := p.uRow[t]
			u := w[c]
			w[c] = 0
			f.uNum[t] = u
			rows := lRow[lPtr[c]:lPtr[c+1]]
			nums := lNum[lPtr[c]:lPtr[c+1]][:len(rows)]
			for s, r := range rows {
				w[r] -= nums[s] * u
			}
		}
		if !f.close(k) {
			clear(w)
			return ErrPivot
		}
	}
	return nil
}

// close divides column k by its pivot; false if the pivot is too small.
func (f *LU) close(k int) bool {
	w := f.work
	d := w[k]
	w[k] = 0
	f.diag[k] = d
	largest := 0.0
	inverse := 1 / d
	rows := f.lRow[f.lPtr[k]:f.lPtr[k+1]]
	nums := f.lNum[f.lPtr[k]:f.lPtr[k+1]][:len(rows)]
	for t, r := range rows {
		v := w[r]
		w[r] = 0
		largest = max(largest, math.Abs(v))
		nums[t] = v * inverse
	}
	// Written so that a pivot that is no number fails too.
	return math.Abs(d) > 0 && math.Abs(d) >= refactorKeeps*largest && !math.IsInf(d, 0)
}

// Solve overwrites b with the solution of A·x = b. scratch has the length of
// b and is overwritten.
func (f *LU) Solve(b, scratch []float64) {
	p := f.Pivots
	y := scratch[:len(p.pinv)]
	for i, at := range p.pinv {
		y[at] = b[i]
	}
	lPtr, lRow, lNum := p.lPtr, p.lRow, f.lNum
	for k, v := range y {
		if v == 0 {
			continue
		}
		rows := lRow[lPtr[k]:lPtr[k+1]]
		nums := lNum[lPtr[k]:lPtr[k+1]][:len(rows)]
		for s, r := range rows {
			y[r] -= nums[s] * v
		}
	}
	uPtr, uRow, uNum := p.uPtr, p.uRow, f.uNum
	for k := len(y) - 1; k >= 0; k-- {
		v := y[k] / f.diag[k]
		y[k] = v
		if v == 0 {
			continue
		}
		rows := uRow[uPtr[k]:uPtr[k+1]]
		nums := uNum[uPtr[k]:uPtr[k+1]][:len(rows)]
		for s, r := range rows {
			y[r] -= nums[s] * v
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
