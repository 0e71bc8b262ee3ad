// Package linear solves systems of linear equations in plain float64: whole matrices by
// Gaussian elimination, sparse ones in their band, entry by entry or by sweeps. It bounds no
// error and proves nothing: whoever needs certainty checks what it returns.
package linear

import (
	"math"

	"perch/solver/elementary"
)

// Dense is a square matrix factored by Gaussian elimination: rows and columns change
// places so that A = L·U, with L's diagonal 1. Its room is kept from matrix to matrix.
type Dense struct {
	n    int
	Rank int       // rows that hold a pivot
	a    []float64 // n by n, rows by place; U, and L left of the diagonal
	Rows []int     // by place: the row of A
	cols []int     // by place: the column of A
	y    []float64
}

func NewDense(n int) *Dense {
	return &Dense{n: n, a: make([]float64, n*n), Rows: make([]int, n), cols: make([]int, n), y: make([]float64, n)}
}

// Factor takes the columns as they come and each pivot as the largest of its column
// (partial pivoting); false where one is not above least or not finite.
func (d *Dense) Factor(a []float64, least float64) bool {
	d.lay(a)
	for i := range d.n {
		p, best := d.largestOf(i)
		if !(best > least) || !elementary.Finite(best) {
			return false
		}
		d.eliminate(p, i)
	}
	return true
}

// FactorFully takes each pivot as the largest of all that is left (full pivoting) and
// ends with the rank: rows from there on are at most least in size.
func (d *Dense) FactorFully(a []float64, least float64) (rank int) {
	d.lay(a)
	for i := range d.n {
		p, q, best := i, i, 0.0
		for r := i; r < d.n; r++ {
			for k := i; k < d.n; k++ {
				if v := math.Abs(d.a[r*d.n+k]); v > best {
					p, q, best = r, k, v
				}
			}
		}
		if best <= least {
			break
		}
		d.eliminate(p, q)
	}
	return d.Rank
}

func (d *Dense) lay(a []float64) {
	copy(d.a, a)
	d.Rank = 0
	for i := range d.n {
		d.Rows[i], d.cols[i] = i, i
	}
}

// eliminate makes the entry at places p and q the next pivot.
func (d *Dense) eliminate(p, q int) {
	n, i := d.n, d.Rank
	d.Rank++
	swapRows(d.a, n, i, p)
	d.Rows[i], d.Rows[p] = d.Rows[p], d.Rows[i]
	if q != i {
		for r := range n {
			d.a[r*n+i], d.a[r*n+q] = d.a[r*n+q], d.a[r*n+i]
		}
		d.cols[i], d.cols[q] = d.cols[q], d.cols[i]
	}
	top := d.a[i*n : i*n+n]
	for r := i + 1; r < n; r++ {
		row := d.a[r*n : r*n+n]
		if row[i] == 0 {
			continue
		}
		f := row[i] / top[i]
		row[i] = f
		for k := i + 1; k < n; k++ {
			row[k] -= float64(f * top[k])
		}
	}
}

// Solve sets x to a solution of A·x = r, of a matrix of less than full rank one of its
// first rows with the other unknowns 0; false where something overflows.
func (d *Dense) Solve(r, x []float64) bool {
	n, y := d.n, d.y
	for p, i := range d.Rows {
		y[p] = r[i]
	}
	for i := range d.Rank {
		if y[i] == 0 {
			continue
		}
		for p := i + 1; p < n; p++ {
			y[p] -= float64(d.a[p*n+i] * y[i])
		}
	}
	clear(x)
	for i := d.Rank - 1; i >= 0; i-- {
		s := y[i]
		for k := i + 1; k < d.Rank; k++ {
			s -= float64(d.a[i*n+k] * x[d.cols[k]])
		}
		x[d.cols[i]] = s / d.a[i*n+i]
		if !elementary.Finite(x[d.cols[i]]) {
			return false
		}
	}
	return true
}

// Invert sets y, n by n, to the inverse of a, carrying the elimination above the diagonal
// too (Gauss, Jordan), with partial pivoting; false where it is singular or overflows.
func (d *Dense) Invert(a, y []float64) bool {
	d.lay(a)
	n := d.n
	clear(y)
	for i := range n {
		y[i*n+i] = 1
	}
	for i := range n {
		p, best := d.largestOf(i)
		if best == 0 || !elementary.Finite(best) {
			return false
		}
		swapRows(d.a, n, i, p)
		swapRows(y, n, i, p)
		top, from := d.a[i*n:i*n+n], y[i*n:i*n+n]
		by := 1 / top[i]
		for k := range n {
			top[k] *= by
			from[k] *= by
		}
		for r := range n {
			row := d.a[r*n : r*n+n]
			f := row[i]
			if r == i || f == 0 {
				continue
			}
			for k := i; k < n; k++ {
				row[k] -= float64(f * top[k])
			}
			to := y[r*n : r*n+n]
			for k, v := range from {
				if v != 0 {
					to[k] -= float64(f * v)
				}
			}
		}
	}
	for _, v := range y {
		if !elementary.Finite(v) {
			return false
		}
	}
	return true
}

// largestOf is the place of column i's largest entry from row i on, and its size.
func (d *Dense) largestOf(i int) (p int, best float64) {
	p = i
	for r := i; r < d.n; r++ {
		if v := math.Abs(d.a[r*d.n+i]); v > best {
			p, best = r, v
		}
	}
	return p, best
}

func swapRows(a []float64, n, i, p int) {
	if p == i {
		return
	}
	x, y := a[i*n:i*n+n], a[p*n:p*n+n]
	for k := range x {
		x[k], y[k] = y[k], x[k]
	}
}
