package search

import "math"

// quadratic asks for the x with least ½ x·B·x + c·x among those with
// row·x ≤ limit for each row. B is symmetric and not negative; there must be an x
// within all rows, which need not be known.
type quadratic struct {
	b     [][]float64
	c     []float64
	rows  [][]float64
	limit []float64
}

const (
	quadSteps = 60
	quadGap   = 1e-14 // slack times weight, on the mean, at which a program is solved
	quadMiss  = 1e-11 // and what its equations may miss
)

// solve finds x and the weight of each row: how much the least value falls for
// each unit its limit is raised, zero for rows that do not bind. It is the
// primal-dual method of inner points with predictor and corrector (S. Mehrotra,
// 'On the implementation of a primal-dual interior point method', 1992). False
// where numbers give out.
func (q *quadratic) solve() (x, weight []float64, ok bool) {
	n, m := len(q.c), len(q.rows)
	x, weight = make([]float64, n), make([]float64, m)
	slack := make([]float64, m)
	for i := range q.rows {
		slack[i], weight[i] = max(1, q.limit[i]), 1
	}
	for range quadSteps {
		dual, primal, gap := q.residuals(x, weight, slack)
		if gap <= quadGap && largest(dual) <= quadMiss && largest(primal) <= quadMiss {
			break
		}
		a := q.matrix(weight, slack)
		aim := make([]float64, m) // what slack times weight is over what it should be
		for i := range aim {
			aim[i] = float64(slack[i] * weight[i])
		}
		dx, ds, dw := q.direction(a, dual, primal, aim, weight, slack)
		if dx == nil {
			return x, weight, gap < 1e-8
		}
		p, d := longest(slack, ds), longest(weight, dw)
		after := 0.0
		for i := range aim {
			after += float64((slack[i] + float64(p*ds[i])) * (weight[i] + float64(d*dw[i])))
		}
		after /= float64(max(1, m))
		r := after / max(gap, math.SmallestNonzeroFloat64)
		centre := float64(float64(float64(r*r)*r) * gap)
		for i := range aim {
			aim[i] += float64(ds[i]*dw[i]) - centre
		}
		if dx, ds, dw = q.direction(a, dual, primal, aim, weight, slack); dx == nil {
			return x, weight, gap < 1e-8
		}
		p, d = min(1, float64(0.995*longest(slack, ds))), min(1, float64(0.995*longest(weight, dw)))
		for k := range x {
			x[k] += float64(p * dx[k])
		}
		for i := range slack {
			slack[i] += float64(p * ds[i])
			weight[i] += float64(d * dw[i])
		}
	}
	_, primal, gap := q.residuals(x, weight, slack)
	return x, weight, gap < 1e-8 && largest(primal) < 1e-8
}

func largest(x []float64) float64 {
	most := 0.0
	for _, v := range x {
		most = max(most, math.Abs(v)) // NaN stays
	}
	return most
}

// residuals are how far the slopes are from balance, the rows from their slack, and
// the mean of slack times weight.
func (q *quadratic) residuals(x, weight, slack []float64) (dual, primal []float64, gap float64) {
	dual = make([]float64, len(x))
	for k := range x {
		dual[k] = q.c[k]
		for j := range x {
			dual[k] += float64(q.b[k][j] * x[j])
		}
	}
	primal = make([]float64, len(q.rows))
	for i, row := range q.rows {
		primal[i] = slack[i] - q.limit[i]
		for k := range x {
			primal[i] += float64(row[k] * x[k])
			dual[k] += float64(row[k] * weight[i])
		}
		gap += float64(slack[i] * weight[i])
	}
	return dual, primal, gap / float64(max(1, len(q.rows)))
}

// matrix is B and each row's square by weight over slack.
func (q *quadratic) matrix(weight, slack []float64) [][]float64 {
	a := make([][]float64, len(q.c))
	for k := range a {
		a[k] = append([]float64(nil), q.b[k]...)
		a[k][k] += 1e-12
	}
	for i, row := range q.rows {
		by := weight[i] / slack[i]
		for k := range a {
			for j := range a {
				a[k][j] += float64(float64(by*row[k]) * row[j])
			}
		}
	}
	return a
}

// direction is the step that would bring the residuals and aim to nothing.
func (q *quadratic) direction(a [][]float64, dual, primal, aim, weight, slack []float64) (dx, ds, dw []float64) {
	rows := make([][]float64, len(a))
	for k := range a {
		rows[k] = append(append(make([]float64, 0, len(a)+1), a[k]...), -dual[k])
	}
	for i, row := range q.rows {
		by := (float64(weight[i]*primal[i]) - aim[i]) / slack[i]
		for k := range rows {
			rows[k][len(a)] -= float64(row[k] * by)
		}
	}
	if dx = descend(rows); dx == nil {
		return nil, nil, nil
	}
	ds, dw = make([]float64, len(q.rows)), make([]float64, len(q.rows))
	for i, row := range q.rows {
		ds[i] = -primal[i]
		for k := range dx {
			ds[i] -= float64(row[k] * dx[k])
		}
		dw[i] = (-aim[i] - float64(weight[i]*ds[i])) / slack[i]
	}
	return dx, ds, dw
}

// longest is the part of a step, at most 1, along which all of x stay above zero.
func longest(x, step []float64) float64 {
	part := 1.0
	for i := range x {
		if step[i] < 0 {
			part = min(part, -x[i]/step[i])
		}
	}
	return part
}

// descend solves a linear system with a positive matrix, rows of coefficients and
// right side, by elimination without pivots, which such a matrix allows however
// differently its rows are scaled; nil where it is not positive.
func descend(a [][]float64) []float64 {
	n := len(a)
	for c := range n {
		if !(a[c][c] > 0) || math.IsInf(a[c][c], 0) {
			return nil
		}
		for r := c + 1; r < n; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k <= n; k++ {
				a[r][k] -= float64(f * a[c][k])
			}
		}
	}
	x := make([]float64, n)
	for c := n - 1; c >= 0; c-- {
		x[c] = a[c][n]
		for k := c + 1; k < n; k++ {
			x[c] -= float64(a[c][k] * x[k])
		}
		if x[c] /= a[c][c]; math.IsNaN(x[c]) || math.IsInf(x[c], 0) {
			return nil
		}
	}
	return x
}
