package builtin

import (
	"fmt"
	"math"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Args are the arguments of one call, worked out.
type Args struct {
	Function *Function
	At       diag.Span   // of the call, or of the member read
	Of       value.Value // what stands before the dot; nil of a function
	Given    []Arg       // by parameter, then what repeats the last
	World    World
}

// Arg is one argument: V is the parameter's own value where none is given, nil where it
// has none.
type Arg struct {
	V  value.Value
	At syntax.Node // nil where none is given
}

// World is the design that functions are worked out for.
type World interface {
	Shop() *shop.Shop
	// Spend counts work done at a place, in steps of evaluation; it fails past the budget.
	Spend(at diag.Span, steps int)
	// Measuring says that the call at a place measures what was made; it fails where
	// nothing is made yet.
	Measuring(function string, at diag.Span)
	Parts(at diag.Span) []value.Value                        // of the whole piece
	EdgeIn(f Face, on solid.Frame, at diag.Span) value.Value // of f's outline, in another plane
	Metal(f Face) plane.Region                               // of a face, less its cuts
	Sheets(of value.Stock, at diag.Span) int                 // that the blanks of a stock take
	Measured(p Part, at diag.Span) Measured
	Clearance(a, b value.Value, at diag.Span) float64  // mm, of two parts or two faces
	Flats(parts []Part, at diag.Span) []*panel.Flat    // where they stand
	Unbent(p Part, at diag.Span) int                   // folds that the shop's brake does not bend
	Carried(loads []*value.Load, at diag.Span) Carried // of the whole piece
}

// What functions need of what an evaluation alone knows.
type (
	// Face is a face of a part.
	Face interface {
		value.Reference
		Placed() value.Placed
		Thickness() float64
		Shape(at diag.Span) *value.Shape // its outline, with the names of its edges
		Edges() []value.Value            // of its outline, in order
		Middle() plane.Point             // of its outline, in u and v
		UV(at solid.Vec) plane.Point     // of a place in space, square onto it
	}
	// Cut is a cut of a face.
	Cut interface {
		value.Reference
		Middles() []solid.Vec // of its openings, in space
	}
	// Edge is an edge of a face.
	Edge interface {
		value.Reference
		Face() value.Value
		Length() float64
	}
	// Part is a part that is made.
	Part interface {
		value.Reference
		OfPart()
	}
)

// Measured is what a flat part comes to: kg, mm², mm.
type Measured struct{ Mass, Area, Long, Wide float64 }

// Fail unwinds with a mistake at the call.
func (a *Args) Fail(code, summary string, more ...any) { value.Fail(code, a.At, summary, more...) }

// arg is the argument of a parameter that the row names.
func (a *Args) arg(name string) *Arg {
	i := Named(a.Function.Params, name)
	if i < 0 {
		panic(fmt.Sprintf("%s has no parameter %s", a.Function.Name, name)) // the row is wrong, no design
	}
	return &a.Given[i]
}

// Has tells whether an argument is given.
func (a *Args) Has(name string) bool { return a.arg(name).At != nil }

// Value is an argument, or what it is where it is left out.
func (a *Args) Value(name string) value.Value { return a.arg(name).V }

// Place is where an argument is written; the call where it is not.
func (a *Args) Place(name string) diag.Span {
	if at := a.arg(name).At; at != nil {
		return at.Span()
	}
	return a.At
}

// Wrong unwinds because an argument is not what is wanted.
func (a *Args) Wrong(name, want string) {
	value.Fail("P2010", a.Place(name), fmt.Sprintf("%s is wanted, this is %s", value.Article(want), value.Article(value.KindOf(a.Value(name)))))
}

// given is an argument that is a T.
func given[T value.Value](a *Args, name, want string) T {
	v, ok := a.Value(name).(T)
	if !ok {
		a.Wrong(name, want)
	}
	return v
}

// eachOf calls do with the members of a family or a list, each a T, or with the one thing given.
func eachOf[T value.Value](a *Args, name, want string, do func(T)) {
	value.EachItem(a.Value(name), func(v value.Value) {
		t, ok := v.(T)
		if !ok {
			value.Wrong(a.arg(name).At, v, want)
		}
		do(t)
	})
}

// Number is an argument that is a number.
func (a *Args) Number(name string) value.Number { return given[value.Number](a, name, "number") }

// Length is an argument in mm.
func (a *Args) Length(name string) float64 {
	n := a.Number(name)
	if n.Dim != quantity.Length {
		value.Fail("P2012", a.Place(name), fmt.Sprintf("a length is wanted, this is a %s", n.Dim))
	}
	return n.V
}

// Positive is a length of more than nothing.
func (a *Args) Positive(name string) float64 {
	v := a.Length(name)
	if !(v > 0) {
		value.FailSaid("P4003", a.Place(name), measure.Say("%s of %s must be more than nothing, it is %s", name, a.Function.Name, value.ShownLength(v)))
	}
	return v
}

// Count is a whole number.
func (a *Args) Count(name string) int {
	n := a.Number(name)
	if n.V != math.Trunc(n.V) || n.Dim != quantity.None || math.Abs(n.V) > 1e9 {
		a.Wrong(name, "count")
	}
	return int(n.V)
}

// Word is a word, "" where none is given and none is usual.
func (a *Args) Word(name string) value.Word {
	w, _ := a.Value(name).(value.Word)
	return w
}

// Point is an argument in mm.
func (a *Args) Point(name string) plane.Point {
	g := a.arg(name)
	return value.PointOf(g.V, g.At)
}

// Stock, Body, Shape and Points are arguments of those types.
func (a *Args) Stock(name string) value.Stock { return given[value.Stock](a, name, "stock") }

func (a *Args) Body(name string) *solid.Body { return given[*solid.Body](a, name, "body") }

func (a *Args) Shape(name string) *value.Shape {
	g := a.arg(name)
	return value.ShapeOf(g.V, g.At)
}

func (a *Args) Points(name string) *value.List {
	return given[*value.List](a, name, "list of points")
}

// made is a shape that the call draws.
func (a *Args) made(draw func(c *value.Canvas) value.Drawn) value.Value {
	return &value.Shape{At: a.At, By: draw}
}

// stands is a body, or the reason why it can't.
func (a *Args) stands(b *solid.Body, err error) *solid.Body {
	if err != nil {
		a.Fail("P4004", "this body cannot stand", measure.Of(err))
	}
	return b
}
