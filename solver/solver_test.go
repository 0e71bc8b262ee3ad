package solver

import (
	"math"
	"perch/solver/elementary"
	"testing"
)

const deg = math.Pi / 180

// eq adds an equality.
func eq(s *System, l, r Expr, st Strength) ID {
	return s.Add(Constraint{Left: l, Right: r, Strength: st})
}

type stool struct {
	s                         *System
	seat, height, splay, foot Var
	rule, about               ID
}

func newStool() stool {
	s := New()
	t := stool{s: s,
		seat:   s.Var("seat", 240, 420, false),
		height: s.Var("height", 350, 800, false),
		splay:  s.Var("splay", 0, 15*deg, false),
		foot:   s.Var("foot", 240, 650, false),
	}
	t.rule = eq(s, t.foot.Expr(), Sum(t.seat.Expr(), Product(Product(Const(2), t.height.Expr()), Tan(t.splay.Expr()))), Rule)
	t.about = eq(s, t.splay.Expr(), Const(6*deg), About)
	return t
}

func TestStoolBothWays(t *testing.T) {
	st := newStool()
	eq(st.s, st.seat.Expr(), Const(320), Default)
	eq(st.s, st.height.Expr(), Const(610), Default)
	r := st.s.Solve()
	if r.Status != Unique || r.Values[st.splay] != 6*deg || math.Abs(r.Values[st.foot]-448.227167024) > 1e-9 {
		t.Fatalf("%+v", r)
	}
	if len(r.GaveWay) != 0 || r.Origins[st.foot].By != st.rule || r.Origins[st.splay].By != st.about {
		t.Errorf("%+v", r)
	}
	st = newStool()
	eq(st.s, st.seat.Expr(), Const(320), Default)
	eq(st.s, st.height.Expr(), Const(760), Stated)
	eq(st.s, st.foot.Expr(), Const(480), Stated)
	r = st.s.Solve()
	want := elementary.Atan(160.0 / 1520)
	if r.Status != Unique || math.Abs(r.Values[st.splay]-want) > 1e-15 || len(r.GaveWay) != 1 || r.GaveWay[0] != st.about {
		t.Fatalf("%+v", r)
	}
	if r.Origins[st.splay].By != st.rule {
		t.Errorf("%+v", r.Origins)
	}
}
