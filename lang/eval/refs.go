package eval

import (
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/plane"
	"perch/parts/solid"
)

type (
	// edge is a straight edge of a face's outline, the metal to its left; or the
	// pieces that are left of one, two or more, and then a and b are the first's ends.
	edge struct {
		of     *face
		name   string
		a, b   solid.Vec
		pieces []value.Segment // in the face's frame
	}
	// function is a let with parameters, or a panel, to be called.
	function struct {
		decl *check.Decl
		let  *syntax.Let
		env  *env
	}
	panelRef struct {
		decl *check.Decl
		def  *syntax.Panel
		env  *env
	}
)

// What stands for a thing of a part is known here alone; what values need of it
// are these.

func (f *face) Kind() string    { return "face" }
func (f *face) Key() any        { return f }
func (f *face) KeyName() string { return f.name }

func (f *face) Placed() value.Placed {
	return value.Placed{Frame: f.frame, On: f.canvas.Point}
}
func (f *face) Thickness() float64 { return f.part.stock.Thickness }

// Edges are the straight edges of the outline, in order.
func (f *face) Edges() []value.Value {
	segments := f.straight()
	all := make([]value.Value, len(segments))
	for i, s := range segments {
		all[i] = f.edge(s)
	}
	return all
}

// UV is a place in space, square onto the face, in the coordinates that its maker draws in.
func (f *face) UV(at solid.Vec) plane.Point {
	back, _ := f.canvas.Point.Inverse()
	return back.Apply(f.frame.Local(at))
}

// Middle is half way between the ends of the outline in u and in v.
func (f *face) Middle() plane.Point {
	back, _ := f.canvas.Point.Inverse()
	b := f.region.Transform(back).Bounds()
	return b.Min.Add(b.Max).Scale(0.5)
}

// Middles are those of the cut's openings.
func (c cutRef) Middles() []solid.Vec {
	var out []solid.Vec
	for _, l := range c.region {
		out = append(out, c.of.frame.At(l.Centroid()))
	}
	return out
}

func (e edge) Face() value.Value { return e.of }
func (e edge) Length() float64   { return e.length() }

func (e edge) Kind() string    { return "edge" }
func (e edge) Key() any        { return [3]any{"edge", e.of, e.name} }
func (e edge) KeyName() string { return e.name }

func (p *part) Kind() string    { return "part" }
func (p *part) Key() any        { return p }
func (p *part) KeyName() string { return "" }

// OfPart tells parts from other references.
func (p *part) OfPart() {}

func (c cutRef) Kind() string    { return "cut" }
func (c cutRef) Key() any        { return [3]any{"cut", c.of, c.name} }
func (c cutRef) KeyName() string { return "" }

// Draw is the cut as a shape, where it lies.
func (c cutRef) Draw(on *value.Canvas) value.Drawn {
	return value.Drawn{Region: c.region.Transform(value.Between(c.of.frame, on.Frame))}
}

func (f function) Kind() string    { return "function" }
func (f function) Key() any        { return f }
func (f function) KeyName() string { return "" }

func (p panelRef) Kind() string    { return "panel" }
func (p panelRef) Key() any        { return p }
func (p panelRef) KeyName() string { return "" }
