package compare

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/check"
	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/panel"
)

// valueTol is how far, of their size, two solved values may differ and still be
// one: the solver comes to a value by another way where rules are written
// otherwise.
const valueTol = 1e-9

// told is a number as it is told: to six decimals.
func told(x float64) float64 { return decimal.Round(x, 6) }

func toldOf(v *panel.Value) *float64 {
	x := told(v.Value)
	return &x
}

func sameNumber(a, b float64) bool {
	return math.Abs(a-b) <= float64(valueTol*max(1, math.Abs(a), math.Abs(b)))
}

// values lists the solved values that changed, by name; a renamed one by its new name.
func values(old, new []panel.Value, names *sides) []Value {
	before := map[string]*panel.Value{}
	for i := range old {
		before[names.name(check.Values, old[i].Name)] = &old[i]
	}
	var out []Value
	for i := range new {
		n := &new[i]
		o := before[n.Name]
		delete(before, n.Name)
		switch {
		case o == nil:
			out = append(out, Value{Name: n.Name, Unit: n.Unit, New: toldOf(n), NewFrom: n.From})
		case o.Unit != n.Unit || !sameNumber(o.Value, n.Value):
			out = append(out, Value{Name: n.Name, Was: renamedFrom(o.Name, n.Name), Unit: n.Unit, Old: toldOf(o), OldFrom: o.From, New: toldOf(n), NewFrom: n.From})
		}
	}
	for i := range old {
		if o := before[names.name(check.Values, old[i].Name)]; o == &old[i] {
			out = append(out, Value{Name: o.Name, Unit: o.Unit, Old: toldOf(o), OldFrom: o.From})
		}
	}
	return out
}

// joins lists the joins whose fasteners changed in kind, size or number.
func joins(old, new *panel.Assembly, in measure.System, names *sides) []Join {
	before, after := fasteners(old, measure.Millimetres), fasteners(new, measure.Millimetres)
	was, is := fasteners(old, in), fasteners(new, in)
	for i := range before { // in the same order
		before[i].name = names.name(check.Joins, before[i].name)
		was[i].name = before[i].name
	}
	var out []Join
	for _, n := range after {
		if o := find(before, n.name); o != n.text {
			out = append(out, Join{Name: n.name, Old: o, New: n.text, was: find(was, n.name), is: find(is, n.name)})
		}
	}
	for _, o := range before {
		if find(after, o.name) == "" {
			out = append(out, Join{Name: o.name, Old: o.text, was: find(was, o.name)})
		}
	}
	return out
}

type fastened struct{ name, text string }

func find(list []fastened, name string) string {
	for _, f := range list {
		if f.name == name {
			return f.text
		}
	}
	return ""
}

// fasteners tells each join's fasteners: how many of what.
func fasteners(a *panel.Assembly, in measure.System) []fastened {
	type kind struct{ name, what string }
	count := map[kind]int{}
	var order []kind
	for _, j := range a.Joins {
		k := kind{base(j.Name), j.Kind + " " + measure.Say("%#.3g", measure.Nominal(j.Diameter)).In(in)}
		if count[k] == 0 {
			order = append(order, k)
		}
		count[k]++
	}
	var out []fastened
	for _, k := range order {
		text := fmt.Sprintf("%d %s", count[k], k.what)
		if n := len(out); n > 0 && out[n-1].name == k.name {
			out[n-1].text += ", " + text
			continue
		}
		out = append(out, fastened{k.name, text})
	}
	return out
}

// base is a name without its last index: head of head.12.
func base(name string) string {
	if i := strings.LastIndexByte(name, '.'); i >= 0 {
		return name[:i]
	}
	return name
}
