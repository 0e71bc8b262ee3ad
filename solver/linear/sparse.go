package linear

import (
	"math"

	"perch/solver/elementary"
)

const (
	// maxEntries is how many entries in a row, on the average, a matrix may have for its
	// factors to be sought entry by entry.
	maxEntries = 16
	// maxFill is how many entries its factors may come to, and maxFillWork how many
	// products they may take.
	maxFill     = 4_000_000
	maxFillWork = 300_000_000
	// choices is how many of the shortest rows are looked through for a pivot, and
	// stable the least part of its row's greatest entry that it may be.
	choices = 4
	stable  = 0.1
)

// Factors are those of a square sparse matrix, which solve its systems.
type Factors interface {
	// Factor factors the matrix with the given entries, by row as in its pattern. It
	// returns false where a pivot is at most least, for rows scaled to 1.
	Factor(entry func(row, at int) float64, least float64) bool
	// Solve solves A·x = r; both by row and column. false where something overflows.
	Solve(r, x []float64) bool
	// InverseRow is row i of the inverse, by place of A's rows, from place lo to place
	// hi; the rest is left out as too small to matter.
	InverseRow(i int) (y []float64, lo, hi int)
	RowAtPlace(p int) int32
	// Cost is that of factoring, in steps, as far as it is known.
	Cost() int
}

// NewFactors makes room for the factors of a matrix in its band, where it has a narrow
// one; nil where it is too full to be called sparse.
func NewFactors(n int, cols [][]int32) (Factors, *Pattern) {
	if p := NewPattern(n, cols); p != nil {
		return newBand(p), p
	}
	if l := newSparseLU(n, cols); l != nil {
		return newSeidel(l), nil
	}
	return nil, nil
}

// SparseLU is a sparse matrix without a narrow band, factored entry by entry: of each
// step the pivot is one of few others in its row and column (H. M. Markowitz, Management
// Science 3, 1957), and not small in its row (I. S. Duff, A. M. Erisman, J. K. Reid,
// "Direct methods for sparse matrices", 1986).
type SparseLU struct {
	n    int
	cols [][]int32
	rows [][]entry   // by row: entries that are left
	of   [][]int32   // by column: rows that may hold it
	held []int32     // by column: rows that do
	left []bool      // by row: no pivot was taken from it
	next [][]int32   // by number of entries: rows that may have so many
	at   []int32     // by column: its place in the row at hand, -1 else
	step []pivotStep // in order
	low  []factorOf
	fill int
	full bool // the factors are too many
	work int  // products of the last factors
	y    []float64
}

type entry struct {
	col int32
	v   float64
}

// pivotStep is a pivot with its row, whose entries stay in rows, and its factors, which
// are low[from:to].
type pivotStep struct {
	row, col int32
	v        float64
	from, to int
}

type factorOf struct {
	row int32
	f   float64
}

// newSparseLU makes room for the factors of a matrix; nil where it has too many entries.
func newSparseLU(n int, cols [][]int32) *SparseLU {
	total := 0
	for _, c := range cols {
		total += len(c)
	}
	if total > maxEntries*n {
		return nil
	}
	s := &SparseLU{n: n, cols: cols, rows: make([][]entry, n), of: make([][]int32, n), held: make([]int32, n),
		left: make([]bool, n), next: make([][]int32, n+1), at: make([]int32, n), y: make([]float64, n)}
	for k := range s.at {
		s.at[k] = -1
	}
	return s
}

// Factor is that of Factors.
func (s *SparseLU) Factor(get func(row, at int) float64, least float64) bool {
	if s.full {
		return false
	}
	s.lay(get)
	for range s.n {
		p, k := s.pick(least)
		if p < 0 {
			return false
		}
		s.eliminate(p, k)
		if s.fill > maxFill || s.work > maxFillWork {
			s.full = true
			return false
		}
	}
	return true
}

func (s *SparseLU) lay(get func(row, at int) float64) {
	s.step, s.low, s.fill, s.work = s.step[:0], s.low[:0], 0, 0
	clear(s.held)
	for k := range s.of {
		s.of[k] = s.of[k][:0]
	}
	for k := range s.next {
		s.next[k] = s.next[k][:0]
	}
	for i, c := range s.cols {
		s.rows[i], s.left[i] = s.rows[i][:0], true
		for at, k := range c {
			if v := get(i, at); v != 0 {
				s.rows[i] = append(s.rows[i], entry{k, v})
				s.of[k] = append(s.of[k], int32(i))
				s.held[k]++
			}
		}
		s.fill += len(s.rows[i])
		s.next[len(s.rows[i])] = append(s.next[len(s.rows[i])], int32(i))
	}
}

// pick chooses the next pivot by row and place in it; -1 where there is none that is
// more than least.
func (s *SparseLU) pick(least float64) (row int32, place int) {
	row = -1
	best, large, tried := math.MaxInt, 0.0, 0
	if len(s.next[0]) > 0 { // a row of nothing
		return -1, 0
	}
	for size := 1; size <= s.n && tried < choices && (size-1)*(size-1) < best; size++ {
		list := s.next[size]
		for k := len(list) - 1; k >= 0 && tried < choices; k-- {
			i := list[k]
			if !s.left[i] || len(s.rows[i]) != size {
				list[k] = list[len(list)-1]
				list = list[:len(list)-1]
				continue
			}
			tried++
			most := 0.0
			for _, e := range s.rows[i] {
				most = max(most, math.Abs(e.v))
			}
			if !(most > least) || !elementary.Finite(most) {
				return -1, 0
			}
			for at, e := range s.rows[i] {
				v := math.Abs(e.v) / most // of equals the largest keeps symmetry, and fill down
				if cost := (size - 1) * int(s.held[e.col]-1); v >= stable && (cost < best || cost == best && v > large) {
					best, large, row, place = cost, v, i, at
				}
			}
		}
		s.next[size] = list
	}
	return row, place
}

// eliminate takes the pivot's column out of the other rows.
func (s *SparseLU) eliminate(p int32, place int) {
	top := s.rows[p]
	top[0], top[place] = top[place], top[0]
	pivot := top[0]
	s.left[p] = false
	for _, e := range top {
		s.held[e.col]--
	}
	from := len(s.low)
	for _, i := range s.of[pivot.col] {
		if !s.left[i] {
			continue
		}
		row := s.rows[i]
		for at, e := range row {
			s.at[e.col] = int32(at)
		}
		if at := s.at[pivot.col]; at >= 0 {
			f := row[at].v / pivot.v
			s.low = append(s.low, factorOf{i, f})
			for _, e := range top[1:] {
				if to := s.at[e.col]; to >= 0 {
					row[to].v -= float64(f * e.v)
					continue
				}
				row = append(row, entry{e.col, -float64(f * e.v)})
				s.of[e.col] = append(s.of[e.col], i)
				s.held[e.col]++
				s.fill++
			}
			s.work += len(top)
		}
		for _, e := range row {
			s.at[e.col] = -1
		}
		for at, e := range row {
			if e.col == pivot.col {
				row[at] = row[len(row)-1]
				row = row[:len(row)-1]
				s.held[e.col]--
				break
			}
		}
		s.rows[i] = row
		s.next[len(row)] = append(s.next[len(row)], i)
	}
	s.of[pivot.col] = s.of[pivot.col][:0]
	s.step = append(s.step, pivotStep{p, pivot.col, pivot.v, from, len(s.low)})
}

// Solve is that of Factors.
func (s *SparseLU) Solve(r, x []float64) bool {
	copy(s.y, r)
	for _, p := range s.step {
		if v := s.y[p.row]; v != 0 {
			for _, l := range s.low[p.from:p.to] {
				s.y[l.row] -= float64(l.f * v)
			}
		}
	}
	for k := len(s.step) - 1; k >= 0; k-- {
		p := s.step[k]
		v := s.y[p.row]
		for _, e := range s.rows[p.row][1:] {
			v -= float64(e.v * x[e.col])
		}
		x[p.col] = v / p.v
		if !elementary.Finite(x[p.col]) {
			return false
		}
	}
	return true
}

// InverseRow is row i of the inverse, by row of the matrix.
func (s *SparseLU) InverseRow(i int) (y []float64, lo, hi int) {
	sums := make([]float64, s.n) // by column
	sums[i] = 1
	y = s.y
	clear(y)
	for _, p := range s.step {
		v := sums[p.col] / p.v
		y[p.row] = v
		if v == 0 {
			continue
		}
		for _, e := range s.rows[p.row][1:] {
			sums[e.col] -= float64(e.v * v)
		}
	}
	for k := len(s.step) - 1; k >= 0; k-- {
		p := s.step[k]
		for _, l := range s.low[p.from:p.to] {
			y[p.row] -= float64(l.f * y[l.row])
		}
	}
	return y, 0, s.n - 1
}

func (s *SparseLU) RowAtPlace(p int) int32 { return int32(p) }

func (s *SparseLU) Cost() int { return s.n + s.fill + s.work/4 }
