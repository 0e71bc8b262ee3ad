package solver

import "math"

// row is an equation `root = 0` of a block over the block's own variables, by
// index: what is fixed outside the block is folded into constants, and equal
// steps are one, so that every variable has one slot.
type row struct {
	code []step
	vars []int32    // slots of the variables, ascending by variable
	val  []interval // by step: as the last evaluation or contraction left it
	at   []interval // by step: at the center of a slope
	adj  []interval
	term []interval // by step, of variables: scratch
	want interval   // values of the root that satisfy it: 0, or a half-line
	bent bool       // not linear in a variable that occurs more than once
	dirt bool       // waits in the queue of a contraction
}

// step is one operation of a row; a and b are earlier slots.
type step struct {
	op    op
	a, b  int32
	v     int32 // opVar: index in the block
	n     int   // opWhole
	inst  inst  // the tape's own step
	fixed interval
}

// rowKey tells steps apart.
type rowKey struct {
	op   op
	a, b int32
	n    int
	tab  *table
}

// rowMaker lays a row.
type rowMaker struct {
	row
	same  map[rowKey]int32
	local []int32 // by Var: index in the block, -1 outside
	slot  map[int32]int32
}

// newRow lays `t - shift` over the block's variables; x holds the others.
func newRow(t *tape, shift float64, local []int32, x []float64) row {
	m := rowMaker{same: map[rowKey]int32{}, local: local, slot: map[int32]int32{}}
	slots := make([]int32, len(t.code))
	for i := range t.code {
		slots[i] = m.lay(t.code[i], slots, x)
	}
	root := slots[len(t.code)-1]
	if shift != 0 {
		root = m.emit(step{op: opSub, a: root, b: m.constant(point(shift)), inst: inst{op: opSub}})
	}
	m.trim(root)
	n := len(m.code)
	m.val, m.at, m.adj = make([]interval, n), make([]interval, n), make([]interval, n)
	for i := range m.code {
		switch m.code[i].op {
		case opConst:
			m.val[i], m.at[i] = m.code[i].fixed, m.code[i].fixed
		case opVar:
			m.vars = append(m.vars, int32(i))
		}
	}
	m.term = make([]interval, n)
	m.bent = m.curved()
	return m.row
}

// curved tells whether the row is not linear in a variable that occurs in it more
// than once.
func (r *row) curved() bool {
	uses := make([]int, len(r.code))
	for i := range r.code {
		if s := &r.code[i]; s.op != opConst && s.op != opVar {
			uses[s.a]++
			if s.op.binary() {
				uses[s.b]++
			}
		}
	}
	for _, v := range r.vars {
		if uses[v] > 1 && r.degree(v) > 1 {
			return true
		}
	}
	return false
}

// degree of the row in the variable of a slot: 0, 1, or 2 for all else.
func (r *row) degree(slot int32) int {
	d := make([]int, len(r.code))
	for i := range r.code {
		s := &r.code[i]
		switch s.op {
		case opConst, opVar:
			if int32(i) == slot {
				d[i] = 1
			}
		case opAdd, opSub:
			d[i] = max(d[s.a], d[s.b])
		case opMul:
			d[i] = min(2, d[s.a]+d[s.b])
		case opNeg:
			d[i] = d[s.a]
		case opDiv:
			d[i] = min(2, d[s.a]+2*d[s.b])
		default:
			d[i] = 2 * min(1, d[s.a])
			if s.op.binary() {
				d[i] = max(d[i], 2*min(1, d[s.b]))
			}
		}
	}
	return d[len(r.code)-1]
}

func (m *rowMaker) lay(in inst, slots []int32, x []float64) int32 {
	switch in.op {
	case opConst:
		return m.constant(point(in.c))
	case opVar:
		k := m.local[in.v]
		if k < 0 {
			return m.constant(point(x[in.v]))
		}
		if s, ok := m.slot[k]; ok {
			return s
		}
		s := m.push(step{op: opVar, v: k})
		m.slot[k] = s
		return s
	}
	st := step{op: in.op, a: slots[in.a], inst: in}
	if in.op.binary() {
		st.b = slots[in.b]
	}
	return m.emit(m.simpler(st))
}

func (m *rowMaker) constant(x interval) int32 { return m.push(step{op: opConst, fixed: x}) }

func (m *rowMaker) push(s step) int32 {
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
			return c.a, c.n
		}
		return k, 1
	}
	switch {
	case s.op == opMul:
		a, n := whole(s.a)
		b, k := whole(s.b)
		if a != b || n < 0 || k < 0 || m.code[a].op == opConst {
			return s
		}
		return wholeStep(a, n+k, s.inst)
	case s.op == opPow && m.code[s.b].op == opConst:
		e := m.code[s.b].fixed
		if e.isPoint() && e.lo == math.Trunc(e.lo) && math.Abs(e.lo) < 1<<20 && e.lo != 0 && e.lo != 1 {
			return wholeStep(s.a, int(e.lo), s.inst)
		}
	}
	return s
}

func wholeStep(a int32, n int, in inst) step {
	if n == 2 {
		return step{op: opSquare, a: a, inst: in}
	}
	return step{op: opWhole, a: a, n: n, inst: in}
}

func (m *rowMaker) emit(s step) int32 {
	key := rowKey{s.op, s.a, s.b, s.n, s.inst.tab}
	if k, ok := m.same[key]; ok {
		return k
	}
	var k int32
	if m.code[s.a].op == opConst && (!s.op.binary() || m.code[s.b].op == opConst) {
		k = m.constant(s.value(m.code[s.a].fixed, m.code[s.b].fixed))
	} else {
		k = m.push(s)
	}
	m.same[key] = k
	return k
}

// trim drops the steps that root does not need.
func (m *rowMaker) trim(root int32) {
	need := make([]bool, root+1)
	need[root] = true
	for i := root; i >= 0; i-- {
		if s := &m.code[i]; need[i] && s.op != opConst && s.op != opVar {
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
		if s.op != opConst && s.op != opVar {
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

// value encloses one step.
func (s *step) value(x, y interval) interval {
	switch s.op {
	case opAdd:
		return add(x, y)
	case opSub:
		return sub(x, y)
	case opMul:
		return mul(x, y)
	case opSquare:
		return square(x)
	case opWhole:
		return wholePower(x, s.n)
	}
	return s.inst.encloseValue(x, y)
}

// evaluate encloses the row over a box into val, at a point's intervals into at.
func (r *row) evaluate(box, val []interval) interval {
	for i := range r.code {
		s := &r.code[i]
		switch s.op {
		case opConst:
			val[i] = s.fixed
		case opVar:
			val[i] = box[s.v]
		default:
			val[i] = s.value(val[s.a], val[s.b])
		}
	}
	return val[len(r.code)-1]
}

// slopes bounds the row's slopes between the point of at and any point of val,
// by the slots of vars in adj: f(x) is in f(c) + Σ adj·(x - c) (R. Krawczyk,
// A. Neumaier, "Interval slopes for rational functions and associated centered
// forms", SIAM J. Numer. Anal. 22, 1985), summed backwards along the row. With
// val itself for at they are derivatives.
func (r *row) slopes(val, at []interval) []interval {
	adj := r.adj
	clear(adj)
	n := len(r.code)
	adj[n-1] = point(1)
	for i := n - 1; i >= 0; i-- {
		s, d := &r.code[i], adj[i]
		if s.op == opConst || s.op == opVar || d.lo == 0 && d.hi == 0 {
			continue
		}
		switch s.op {
		case opAdd:
			adj[s.a] = add(adj[s.a], d)
			adj[s.b] = add(adj[s.b], d)
			continue
		case opSub:
			adj[s.a] = add(adj[s.a], d)
			adj[s.b] = sub(adj[s.b], d)
			continue
		case opMul:
			x, y := val[s.b], at[s.a]
			if val[s.a].width() < val[s.b].width() {
				x, y = at[s.b], val[s.a]
			}
			adj[s.a] = add(adj[s.a], mul(d, x))
			adj[s.b] = add(adj[s.b], mul(d, y))
			continue
		}
		x, y := s.slope(i, val, at)
		adj[s.a] = add(adj[s.a], mul(d, x))
		if s.op.binary() {
			adj[s.b] = add(adj[s.b], mul(d, y))
		}
	}
	return adj
}

// slope bounds a step's slopes by its operands.
func (s *step) slope(i int, val, at []interval) (x, y interval) {
	a, c := val[s.a], at[s.a]
	switch s.op {
	case opNeg:
		return point(-1), interval{}
	case opSquare:
		return add(a, c), interval{}
	case opWhole:
		d := mul(point(float64(s.n)), wholePower(hull(a, c), s.n-1))
		if s.n == 3 {
			d = meet(d, add(mul(add(a, c), a), square(c)))
		}
		return d, interval{}
	case opDiv:
		q := div(point(1), val[s.b])
		return q, neg(mul(at[i], q))
	case opPow:
		b := hull(val[s.b], at[s.b])
		base := dual{hull(a, c), point(1)}
		x = slopePower(base, dual{v: b}, val[i])
		y = slopePower(dual{v: base.v}, dual{b, point(1)}, val[i])
		return x, y
	case opMin, opMax:
		base, other := dual{v: a, d: point(1)}, dual{v: val[s.b]}
		x = slopeExtreme(s.op, base, other)
		base.d, other.d = interval{}, point(1)
		return x, slopeExtreme(s.op, base, other)
	case opRound, opFloor, opCeil:
		if val[i].isPoint() && val[s.b].isPoint() {
			return interval{}, interval{}
		}
		return entire, entire
	}
	return s.inst.slopeOne(hull(a, c), hull(val[i], at[i])), interval{}
}
