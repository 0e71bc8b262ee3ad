package solver

import (
	"math"
	"slices"
)

// rankTolerance is the pivot, relative to its row's size, below which a row
// depends on the others.
const rankTolerance = 1e-11

// solveLinear solves jac·step = r by elimination with full pivoting over
// row-scaled equations. Where the matrix is singular it returns the equation of
// the last independent-looking row (the latest in order of the system) and a
// step that leaves the undetermined variables alone.
func (b *block) solveLinear() (row int, ok bool) {
	if b.sparse != nil {
		return b.solveSparse()
	}
	n := b.n
	if n > denseUpTo {
		*b.budget -= n * n * n / 100 // in steps of tapes, about
	}
	m := append([]float64(nil), b.jac...)
	r := append([]float64(nil), b.r...)
	rows, cols := make([]int, n), make([]int, n)
	for i := range n {
		rows[i], cols[i] = i, i
		size := 0.0
		for k := range n {
			size = math.Max(size, math.Abs(m[i*n+k]))
		}
		if !finite(size) {
			return -1, false
		}
		if size > 0 {
			for k := range n {
				m[i*n+k] /= size
			}
			r[i] /= size
		}
	}
	if n >= smallMatrix && b.solvePlain(m, r) {
		return -1, true
	}
	rank := eliminate(m, r, rows, cols, n)
	clear(b.step)
	for i := rank - 1; i >= 0; i-- {
		s := r[rows[i]]
		for k := i + 1; k < rank; k++ {
			s -= float64(m[rows[i]*n+cols[k]] * b.step[cols[k]])
		}
		b.step[cols[i]] = s / m[rows[i]*n+cols[i]]
		if !finite(b.step[cols[i]]) {
			return -1, false
		}
	}
	if rank == n {
		return -1, true
	}
	row = rows[rank]
	for _, i := range rows[rank:] {
		if b.cons[i] > b.cons[row] {
			row = i
		}
	}
	return row, rank > 0
}

// sparse is the Jacobian of a large block by its entries alone.
type sparse struct {
	factors
	cols  [][]int32   // by equation: places of its variables in the block, ascending
	entry [][]float64 // beside them
	size  []float64   // by equation: its largest entry
	r     []float64
}

// newSparse lays out the entries of the variables numbered in local; nil where the
// matrix is too full for that.
func newSparse(w *scratch, cons []int) *sparse {
	s := &sparse{cols: make([][]int32, len(cons)), entry: make([][]float64, len(cons)), size: make([]float64, len(cons)), r: make([]float64, len(cons))}
	for i, c := range cons {
		for _, v := range w.p.tapes[c].vars {
			if k := w.local[v]; k >= 0 {
				s.cols[i] = append(s.cols[i], k)
			}
		}
		slices.Sort(s.cols[i])
		s.entry[i] = make([]float64, len(s.cols[i]))
	}
	if s.factors, _ = newFactors(len(cons), s.cols); s.factors == nil {
		return nil
	}
	return s
}

// maxRank is the size of a block up to which it is told which equation depends on
// the others.
const maxRank = 600

// solveSparse is solveLinear for a large block. A pivot that may be none is looked
// into by way of the whole matrix, where that is not too large; else nothing is
// solved.
func (b *block) solveSparse() (row int, ok bool) {
	s := b.sparse
	for i, e := range s.entry {
		s.size[i] = 0
		for _, v := range e {
			s.size[i] = math.Max(s.size[i], math.Abs(v))
		}
		if !(s.size[i] > 0) {
			s.size[i] = 1
		}
		s.r[i] = b.r[i] / s.size[i]
	}
	*b.budget -= s.cost() / 100 // in steps of tapes, about
	if s.factor(func(row, at int) float64 { return s.entry[row][at] / s.size[row] }, surePivot) && s.solve(s.r, b.step) {
		return -1, true
	}
	if b.n > maxRank {
		return -1, false
	}
	b.jac = make([]float64, b.n*b.n)
	for i, c := range s.cols {
		for at, k := range c {
			b.jac[i*b.n+int(k)] = s.entry[i][at]
		}
	}
	b.sparse = nil
	row, ok = b.solveLinear()
	b.sparse = s
	return row, ok
}

const (
	// smallMatrix is the size from which elimination is first tried with partial
	// pivoting, which costs less than a search of the whole matrix for each pivot.
	smallMatrix = 6
	// surePivot is the pivot at which its outcome is trusted: far from dependent.
	surePivot = 1e-6
)

// solvePlain solves m·step = r, rows scaled to 1, with partial pivoting on copies;
// false where a pivot is small.
func (b *block) solvePlain(m, r []float64) bool {
	n := b.n
	a, y := append([]float64(nil), m...), append([]float64(nil), r...)
	for i := range n {
		p, best := i, 0.0
		for k := i; k < n; k++ {
			if v := math.Abs(a[k*n+i]); v > best {
				p, best = k, v
			}
		}
		if !(best > surePivot) {
			return false
		}
		top, swap := a[i*n:i*n+n], a[p*n:p*n+n]
		if p != i {
			for k := i; k < n; k++ {
				top[k], swap[k] = swap[k], top[k]
			}
			y[i], y[p] = y[p], y[i]
		}
		for k := i + 1; k < n; k++ {
			row := a[k*n : k*n+n]
			if row[i] == 0 {
				continue
			}
			f := row[i] / top[i]
			for j := i + 1; j < n; j++ {
				row[j] -= float64(f * top[j])
			}
			y[k] -= float64(f * y[i])
		}
	}
	for i := n - 1; i >= 0; i-- {
		s := y[i]
		for k := i + 1; k < n; k++ {
			s -= float64(a[i*n+k] * b.step[k])
		}
		b.step[i] = s / a[i*n+i]
		if !finite(b.step[i]) {
			return false
		}
	}
	return true
}

// eliminate brings m to upper triangular form under the permutations rows and
// cols and returns its rank.
func eliminate(m, r []float64, rows, cols []int, n int) int {
	for i := range n {
		pi, pk, best := i, i, 0.0
		for a := i; a < n; a++ {
			for k := i; k < n; k++ {
				if v := math.Abs(m[rows[a]*n+cols[k]]); v > best {
					pi, pk, best = a, k, v
				}
			}
		}
		if best <= rankTolerance {
			return i
		}
		rows[i], rows[pi] = rows[pi], rows[i]
		cols[i], cols[pk] = cols[pk], cols[i]
		top := rows[i] * n
		for a := i + 1; a < n; a++ {
			at := rows[a] * n
			f := m[at+cols[i]] / m[top+cols[i]]
			if f == 0 {
				continue
			}
			m[at+cols[i]] = 0
			for k := i + 1; k < n; k++ {
				m[at+cols[k]] -= float64(f * m[top+cols[k]])
			}
			r[rows[a]] -= float64(f * r[rows[i]])
		}
	}
	return n
}
