package eval

import (
	"testing"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/value"
)

// place is where something is written.
type place int32

func (p place) Span() diag.Span { return diag.Span{Start: int32(p), End: int32(p) + 3} }

// TestOtherKindsAreRefused: a value of another kind than is wanted is told as such where it
// is written, whatever let it through.
func TestOtherKindsAreRefused(t *testing.T) {
	said := func(do func()) (d diag.Diagnostic) {
		defer func() {
			if p := recover(); p != nil {
				d = p.(value.Mistake).D
			}
		}()
		do()
		return d
	}
	if d := said(func() { as[value.Number](value.Material("mild_steel"), place(7), "number") }); d.Code != "P2010" || d.Summary != "a number is wanted, this is a material" || d.Span.Start != 7 {
		t.Errorf("a material for a number: %v", d)
	}
	if d := said(func() { as[*face](&part{name: "leg"}, place(7), "face") }); d.Summary != "a face is wanted, this is a part" {
		t.Errorf("a part for a face: %v", d)
	}
	if n := as[value.Number](value.Length(3), place(7), "number"); n != value.Length(3) {
		t.Errorf("3 mm are %v", n)
	}
	// whole numbers alone are counts, up to what a machine counts exactly
	ev := &evaluator{}
	for v, want := range map[value.Value]int{value.Count(3): 3, value.Count(-3): -3, value.Number{V: 1e9}: 1e9} {
		if got := ev.count(v, place(7)); got != want {
			t.Errorf("%v counts %d", v, got)
		}
	}
	for _, v := range []value.Value{value.Length(3), value.Number{V: 2.5}, value.Number{V: 1.1e9}, value.Number{V: -1.1e9}, "three"} {
		if d := said(func() { ev.count(v, place(7)) }); d.Code != "P2010" || d.Span.Start != 7 {
			t.Errorf("%v counts: %v", v, d)
		}
	}
}

// TestMemory: a call is known by what is called and all its arguments, references by what
// they stand for; one that no key is left for is never mixed up with another.
func TestMemory(t *testing.T) {
	var m Memory[int]
	leg := &part{name: "leg"}
	key := func(of string, args ...value.Value) Key {
		k := m.Begin(of)
		for _, a := range args {
			k = m.With(k, a)
		}
		return k
	}
	calls := [][]value.Value{{}, {value.Length(3)}, {value.Length(4)}, {value.Length(3), value.Length(4)}, {value.Length(4), value.Length(3)}, {leg}, {&part{name: "leg"}}, {cutRef{of: &face{}, name: "a"}}}
	for i, args := range calls {
		for _, of := range []string{"f", "g"} {
			if v, known := m.Known(key(of, args...)); known {
				t.Errorf("%s of %v is known before, as %d", of, args, v)
			}
			m.Keep(key(of, args...), 10*i+len(of)+int(of[0]))
		}
	}
	for i, args := range calls {
		for _, of := range []string{"f", "g"} {
			if v, known := m.Known(key(of, args...)); !known || v != 10*i+1+int(of[0]) {
				t.Errorf("%s of %v is %d, %v", of, args, v, known)
			}
		}
	}
	if e, same := (edge{of: &face{part: leg}}), key("f", leg); key("f", e) == same {
		t.Error("an edge is taken for its part")
	}
	for i := range maxRemembered + 5 {
		m.Begin(i)
	}
	late := m.With(m.Begin("late"), value.Length(1))
	m.Keep(late, 7)
	if _, known := m.Known(late); known || late != forgetful {
		t.Error("a call is kept beyond what is kept")
	}
	if v, known := m.Known(key("f", value.Length(3))); !known || v != 10+1+'f' {
		t.Errorf("what was kept is gone: %d %v", v, known)
	}
}

// TestScopes: a name stands for what the nearest scope that has it was given, and for nothing
// where none has.
func TestScopes(t *testing.T) {
	a, b, c := &check.Decl{Name: "a"}, &check.Decl{Name: "b"}, &check.Decl{Name: "c"}
	outer := &env{}
	outer.Set(a, value.Length(1))
	outer.Set(b, value.Length(2))
	inner := outer.child(0)
	inner.Set(a, value.Length(3))
	for _, x := range []struct {
		in   *env
		of   *check.Decl
		want value.Value
	}{{outer, a, value.Length(1)}, {inner, a, value.Length(3)}, {inner, b, value.Length(2)}, {inner, c, nil}, {outer, c, nil}} {
		if v, ok := x.in.Find(x.of); v != x.want || ok != (x.want != nil) {
			t.Errorf("%s is %v, %v; want %v", x.of.Name, v, ok, x.want)
		}
	}
}
