package shell

import (
	"context"
	"math"

	"perch/solver/sparse"
)

// lanczos bounds the steps in which a buckling load is looked for, and settledEigen how
// little it may still change over four of them.
const (
	lanczos      = 80
	settledEigen = 1e-4
)

// Buckling is how many times the forces that are there would let the structure buckle, by
// the linear theory about the state as it stands: the least factor μ with a movement φ that
// is not resisted, K·φ = −μ·S·φ, K the elastic stiffness and S that of the forces (C.
// Lanczos, Journal of Research of the National Bureau of Standards 45, 1950, in the product
// of K, each direction held square to all before it). +Inf where nothing is pressed;
// at most 1 where the state itself is beyond. A real sheet buckles below the factor.
func (a *Answer) Buckling(ctx context.Context) (float64, error) {
	b := a.body
	n := len(b.freedom)
	rest := make([]float64, n)
	s := sparse.NewMatrix(b.pattern)
	if err := b.assemble(ctx, a.State, rest, s, parts{stressed: true}); err != nil {
		return 0, err
	}
	if err := b.assemble(ctx, a.State, rest, b.matrix, parts{elastic: true}); err != nil {
		return 0, err
	}
	if err := b.factor.Factor(ctx, b.matrix); err != nil {
		return 0, err
	}
	l := &krylov{b: b, stress: s}
	v, p := l.first(n)
	last := [4]float64{}
	for step := range min(lanczos, n) {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		w, q, ok := l.next(v, p)
		top := largest(l.diagonal, l.beside)
		if !ok || step > 8 && math.Abs(top-last[step%4]) <= settledEigen*math.Abs(top) {
			break
		}
		last[step%4] = top
		v, p = w, q
	}
	if top := largest(l.diagonal, l.beside); top > 0 {
		return 1 / top, nil
	}
	return math.Inf(1), nil
}

// krylov are the directions of Lanczos' method and the matrix of three diagonals that they
// make.
type krylov struct {
	b                *body
	stress           *sparse.Matrix
	v, p             [][]float64 // directions, and K times them
	diagonal, beside []float64
}

// first is a direction that leans on no symmetry of the structure, of length 1.
func (l *krylov) first(n int) (v, p []float64) {
	v, p = make([]float64, n), make([]float64, n)
	x := uint64(88172645463325252)
	for i := range p { // G. Marsaglia's xorshift, Journal of Statistical Software 8, 2003
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		p[i] = float64(float64(x>>11)/(1<<53)) - 0.5
	}
	copy(v, p)
	l.b.factor.Solve(v)
	scale(1/math.Sqrt(dot(v, p)), v, p)
	return v, p
}

// next takes the direction v, with p = K·v, into the matrix and gives the one after it.
func (l *krylov) next(v, p []float64) (w, q []float64, ok bool) {
	l.v, l.p = append(l.v, v), append(l.p, p)
	q = make([]float64, len(v))
	l.stress.Mul(v, q)
	scale(-1, q)
	w = append([]float64(nil), q...)
	l.b.factor.Solve(w)
	l.diagonal = append(l.diagonal, dot(v, q))
	for range 2 { // twice: once leaves what rounding has put in
		for i := range l.v {
			k := dot(l.p[i], w)
			for j := range w {
				w[j] -= float64(k * l.v[i][j])
				q[j] -= float64(k * l.p[i][j])
			}
		}
	}
	size := dot(w, q)
	if !(size > 1e-28) {
		return nil, nil, false
	}
	size = math.Sqrt(size)
	l.beside = append(l.beside, size)
	scale(1/size, w, q)
	return w, q, true
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += float64(v * b[i])
	}
	return s
}

func scale(k float64, of ...[]float64) {
	for _, v := range of {
		for i := range v {
			v[i] *= k
		}
	}
}

// largest is the largest eigenvalue of a matrix of three diagonals, by the count of pivots
// below zero (J. W. Givens) and bisection.
func largest(diagonal, beside []float64) float64 {
	lo, hi := math.Inf(-1), math.Inf(-1)
	for i, d := range diagonal {
		r := 0.0
		if i > 0 {
			r += math.Abs(beside[i-1])
		}
		if i < len(diagonal)-1 {
			r += math.Abs(beside[i])
		}
		lo, hi = math.Max(lo, d-r), math.Max(hi, d+r)
	}
	lo = math.Min(lo, -math.Abs(hi))
	for range 200 {
		mid := lo + float64((hi-lo)/2)
		if mid <= lo || mid >= hi {
			break
		}
		if above(diagonal, beside, mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// above is how many eigenvalues are above x.
func above(diagonal, beside []float64, x float64) (n int) {
	d := 1.0
	for i, v := range diagonal {
		off := 0.0
		if i > 0 {
			off = float64(beside[i-1]*beside[i-1]) / d
		}
		if d = v - x - off; d == 0 {
			d = 1e-300
		}
		if d > 0 {
			n++
		}
	}
	return n
}
