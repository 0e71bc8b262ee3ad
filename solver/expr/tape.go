package expr

import (
	"math"
	"slices"
)

// WholeTolerance is how far, relative to the larger of 1 and the quotient, a
// number may be off a whole one and still count as whole.
const WholeTolerance = 1e-9

const (
	// Tolerance is the relative residual within which an equality holds.
	Tolerance = 1e-9
	// LeastResidual is the absolute residual within which an equality holds.
	LeastResidual = 1e-15
)

// Allowance is the residual of terms of a size that counts as none.
func Allowance(size float64) float64 { return float64(Tolerance*size) + LeastResidual }

// step is one operation with its operands, a and b, which are slots of earlier steps.
type step struct {
	op   Op
	a, b int32
	v    int32   // OpVar: the variable's index
	n    int32   // opWhole: the exponent
	c    float64 // OpConst
	tab  *table  // OpLookup
}

// Tape is a constraint's left - right as a straight run of steps, shared
// subexpressions computed once. The last step is the difference.
type Tape struct {
	code        []step
	Vars        []Var // that occur, ascending
	left, right int32
	Assigns     Var // left or right is just this variable, absent from the other side; else -1
}

// Compile lays the graph of left - right out in order, without recursion, so
// that depth is bounded by memory alone. nvars bounds the variables.
func Compile(left, right Expr, nvars int) Tape {
	var t Tape
	slot := map[*node]int32{}
	t.left = t.lay(left.node(), slot, nvars)
	t.right = t.lay(right.node(), slot, nvars)
	t.code = append(t.code, step{op: OpSub, a: t.left, b: t.right})
	for _, in := range t.code {
		if in.op == OpVar {
			t.Vars = append(t.Vars, Var(in.v))
		}
	}
	slices.Sort(t.Vars)
	t.Vars = slices.Compact(t.Vars)
	t.Assigns = t.assignedTo()
	return t
}

// assignedTo finds the variable of `x = expr` or `expr = x`.
func (t *Tape) assignedTo() Var {
	last := len(t.code) - 1
	alone := func(slot int32) bool { // no other step reads or repeats it
		v := t.code[slot].v
		for i, in := range t.code[:last] {
			switch {
			case int32(i) == slot || in.op == OpConst:
			case in.op == OpVar:
				if in.v == v {
					return false
				}
			case in.a == slot || in.b == slot && in.op.binary():
				return false
			}
		}
		return true
	}
	for _, slot := range [2]int32{t.left, t.right} {
		if t.code[slot].op == OpVar && t.left != t.right && alone(slot) {
			return Var(t.code[slot].v)
		}
	}
	return -1
}

func (t *Tape) lay(root *node, slot map[*node]int32, nvars int) int32 {
	stack := []*node{root}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		if _, done := slot[n]; done {
			stack = stack[:len(stack)-1]
			continue
		}
		ready := true
		for _, k := range [2]*node{n.b, n.a} {
			if k == nil {
				continue
			}
			if _, done := slot[k]; !done {
				stack = append(stack, k)
				ready = false
			}
		}
		if !ready {
			continue
		}
		stack = stack[:len(stack)-1]
		slot[n] = t.emit(n, slot, nvars)
	}
	return slot[root]
}

func (t *Tape) emit(n *node, slot map[*node]int32, nvars int) int32 {
	in := step{op: n.op, v: int32(n.v), c: n.c, tab: n.tab}
	switch {
	case n.op == OpVar && (n.v < 0 || int(n.v) >= nvars):
		in = step{op: OpConst, c: math.NaN()}
	case n.op == OpVar: // each variable has one slot
		for i, k := range t.code {
			if i > 8 {
				break // long tapes: a second slot is as right, only slower
			}
			if k.op == OpVar && k.v == in.v {
				return int32(i)
			}
		}
	}
	if n.a != nil {
		in.a = slot[n.a]
	}
	if n.b != nil {
		in.b = slot[n.b]
	}
	t.code = append(t.code, in)
	return int32(len(t.code) - 1)
}

// Eval computes the residual left - right at x, every step kept in buf.
func (t *Tape) Eval(x, buf []float64) float64 {
	for i := range t.code {
		in := &t.code[i]
		var r float64
		switch in.op {
		case OpConst:
			r = in.c
		case OpVar:
			r = x[in.v]
		case OpAdd: // the commonest without a call
			r = buf[in.a] + buf[in.b]
		case OpSub:
			r = buf[in.a] - buf[in.b]
		case OpMul:
			r = float64(buf[in.a] * buf[in.b])
		default:
			r = operations[in.op].value(in, buf[in.a], buf[in.b])
		}
		buf[i] = r
	}
	return buf[len(t.code)-1]
}

// Gradient adds the residual's derivatives to grad, by Var, in reverse mode. It
// needs buf as eval left it; adj is scratch of the same size.
func (t *Tape) Gradient(buf, adj, grad []float64) {
	n := len(t.code)
	adj = adj[:n]
	clear(adj)
	adj[n-1] = 1
	for i := n - 1; i >= 0; i-- {
		in, d := &t.code[i], adj[i]
		if d == 0 {
			continue
		}
		switch in.op {
		case OpConst:
		case OpVar:
			grad[in.v] += d
		default:
			da, db := operations[in.op].partials(in, buf[in.a], buf[in.b], buf[i])
			if da != 0 {
				adj[in.a] += float64(d * da)
			}
			if db != 0 && in.op.binary() {
				adj[in.b] += float64(d * db)
			}
		}
	}
}

// GradientSize adds to grad the sums of the sizes of the terms that gradient
// sums: where a derivative is far less, they cancel.
func (t *Tape) GradientSize(buf, adj, grad []float64) {
	n := len(t.code)
	adj = adj[:n]
	clear(adj)
	adj[n-1] = 1
	for i := n - 1; i >= 0; i-- {
		in, d := &t.code[i], adj[i]
		switch in.op {
		case OpConst:
		case OpVar:
			grad[in.v] += d
		default:
			da, db := operations[in.op].partials(in, buf[in.a], buf[in.b], buf[i])
			if da != 0 {
				adj[in.a] += float64(d * math.Abs(da))
			}
			if db != 0 && in.op.binary() {
				adj[in.b] += float64(d * math.Abs(db))
			}
		}
	}
}

// Magnitude returns the size of the terms that cancel in the residual, the
// measure of its rounding error: of a sum the sum of the terms' sizes, of a
// function at least its slope times its argument's size. It needs buf as eval
// left it; mag is scratch.
func (t *Tape) Magnitude(buf, mag []float64) float64 {
	for i := range t.code {
		in := &t.code[i]
		var m float64
		switch o := &operations[in.op]; {
		case o.arity == 0:
			m = math.Abs(buf[i])
		case o.terms == termsAdd:
			m = mag[in.a] + mag[in.b]
		case o.terms == termsLargest:
			m = math.Max(mag[in.a], mag[in.b])
		default:
			da, db := operations[in.op].partials(in, buf[in.a], buf[in.b], buf[i])
			m = math.Abs(float64(da * mag[in.a]))
			if in.op.binary() {
				m = math.Max(m, math.Abs(float64(db*mag[in.b])))
			}
			if math.IsNaN(m) || math.IsInf(m, 0) {
				m = 0
			}
			m = math.Max(m, math.Abs(buf[i]))
		}
		mag[i] = m
	}
	return mag[len(t.code)-1]
}

// Size is how many steps the tape has.
func (t *Tape) Size() int { return len(t.code) }

// Left and rightOf are the sides' values as eval left them.
func (t *Tape) Left(buf []float64) float64  { return buf[t.left] }
func (t *Tape) Right(buf []float64) float64 { return buf[t.right] }

// Sides is the larger size of the sides as an enclosure left them.
func (t *Tape) Sides(buf []Dual) float64 {
	return math.Max(buf[t.left].Value.Magnitude(), buf[t.right].Value.Magnitude())
}

// Assigned is the value that the tape gives to the variable that it assigns, and the
// residual, NaN where a side is undefined; x of the variable is set to 0.
func (t *Tape) Assigned(x, buf []float64) (y, residual float64) {
	x[t.Assigns] = 0
	residual = t.Eval(x, buf)
	return buf[t.left] + buf[t.right], residual // one of them is the variable, now 0
}

// AssignsLeft tells whether the variable that the tape assigns is its left side.
func (t *Tape) AssignsLeft() bool {
	in := t.code[t.left]
	return in.op == OpVar && Var(in.v) == t.Assigns
}

// IsLinear tells by structure whether the tape is linear in the variables that have
// a number in local.
func (t *Tape) IsLinear(local []int32) bool {
	degree := make([]int, t.Size())
	for i := range t.code {
		if in := &t.code[i]; in.op != OpVar {
			degree[i] = in.op.degree(degree[in.a], degree[in.b])
		} else if local[in.v] >= 0 {
			degree[i] = 1
		}
	}
	return degree[t.Size()-1] <= 1
}

// MayCancel tells whether some variable occurs more than once in a smooth tape.
func (t *Tape) MayCancel() bool {
	uses := map[int32]int{}
	for i := range t.code {
		in := &t.code[i]
		if operations[in.op].broken {
			return false
		}
		if in.op.leaf() {
			continue
		}
		uses[in.a]++
		if in.op.binary() {
			uses[in.b]++
		}
	}
	for slot, n := range uses {
		if n > 1 && t.code[slot].op != OpConst {
			return true
		}
	}
	return false
}
