package solver

import (
	"math"
	"testing"

	"perch/solver/elementary"
)

// best asks for an extremum and expects its value, certain.
func (b build) best(target Expr, sense Sense, want float64) Optimum {
	b.t.Helper()
	o := b.Extremum(target, sense)
	if !o.Certain || !(math.Abs(o.Value-want) <= 1e-6*math.Max(1, math.Abs(want))) {
		b.t.Fatalf("%v, bound %v, certain %t; want %v", o.Value, o.Bound, o.Certain, want)
	}
	w := newScratch(compileSystem(b.System))
	for i, c := range b.cons {
		if c.Strength < About && !w.holds(i, o.Values) {
			b.t.Errorf("constraint %d %q does not hold at %v", i, c.Label, o.Values)
		}
	}
	return o
}

// The widest foot: the splay stops it at 15°.
func TestLargestFoot(t *testing.T) {
	b := begin(t)
	seat, height := b.v("seat", 240, 420), b.v("height", 350, 800)
	splay, foot := b.v("splay", 0, 15*deg), b.v("foot", 240, 650)
	b.rule(foot, Sum(seat, Product(Product(Const(2), height), Tan(splay))))
	b.is(seat, 240)
	b.is(height, 610)
	o := b.best(foot, Largest, 240+1220*elementary.Tan(15*deg))
	b.same("ends", o.Ends, []Var{2})
	b.same("limits", o.Limits, []ID(nil))
	b.best(foot, Smallest, 240)

	limit := b.rel(foot, LE, Const(500))
	o = b.best(foot, Largest, 500)
	b.same("limits", o.Limits, []ID{limit})
	b.best(Difference(foot, Product(Const(1000), splay)), Largest, 1220*elementary.Tan(b.bestSplay())-1000*b.bestSplay()+240)
}

// bestSplay is where 1220·tan s - 1000·s is largest up to foot 500: its slope
// 1220/cos² s - 1000 is above 0, so at the limit.
func (b build) bestSplay() float64 { return elementary.Atan(260.0 / 1220) }

// A box without a lid of least metal that holds 500: 10 by 10 by 5 (calculus).
func TestSmallestBox(t *testing.T) {
	b := begin(t)
	side, high := b.v("side", 1, 100), b.v("high", 1, 100)
	b.rule(Product(Product(side, side), high), Const(500))
	metal := Sum(Product(side, side), Product(Const(4), Product(side, high)))
	o := b.best(metal, Smallest, 300)
	if math.Abs(o.Values[0]-10) > 1e-3 {
		t.Errorf("%v", o.Values)
	}
}

// Two open names with one rule between them.
func TestLargestOfTwo(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 10), b.v("y", 0, 10)
	line := b.rel(Sum(x, Product(Const(2), y)), LE, Const(14))
	other := b.rel(Difference(Product(Const(3), x), y), GE, Const(0))
	cut := b.rel(Difference(x, y), LE, Const(2))
	o := b.best(Sum(Product(Const(3), x), Product(Const(4), y)), Largest, 34) // at (6, 4): linear programming by hand
	b.same("limits", o.Limits, []ID{line, cut})
	_ = other
}

// The most rungs with at least 160 between them, and counts in an equation.
func TestLargestCount(t *testing.T) {
	b := begin(t)
	height := b.v("height", 350, 800)
	n := b.Var("rungs", 0, 9, true).Expr()
	b.is(height, 760)
	gap := b.rel(Quotient(height, Sum(n, Const(1))), GE, Const(160))
	o := b.best(n, Largest, 3) // 760/4 = 190, 760/5 = 152
	b.same("limits", o.Limits, []ID(nil))
	if o.Values[1] != 3 {
		t.Errorf("%v", o.Values)
	}
	_ = gap

	b = begin(t)
	p, q := b.Var("p", 0, 20, true).Expr(), b.Var("q", 0, 20, true).Expr()
	b.rule(Sum(Product(Const(3), p), Product(Const(5), q)), Const(41))
	b.best(p, Largest, 12)             // 3·12 + 5·1
	b.best(Product(p, q), Largest, 28) // 7·4, of (12,1) (7,4) (2,7)
}

// What is determined is only evaluated; what cannot be is none.
func TestExtremumOfTheDetermined(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 10)
	b.is(x, 4)
	b.best(Product(x, x), Largest, 16)

	b = begin(t)
	x = b.v("x", 0, 10)
	b.rule(Product(x, x), Const(-4))
	if o := b.Extremum(x, Largest); o.Status != None || !math.IsNaN(o.Value) {
		t.Errorf("%+v", o)
	}

	b = begin(t)
	x = b.v("x", 0, math.Inf(1))
	if o := b.Extremum(x, Largest); o.Certain {
		t.Errorf("%v is certain", o.Value)
	}
}

// An About that can be honoured stands; one that cannot gives way.
func TestExtremumUnderAbouts(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", 0, 10), b.v("y", 0, 10)
	b.rel(Sum(x, y), LE, Const(12))
	b.about(x, 4)
	b.best(y, Largest, 8)
}

// Many local optima: x sin x on 0..16 is largest at 14.2074 (its slope's root,
// found by bisection here).
func TestExtremumAmongMany(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 16)
	lo, hi := 14.0, 14.5
	for range 100 {
		m := lo + float64(0.5*(hi-lo))
		if elementary.Sin(m)+float64(m*elementary.Cos(m)) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	b.best(Product(x, Sin(x)), Largest, lo*elementary.Sin(lo))
}

func TestSensitivityOfTheStool(t *testing.T) {
	s := newStool(t)
	s.is(s.seat, 320)
	s.is(s.height, 760)
	s.is(s.foot, 480)
	r := s.solve(Unique)
	d := s.Sensitivity(r.Values, []Var{0, 1, 3, 2})
	// splay = atan((foot - seat) / 2·height)
	q := 160.0 / 1520
	slope := 1 / (1 + q*q) / 1520
	for k, want := range []float64{-slope, -slope * q * 2, slope} {
		if math.Abs(d[2][k]-want) > 1e-12 {
			t.Errorf("d splay / d %d = %v, want %v", k, d[2][k], want)
		}
	}
	if !math.IsNaN(d[2][3]) {
		t.Errorf("splay is not stated: %v", d[2])
	}
	s.same("d foot", d[3][:3], []float64{0, 0, 1})
}

// The About gave way to foot <= 400: the limit stays in force.
func TestSensitivityAtALimit(t *testing.T) {
	s := newStool(t)
	s.is(s.seat, 320)
	s.is(s.height, 610)
	s.rel(s.foot, LE, Const(400))
	r := s.solve(Unique)
	d := s.Sensitivity(r.Values, []Var{0, 1})
	q := 80.0 / 1220
	if want := -1 / (1 + q*q) / 1220; math.Abs(d[2][0]-want) > 1e-9*math.Abs(want) {
		t.Errorf("d splay / d seat = %v, want %v", d[2][0], want)
	}
	if math.Abs(d[3][1]) > 1e-9 {
		t.Errorf("d foot / d height = %v, want 0", d[3][1])
	}
	why := r.Why(2)
	s.same("limits", why[0].Limits, []ID{4})
}

// A block of two, against central differences of whole solutions.
func TestSensitivityOfABlock(t *testing.T) {
	at := func(radius, lean float64) (build, Result) {
		b := begin(t)
		x, y := b.v("x", 0, 10), b.v("y", 0, 10)
		r, l := b.free("r"), b.free("l")
		b.rule(Sum(Product(x, x), Product(y, y)), Product(r, r))
		b.rule(Difference(x, Product(l, Sin(y))), Const(1))
		b.is(r, radius)
		b.is(l, lean)
		return b, b.solve(Unique)
	}
	b, r := at(3, 0.5)
	d := b.Sensitivity(r.Values, []Var{2, 3})
	const h = 1e-5
	for k, dir := range [][2]float64{{h, 0}, {0, h}} {
		_, hi := at(3+dir[0], 0.5+dir[1])
		_, lo := at(3-dir[0], 0.5-dir[1])
		for v := range 2 {
			if want := (hi.Values[v] - lo.Values[v]) / (2 * h); math.Abs(d[v][k]-want) > 1e-7 {
				t.Errorf("d %d / d %d = %v, differences give %v", v, k, d[v][k], want)
			}
		}
	}
}

func TestWhy(t *testing.T) {
	s := newStool(t)
	seat, height, foot := s.eq(s.seat, Const(320), Default), s.is(s.height, 760), s.is(s.foot, 480)
	double := s.free("double")
	twice := s.build.rule(double, Product(Const(2), s.splay))
	r := s.solve(Unique)
	s.same("why", r.Why(4), []Reason{
		{Var: 4, By: twice, From: []Var{2}},
		{Var: 2, By: s.rule, From: []Var{0, 1, 3}},
		{Var: 0, By: seat}, {Var: 1, By: height}, {Var: 3, By: foot},
	})
	s.same("why nothing", r.Why(99), []Reason(nil))
}
