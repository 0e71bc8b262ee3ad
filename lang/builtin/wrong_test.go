package builtin

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// bench is a world of one plate of 180 × 120 on the floor, with numbers of its own for
// whatever is measured.
type bench struct {
	World
	spent, measured int
}

func (b *bench) Shop() *shop.Shop                                { return shop.Default() }
func (b *bench) Spend(_ diag.Span, steps int)                    { b.spent += steps }
func (b *bench) Measuring(string, diag.Span)                     { b.measured++ }
func (b *bench) Parts(diag.Span) []value.Value                   { return []value.Value{thing{1}, thing{2}} }
func (b *bench) EdgeIn(Face, solid.Frame, diag.Span) value.Value { return brink{} }
func (b *bench) Metal(Face) plane.Region                         { return plane.Region{plane.Circle(20)} }
func (b *bench) Sheets(value.Stock, diag.Span) int               { return 7 }
func (b *bench) Measured(Part, diag.Span) Measured {
	return Measured{Mass: 2, Area: 3, Long: 5, Wide: 4}
}
func (b *bench) Clearance(_, _ value.Value, _ diag.Span) float64 { return 11 }
func (b *bench) Flats([]Part, diag.Span) []*panel.Flat           { return nil }
func (b *bench) Unbent(Part, diag.Span) int                      { return 6 }
func (b *bench) Carried(l []*value.Load, _ diag.Span) Carried {
	n := float64(len(l))
	return Carried{Sag: 1 * n, Sway: 2 * n, Used: 3 * n, Fastener: 4 * n}
}

// thing is what a design alone knows.
type thing struct{ number int }

func (t thing) Kind() string    { return "part" }
func (t thing) Key() any        { return t }
func (t thing) KeyName() string { return "" }
func (t thing) OfPart()         {}

type leaf struct{ value.Reference }

func (leaf) Kind() string         { return "face" }
func (leaf) Placed() value.Placed { return value.Placed{Frame: solid.LevelFrame(30)} }
func (leaf) Thickness() float64   { return 1.5 }
func (leaf) Shape(at diag.Span) *value.Shape {
	return value.Polygon(value.ListOf(value.PointAt(-90, -60), value.PointAt(90, -60), value.PointAt(90, 60), value.PointAt(-90, 60)).(*value.List), at)
}
func (leaf) Edges() []value.Value        { return []value.Value{brink{}} }
func (leaf) Middle() plane.Point         { return plane.Point{} }
func (leaf) UV(at solid.Vec) plane.Point { return plane.Point{X: at.X, Y: at.Y} }

type brink struct{ value.Reference }

func (brink) Kind() string      { return "edge" }
func (brink) Face() value.Value { return leaf{} }
func (brink) Length() float64   { return 12 }

type gap struct{ value.Reference }

func (gap) Kind() string         { return "cut" }
func (gap) Middles() []solid.Vec { return []solid.Vec{{X: 3, Y: 4}} }

// samples are a value of every kind that an argument can have.
func samples(t *testing.T) map[Kind]value.Value {
	t.Helper()
	core, err := solid.RectFrustum(180, 120, 180, 120, 80)
	if err != nil {
		t.Fatal(err)
	}
	plate := value.Stock{Stock: &shop.Stock{Material: "mild_steel", Thickness: 1.5, Radius: 2, Density: 7850}}
	return map[Kind]value.Value{
		CountKind: value.Count(4), FlagKind: true, TextKind: "A1", GaugeKind: value.Gauge{N: 18}, MaterialKind: value.Material("mild_steel"), StockKind: plate,
		PointKind: value.PointAt(20, 30), ShapeKind: &value.Shape{By: func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Circle(20)}, nil) }},
		PlaneKind: value.Placed{Frame: solid.LevelFrame(20)}, BodyKind: core, SideKind: core.Sides()[0], CornerKind: core.Corners()[0], FaceKind: leaf{}, EdgeKind: brink{},
		CutKind: gap{}, MarkKind: value.MarkSpec{Kind: panel.MarkLine}, PartKind: thing{0}, FastenerKind: value.Fastener{Kind: "rivet", Size: 4},
		BendKind: value.BendSpec{}, SeamKind: value.SeamSpec{Kind: "open"}, LoadKind: &value.Load{Force: solid.Vec{Z: -1}}, SupportKind: &value.Support{},
	}
}

// sample is a value of a type, of a size that is sound wherever one is asked for, and larger
// the further behind the parameter stands.
func sample(of Type, behind int, all map[Kind]value.Value) value.Value {
	switch of.Kind {
	case Quantity:
		return value.Number{V: 0.5 + float64(behind)/10, Dim: of.Dim}
	case PartKind:
		return thing{behind}
	case ListKind:
		if of.Elem.Kind == PointKind {
			return value.ListOf(value.PointAt(0, 0), value.PointAt(30, 0), value.PointAt(0, 20))
		}
		if of.Elem.Kind == Any {
			return value.ListOf(value.PointAt(0, 2), value.PointAt(30, 4))
		}
		return value.ListOf(sample(*of.Elem, behind, all))
	}
	return all[of.Kind]
}

// call works a row out with these arguments, and tells the mistake that it unwinds with.
func call(f *Function, of value.Value, given []Arg) (v value.Value, said *diag.Diagnostic) {
	defer func() {
		if p := recover(); p != nil {
			m, ok := p.(value.Mistake)
			if !ok {
				panic(fmt.Sprintf("%s: %v", f.Name, p))
			}
			said = &m.D
		}
	}()
	v = f.Value(&Args{Function: f, At: diag.Span{Start: 1, End: 99}, Of: of, Given: given, World: &bench{}})
	if s, ok := v.(*value.Shape); ok {
		on := solid.LevelFrame(0)
		if p, ok := value.PlaneOf(of); ok {
			on = p.Frame
		}
		s.Draw(&value.Canvas{Frame: on, Point: plane.Identity()})
	}
	return v, nil
}

// place is where an argument is written.
type place int32

func (p place) Span() diag.Span { return diag.Span{Start: int32(p), End: int32(p) + 3} }

// soundly are arguments of a row, one of the right type for each that is needed.
func soundly(f *Function, all map[Kind]value.Value) []Arg {
	out := make([]Arg, len(f.Params))
	for i, p := range f.Params {
		switch {
		case p.Optional:
			out[i] = Arg{V: p.Value}
		case f.Name == "slot" && p.Name == "w": // no wider than long
			out[i] = Arg{V: value.Length(0.25), At: place(10 * (i + 1))}
		case p.Same:
			out[i] = Arg{V: value.Length(12), At: place(10 * (i + 1))}
		default:
			out[i] = Arg{V: sample(p.Types[0], i, all), At: place(10 * (i + 1))}
		}
	}
	return out
}

// TestEveryRowRefusesStrangers: whatever kind of thing stands in an argument's place, a row
// takes it if its types say so, and else tells what is wanted, where that is written.
func TestEveryRowRefusesStrangers(t *testing.T) {
	all := samples(t)
	tried := 0
	hold := func(f *Function, of value.Value) {
		sound := soundly(f, all)
		for i, p := range f.Params {
			if p.TakesWord() || slices.ContainsFunc(p.Types, func(t Type) bool { return t.Kind == ListKind && t.Elem.Kind == Any }) {
				continue
			}
			takes := func(k Kind) bool {
				return slices.ContainsFunc(p.Types, func(t Type) bool {
					is := t
					if t.Kind == ListKind {
						is = *t.Elem
					}
					switch {
					case is.Kind == k, is.Kind == PlaneKind && (k == SideKind || k == FaceKind), is.Kind == ShapeKind && k == FaceKind:
						return true
					}
					return false
				})
			}
			for k := Invalid; k <= SupportKind; k++ {
				v := all[k]
				if v == nil || takes(k) || k == CountKind {
					continue
				}
				tried++
				args := slices.Clone(sound)
				args[i] = Arg{V: v, At: place(10 * (i + 1))}
				_, said := call(f, of, args)
				if said == nil || said.Code != "P2010" && said.Code != "P2012" || said.Span != args[i].At.Span() {
					t.Errorf("%s: a %s for %s: %v", f.Name, value.KindOf(v), p.Name, said)
				}
			}
		}
	}
	for _, f := range Functions {
		hold(f, nil)
	}
	for i := range Members {
		hold(&Members[i].Function, all[Members[i].Of])
	}
	if tried < 1000 {
		t.Errorf("only %d strangers", tried)
	}
}

// TestEveryRowGivesWhatItSays: of arguments of the right types every row comes to a value of
// the type that it says; tips asks for feet and strip for a fold, which this world has not.
func TestEveryRowGivesWhatItSays(t *testing.T) {
	all := samples(t)
	hold := func(f *Function, of value.Value) {
		if f.Follows != nil || f.OnFold || f.Name == "tips" {
			return
		}
		v, said := call(f, of, soundly(f, all))
		if said != nil {
			t.Errorf("%s: %v", f.Name, said)
			return
		}
		want := f.Result.String()
		if f.Result.Kind == ListKind {
			want = "list"
		}
		if n, ok := v.(value.Number); ok && n.Whole != (f.Result.Kind == CountKind) {
			t.Errorf("%s is %v, whole %v", f.Name, n.V, n.Whole)
		} else if ok && f.Result.Kind == CountKind {
			want = n.Dim.String()
		}
		if got := value.KindOf(v); got != want {
			t.Errorf("%s gives a %s, and says a %s", f.Name, got, want)
		}
	}
	for _, f := range Functions {
		hold(f, nil)
	}
	for i := range Members {
		hold(&Members[i].Function, all[Members[i].Of])
	}
}

// TestMeasuresAreTheWorlds: each row that measures asks the world for its own number, adds
// up or takes the largest, and says that it measures.
func TestMeasuresAreTheWorlds(t *testing.T) {
	all := samples(t)
	pair := &value.Family{Members: []value.Value{thing{1}, thing{2}, thing{3}}}
	loads := value.ListOf(all[LoadKind], all[LoadKind])
	for _, c := range []struct {
		name string
		of   value.Value
		want value.Number
	}{
		{"sag", loads, value.Number{V: 2, Dim: quantity.Length}}, {"sway", loads, value.Number{V: 4, Dim: quantity.Length}},
		{"used", loads, value.Number{V: 6}}, {"rivet_used", loads, value.Number{V: 8}}, {"sag", all[LoadKind], value.Number{V: 1, Dim: quantity.Length}},
		{"mass", pair, value.Number{V: 6, Dim: quantity.Mass}}, {"mass", nil, value.Number{V: 4, Dim: quantity.Mass}}, {"mass", thing{4}, value.Number{V: 2, Dim: quantity.Mass}},
		{"area", pair, value.Number{V: 9, Dim: quantity.Area}}, {"area", leaf{}, value.Number{V: math.Pi * 100, Dim: quantity.Area}},
		{"flat_long", pair, value.Number{V: 5, Dim: quantity.Length}}, {"flat_wide", pair, value.Number{V: 4, Dim: quantity.Length}},
		{"unbent", pair, value.Number{V: 18, Whole: true}}, {"sheets", all[StockKind], value.Number{V: 7, Whole: true}},
	} {
		f := Forms(c.name)[0]
		given := []Arg{{V: c.of, At: place(10)}}
		if c.of == nil {
			given = []Arg{{}}
		}
		b := &bench{}
		got := f.Value(&Args{Function: f, Given: given, World: b})
		if n, ok := got.(value.Number); !ok || math.Abs(n.V-c.want.V) > 1e-9 || n.Dim != c.want.Dim || n.Whole != c.want.Whole || b.measured != 1 {
			t.Errorf("%s is %+v and measures %d times, want %+v", c.name, got, b.measured, c.want)
		}
	}
	for _, name := range []string{"sag", "sway", "used", "rivet_used", "tips"} {
		given := []Arg{{V: value.ListOf[value.Value](), At: place(10)}, {}}
		if _, said := call(Forms(name)[0], nil, given[:len(Forms(name)[0].Params)]); said == nil || said.Code != "P9002" {
			t.Errorf("%s of no load: %v", name, said)
		}
	}
}
