package solver

import (
	"math"
	"reflect"
	"testing"

	"perch/solver/elementary"
)

const deg = math.Pi / 180

// build helps to write systems down.
type build struct {
	*System
	t testing.TB
}

func begin(t testing.TB) build { return build{New(), t} }

func (b build) v(name string, lo, hi float64) Expr { return b.Var(name, lo, hi, false).Expr() }
func (b build) free(name string) Expr              { return b.v(name, math.Inf(-1), math.Inf(1)) }
func (b build) eq(l, r Expr, st Strength) ID {
	return b.Add(Constraint{Left: l, Right: r, Strength: st})
}
func (b build) rule(l, r Expr) ID { return b.eq(l, r, Rule) }
func (b build) is(l Expr, x float64) ID {
	return b.eq(l, Const(x), Stated)
}
func (b build) about(l Expr, x float64) ID { return b.eq(l, Const(x), About) }
func (b build) rel(l Expr, rel Relation, r Expr) ID {
	return b.Add(Constraint{Left: l, Right: r, Rel: rel})
}

// solve solves twice, expects the same, and checks what every Result promises.
func (b build) solve(want Status) Result {
	b.t.Helper()
	r, again := b.Solve(), b.Solve()
	for i := range r.Values {
		if math.Float64bits(r.Values[i]) != math.Float64bits(again.Values[i]) {
			b.t.Errorf("two runs differ: %v, %v", r.Values, again.Values)
		}
	}
	if r.Status != want {
		b.t.Fatalf("status %v, want %v: %+v", r.Status, want, r)
	}
	if r.Status == Unique || r.Status == Several {
		w := newScratch(compileSystem(b.System))
		for i, c := range b.cons {
			if c.Strength < About && !w.holds(i, r.Values) {
				b.t.Errorf("constraint %d %q does not hold at %v", i, c.Label, r.Values)
			}
		}
		for v, x := range r.Values {
			if !(x >= b.vars[v].lo && x <= b.vars[v].hi) {
				b.t.Errorf("%s = %v is out of %v..%v", b.vars[v].name, x, b.vars[v].lo, b.vars[v].hi)
			}
			if r.Origins[v].By < 0 {
				b.t.Errorf("%s has no origin", b.vars[v].name)
			}
		}
	}
	return r
}

func (b build) near(r Result, want ...float64) {
	b.t.Helper()
	for i, x := range want {
		if !(math.Abs(r.Values[i]-x) <= 1e-9*math.Max(1, math.Abs(x))) {
			b.t.Errorf("%s = %v, want %v", b.vars[i].name, r.Values[i], x)
		}
	}
}

func (b build) same(what string, got, want any) {
	b.t.Helper()
	if !reflect.DeepEqual(got, want) {
		b.t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// stool is the system of a stool: foot = seat + 2·height·tan(splay), splay in
// 0..15° about 6°.
type stool struct {
	build
	seat, height, splay, foot Expr
	rule, about               ID
}

func newStool(t testing.TB) stool {
	b := begin(t)
	s := stool{build: b, seat: b.v("seat", 240, 420), height: b.v("height", 350, 800),
		splay: b.v("splay", 0, 15*deg), foot: b.v("foot", 240, 650)}
	s.rule = b.rule(s.foot, Sum(s.seat, Product(Product(Const(2), s.height), Tan(s.splay))))
	s.about = b.about(s.splay, 6*deg)
	return s
}

func TestStoolForward(t *testing.T) {
	s := newStool(t)
	seat, height := s.eq(s.seat, Const(320), Default), s.eq(s.height, Const(610), Default)
	r := s.solve(Unique)
	s.near(r, 320, 610, 6*deg, 448.227167024) // foot: worked out by hand from tan 6° = 0.10510423526567646
	s.same("origins", r.Origins, []Origin{{seat}, {height}, {s.about}, {s.rule}})
	s.same("gave way", r.GaveWay, []ID(nil))
}

func TestStoolBackward(t *testing.T) {
	s := newStool(t)
	seat, height, foot := s.eq(s.seat, Const(320), Default), s.is(s.height, 760), s.is(s.foot, 480)
	r := s.solve(Unique)
	s.near(r, 320, 760, elementary.Atan(160.0/1520), 480)
	s.same("origins", r.Origins, []Origin{{seat}, {height}, {s.rule}, {foot}})
	s.same("gave way", r.GaveWay, []ID{s.about})
	s.same("competing", r.Competing, []ID(nil))
}

// The foot may not pass 400: the splay nearest to 6° that keeps it so.
func TestAboutYieldsToARange(t *testing.T) {
	s := newStool(t)
	s.is(s.seat, 320)
	s.is(s.height, 610)
	s.rel(s.foot, LE, Const(400))
	r := s.solve(Unique)
	s.near(r, 320, 610, elementary.Atan(80.0/1220), 400)
	s.same("gave way", r.GaveWay, []ID{s.about})
	if r.Values[3] > 400 || r.Values[3] < 400-1e-9 {
		t.Errorf("foot %v is not just within 400", r.Values[3])
	}
}

func TestStoolRangeConflict(t *testing.T) {
	s := newStool(t)
	seat, _, foot := s.is(s.seat, 320), s.is(s.height, 610), s.is(s.foot, 300)
	r := s.solve(None) // no height in range can help, so the stated one is not to blame
	s.same("conflict", r.Conflict, []ID{s.rule, seat, foot})
	s.same("range", r.Range, []Var{1, 2})
	if len(r.Nearest) != 1 || math.Abs(r.Nearest[0].Need-elementary.Atan(-20.0/1220)) > 1e-12 {
		t.Errorf("nearest %v", r.Nearest)
	}
}

func TestStatedOutOfRange(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 10)
	id := b.is(x, 12)
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{id})
	b.same("nearest", r.Nearest, []Bound{{0, 12}})
}

func TestUndetermined(t *testing.T) {
	b := begin(t)
	x, y, z, k := b.v("x", 0, 10), b.v("y", 0, 10), b.v("z", 0, 10), b.v("k", 0, 10)
	b.rule(Sum(x, y), z)
	b.is(k, 3)
	r := b.solve(Undetermined)
	b.same("free sets", r.FreeSets, [][]Var{{0, 1}, {0, 2}, {1, 2}})
	if r.Values[3] != 3 || !math.IsNaN(r.Values[0]) || r.Origins[0].By >= 0 {
		t.Errorf("%+v", r)
	}
}

// What cannot be determined can still be impossible.
func TestUndeterminedButImpossible(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 10), b.v("y", 0, 10)
	sum := b.rule(Sum(x, y), Const(30))
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{sum})
	b.same("range", r.Range, []Var{0, 1})
}

func TestQuadratic(t *testing.T) {
	b := begin(t)
	x := b.free("x")
	b.rule(Product(x, x), Const(4))
	r := b.solve(Several)
	b.same("solutions", r.Solutions, [][]float64{{-2}, {2}})

	b.about(x, 1)
	b.near(b.solve(Unique), 2)

	b = begin(t)
	x = b.v("x", 0, math.Inf(1))
	b.rule(Power(x, Const(2)), Const(4))
	b.near(b.solve(Unique), 2)

	b = begin(t)
	x = b.free("x")
	b.rule(Power(x, Const(2)), Const(4))
	b.rel(x, LT, Const(0))
	b.near(b.solve(Unique), -2)
}

func TestEquidistantAboutDoesNotPick(t *testing.T) {
	b := begin(t)
	x := b.free("x")
	b.rule(Product(x, x), Const(4))
	b.about(x, 0)
	b.solve(Several)
}

func TestDoubleRoot(t *testing.T) {
	b := begin(t)
	x := b.v("x", -5, 5)
	d := Difference(x, Const(1))
	b.rule(Product(d, d), Const(0))
	b.near(b.solve(Unique), 1)
}

func TestManyPeriods(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 20)
	b.rule(Sin(x), Const(0.5))
	b.about(x, 9)
	r := b.solve(Unique)
	b.near(r, 5*math.Pi/6+2*math.Pi)
	if len(r.Solutions) != 7 { // π/6 and 5π/6 + 2kπ below 20
		t.Errorf("%d solutions", len(r.Solutions))
	}

	b = begin(t)
	x = b.free("x")
	b.rule(Sin(x), Const(0.5))
	b.about(x, 0.5)
	if r := b.Solve(); r.Status != Unproved || len(r.Solutions) == 0 {
		t.Errorf("%+v", r)
	}
}

func TestLinearBlock(t *testing.T) {
	b := begin(t)
	x, y, z := b.free("x"), b.free("y"), b.free("z")
	b.rule(Sum(Sum(x, y), z), Const(6))
	b.rule(Difference(Product(Const(2), x), y), Const(0))
	b.rule(Sum(x, Product(Const(3), z)), Const(10))
	b.near(b.solve(Unique), 1, 2, 3)
}

func TestRedundantAndEmptyRules(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 100), b.v("y", 0, 100)
	b.rule(Sum(x, y), Const(10))
	b.rule(Sum(y, x), Const(10))
	b.rule(Sum(Product(Const(2), x), Product(Const(2), y)), Const(20*(1+1e-12)))
	b.rule(x, x)
	b.rule(Sum(x, y), Sum(y, x))
	r := b.solve(Undetermined)
	b.same("free sets", r.FreeSets, [][]Var{{0}, {1}})
	b.about(y, 4)
	b.near(b.solve(Unique), 6, 4)
}

func TestContradictoryRules(t *testing.T) {
	b := begin(t)
	x, y := b.free("x"), b.free("y")
	one := b.rule(Sum(x, y), Const(10))
	b.is(y, 3)
	two := b.rule(Sum(y, x), Const(11))
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{one, two})
}

func TestSettingAgainstSize(t *testing.T) {
	b := begin(t)
	x := b.free("x")
	a, c := b.eq(x, Const(5), Setting), b.is(x, 6)
	b.eq(b.free("other"), Const(1), Default)
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{a, c})
}

func TestInequalityConflict(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 100), b.v("y", 0, 100)
	is := b.is(x, 5)
	rule := b.rule(y, Sum(x, Const(1)))
	ge := b.rel(y, GE, Const(7))
	b.is(b.free("z"), 1)
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{is, rule, ge})
}

func TestStrictness(t *testing.T) {
	for _, c := range []struct {
		rel Relation
		ok  bool
	}{{LE, true}, {GE, true}, {LT, false}, {GT, false}, {NE, false}, {EQ, true}} {
		b := begin(t)
		x := b.free("x")
		b.rule(x, Sum(Const(0.1), Const(0.2)))
		b.rel(x, c.rel, Const(0.3))
		want := None
		if c.ok {
			want = Unique
		}
		b.solve(want)
	}
}

func TestCompetingAbouts(t *testing.T) {
	s := newStool(t)
	s.is(s.seat, 320)
	s.is(s.height, 610)
	foot := s.eq(s.foot, Const(500), About)
	r := s.Solve()
	s.same("competing", r.Competing, []ID{s.about, foot})

	b := begin(t)
	x, y := b.v("x", 0, 10), b.v("y", 0, 10)
	i, j := b.about(x, 5), b.about(y, 5)
	b.rel(Sum(x, y), LE, Const(8))
	b.same("competing", b.Solve().Competing, []ID{i, j})

	b = begin(t)
	x, y = b.v("x", 0, 10), b.v("y", 0, 10)
	i, j = b.about(x, 5), b.about(y, 5)
	b.rel(Sum(x, y), LE, Const(2))
	r = b.Solve()
	b.same("competing", r.Competing, []ID{i, j})
	if !(r.Values[0]+r.Values[1] <= 2) {
		t.Errorf("%v", r.Values)
	}
}

// Two Abouts that agree do not compete.
func TestAgreeingAbouts(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 10), b.v("y", 0, 10)
	b.rule(y, Product(Const(2), x))
	b.about(x, 2)
	b.about(y, 4)
	r := b.solve(Unique)
	b.near(r, 2, 4)
	b.same("competing", r.Competing, []ID(nil))
}

func TestAboutOutsideItsRange(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 10)
	id := b.about(x, 12)
	r := b.solve(Unique)
	b.near(r, 10)
	b.same("gave way", r.GaveWay, []ID{id})
}
