package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/plane"
)

// worked is a cut or a mark that the file makes in one face.
type worked struct {
	decl  *check.Decl
	name  string // with its index
	key   []value.Value
	value syntax.Expr
	env   *env
	// from is the face that it is drawn on: another where the cut goes through that one,
	// and then hit notes that some metal lies behind.
	from *face
	hit  *bool
}

// stage is how far something is on its way.
type stage uint8

const (
	begun stage = iota + 1
	done
	lost
)

// worksOn finds the cuts and marks that the file makes in a part.
func (ev *evaluator) worksOn(p *part) {
	for _, d := range ev.prog.Root.Order {
		if (d.Kind == check.Cut || d.Kind == check.Mark) && slices.Contains(d.Parts, p.of) {
			ev.workOut(d)
		}
	}
}

// workOut finds the faces that a cut or mark of the file is made in, once.
func (ev *evaluator) workOut(d *check.Decl) {
	switch ev.outside[d] {
	case done:
		return
	case begun:
		ev.needsItself(d.Name, d.At)
	case lost:
		panic(silent{})
	}
	ev.outside[d] = begun
	defer func() {
		if ev.outside[d] == begun {
			ev.outside[d] = lost
		}
	}()
	in, behind, shape, guard := outsideOf(d.Node)
	defer ev.under(d.Name)()
	ev.spread(d, &env{}, func(e *env, key []value.Value, suffix string) {
		if guard != nil && !ev.flag(guard, e) {
			return
		}
		for _, f := range ev.facesAt(in, e) {
			w := worked{decl: d, name: d.Name + suffix, key: key, value: shape, env: e, from: f}
			ev.works[f] = append(ev.works[f], w)
			if behind == nil {
				continue
			}
			w.hit = new(bool)
			ev.through = append(ev.through, w)
			for _, g := range ev.facesAt(behind, e) {
				if math.Abs(g.frame.Normal().Dot(f.frame.Normal())) > 1-1e-9 && g != f {
					ev.works[g] = append(ev.works[g], w)
				}
			}
		}
	})
	ev.outside[d] = done
}

func outsideOf(s syntax.Stmt) (in, behind, shape, guard syntax.Expr) {
	switch s := s.(type) {
	case *syntax.Cut:
		return s.In, s.Behind, s.Value, s.Guard
	case *syntax.Mark:
		return s.In, nil, s.Value, s.Guard
	}
	return nil, nil, nil, nil
}

// facesAt are the faces that an expression stands for, all of those of parts.
func (ev *evaluator) facesAt(x syntax.Expr, e *env) []*face {
	var out []*face
	take := func(v value.Value) {
		switch v := v.(type) {
		case *face:
			out = append(out, v)
		case *part:
			out = append(out, v.faces...)
		default:
			ev.wrong(x, v, "face")
		}
	}
	value.EachItem(ev.eval(x, e), take)
	return out
}

// cutOutside draws the cuts that the file makes in a face, once, behind its own.
func (ev *evaluator) cutOutside(f *face) {
	if f.worked != 0 || !f.part.drawn {
		return
	}
	f.worked = begun
	ev.worksOn(f.part)
	for _, w := range ev.works[f] {
		if w.decl.Kind != check.Cut {
			continue
		}
		at := w.value.Span()
		f.making = w.name
		back := ev.under(w.name + " in " + f.part.name + "." + f.name)
		r, ok := value.ShapeOf(ev.eval(w.value, w.env), w.value).Draw(w.from.canvas).Bounded()
		back()
		f.making = ""
		switch {
		case !ok:
			ev.fail("P4002", at, "this cut has no end")
		case len(r) == 0:
			ev.fail("P4001", at, "nothing is left of this cut")
		}
		if w.hit != nil && f != w.from {
			r = r.Transform(value.Between(w.from.frame, f.frame))
			if len(plane.Intersect(r, f.region)) == 0 {
				continue
			}
			*w.hit = true
		}
		for _, c := range f.cuts {
			if c.name == w.name {
				ev.fail("P2002", w.decl.At, fmt.Sprintf("%s.%s has a cut %s already", f.part.name, f.name, w.name), "another name is needed")
			}
		}
		f.keepCut(w.decl, w.key, cutRef{f, w.name, r, source{w.value, w.env}})
	}
	f.worked = done
}

// marksOutside are the marks that the file makes in a face.
func (ev *evaluator) marksOutside(f *face) (out []panel.Mark) {
	for _, w := range ev.works[f] {
		if m, ok := w.decl.Node.(*syntax.Mark); ok {
			back := ev.under(w.name + " in " + f.part.name + "." + f.name)
			out = append(out, ev.mark(f, m, ev.eval(m.Value, w.env), w.name)...)
			back()
		}
	}
	return out
}

// missed reports the cuts that go through a face to nothing.
func (ev *evaluator) missed() {
	for _, w := range ev.through {
		if !*w.hit {
			c := w.decl.Node.(*syntax.Cut)
			ev.Report(value.Diagnostic("P4014", c.Behind.Span(), fmt.Sprintf("%s goes through %s.%s to nothing: no metal of this lies behind it", w.name, w.from.part.name, w.from.name),
				"what lies behind is a face parallel to that one, and the hole falls on it"))
		}
	}
}

// flat unfolds a part, once, with the work that the file does on it.
func (ev *evaluator) flat(p *part, at diag.Span) *panel.Flat {
	switch p.stage {
	case done:
		return p.flattened
	case begun:
		ev.needsItself(p.name, at)
	case lost:
		panic(silent{})
	}
	p.stage = begun
	defer func() {
		if p.stage == begun {
			p.stage = lost
		}
	}()
	defer ev.under(p.name)()
	ev.unfold(p)
	p.stage = done
	return p.flattened
}

// under notes what is being made, so that a circle can be told; what it returns ends it.
func (ev *evaluator) under(name string) func() {
	n := len(ev.making)
	ev.making = append(ev.making, name)
	return func() { ev.making = ev.making[:n] }
}

// needsItself unwinds because of a circle of things that are being made, and prints it.
func (ev *evaluator) needsItself(name string, at diag.Span, more ...any) {
	way := ev.making
	if i := slices.Index(way, name); i >= 0 {
		way = way[i:]
	}
	ev.fail("P2060", at, name+" needs itself", append(more, strings.Join(append(slices.Clone(way), name), " needs "),
		"a cut is made before its part is measured: what it goes by must not be told by that part's metal")...)
}
