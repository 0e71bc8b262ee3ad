package optimize

import "math"

const (
	opposing      = 1e-4 // of their length: what may be left of slopes that cancel
	balanceSweeps = 500
)

// Slopes are those of a constraint's residual at a point, by variable.
type Slopes struct {
	by   []float64
	Long float64 // the longest of them
}

func NewSlopes(by []float64) Slopes {
	s := Slopes{by: by}
	for _, v := range by {
		s.Long = math.Max(s.Long, math.Abs(v))
	}
	return s
}

// at is a slope in parts of the longest.
func (s Slopes) at(k int) float64 { return s.by[k] / s.Long }

// Multipliers are weights with which the slopes of inequalities, none below zero and
// one in all, and of equations cancel: those of Lagrange and Kuhn and Tucker. Each is
// for slopes in parts of their longest. ok is false where there are none.
func Multipliers(equations, inequalities []Slopes) (ofEquations, ofInequalities []float64, ok bool) {
	side := make([]Slopes, len(inequalities)) // with the slopes that no equation takes up
	takes := make([][]float64, len(inequalities))
	n := len(equations)
	for i, own := range inequalities {
		m, r := make([]float64, n*n), make([]float64, n) // of the products of their slopes, and with own
		for j, e := range equations {
			for k := range own.by {
				r[j] -= float64(e.at(k) * own.at(k))
				for h, f := range equations {
					m[j*n+h] += float64(e.at(k) * f.at(k))
				}
			}
		}
		if takes[i] = solvePositive(m, r, regularized); takes[i] == nil {
			return nil, nil, false
		}
		side[i] = Slopes{by: make([]float64, len(own.by)), Long: own.Long}
		for k := range own.by {
			rest := own.at(k)
			for j, e := range equations {
				rest += float64(takes[i][j] * e.at(k))
			}
			side[i].by[k] = float64(rest * own.Long)
		}
	}
	weight, left := balance(side)
	if !(left <= opposing) {
		return nil, nil, false
	}
	ofEquations = make([]float64, n)
	for j := range equations {
		for i, w := range weight {
			ofEquations[j] += float64(w * takes[i][j])
		}
	}
	return ofEquations, weight, true
}

// balance finds weights, none below zero and one in all, with which slopes, each by its
// longest, cancel as far as they can: the nearest point to zero of what they span, found
// by moving weight between two of them at a time. left is how far from zero it is.
func balance(set []Slopes) (weight []float64, left float64) {
	n := len(set)
	dot := make([][]float64, n)
	for i := range set {
		dot[i] = make([]float64, n)
		for j := range set {
			for k := range set[i].by {
				dot[i][j] += float64(set[i].at(k) * set[j].at(k))
			}
		}
	}
	weight = make([]float64, n)
	weight[0] = 1
	for range balanceSweeps {
		moved := 0.0
		for i := range n {
			for j := range i {
				slope, curve := 0.0, dot[i][i]+dot[j][j]-float64(2*dot[i][j])
				for k, w := range weight {
					slope += float64(w * (dot[i][k] - dot[j][k]))
				}
				if curve <= 0 {
					continue
				}
				d := math.Max(-weight[i], math.Min(weight[j], -slope/curve))
				weight[i], weight[j] = math.Max(0, weight[i]+d), math.Max(0, weight[j]-d)
				moved = math.Max(moved, math.Abs(d))
			}
		}
		if moved < 1e-15 {
			break
		}
	}
	for k := range set[0].by {
		sum := 0.0
		for i, w := range weight {
			sum += float64(w * set[i].at(k))
		}
		left = math.Max(left, math.Abs(sum))
	}
	return weight, left
}
