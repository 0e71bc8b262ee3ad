package eval

import (
	"fmt"

	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
)

// marks draws the face's marks.
func (ev *evaluator) marks(f *face) (out []panel.Mark) {
	for _, d := range f.decl.Members {
		m, ok := d.Node.(*syntax.Mark)
		if !ok {
			continue
		}
		ev.spread(d, f.env, func(e *env, _ []value.Value, suffix string) {
			if m.Guard != nil && !ev.flag(m.Guard, e) {
				return
			}
			out = append(out, ev.mark(f, m, ev.eval(m.Value, e), m.Name.Name+suffix)...)
		})
	}
	return out
}

func (ev *evaluator) mark(f *face, s *syntax.Mark, v value.Value, name string) []panel.Mark {
	m, ok := v.(value.MarkSpec)
	if !ok { // a shape is scribed along its outline
		m = value.MarkSpec{Kind: panel.MarkLine, Shape: value.ShapeOf(v, s.Value)}
	}
	if m.At == nil {
		m.At = []plane.Point{{}}
	}
	var out []panel.Mark
	for _, p := range m.At {
		out = append(out, ev.markAt(f.canvas.At(p), s, m)...)
	}
	for i := range out {
		out[i].Name = name
		if len(out) > 1 {
			out[i].Name = fmt.Sprintf("%s.%d", name, i+1)
		}
	}
	return out
}

// markAt is a mark on a canvas, one for each of its lines.
func (ev *evaluator) markAt(c *value.Canvas, s *syntax.Mark, m value.MarkSpec) []panel.Mark {
	base := panel.Mark{Kind: m.Kind, Width: m.Width}
	if m.Kind == panel.MarkText {
		base.Text, base.Height = m.Text, m.Height
		base.At, base.Dir = plane.Point{X: c.Point.E, Y: c.Point.F}, plane.Point{X: 1}
		if m.Middle {
			base.At = base.At.Sub(plane.Point{X: float64(lettering.Width(m.Text, m.Height) / 2), Y: float64(m.Height / 2)})
		}
		return []panel.Mark{base}
	}
	if m.Points != nil {
		for _, it := range m.Points.Items {
			base.Path = append(base.Path, plane.Vertex{P: c.Point.Apply(value.PointOf(it.V, it))})
		}
		return []panel.Mark{base}
	}
	r, ok := m.Shape.Draw(c).Bounded()
	if !ok || len(r) == 0 {
		ev.fail("P4002", s.Value.Span(), "this mark has no outline to follow")
	}
	var out []panel.Mark
	for _, l := range r {
		one := base
		one.Path, one.Closed = l, true
		out = append(out, one)
	}
	return out
}
