package linear

import (
	"math"
	"slices"

	"perch/solver/elementary"
)

const (
	// DenseUpTo is the size of a block up to which its matrices are kept whole.
	DenseUpTo = 64
	// maxBand is how many numbers the factors of a larger one may take; past it the
	// block's linear systems are not solved.
	maxBand = 1_000_000
	// maxShared bounds the pairs of variables that share a row, in ordering.
	maxShared = 20_000_000
	// lost is the part of the largest entry below which the rest of a row of an
	// inverse is left out: what it is used for allows for that.
	lost = 1e-25
)

// Pattern tells which entries of a square sparse matrix are there, and an order of
// rows and columns in which they lie near the diagonal.
type Pattern struct {
	n      int
	cols   [][]int32 // by row, ascending
	rowAt  []int32   // by row: its place in the order
	colAt  []int32   // by column
	RowOf  []int32   // by place
	colOf  []int32
	Kl, Ku int // places below and above the diagonal that may be filled
}

// NewPattern orders columns by breadth from a far end, neighbours being those that
// share a row (E. Cuthill, J. McKee, ACM 1969, backwards as by A. George), and rows
// by their first column. nil where the matrix is too full for that to pay.
func NewPattern(n int, cols [][]int32) *Pattern {
	p := &Pattern{n: n, cols: cols}
	shared := 0
	for _, c := range cols {
		shared += len(c) * len(c)
	}
	if shared > maxShared {
		return nil
	}
	p.orderColumns()
	first := make([]int32, n)
	p.RowOf = make([]int32, n)
	for i, c := range cols {
		p.RowOf[i], first[i] = int32(i), int32(n)
		for _, k := range c {
			first[i] = min(first[i], p.colAt[k])
		}
	}
	slices.SortStableFunc(p.RowOf, func(a, b int32) int { return int(first[a] - first[b]) })
	p.rowAt = make([]int32, n)
	for at, i := range p.RowOf {
		p.rowAt[i] = int32(at)
		for _, k := range cols[i] {
			d := int(p.colAt[k]) - at
			p.Kl, p.Ku = max(p.Kl, -d), max(p.Ku, d)
		}
	}
	if n*p.width() > maxBand {
		return nil
	}
	return p
}

func (p *Pattern) width() int { return 2*p.Kl + p.Ku + 1 }

// orderColumns sets colOf and colAt.
func (p *Pattern) orderColumns() {
	rows := make([][]int32, p.n)
	for i, c := range p.cols {
		for _, k := range c {
			rows[k] = append(rows[k], int32(i))
		}
	}
	next := make([][]int32, p.n)
	seen := make([]int32, p.n)
	for k := range next {
		for _, i := range rows[k] {
			for _, j := range p.cols[i] {
				if int(j) != k && seen[j] != int32(k)+1 {
					seen[j] = int32(k) + 1
					next[k] = append(next[k], j)
				}
			}
		}
	}
	fewer := func(a, b int32) int {
		if d := len(next[a]) - len(next[b]); d != 0 {
			return d
		}
		return int(a - b)
	}
	for _, l := range next {
		slices.SortFunc(l, fewer)
	}
	done := make([]bool, p.n)
	walk := func(from int32, mark []bool) []int32 {
		out := []int32{from}
		mark[from] = true
		for at := 0; at < len(out); at++ {
			for _, j := range next[out[at]] {
				if !mark[j] {
					mark[j] = true
					out = append(out, j)
				}
			}
		}
		return out
	}
	for k := range p.n {
		if done[k] {
			continue
		}
		far := int32(k)
		for range 2 { // to an end
			l := walk(far, slices.Clone(done))
			far = l[len(l)-1]
		}
		p.colOf = append(p.colOf, walk(far, done)...)
	}
	slices.Reverse(p.colOf)
	p.colAt = make([]int32, p.n)
	for at, k := range p.colOf {
		p.colAt[k] = int32(at)
	}
}

// band is a matrix in the order of its pattern, factored with partial pivoting: a
// row holds the places from kl before the diagonal to kl + ku beyond it.
type band struct {
	*Pattern
	a     []float64
	pivot []int32   // by place: the place that it changed with
	lower []float64 // by place: kl factors
	y     []float64 // by place
}

func newBand(p *Pattern) *band {
	return &band{Pattern: p, a: make([]float64, p.n*p.width()), pivot: make([]int32, p.n), lower: make([]float64, p.n*max(p.Kl, 1)), y: make([]float64, p.n)}
}

func (b *band) RowAtPlace(p int) int32 { return b.RowOf[p] }

func (b *band) Cost() int { return b.n + b.n*b.Kl*b.width()/4 }

func (b *band) Factor(entry func(row, at int) float64, least float64) bool {
	w := b.width()
	clear(b.a)
	for i, c := range b.cols {
		r := int(b.rowAt[i])
		for at, k := range c {
			b.a[r*w+int(b.colAt[k])-r+b.Kl] = entry(i, at)
		}
	}
	for p := range b.n {
		last := min(p+b.Kl, b.n-1)
		best, most := p, 0.0
		for r := p; r <= last; r++ {
			if v := math.Abs(b.a[r*w+p-r+b.Kl]); v > most {
				best, most = r, v
			}
		}
		if !(most > least) || !elementary.Finite(most) {
			return false
		}
		b.pivot[p] = int32(best)
		end := min(p+b.Kl+b.Ku, b.n-1)
		top := b.a[p*w+b.Kl : p*w+b.Kl+end-p+1]
		if best != p {
			other := b.a[best*w+p-best+b.Kl : best*w+end-best+b.Kl+1]
			for k := range top {
				top[k], other[k] = other[k], top[k]
			}
		}
		for r := p + 1; r <= last; r++ {
			row := b.a[r*w+p-r+b.Kl : r*w+end-r+b.Kl+1]
			f := row[0] / top[0]
			b.lower[p*b.Kl+r-p-1] = f
			if f == 0 {
				continue
			}
			row[0] = 0
			for k := 1; k < len(top); k++ {
				row[k] -= float64(f * top[k])
			}
		}
	}
	return true
}

func (b *band) Solve(r, x []float64) bool {
	y, w := b.y, b.width()
	for at, i := range b.RowOf {
		y[at] = r[i]
	}
	for p := range b.n {
		if q := b.pivot[p]; int(q) != p {
			y[p], y[q] = y[q], y[p]
		}
		if y[p] != 0 {
			for k, f := range b.lower[p*b.Kl : p*b.Kl+min(b.Kl, b.n-1-p)] {
				y[p+1+k] -= float64(f * y[p])
			}
		}
	}
	for p := b.n - 1; p >= 0; p-- {
		s := y[p]
		end := min(b.Kl+b.Ku, b.n-1-p)
		for k := 1; k <= end; k++ {
			s -= float64(b.a[p*w+b.Kl+k] * y[p+k])
		}
		y[p] = s / b.a[p*w+b.Kl]
		if !elementary.Finite(y[p]) {
			return false
		}
	}
	for at, k := range b.colOf {
		x[k] = y[at]
	}
	return true
}

func (b *band) InverseRow(i int) (y []float64, lo, hi int) {
	y = b.y
	clear(y)
	w, start := b.width(), int(b.colAt[i])
	y[start] = 1
	most := 0.0
	hi = b.n - 1
	for p := start; p < b.n; p++ { // Uᵀ
		if y[p] == 0 {
			continue
		}
		y[p] /= b.a[p*w+b.Kl]
		end := min(b.Kl+b.Ku, b.n-1-p)
		near := math.Abs(y[p])
		most = max(most, near)
		for k := 1; k <= end; k++ {
			y[p+k] -= float64(b.a[p*w+b.Kl+k] * y[p])
			near = max(near, math.Abs(y[p+k]))
		}
		if near <= lost*most {
			clear(y[p+1 : p+1+end])
			hi = p
			break
		}
	}
	lo = start
	reach := hi
	for p := hi; p >= 0; p-- { // Lᵀ, with the changes of rows backwards
		s := y[p]
		for k, f := range b.lower[p*b.Kl : p*b.Kl+min(b.Kl, b.n-1-p)] {
			s -= float64(f * y[p+1+k])
		}
		y[p] = s
		if q := int(b.pivot[p]); q != p {
			y[p], y[q] = y[q], y[p]
			reach = max(reach, q)
		}
		lo = min(lo, p)
		if p < start && b.quiet(p, lost*most) {
			break
		}
	}
	return y, lo, reach
}

// quiet tells whether all values within kl of place p are at most small; then it
// makes those below p nothing. Those above stay as they are.
func (b *band) quiet(p int, small float64) bool {
	for k := p; k <= min(p+b.Kl, b.n-1); k++ {
		if math.Abs(b.y[k]) > small {
			return false
		}
	}
	return true
}
