package optimize

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/interval"
	"perch/solver/linear"
)

const (
	restoreSteps  = 80
	restoreStalls = 8     // steps without betterment that end a restoration
	nearActive    = 10    // times the worst miss: how near a limit counts as an equation
	regularized   = 1e-13 // of the slopes' squares, added to keep a system definite
)

// Constraint is what one constraint leaves at a point.
type Constraint struct {
	Residual float64 // to be 0, or at most 0 where it is no equation
	Size     float64 // of its terms, above 0
	Equation bool
}

// violation is how far it is from holding, in parts of its size; negative inside.
func (c Constraint) violation() float64 {
	if c.Equation {
		return math.Abs(c.Residual / c.Size)
	}
	return c.Residual / c.Size
}

// Restore takes steps from x, inside a box, towards where all constraints hold, those
// that nearly bind held as equations: the least step that would do were they straight
// (Gauss, Newton). at tells what they leave at a point, and gradient the derivatives of
// one there, in parts of its size and by scale. It returns the place that missed least,
// and by how much, in parts of the size of a constraint's terms.
func Restore(x []float64, box []interval.Interval, scale []float64, at func(x []float64) []Constraint, gradient func(i int) []float64) (best []float64, least float64) {
	x, least = slices.Clone(x), math.Inf(1)
	stalls := 0
	for range restoreSteps {
		all := at(x)
		worst := 0.0
		for _, c := range all {
			worst = math.Max(worst, c.violation()) // NaN stays
		}
		if !elementary.Finite(worst) {
			break
		}
		if stalls++; worst < least {
			best, least, stalls = slices.Clone(x), worst, 0
		}
		if worst == 0 || stalls >= restoreStalls {
			break
		}
		var rows [][]float64
		var miss []float64
		for i, c := range all {
			if by := c.Residual / c.Size; c.Equation || by > float64(-nearActive*worst) {
				rows, miss = append(rows, gradient(i)), append(miss, by)
			}
		}
		d := leastStep(rows, miss)
		if d == nil {
			break
		}
		for k := range x {
			x[k] = math.Max(box[k].Lo, math.Min(box[k].Hi, x[k]+float64(d[k]*scale[k])))
		}
	}
	return best, least
}

// leastStep is the shortest d with rows·d = -miss, or nearly so where there is none.
func leastStep(rows [][]float64, miss []float64) []float64 {
	n := len(rows)
	a, r := make([]float64, n*n), make([]float64, n)
	trace := 0.0
	for i := range n {
		for j := range n {
			for k := range rows[i] {
				a[i*n+j] += float64(rows[i][k] * rows[j][k])
			}
		}
		r[i] = -miss[i]
		trace += a[i*n+i]
	}
	if !elementary.Finite(trace) || !(trace > 0) {
		return nil
	}
	y := solvePositive(a, r, float64(regularized*trace))
	if y == nil {
		return nil
	}
	d := make([]float64, len(rows[0]))
	for i := range rows {
		for k := range d {
			d[k] += float64(rows[i][k] * y[i])
		}
	}
	for _, v := range d {
		if !elementary.Finite(v) {
			return nil
		}
	}
	return d
}

// solvePositive solves a linear system whose matrix, n by n, has no negative direction;
// add is added to its diagonal. nil where that is not enough.
func solvePositive(a, r []float64, add float64) []float64 {
	n := len(r)
	for i := range n {
		a[i*n+i] += add
	}
	d, x := linear.NewDense(n), make([]float64, n)
	if !d.Factor(a, 0) || !d.Solve(r, x) {
		return nil
	}
	return x
}
