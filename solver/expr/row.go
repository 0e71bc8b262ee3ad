package expr

import (
	"math"

	"perch/solver/interval"
)

// Row is an equation `root = 0` of a block over the block's own variables, by
// index: what is fixed outside the block is folded into constants, and equal
// steps are one, so that every variable has one slot.
type Row struct {
	Want  interval.Interval // values of the root that satisfy it: 0, or a half-line
	Vars  []int32           // the variables that occur, by index in the block
	code  []rowStep
	slots []int32             // of vars
	val   []interval.Interval // by step: as the last evaluation or contraction left it
	at    []interval.Interval // by step: at the center of a slope
	adj   []interval.Interval
	slope []interval.Interval // by vars
	term  []interval.Interval // by vars: scratch
	bent  bool                // not linear in a variable that occurs more than once
}

// rowStep is a step of a row; its variable is an index in the block.
type rowStep struct {
	step
	fixed interval.Interval // OpConst: what the number is known to be in
}

// rowKey tells steps apart.
type rowKey struct {
	op   Op
	a, b int32
	n    int32
	tab  *table
}

// rowMaker lays a row.
type rowMaker struct {
	Row
	same  map[rowKey]int32
	local []int32 // by Var: index in the block, -1 outside
	slot  map[int32]int32
}

// NewRow lays `t - shift` over the block's variables; x holds the others.
func NewRow(t *Tape, shift float64, local []int32, x []float64) Row {
	m := rowMaker{same: map[rowKey]int32{}, local: local, slot: map[int32]int32{}}
	slots := make([]int32, len(t.code))
	for i := range t.code {
		slots[i] = m.lay(t.code[i], slots, x)
	}
	root := slots[len(t.code)-1]
	if shift != 0 {
		root = m.emit(step{op: OpSub, a: root, b: m.constant(interval.Point(shift))})
	}
	m.trim(root)
	n := len(m.code)
	m.val, m.at, m.adj = make([]interval.Interval, n), make([]interval.Interval, n), make([]interval.Interval, n)
	for i := range m.code {
		switch m.code[i].op {
		case OpConst:
			m.val[i], m.at[i] = m.code[i].fixed, m.code[i].fixed
		case OpVar:
			m.Vars, m.slots = append(m.Vars, m.code[i].v), append(m.slots, int32(i))
		}
	}
	m.term, m.slope = make([]interval.Interval, len(m.Vars)), make([]interval.Interval, len(m.Vars))
	m.bent = m.curved()
	return m.Row
}

// curved tells whether the row is not linear in a variable that occurs in it more
// than once.
func (r *Row) curved() bool {
	uses := make([]int, len(r.code))
	for i := range r.code {
		if s := &r.code[i]; !s.op.leaf() {
			uses[s.a]++
			if s.op.binary() {
				uses[s.b]++
			}
		}
	}
	for _, v := range r.slots {
		if uses[v] > 1 && r.degree(v) > 1 {
			return true
		}
	}
	return false
}

// degree of the row in the variable of a slot: 0, 1, or 2 for all else.
func (r *Row) degree(slot int32) int {
	d := make([]int, len(r.code))
	for i := range r.code {
		if s := &r.code[i]; int32(i) == slot {
			d[i] = 1
		} else {
			d[i] = s.op.degree(d[s.a], d[s.b])
		}
	}
	return d[len(r.code)-1]
}

func (m *rowMaker) lay(in step, slots []int32, x []float64) int32 {
	switch in.op {
	case OpConst:
		return m.constant(interval.Point(in.c))
	case OpVar:
		k := m.local[in.v]
		if k < 0 {
			return m.constant(interval.Point(x[in.v]))
		}
		if s, ok := m.slot[k]; ok {
			return s
		}
		s := m.push(rowStep{step: step{op: OpVar, v: k}})
		m.slot[k] = s
		return s
	}
	st := step{op: in.op, a: slots[in.a], tab: in.tab}
	if in.op.binary() {
		st.b = slots[in.b]
	}
	return m.emit(m.simpler(st))
}

func (m *rowMaker) constant(x interval.Interval) int32 {
	return m.push(rowStep{step: step{op: OpConst}, fixed: x})
}

func (m *rowMaker) push(s rowStep) int32 {
	m.code = append(m.code, s)
	return int32(len(m.code) - 1)
}

// simpler turns products of equals and whole powers into steps of one operand.
func (m *rowMaker) simpler(s step) step {
	whole := func(k int32) (int32, int) { // slot as base to a power
		switch c := &m.code[k]; c.op {
		case opSquare:
			return c.a, 2
		case opWhole:
			return c.a, int(c.n)
		}
		return k, 1
	}
	switch {
	case s.op == OpMul:
		a, n := whole(s.a)
		b, k := whole(s.b)
		if a != b || n < 0 || k < 0 || m.code[a].op == OpConst {
			return s
		}
		return wholeStep(a, n+k)
	case s.op == OpPow && m.code[s.b].op == OpConst:
		e := m.code[s.b].fixed
		if e.IsPoint() && e.Lo == math.Trunc(e.Lo) && math.Abs(e.Lo) < 1<<20 && e.Lo != 0 && e.Lo != 1 {
			return wholeStep(s.a, int(e.Lo))
		}
	}
	return s
}

func wholeStep(a int32, n int) step {
	if n == 2 {
		return step{op: opSquare, a: a}
	}
	return step{op: opWhole, a: a, n: int32(n)}
}

func (m *rowMaker) emit(s step) int32 {
	key := rowKey{s.op, s.a, s.b, s.n, s.tab}
	if k, ok := m.same[key]; ok {
		return k
	}
	var k int32
	if m.code[s.a].op == OpConst && (!s.op.binary() || m.code[s.b].op == OpConst) {
		k = m.constant(operations[s.op].enclose(&s, m.code[s.a].fixed, m.code[s.b].fixed))
	} else {
		k = m.push(rowStep{step: s})
	}
	m.same[key] = k
	return k
}

// trim drops the steps that root does not need.
func (m *rowMaker) trim(root int32) {
	need := make([]bool, root+1)
	need[root] = true
	for i := root; i >= 0; i-- {
		if s := &m.code[i]; need[i] && !s.op.leaf() {
			need[s.a] = true
			if s.op.binary() {
				need[s.b] = true
			}
		}
	}
	to := make([]int32, root+1)
	kept := m.code[:0]
	for i := range to {
		if !need[i] {
			continue
		}
		s := m.code[i]
		if !s.op.leaf() {
			s.a = to[s.a]
			if s.op.binary() {
				s.b = to[s.b]
			}
		}
		to[i] = int32(len(kept))
		kept = append(kept, s)
	}
	m.code = kept
}

// Size is how many steps the row has.
func (r *Row) Size() int { return len(r.code) }

// IsBent tells whether the row is not linear in a variable that occurs more than once.
func (r *Row) IsBent() bool { return r.bent }

// Over encloses the row's values over a box, of which the next slopes are.
func (r *Row) Over(box []interval.Interval) interval.Interval { return r.evaluate(box, r.val) }

// AtCenter encloses the row's value at a center, from which the next slopes start.
func (r *Row) AtCenter(center []interval.Interval) interval.Interval { return r.evaluate(center, r.at) }

// evaluate encloses every step over a box.
func (r *Row) evaluate(box, val []interval.Interval) interval.Interval {
	for i := range r.code {
		s := &r.code[i]
		switch s.op {
		case OpConst:
			val[i] = s.fixed
		case OpVar:
			val[i] = box[s.v]
		case OpAdd: // the commonest without a call
			val[i] = interval.Add(val[s.a], val[s.b])
		case OpSub:
			val[i] = interval.Sub(val[s.a], val[s.b])
		case OpMul:
			val[i] = interval.Mul(val[s.a], val[s.b])
		default:
			val[i] = operations[s.op].enclose(&s.step, val[s.a], val[s.b])
		}
	}
	return val[len(r.code)-1]
}

// Slopes bounds the slopes, by vars, between the center last evaluated and any point of
// the box last evaluated: f(x) is in f(c) + Σ slope·(x - c) (R. Krawczyk, A. Neumaier,
// "Interval slopes for rational functions and associated centered forms", SIAM J. Numer.
// Anal. 22, 1985). They are the row's own until the next call.
func (r *Row) Slopes() []interval.Interval { return r.backwards(r.val, r.at) }

// Derivatives bounds the partial derivatives over the box last evaluated, as slopes does.
func (r *Row) Derivatives() []interval.Interval { return r.backwards(r.val, r.val) }

// backwards sums slopes from the root to the variables.
func (r *Row) backwards(val, at []interval.Interval) []interval.Interval {
	adj := r.adj
	clear(adj)
	n := len(r.code)
	adj[n-1] = interval.Point(1)
	for i := n - 1; i >= 0; i-- {
		s, d := &r.code[i], adj[i]
		if s.op.leaf() || d.Lo == 0 && d.Hi == 0 {
			continue
		}
		switch s.op {
		case OpAdd:
			adj[s.a] = interval.Add(adj[s.a], d)
			adj[s.b] = interval.Add(adj[s.b], d)
			continue
		case OpSub:
			adj[s.a] = interval.Add(adj[s.a], d)
			adj[s.b] = interval.Sub(adj[s.b], d)
			continue
		case OpMul:
			x, y := val[s.b], at[s.a]
			if val[s.a].Width() < val[s.b].Width() {
				x, y = at[s.b], val[s.a]
			}
			adj[s.a] = interval.Add(adj[s.a], interval.Mul(d, x))
			adj[s.b] = interval.Add(adj[s.b], interval.Mul(d, y))
			continue
		}
		o := &operations[s.op]
		x, y := o.slopes(&s.step, operands{&val[s.a], &val[s.b], &val[i]}, operands{&at[s.a], &at[s.b], &at[i]})
		adj[s.a] = interval.Add(adj[s.a], interval.Mul(d, x))
		if o.arity == 2 {
			adj[s.b] = interval.Add(adj[s.b], interval.Mul(d, y))
		}
	}
	for k, s := range r.slots {
		r.slope[k] = adj[s]
	}
	return r.slope
}
