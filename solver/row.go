package solver

import "math"

// row is an equation `root = 0` of a block over the block's own variables, by
// index: what is fixed outside the block is folded into constants, and equal
// steps are one, so that every variable has one slot.
type row struct {
	want  interval // values of the root that satisfy it: 0, or a half-line
	vars  []int32  // the variables that occur, by index in the block
	code  []rowStep
	slots []int32    // of vars
	val   []interval // by step: as the last evaluation or contraction left it
	at    []interval // by step: at the center of a slope
	adj   []interval
	slope []interval // by vars
	term  []interval // by vars: scratch
	bent  bool       // not linear in a variable that occurs more than once
}

// rowStep is a step of a row; its variable is an index in the block.
type rowStep struct {
	step
	fixed interval // opConst: what the number is known to be in
}

// rowKey tells steps apart.
type rowKey struct {
	op   op
	a, b int32
	n    int32
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
		root = m.emit(step{op: opSub, a: root, b: m.constant(point(shift))})
	}
	m.trim(root)
	n := len(m.code)
	m.val, m.at, m.adj = make([]interval, n), make([]interval, n), make([]interval, n)
	for i := range m.code {
		switch m.code[i].op {
		case opConst:
			m.val[i], m.at[i] = m.code[i].fixed, m.code[i].fixed
		case opVar:
			m.vars, m.slots = append(m.vars, m.code[i].v), append(m.slots, int32(i))
		}
	}
	m.term, m.slope = make([]interval, len(m.vars)), make([]interval, len(m.vars))
	m.bent = m.curved()
	return m.row
}

// curved tells whether the row is not linear in a variable that occurs in it more
// than once.
func (r *row) curved() bool {
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
func (r *row) degree(slot int32) int {
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
		s := m.push(rowStep{step: step{op: opVar, v: k}})
		m.slot[k] = s
		return s
	}
	st := step{op: in.op, a: slots[in.a], tab: in.tab}
	if in.op.binary() {
		st.b = slots[in.b]
	}
	return m.emit(m.simpler(st))
}

func (m *rowMaker) constant(x interval) int32 {
	return m.push(rowStep{step: step{op: opConst}, fixed: x})
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
	case s.op == opMul:
		a, n := whole(s.a)
		b, k := whole(s.b)
		if a != b || n < 0 || k < 0 || m.code[a].op == opConst {
			return s
		}
		return wholeStep(a, n+k)
	case s.op == opPow && m.code[s.b].op == opConst:
		e := m.code[s.b].fixed
		if e.isPoint() && e.lo == math.Trunc(e.lo) && math.Abs(e.lo) < 1<<20 && e.lo != 0 && e.lo != 1 {
			return wholeStep(s.a, int(e.lo))
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
	if m.code[s.a].op == opConst && (!s.op.binary() || m.code[s.b].op == opConst) {
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

// size is how many steps the row has.
func (r *row) size() int { return len(r.code) }

// isBent tells whether the row is not linear in a variable that occurs more than once.
func (r *row) isBent() bool { return r.bent }

// over encloses the row's values over a box, of which the next slopes are.
func (r *row) over(box []interval) interval { return r.evaluate(box, r.val) }

// atCenter encloses the row's value at a center, from which the next slopes start.
func (r *row) atCenter(center []interval) interval { return r.evaluate(center, r.at) }

// evaluate encloses every step over a box.
func (r *row) evaluate(box, val []interval) interval {
	for i := range r.code {
		s := &r.code[i]
		switch s.op {
		case opConst:
			val[i] = s.fixed
		case opVar:
			val[i] = box[s.v]
		case opAdd: // the commonest without a call
			val[i] = add(val[s.a], val[s.b])
		case opSub:
			val[i] = sub(val[s.a], val[s.b])
		case opMul:
			val[i] = mul(val[s.a], val[s.b])
		default:
			val[i] = operations[s.op].enclose(&s.step, val[s.a], val[s.b])
		}
	}
	return val[len(r.code)-1]
}

// slopes bounds the slopes, by vars, between the center last evaluated and any point of
// the box last evaluated: f(x) is in f(c) + Σ slope·(x - c) (R. Krawczyk, A. Neumaier,
// "Interval slopes for rational functions and associated centered forms", SIAM J. Numer.
// Anal. 22, 1985). They are the row's own until the next call.
func (r *row) slopes() []interval { return r.backwards(r.val, r.at) }

// derivatives bounds the partial derivatives over the box last evaluated, as slopes does.
func (r *row) derivatives() []interval { return r.backwards(r.val, r.val) }

// backwards sums slopes from the root to the variables.
func (r *row) backwards(val, at []interval) []interval {
	adj := r.adj
	clear(adj)
	n := len(r.code)
	adj[n-1] = point(1)
	for i := n - 1; i >= 0; i-- {
		s, d := &r.code[i], adj[i]
		if s.op.leaf() || d.lo == 0 && d.hi == 0 {
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
		o := &operations[s.op]
		x, y := o.slopes(&s.step, operands{&val[s.a], &val[s.b], &val[i]}, operands{&at[s.a], &at[s.b], &at[i]})
		adj[s.a] = add(adj[s.a], mul(d, x))
		if o.arity == 2 {
			adj[s.b] = add(adj[s.b], mul(d, y))
		}
	}
	for k, s := range r.slots {
		r.slope[k] = adj[s]
	}
	return r.slope
}
