package expr

import (
	"math"
	"math/rand/v2"
	"testing"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// drawn says over which operands a row of the table is tried: a range of a and of b.
type drawn struct {
	op   Op
	a, b [2]float64
	step step // its number or table
}

// rows has a line for every operation with operands; a second one tries it elsewhere.
var rows = []drawn{
	{op: OpAdd, a: [2]float64{-9, 9}, b: [2]float64{-9, 9}},
	{op: OpSub, a: [2]float64{-9, 9}, b: [2]float64{-9, 9}},
	{op: OpMul, a: [2]float64{-9, 9}, b: [2]float64{-9, 9}},
	{op: OpDiv, a: [2]float64{-9, 9}, b: [2]float64{-3, 3}},
	{op: OpPow, a: [2]float64{0, 4}, b: [2]float64{-3, 3}},
	{op: OpNeg, a: [2]float64{-9, 9}},
	{op: OpSin, a: [2]float64{-20, 20}},
	{op: OpCos, a: [2]float64{-20, 20}},
	{op: OpTan, a: [2]float64{-4, 4}},
	{op: OpAsin, a: [2]float64{-1.2, 1.2}},
	{op: OpAcos, a: [2]float64{-1.2, 1.2}},
	{op: OpAtan, a: [2]float64{-9, 9}},
	{op: OpSqrt, a: [2]float64{-1, 9}},
	{op: OpExp, a: [2]float64{-9, 9}},
	{op: OpLn, a: [2]float64{-1, 9}},
	{op: OpAbs, a: [2]float64{-3, 3}},
	{op: OpMin, a: [2]float64{-3, 3}, b: [2]float64{-3, 3}},
	{op: OpMax, a: [2]float64{-3, 3}, b: [2]float64{-3, 3}},
	{op: OpRound, a: [2]float64{-9, 9}, b: [2]float64{0.5, 3}},
	{op: OpFloor, a: [2]float64{-9, 9}, b: [2]float64{0.5, 3}},
	{op: OpCeil, a: [2]float64{-9, 9}, b: [2]float64{0.5, 3}},
	{op: OpLookup, a: [2]float64{-1, 5}, step: step{tab: newTable([]float64{0, 1, 3, 4}, []float64{2, 5, 4, -1})}},
	{op: OpWhere, a: [2]float64{-3, 3}, b: [2]float64{-9, 9}},
	{op: OpUnless, a: [2]float64{-3, 3}, b: [2]float64{-9, 9}},
	{op: opSquare, a: [2]float64{-3, 3}},
	{op: opWhole, a: [2]float64{-3, 3}, step: step{n: 3}},
	{op: opWhole, a: [2]float64{-3, 3}, step: step{n: 4}},
	{op: opWhole, a: [2]float64{-3, 3}, step: step{n: -2}},
	{op: opWhole, a: [2]float64{-3, 3}, step: step{n: -3}},
}

// draws is how often each row is tried.
const draws = 3000

// each calls f for every row of the table, and holds that none is left out.
func each(t *testing.T, f func(t *testing.T, o *operation, r drawn, rnd *rand.Rand)) {
	tried := map[Op]bool{}
	for k, r := range rows {
		tried[r.op] = true
		r.step.op = r.op
		t.Run(operations[r.op].name, func(t *testing.T) { f(t, &operations[r.op], r, rand.New(rand.NewPCG(uint64(k), 7))) })
	}
	for op := range countOps {
		if !op.leaf() && !tried[op] {
			t.Errorf("no line for the %s", operations[op].name)
		}
	}
}

func between(rnd *rand.Rand, r [2]float64) float64 { return r[0] + float64(rnd.Float64()*(r[1]-r[0])) }

// side draws a side of a box in a range, in one of three widths, now and then a point.
func side(rnd *rand.Rand, r [2]float64) interval.Interval {
	a := between(rnd, r)
	w := float64((r[1] - r[0]) * []float64{0, 1e-3, 0.1, 1}[rnd.IntN(4)] * rnd.Float64())
	return interval.Interval{Lo: a, Hi: min(a+w, r[1])}
}

// in draws a point of a side, often an end.
func in(rnd *rand.Rand, s interval.Interval) float64 {
	switch rnd.IntN(5) {
	case 0:
		return s.Lo
	case 1:
		return s.Hi
	}
	return min(s.Hi, s.Lo+float64(rnd.Float64()*s.Width()))
}

// TestEveryRowIsComplete holds every row to what its readers rely on.
func TestEveryRowIsComplete(t *testing.T) {
	names := map[string]bool{}
	for op := range countOps {
		o := &operations[op]
		if o.name == "" || names[o.name] {
			t.Errorf("operation %d: name %q", op, o.name)
		}
		names[o.name] = true
		whole := o.value != nil && o.partials != nil && o.enclose != nil && o.slopes != nil
		if whole != (o.arity > 0) || o.arity > 2 {
			t.Errorf("%s: takes %d, has functions: %v", o.name, o.arity, whole)
		}
	}
}

// TestArityOfEveryRow hands an operation of one operand nonsense for the other, and moves
// each operand of one of two.
func TestArityOfEveryRow(t *testing.T) {
	each(t, func(t *testing.T, o *operation, r drawn, rnd *rand.Rand) {
		moved := [2]bool{}
		for range draws {
			a, b := between(rnd, r.a), between(rnd, r.b)
			v := o.value(&r.step, a, b)
			if o.arity == 1 {
				if w := o.value(&r.step, a, math.NaN()); !sameFloat(v, w) {
					t.Fatalf("of %v: %v, with another operand %v", a, v, w)
				}
			}
			moved[0] = moved[0] || !sameFloat(v, o.value(&r.step, between(rnd, r.a), b))
			moved[1] = moved[1] || !sameFloat(v, o.value(&r.step, a, between(rnd, r.b)))
		}
		if !moved[0] || moved[1] != (o.arity == 2) {
			t.Errorf("takes %d operands; moved by the first %v, by the second %v", o.arity, moved[0], moved[1])
		}
	})
}

func sameFloat(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// TestPartialsOfEveryRow holds partial derivatives to differences on either side: where
// those differ there is a kink or a jump, and the row has to say that it has some.
func TestPartialsOfEveryRow(t *testing.T) {
	each(t, func(t *testing.T, o *operation, r drawn, rnd *rand.Rand) {
		tried := 0
		for range draws {
			at := [2]float64{between(rnd, r.a), between(rnd, r.b)}
			v := o.value(&r.step, at[0], at[1])
			da, db := o.partials(&r.step, at[0], at[1], v)
			for k, d := range []float64{da, db}[:o.arity] {
				const h = 1e-5
				p, q := at, at
				p[k], q[k] = p[k]-h, q[k]+h
				left, right := (v-o.value(&r.step, p[0], p[1]))/h, (o.value(&r.step, q[0], q[1])-v)/h
				if !elementary.Finite(left) || !elementary.Finite(right) || math.Abs(left)+math.Abs(right) > 1e3 {
					continue // undefined, or steep, near by
				}
				if math.Abs(left-right) > 1e-3*(1+math.Abs(d)) {
					if !o.broken && math.Abs(left-right) > 0.5*(1+math.Abs(d)) {
						t.Fatalf("at %v by %d: %v left, %v right", at, k, left, right)
					}
					continue
				}
				tried++
				if m := (left + right) / 2; math.Abs(m-d) > 1e-5*(1+math.Abs(d)) {
					t.Fatalf("at %v by %d: %v, difference %v", at, k, d, m)
				}
			}
		}
		if tried < draws/3 {
			t.Errorf("only %d of %d told anything", tried, draws)
		}
	})
}

// TestEnclosuresOfEveryRow holds enclosures of values, of partial derivatives and of slopes
// to points of boxes.
func TestEnclosuresOfEveryRow(t *testing.T) {
	each(t, func(t *testing.T, o *operation, r drawn, rnd *rand.Rand) {
		tried := 0
		for range draws {
			x, y := side(rnd, r.a), side(rnd, r.b)
			v := o.enclose(&r.step, x, y)
			box := operands{&x, &y, &v}
			c := [2]float64{in(rnd, x), in(rnd, y)}
			cx, cy := interval.Point(c[0]), interval.Point(c[1])
			cv := o.enclose(&r.step, cx, cy)
			fc := o.value(&r.step, c[0], c[1])
			p := [2]float64{in(rnd, x), in(rnd, y)}
			fp := o.value(&r.step, p[0], p[1])
			if math.IsNaN(fp) {
				if !v.Partial {
					t.Fatalf("undefined at %v, but %v over %v, %v is called whole", p, v, x, y)
				}
				continue
			}
			if !v.Has(fp) {
				t.Fatalf("%v at %v is not in %v over %v, %v", fp, p, v, x, y)
			}
			if math.IsNaN(fc) || v.Partial {
				continue // slopes are of what is defined all over
			}
			tried++
			dx, dy := o.slopes(&r.step, box, operands{&cx, &cy, &cv})
			total := interval.Add(cv, interval.Mul(dx, interval.Sub(interval.Point(p[0]), cx)))
			if o.arity == 2 {
				total = interval.Add(total, interval.Mul(dy, interval.Sub(interval.Point(p[1]), cy)))
			}
			if !near(total, fp) {
				t.Fatalf("%v at %v is not in %v by slopes %v, %v from %v", fp, p, total, dx, dy, c)
			}
			if o.broken {
				continue // no derivative everywhere
			}
			dx, dy = o.slopes(&r.step, box, box)
			da, db := o.partials(&r.step, p[0], p[1], fp)
			if !near(dx, da) || o.arity == 2 && !near(dy, db) {
				t.Fatalf("partials %v, %v at %v are not in %v, %v over %v, %v", da, db, p, dx, dy, x, y)
			}
			holdChain(t, r, box, p, da, db, rnd)
		}
		if tried < draws/3 {
			t.Errorf("only %d of %d told anything", tried, draws)
		}
	})
}

// holdChain holds the chain rule to a direction.
func holdChain(t *testing.T, r drawn, box operands, p [2]float64, da, db float64, rnd *rand.Rand) {
	t.Helper()
	d := [2]float64{between(rnd, [2]float64{-1, 1}), between(rnd, [2]float64{-1, 1})}
	k := rnd.IntN(4)
	if k < 2 { // one of the operands does not move
		d[k] = 0
	}
	x, y := Dual{*box.x, interval.Point(d[0])}, Dual{*box.y, interval.Point(d[1])}
	got := r.step.derive(&x, &y, box.v)
	want := float64(da * d[0])
	if r.op.binary() {
		want += float64(db * d[1])
	}
	if elementary.Finite(want) && !near(got, want) {
		t.Fatalf("%v at %v in direction %v is not in %v", want, p, d, got)
	}
}

// near tells whether x is in s but for the rounding of a few operations.
func near(s interval.Interval, x float64) bool {
	e := 1e-11 * math.Max(1, math.Abs(x))
	return s.Lo-e <= x && x <= s.Hi+e
}

// TestContractionOfEveryRow draws operands in a box and what values are wanted about what
// they give: contraction keeps them. What it cuts off is counted, so that one that does
// nothing is seen.
func TestContractionOfEveryRow(t *testing.T) {
	idle := map[Op]bool{OpTan: true, OpLookup: true}
	each(t, func(t *testing.T, o *operation, r drawn, rnd *rand.Rand) {
		if o.contract == nil {
			if !idle[r.op] {
				t.Error("narrows nothing")
			}
			return
		}
		cut := 0
		for range draws {
			x, y := side(rnd, r.a), side(rnd, r.b)
			if r.op == OpPow { // other exponents are steps of their own in a row
				y = interval.Point(0.25 + float64(rnd.IntN(8))/2)
			}
			a, b := in(rnd, x), in(rnd, y)
			v := o.value(&r.step, a, b)
			if math.IsNaN(v) {
				continue
			}
			z := interval.Around(v)
			z.Lo -= float64([]float64{0, 1e-3, 1}[rnd.IntN(3)] * rnd.Float64())
			z.Hi += float64([]float64{0, 1e-3, 1}[rnd.IntN(3)] * rnd.Float64())
			nx, ny := x, y
			if !o.contract(&r.step, z, &nx, &ny) || !nx.Has(a) || o.arity == 2 && !ny.Has(b) {
				t.Fatalf("%v of %v, %v in %v: %v, %v became %v, %v", v, a, b, z, x, y, nx, ny)
			}
			if nx.Lo < x.Lo || nx.Hi > x.Hi || ny.Lo < y.Lo || ny.Hi > y.Hi {
				t.Fatalf("%v, %v grew to %v, %v", x, y, nx, ny)
			}
			if nx.Width() < 0.9*x.Width() || ny.Width() < 0.9*y.Width() {
				cut++
			}
		}
		if cut < draws/20 {
			t.Errorf("cut something off in %d of %d", cut, draws)
		}
	})
}

// TestContractionTellsNone holds contraction to values that no operands give.
func TestContractionTellsNone(t *testing.T) {
	for _, c := range []struct {
		op   Op
		z    [2]float64
		x, y [2]float64
		n    int32
	}{
		{op: OpAdd, z: [2]float64{5, 6}, x: [2]float64{0, 2}, y: [2]float64{0, 2}},
		{op: OpSub, z: [2]float64{3, 4}, x: [2]float64{0, 2}, y: [2]float64{0, 2}},
		{op: OpMul, z: [2]float64{5, 6}, x: [2]float64{-2, 2}, y: [2]float64{-2, 2}},
		{op: OpMul, z: [2]float64{1, 2}, x: [2]float64{-2, 2}, y: [2]float64{0, 0}},
		{op: OpDiv, z: [2]float64{5, 6}, x: [2]float64{0, 2}, y: [2]float64{1, 2}},
		{op: OpNeg, z: [2]float64{1, 2}, x: [2]float64{0, 2}},
		{op: OpSin, z: [2]float64{1.5, 2}, x: [2]float64{-9, 9}},
		{op: OpSin, z: [2]float64{0.9, 1}, x: [2]float64{-1, 1}},
		{op: OpCos, z: [2]float64{-1, -0.9}, x: [2]float64{-1, 1}},
		{op: OpAsin, z: [2]float64{2, 3}, x: [2]float64{-1, 1}},
		{op: OpAcos, z: [2]float64{-2, -1}, x: [2]float64{-1, 1}},
		{op: OpAtan, z: [2]float64{2, 3}, x: [2]float64{-1, 1}},
		{op: OpSqrt, z: [2]float64{-2, -1}, x: [2]float64{0, 4}},
		{op: OpSqrt, z: [2]float64{3, 4}, x: [2]float64{0, 4}},
		{op: OpExp, z: [2]float64{-2, -1}, x: [2]float64{0, 4}},
		{op: OpLn, z: [2]float64{2, 3}, x: [2]float64{0.5, 4}},
		{op: OpAbs, z: [2]float64{-2, -1}, x: [2]float64{-4, 4}},
		{op: OpMin, z: [2]float64{3, 4}, x: [2]float64{0, 2}, y: [2]float64{0, 9}},
		{op: OpMax, z: [2]float64{-4, -3}, x: [2]float64{0, 2}, y: [2]float64{-9, 9}},
		{op: OpFloor, z: [2]float64{8, 9}, x: [2]float64{0, 2}, y: [2]float64{1, 2}},
		{op: opSquare, z: [2]float64{-2, -1}, x: [2]float64{-4, 4}},
		{op: opWhole, z: [2]float64{-2, -1}, x: [2]float64{-4, 4}, n: 4},
		{op: opWhole, z: [2]float64{70, 80}, x: [2]float64{-4, 4}, n: 3},
	} {
		side := func(r [2]float64) interval.Interval { return interval.Interval{Lo: r[0], Hi: r[1]} }
		x, y := side(c.x), side(c.y)
		s := step{op: c.op, n: c.n}
		if operations[c.op].contract(&s, side(c.z), &x, &y) {
			t.Errorf("%s: values in %v are given by %v, %v", operations[c.op].name, c.z, x, y)
		}
	}
}

// TestDegreesOfEveryRow holds what is said to be of degree 0 or 1 in moving operands to
// second differences.
func TestDegreesOfEveryRow(t *testing.T) {
	each(t, func(t *testing.T, o *operation, r drawn, rnd *rand.Rand) {
		for _, moves := range [][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
			degree := r.op.degree(moves[0], moves[1])
			if moves == [2]int{} && degree != 0 {
				t.Errorf("of numbers: degree %d", degree)
			}
			if o.arity == 1 {
				moves[1] = 0
			}
			bent := 0.0
			for range 100 {
				a, b := between(rnd, r.a), between(rnd, r.b)
				d, e := float64(moves[0])*between(rnd, [2]float64{-1, 1}), float64(moves[1])*between(rnd, [2]float64{-0.2, 0.2})
				second := o.value(&r.step, a+d, b+e) - 2*o.value(&r.step, a, b) + o.value(&r.step, a-d, b-e)
				if !math.IsNaN(second) {
					bent = math.Max(bent, math.Abs(second))
				}
			}
			if (bent > 1e-9) != (degree == 2) {
				t.Errorf("moving %v: degree %d, second difference %g", moves, degree, bent)
			}
		}
	})
}

// TestShortCuts holds what tapes and rows do without the table to the table.
func TestShortCuts(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for _, op := range []Op{OpAdd, OpSub, OpMul, OpDiv, OpPow, OpMin} {
		for range 300 {
			a, b := between(rnd, [2]float64{0.1, 9}), between(rnd, [2]float64{0.1, 9})
			e := Expr{&node{op: op, a: Var(0).Expr().n, b: Var(1).Expr().n}}
			tape := Compile(e, Const(0), 2)
			x, buf := []float64{a, b}, make([]float64, 8)
			if got, want := tape.Eval(x, buf), operations[op].value(&step{}, a, b); got != want {
				t.Fatalf("%s of %v: %v on a tape, %v in the table", operations[op].name, x, got, want)
			}
			row := NewRow(&tape, 0, []int32{0, 1}, x)
			box := []interval.Interval{{Lo: a, Hi: a + rnd.Float64()}, {Lo: b, Hi: b + rnd.Float64()}}
			center := []interval.Interval{interval.Point(a), interval.Point(b)}
			cv, v := row.AtCenter(center), row.Over(box)
			dx, dy := operations[op].slopes(&step{}, operands{&box[0], &box[1], &v}, operands{&center[0], &center[1], &cv})
			if v != operations[op].enclose(&step{}, box[0], box[1]) {
				t.Fatalf("%s over %v: %v in a row", operations[op].name, box, v)
			}
			s := row.Slopes()
			got := interval.Hull(s[0], s[1])
			if want := interval.Hull(dx, dy); math.Abs(got.Lo-want.Lo) > 1e-12*math.Max(1, math.Abs(want.Lo)) || math.Abs(got.Hi-want.Hi) > 1e-12*math.Max(1, math.Abs(want.Hi)) {
				t.Fatalf("%s over %v: slopes %v in a row, %v, %v in the table", operations[op].name, box, s, dx, dy)
			}
		}
	}
}
