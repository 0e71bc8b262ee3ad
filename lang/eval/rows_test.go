package eval_test

import (
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// inDesign is a design with what the examples of the language's table speak of, and the
// example in a place that takes it.
func inDesign(f *builtin.Function, of builtin.Kind) string {
	const start = `design "Example" in millimetres
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
param wide: length = 180mm
param deep: length = 120mm
body core = box(wide, deep, 80mm)
panel lid(x: length, y: length, on: plane) {
  face top on on {
    outline rect(x, y)
    cut hole = circle(5mm)
  }
}
part plate of steel = lid(wide, deep, core.top) loose
part shelf of steel = lid(60mm, 40mm, level(20mm)) loose
`
	on := "level(40mm)"
	if of == builtin.SideKind {
		on = "core.front"
	}
	switch f.Result.Kind {
	case builtin.BodyKind:
		return start + "body it = " + f.Example
	case builtin.ShapeKind:
		if f.OnFold {
			return start + "panel try() {\n  face base on level(40mm) { outline rect(60mm, 40mm) }\n  face it off base.top up 90deg { outline " + f.Example + " }\n}\npart one of steel = try() loose\n"
		}
		return start + "panel try() {\n  face it on " + on + " { outline " + f.Example + " }\n}\npart one of steel = try() loose\n"
	case builtin.MarkKind:
		return start + "panel try() {\n  face base on level(40mm) { outline rect(160mm, 120mm)\n mark it = " + f.Example + " }\n}\npart one of steel = try() loose\n"
	case builtin.FastenerKind:
		return start + "part lower of steel = lid(160mm, 60mm, level(-100mm))\npart upper of steel = lid(160mm, 60mm, lower.top.over)\njoin it = lower.top to upper.top by " + f.Example
	case builtin.BendKind:
		return start + "panel try() {\n  face base on level(40mm) { outline rect(60mm, 40mm) }\n  face lip off base.top up 90deg { outline strip(15mm) }\n  fold base to lip by " + f.Example + "\n}\npart one of steel = try() loose\n"
	case builtin.SeamKind:
		return start + `panel try() {
  face floor on core.bottom { outline inside(core) }
  face wall[s in core.sides] off floor on s { outline s.band(0mm, 40mm) }
  seam wall by ` + f.Example + "\n}\npart one of steel = try() loose\n"
	}
	return start + "let it = " + f.Example
}

// TestEveryExampleBuilds: the example of every row of the table compiles and builds, and
// calls what it is an example of.
func TestEveryExampleBuilds(t *testing.T) {
	facts := shop.Default()
	hold := func(f *builtin.Function, of builtin.Kind, call string) {
		if !strings.Contains(f.Example, call) {
			t.Errorf("the example of %s does not show %s: %s", f.Name, call, f.Example)
			return
		}
		text := inDesign(f, of)
		prog, diags, err := load.Source(diag.NewSource("example.perch", text), load.Library(), facts)
		if err != nil {
			t.Fatal(err)
		}
		if len(diags) == 0 {
			_, diags = build.Size(prog, build.Sizes(prog)[0], facts, nil)
		}
		for _, d := range diags {
			t.Errorf("%s: %s %s %v", f.Example, d.Code, d.Summary, d.Notes)
		}
	}
	for _, f := range builtin.Functions {
		hold(f, builtin.Invalid, f.Name+"(")
	}
	for _, o := range builtin.Operators {
		hold(&builtin.Function{Name: o.Sign, Example: o.Example}, builtin.Invalid, o.Sign)
	}
	for i := range builtin.Members {
		m := &builtin.Members[i]
		hold(&m.Function, m.Of, "."+m.Name)
	}
}
