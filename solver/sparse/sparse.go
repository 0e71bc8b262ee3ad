// Package sparse solves large sparse symmetric systems of linear equations by their
// factors L·D·Lᵀ: an order of few fill, columns of one structure taken together, and the
// same bits on every processor. It exchanges no pivots: it is for matrices whose own order
// is stable, as the definite ones of elastic bodies; it never iterates, never forms an
// inverse, and knows nothing of what a matrix stands for.
package sparse

import (
	"fmt"
	"slices"
)

// IndexError is an unknown outside 0 … N−1.
type IndexError struct {
	Index, N int
}

func (e *IndexError) Error() string {
	return fmt.Sprintf("unknown %d is outside the %d of the matrix", e.Index, e.N)
}

// MemoryError tells that factors need more memory than they may take; nothing was taken.
type MemoryError struct {
	Bytes, Limit int64
}

func (e *MemoryError) Error() string {
	return fmt.Sprintf("the factors need %d bytes, above the limit of %d", e.Bytes, e.Limit)
}

// PivotError tells that a matrix is singular to working precision: after eliminating what
// came before it, next to nothing is left of the diagonal of Column.
type PivotError struct {
	Column          int
	Pivot, Diagonal float64 // what is left, and what the matrix had there
}

func (e *PivotError) Error() string {
	return fmt.Sprintf("the pivot of unknown %d is %.3g of a diagonal of %.3g: the matrix is singular", e.Column, e.Pivot, e.Diagonal)
}

// Pattern tells which entries of a symmetric matrix of N unknowns may differ from zero: its
// lower triangle by columns, each from its diagonal down, every diagonal among them.
type Pattern struct {
	n     int
	start []int
	row   []int32
}

// NewPattern is the pattern in which any two unknowns of one clique meet, as those of one
// finite element do. An *IndexError where a clique names an unknown that there is not.
func NewPattern(n int, cliques [][]int32) (*Pattern, error) {
	count := make([]int, n+1)
	for _, c := range cliques {
		for _, i := range c {
			if i < 0 || int(i) >= n {
				return nil, &IndexError{int(i), n}
			}
			count[i+1]++
		}
	}
	for i := range n {
		count[i+1] += count[i]
	}
	of := make([]int32, count[n])
	next := slices.Clone(count)
	for k, c := range cliques {
		for _, i := range c {
			of[next[i]] = int32(k)
			next[i]++
		}
	}
	p := &Pattern{n: n, start: make([]int, n+1)}
	seen := make([]int32, n)
	for j := range n {
		at := len(p.row)
		p.row = append(p.row, int32(j))
		seen[j] = int32(j) + 1
		for _, k := range of[count[j]:count[j+1]] {
			for _, i := range cliques[k] {
				if int(i) > j && seen[i] != int32(j)+1 {
					seen[i] = int32(j) + 1
					p.row = append(p.row, i)
				}
			}
		}
		slices.Sort(p.row[at:])
		p.start[j+1] = len(p.row)
	}
	return p, nil
}

// N is the number of unknowns.
func (p *Pattern) N() int { return p.n }

// Entries is how many entries of the lower triangle, diagonal included, may differ from zero.
func (p *Pattern) Entries() int { return len(p.row) }

// at is the place of entry (i, j), i ≥ j, among the values; −1 where the pattern has none.
func (p *Pattern) at(i, j int) int {
	lo, hi := p.start[j], p.start[j+1]
	k, ok := slices.BinarySearch(p.row[lo:hi], int32(i))
	if !ok {
		return -1
	}
	return lo + k
}

// Matrix is a symmetric matrix of a pattern: the values of its lower triangle.
type Matrix struct {
	*Pattern
	Values []float64 // by place in the pattern
}

// NewMatrix is the matrix of zeros.
func NewMatrix(p *Pattern) *Matrix {
	return &Matrix{p, make([]float64, len(p.row))}
}

// Zero makes every value zero.
func (m *Matrix) Zero() { clear(m.Values) }

// Add adds v to the entries (i, j) and (j, i), once where they are one. It panics where the
// pattern has no such entry: whoever drew the pattern forgot a clique.
func (m *Matrix) Add(i, j int, v float64) {
	at := m.at(max(i, j), min(i, j))
	if at < 0 {
		panic(fmt.Sprintf("sparse: no entry (%d, %d) in the pattern", i, j))
	}
	m.Values[at] += v
}

// Places are where the entries of a symmetric matrix over the named unknowns stand among the
// values, for AddClique: its lower triangle row by row, -1 where an unknown is negative. It
// panics where the pattern has no such entry.
func (p *Pattern) Places(of []int32) []int32 {
	at := make([]int32, 0, len(of)*(len(of)+1)/2)
	for a := range of {
		for b := range a + 1 {
			i, j := max(of[a], of[b]), min(of[a], of[b])
			if j < 0 {
				at = append(at, -1)
				continue
			}
			k := p.at(int(i), int(j))
			if k < 0 {
				panic(fmt.Sprintf("sparse: no entry (%d, %d) in the pattern", i, j))
			}
			at = append(at, int32(k))
		}
	}
	return at
}

// AddClique adds a symmetric matrix over n unknowns, row by row, at their Places; its lower
// triangle is read.
func (m *Matrix) AddClique(places []int32, k []float64, n int) {
	for a := range n {
		row := k[a*n : a*n+a+1]
		at := places[:len(row)]
		places = places[len(row):]
		for b, v := range row {
			if p := at[b]; p >= 0 {
				m.Values[p] += v
			}
		}
	}
}

// Diagonal is the value of entry (i, i).
func (m *Matrix) Diagonal(i int) float64 { return m.Values[m.start[i]] }

// Mul sets y to A·x.
func (m *Matrix) Mul(x, y []float64) {
	clear(y)
	for j := range m.n {
		at := m.start[j]
		y[j] += float64(m.Values[at] * x[j])
		sum := 0.0
		for k := at + 1; k < m.start[j+1]; k++ {
			i := m.row[k]
			y[i] += float64(m.Values[k] * x[j])
			sum += float64(m.Values[k] * x[i])
		}
		y[j] += sum
	}
}
