package sparse

import (
	"context"
	"math"
)

// singular is the part of its diagonal below which a pivot counts as nothing: rounding
// leaves as much in a matrix of a million products to an entry.
const singular = 1e-13

// Factor holds the factors of a matrix: L with ones on its diagonal, by blocks of columns,
// and D. Its room is kept from matrix to matrix of one pattern.
type Factor struct {
	*Analysis
	entries  []float64
	diagonal []float64 // D, by place
	place    []int32   // by place of an unknown: row of the block in work
	head     []int32   // by block: the first of those that change it next; −1 for none
	link     []int32
	from     []int32 // by block: the first of its rows that is still to be taken off
	scaled   []float64
	rest     []float64
	negative int
}

// NewFactor makes room for the factors; a *MemoryError, and no room, where they take more
// than limit bytes. A limit of 0 is none.
func NewFactor(a *Analysis, limit int64) (*Factor, error) {
	if b := a.Bytes(); limit > 0 && b > limit {
		return nil, &MemoryError{b, limit}
	}
	blocks := len(a.first) - 1
	wide := 0
	for b := range blocks {
		wide = max(wide, a.width(b))
	}
	return &Factor{
		Analysis: a, entries: make([]float64, a.Entries()), diagonal: make([]float64, a.pattern.n),
		place: make([]int32, a.pattern.n), head: make([]int32, blocks), link: make([]int32, blocks),
		from: make([]int32, blocks), rest: make([]float64, 3*wide),
	}, nil
}

// Negative is how many pivots were below zero: as many as the matrix has negative
// eigenvalues (J. J. Sylvester's law of inertia).
func (f *Factor) Negative() int { return f.negative }

// Factor factors a matrix of the analysed pattern. A *PivotError where it is singular, the
// context's error where that ended; the factors then hold nothing of use.
func (f *Factor) Factor(ctx context.Context, m *Matrix) error {
	for b := range f.head {
		f.head[b] = -1
	}
	f.negative = 0
	for b := range f.head {
		if err := ctx.Err(); err != nil {
			return err
		}
		rows := f.rows[f.rowsAt[b]:f.rowsAt[b+1]]
		for i, r := range rows {
			f.place[r] = int32(i)
		}
		f.fill(b, m)
		for d := f.head[b]; d >= 0; {
			next := f.link[d]
			f.update(b, int(d))
			d = next
		}
		if err := f.eliminate(b, m); err != nil {
			return err
		}
		f.from[b] = int32(f.width(b))
		f.pass(b)
	}
	return nil
}

// pass hands a block on to the next one that it changes.
func (f *Factor) pass(d int) {
	at := f.rowsAt[d] + int(f.from[d])
	if at == f.rowsAt[d+1] {
		return
	}
	b := f.above[d]
	for f.first[b+1] <= f.rows[at] {
		b = f.above[b]
	}
	f.link[d] = f.head[b]
	f.head[b] = int32(d)
}

// fill writes the matrix's own entries into a block.
func (f *Factor) fill(b int, m *Matrix) {
	w := f.width(b)
	panel := f.entries[f.panelAt[b]:f.panelAt[b+1]]
	clear(panel)
	for j := range w {
		col := int(f.first[b]) + j
		for e := f.entryAt[col]; e < f.entryAt[col+1]; e++ {
			panel[int(f.place[f.entryRow[e]])*w+j] = m.Values[f.entryValue[e]]
		}
	}
}

// update takes off block b what the eliminated block d leaves there.
func (f *Factor) update(b, d int) {
	wd, wb := f.width(d), f.width(b)
	rows := f.rows[f.rowsAt[d]:f.rowsAt[d+1]]
	from := rows[f.from[d]:]
	l := f.entries[f.panelAt[d]+int(f.from[d])*wd : f.panelAt[d+1]]
	cols := 0
	for cols < len(from) && from[cols] < f.first[b+1] {
		cols++
	}
	if need := cols * wd; cap(f.scaled) < need {
		f.scaled = make([]float64, need)
	}
	u := f.scaled[:cols*wd]
	d0 := f.diagonal[f.first[d]:f.first[d+1]]
	for j := range cols {
		for k, v := range l[j*wd : (j+1)*wd] {
			u[j*wd+k] = v * d0[k]
		}
	}
	panel := f.entries[f.panelAt[b]:f.panelAt[b+1]]
	var sum [9]float64
	for j := 0; j < cols; j += 3 {
		nj := min(3, cols-j)
		for i := j; i < len(from); i += 3 {
			ni := min(3, len(from)-i)
			dots(&sum, l[i*wd:], ni, wd, u[j*wd:], nj, wd, wd)
			for r := range ni {
				row := int(f.place[from[i+r]]) * wb
				for c := range nj {
					panel[row+int(from[j+c]-f.first[b])] -= sum[3*r+c]
				}
			}
		}
	}
	f.from[d] += int32(cols)
	f.pass(d)
}

// eliminate factors a block whose updates are all taken off: L·D·Lᵀ of its own square, then
// the rows below it.
func (f *Factor) eliminate(b int, m *Matrix) error {
	w, h := f.width(b), f.height(b)
	panel := f.entries[f.panelAt[b]:f.panelAt[b+1]]
	d := f.diagonal[f.first[b]:f.first[b+1]]
	for i := 0; i < h; {
		n := min(3, h-i)
		if i < w {
			n = min(n, w-i)
		}
		f.rowsOf(panel, d, i, n, w)
		if i < w {
			for r := range n {
				if err := f.pivot(panel, d, i, r, w, b, m); err != nil {
					return err
				}
			}
		} else {
			for r := range n {
				row := panel[(i+r)*w : (i+r+1)*w]
				for k, u := range f.rest[r*w : (r+1)*w] {
					row[k] = u / d[k]
				}
			}
		}
		i += n
	}
	return nil
}

// rowsOf works out L·D of the n rows from i on, into rest, up to the first column that
// belongs to them.
func (f *Factor) rowsOf(panel, d []float64, i, n, w int) {
	end := min(i, w)
	var sum [9]float64
	for j := 0; j < end; j += 3 {
		nj := min(3, end-j)
		dots(&sum, f.rest, n, w, panel[j*w:], nj, w, j)
		for r := range n {
			u := f.rest[r*w : (r+1)*w]
			for c := range nj {
				v := panel[(i+r)*w+j+c] - sum[3*r+c]
				row := panel[(j+c)*w : (j+c)*w+j+c]
				for k := j; k < j+c; k++ {
					v -= float64(u[k] * row[k])
				}
				u[j+c] = v
			}
		}
	}
}

// pivot ends row i + r of a block's own square: the columns of the rows taken with it, then
// its diagonal.
func (f *Factor) pivot(panel, d []float64, i, r, w, b int, m *Matrix) error {
	row := panel[(i+r)*w : (i+r+1)*w]
	u := f.rest[r*w : (r+1)*w]
	for j := i; j < i+r; j++ {
		v := row[j]
		other := panel[j*w : j*w+j]
		for k, l := range other {
			v -= float64(u[k] * l)
		}
		u[j] = v
	}
	v := row[i+r]
	for k, x := range u[:i+r] {
		row[k] = x / d[k]
		v -= float64(x * row[k])
	}
	col := int(f.order[int(f.first[b])+i+r])
	size := math.Abs(m.Diagonal(col))
	if math.Abs(v) <= singular*size || math.IsNaN(v) || math.IsInf(v, 0) {
		return &PivotError{col, v, m.Diagonal(col)}
	}
	if v < 0 {
		f.negative++
	}
	d[i+r] = v
	row[i+r] = 1
	return nil
}

// Solve sets x, which holds the right side, to the solution of A·x = r.
func (f *Factor) Solve(x []float64) {
	y := make([]float64, len(x))
	for k, i := range f.order {
		y[k] = x[i]
	}
	for b := range f.head {
		f.forward(b, y)
	}
	for k, d := range f.diagonal {
		y[k] /= d
	}
	for b := len(f.head) - 1; b >= 0; b-- {
		f.backward(b, y)
	}
	for k, i := range f.order {
		x[i] = y[k]
	}
}

func (f *Factor) forward(b int, y []float64) {
	w := f.width(b)
	panel := f.entries[f.panelAt[b]:f.panelAt[b+1]]
	own := y[f.first[b]:f.first[b+1]]
	for i, r := range f.rows[f.rowsAt[b]:f.rowsAt[b+1]] {
		s := 0.0
		for k, l := range panel[i*w : i*w+min(i, w)] {
			s += float64(l * own[k])
		}
		y[r] -= s
	}
}

func (f *Factor) backward(b int, y []float64) {
	w := f.width(b)
	panel := f.entries[f.panelAt[b]:f.panelAt[b+1]]
	own := y[f.first[b]:f.first[b+1]]
	rows := f.rows[f.rowsAt[b]:f.rowsAt[b+1]]
	for i := len(rows) - 1; i > 0; i-- {
		v := y[rows[i]]
		for k, l := range panel[i*w : i*w+min(i, w)] {
			own[k] -= float64(l * v)
		}
	}
}
