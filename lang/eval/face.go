package eval

import (
	"fmt"
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// face is one flat of a part, placed and drawn.
type face struct {
	part    *part
	decl    *check.Decl
	stmt    *syntax.Face
	key     []value.Value // its index
	name    string        // with its index: flap.1
	frame   solid.Frame
	canvas  *value.Canvas
	outline value.Drawn
	region  plane.Region
	names   []value.Segment // what is named of the outline, in the frame; see named
	edges   []value.Segment // straight edges of the outline, in order, in the frame; nil until asked for
	index   int             // in the part's panel
	env     *env
	cuts    []cutRef                      // its own, then those that the file makes
	worked  stage                         // of those that the file makes
	making  string                        // the one of those that is being drawn
	byCut   map[*check.Decl]*value.Family // its own, and those that the file makes
	side    *solid.Side                   // of a body that it was placed on, nil for one on any other plane
	// of a hung face
	parent *face
	angle  float64 // stated, 0 where two planes fix it
	down   bool
}

// cutRef is a named cut of a face.
type cutRef struct {
	of     *face
	name   string
	region plane.Region // in the face's frame
	says   source       // its shape
}

// faces draws a face statement: one face, or a family.
func (ev *evaluator) faces(p *part, d *check.Decl) value.Value {
	s := d.Node.(*syntax.Face)
	f := &value.Family{}
	ev.spread(d, p.env, func(e *env, key []value.Value, suffix string) {
		if s.Guard != nil && !ev.flag(s.Guard, e) {
			return
		}
		f.Keys = append(f.Keys, key)
		f.Members = append(f.Members, ev.face(p, d, e, key, d.Name+suffix))
	})
	if s.Index == nil {
		if len(f.Members) == 0 {
			return &value.Family{} // its guard left it out
		}
		return f.Members[0]
	}
	return f
}

func (ev *evaluator) face(p *part, d *check.Decl, e *env, key []value.Value, name string) *face {
	s := d.Node.(*syntax.Face)
	f := &face{part: p, decl: d, stmt: s, name: name, key: key, env: e.child(0)}
	if s.Off != nil {
		ev.hang(f, e)
	} else {
		ev.placeFace(f, e)
	}
	f.canvas = f.canvas.Counted(ev.Spend)
	ev.drawFace(f)
	f.index = len(p.faces)
	p.faces = append(p.faces, f)
	return f
}

// placeFace puts a face on its plane, with u and v as language.md's table says.
func (ev *evaluator) placeFace(f *face, e *env) {
	on := ev.eval(f.stmt.On, e)
	f.canvas = ev.planeOf(on, f.stmt.On).Canvas()
	f.frame = f.canvas.Frame
	if side, ok := on.(solid.Side); ok {
		f.side = &side
	}
	if f.stmt.From == nil {
		return
	}
	switch from := ev.eval(f.stmt.From, e).(type) {
	case solid.Corner:
		f.canvas.Point = plane.Identity()
		foot, head := from.Foot(), from.Head()
		p := f.frame.Plane()
		if math.Abs(p.Height(foot)) < 1e-6 && math.Abs(p.Height(head)) < 1e-6 {
			f.canvas.Point = ev.fromCorner(f, from)
			return
		}
		ev.fromPierced(f, from)
	case edge:
		ev.whole(from, f.stmt.From, nil)
		ev.fromEdge(f, from)
	default:
		ev.wrong(f.stmt.From, from, "corner or edge")
	}
}

// fromEdge measures a face from an edge of another: from its middle, u along it, v
// square to it, into the other face's metal; where the plane stands square on that
// face, to where a face hung there would stand. For either hand u is to v what it is on that face.
func (ev *evaluator) fromEdge(f *face, on edge) {
	n := f.frame.Normal()
	u := on.b.Sub(on.a).Unit()
	if math.Abs(u.Dot(n)) > 1e-9 {
		ev.fail("P4008", f.stmt.From.Span(), "this edge does not run along the plane: nothing can be measured from it",
			measure.Say("they are at %s to each other", value.Shown(value.Number{V: elementary.Asin(min(1, math.Abs(u.Dot(n)))), Dim: quantity.Angle})))
	}
	of := on.of.frame.Normal()
	in := of.Cross(u)
	v := n.Cross(u)
	sign := 1.0
	switch d := v.Dot(in); {
	case d < -1e-9, d < 1e-9 && v.Dot(of)*n.Dot(in) < 0:
		sign = -1
	}
	mid := on.a.Add(on.b).Scale(0.5)
	if on.of.canvas.Point.Det() < 0 {
		u, v, sign = u.Neg(), v.Neg(), -sign
	}
	f.frame = solid.Frame{O: mid.Sub(n.Scale(f.frame.Plane().Height(mid))), X: u, Y: v}
	f.canvas.Frame, f.canvas.Point = f.frame, plane.Affine{A: 1, D: sign}
}

// fromCorner is the map of a face whose plane holds the corner's edge: u is level,
// in from the edge, v up the slope; at each v, u starts on the edge.
func (ev *evaluator) fromCorner(f *face, c solid.Corner) plane.Affine {
	foot, head := f.frame.Local(c.Foot()), f.frame.Local(c.Head())
	rise := head.Y - foot.Y
	if math.Abs(rise) < 1e-6 {
		ev.fail("P4008", f.stmt.From.Span(), "this corner's edge lies level in the plane: nothing to measure up")
	}
	run := (head.X - foot.X) / rise
	sign := 1.0
	// into the side: away from the other side's plane
	other := c.Left()
	if math.Abs(other.Frame().Plane().N.Dot(f.frame.Normal())) > 1-1e-9 {
		other = c.Right()
	}
	if other.Frame().Plane().N.Dot(f.frame.X) > 0 {
		sign = -1
	}
	return plane.Affine{A: sign, B: run, C: 0, D: 1, E: foot.X, F: foot.Y}
}

// fromPierced is the map of a face whose plane crosses the corner's edge: u
// along the corner's left side, v along its right side.
func (ev *evaluator) fromPierced(f *face, c solid.Corner) {
	p := f.frame.Plane()
	o, ok := c.Edge().Pierce(p)
	if !ok {
		ev.fail("P4008", f.stmt.From.Span(), "this plane neither holds nor crosses the corner's edge",
			"measure from a corner whose edge it crosses or holds, or put the plane's origin elsewhere: PLANE at (u, v)")
	}
	along := func(s, other solid.Side) solid.Vec {
		l, ok := solid.Meet(p, s.Frame().Plane())
		if !ok {
			ev.fail("P4008", f.stmt.From.Span(), fmt.Sprintf("this plane does not cross side %d", s.Number()))
		}
		if other.Frame().Plane().N.Dot(l.D) > 0 {
			return l.D.Neg()
		}
		return l.D
	}
	u, v := along(c.Left(), c.Right()), along(c.Right(), c.Left())
	n := f.frame.Normal()
	f.frame = solid.Frame{O: o, X: u, Y: n.Cross(u)}
	f.canvas.Frame = f.frame
	w := f.frame.LocalDir(v)
	f.canvas.Point = plane.Affine{A: 1, B: w.X, C: 0, D: w.Y}
}

// planeOf takes a side, a plane or a face for the plane to draw on.
func (ev *evaluator) planeOf(v value.Value, at syntax.Node) value.Placed {
	p, ok := value.PlaneOf(v)
	if !ok {
		ev.wrong(at, v, "plane")
	}
	return p
}

func (ev *evaluator) frameOf(v value.Value, at syntax.Node) solid.Frame {
	return ev.planeOf(v, at).Frame
}

// hang puts a face off an edge of another.
func (ev *evaluator) hang(f *face, e *env) {
	s := f.stmt
	off := ev.eval(s.Off, e)
	var on *edge
	switch off := off.(type) {
	case edge:
		f.parent, on = off.of, &off
		ev.whole(off, s.Off, s)
	case *face:
		f.parent = off
	case *value.List:
		ev.oneOf(off, s.Off)
	default:
		ev.wrong(s.Off, off, "face or edge")
	}
	if f.parent.part != f.part {
		ev.fail("P4009", s.Off.Span(), "a face hangs off a face of its own panel")
	}
	if s.Turn != syntax.NoTurn {
		ev.hangTurned(f, on, e)
		return
	}
	n := ev.frameOf(ev.eval(s.On, e), s.On)
	line, ok := solid.Meet(f.parent.frame.Plane(), n.Plane())
	if !ok {
		ev.fail("P4010", s.On.Span(), "the two planes are parallel: they meet in no fold",
			"give the angle instead, with up or down, or a plane that crosses the face")
	}
	if on == nil {
		e := ev.edgeOnLine(f.parent, line, s.Off.Span())
		ev.whole(e, s.Off, nil)
		on = &e
	} else {
		for _, p := range []solid.Vec{on.a, on.b} {
			if d := math.Abs(n.Plane().Height(p)); d > 1e-6 {
				ev.fail("P4010", s.Off.Span(), "this edge does not lie in the plane: the faces do not meet",
					measure.Say("an end of the edge is %.3g from the plane", measure.Length(d)))
			}
		}
	}
	np := n.Normal()
	out := f.outward(*on)
	cosA := f.parent.frame.Normal().Dot(np)
	sinA := np.Dot(out)
	f.stand(*on, np, out.Scale(cosA).Sub(f.parent.frame.Normal().Scale(sinA)))
}

// outward is the direction in the parent's plane from its metal across the edge.
func (f *face) outward(on edge) solid.Vec {
	return on.b.Sub(on.a).Unit().Cross(f.parent.frame.Normal())
}

// stand sets the hung face's frame: u along the fold, v away from it, the
// origin in the middle.
func (f *face) stand(on edge, normal, away solid.Vec) {
	mid := on.a.Add(on.b).Scale(0.5)
	away = away.Unit()
	f.frame = solid.Frame{O: mid, X: away.Cross(normal), Y: away}
	f.canvas = &value.Canvas{Frame: f.frame, Point: plane.Identity(), Span: on.b.Sub(on.a).Len(), Hung: true}
}

// hangTurned hangs a face by a stated angle.
func (ev *evaluator) hangTurned(f *face, on *edge, e *env) {
	s := f.stmt
	if on == nil {
		ev.fail("P4010", s.Off.Span(), "a stated angle turns about an edge: name it, as in web.top")
	}
	n := ev.number(s.Angle, e)
	if n.Dim != quantity.Angle {
		ev.fail("P2012", s.Angle.Span(), fmt.Sprintf("an angle is wanted, this is a %s", n.Dim))
	}
	a := n.V
	if !(a > 0.1*math.Pi/180 && a < math.Pi+1e-9) {
		ev.fail("P4003", s.Angle.Span(), "a bend lies between 0.1deg and 180deg", measure.Say("this is %s", value.Shown(n)))
	}
	f.angle, f.down = a, s.Turn == syntax.TurnDown
	b := ev.bendOf(f.part, ev.hungSpec(f), a)
	p := f.parent.frame
	f.frame = panel.Hung(p, p.Local(on.a), p.Local(on.b), b, f.down)
	f.canvas = &value.Canvas{Frame: f.frame, Point: plane.Identity(), Span: on.b.Sub(on.a).Len(), Hung: true}
}

// drawFace draws the outline, the cuts and the marks.
func (ev *evaluator) drawFace(f *face) {
	var outline *syntax.Outline
	for _, d := range f.decl.Members {
		if d.Kind == check.Let {
			ev.bindLet(d, f.env)
		}
	}
	for _, s := range f.stmt.Body {
		if o, ok := s.(*syntax.Outline); ok {
			outline = o
		}
	}
	if outline == nil {
		ev.fail("P2040", f.stmt.At, fmt.Sprintf("face %s has no outline", f.stmt.Name.Name))
	}
	d := value.ShapeOf(ev.eval(outline.Value, f.env), outline.Value).Draw(f.canvas)
	r, ok := d.Bounded()
	if !ok {
		ev.fail("P4002", outline.Value.Span(), "this outline has no end", measure.Say("cut it with & and a shape that has one, such as %s", measure.Either{Millimetres: "strip(30mm)", Inches: "strip(1in)"}))
	}
	if comps := r.Components(); len(comps) != 1 {
		if len(comps) == 0 {
			ev.fail("P4001", outline.Value.Span(), fmt.Sprintf("nothing is left of face %s", f.name), f.copyNote())
		}
		ev.fail("P4001", outline.Value.Span(), fmt.Sprintf("face %s falls into %d pieces", f.name, len(comps)), f.copyNote())
	}
	if len(r) > 1 {
		ev.fail("P4001", outline.Value.Span(), fmt.Sprintf("the outline of face %s has a hole in it: make it a cut", f.name))
	}
	ev.sized(f, r, outline.Value.Span(), "face "+f.name)
	f.outline, f.region = d, r
}

// What a face, or a cut in one, may measure in mm: what is outside is a mistaken unit, and too
// fine for numbers to tell its points apart, or for a cutter.
const (
	longest = 2 * farthest
	finest  = 0.01
)

// sized holds what is drawn on a face to what can be made of metal.
func (ev *evaluator) sized(f *face, r plane.Region, at diag.Span, what string) {
	box, o := r.Bounds(), f.frame.O
	reach := max(-box.Min.X, box.Max.X, -box.Min.Y, box.Max.Y, math.Abs(o.X), math.Abs(o.Y), math.Abs(o.Z))
	size := box.Size()
	switch {
	case !(reach <= longest):
		value.FailSaid("P4003", at, measure.Say("%s reaches %.4g far; perch builds within %.4g", what, measure.Length(reach), measure.Length(longest)), f.copyNote())
	case min(size.X, size.Y) < finest:
		value.FailSaid("P4003", at, measure.Say("%s is %.4g × %.4g: nothing finer than %.4g can be cut", what, measure.Length(size.X), measure.Length(size.Y), measure.Length(finest)), f.copyNote())
	}
}

func (f *face) copyNote() string { return fmt.Sprintf("in %s", f.part.name) }

// memberOfFace reads a member of a face that the language does not give it: an edge by
// name, then what the face declares.
func (ev *evaluator) memberOfFace(f *face, name string, x *syntax.Member) (value.Value, bool) {
	d := ev.prog.DeclOf(x)
	if d == nil || d.Kind != check.Cut || d.Owner != nil { // the face's own, or what it is here
		d = f.decl.Member(name)
	}
	if d != nil && d.Kind == check.Cut { // before an edge of its name
		ev.cutFace(f)
		if d.Owner == nil {
			ev.cutOutside(f)
		}
		switch all := f.byCut[d]; {
		case all != nil && d.Indices != nil:
			return all, true
		case all != nil && len(all.Members) > 0:
			return all.Members[0], true
		case f.making != "" && d.Owner == nil:
			ev.needsItself(f.making+" in "+f.part.name+"."+f.name, x.At)
		}
		return nil, false
	}
	if v, ok := f.named(name); ok {
		return v, true
	}
	ev.cutOutside(f)
	for _, c := range f.cuts {
		if c.name == name {
			return c, true
		}
	}
	if d == nil || d.Kind != check.Let {
		ev.noEdge(f, name, x)
		return nil, false
	}
	return f.env.find(d).value(ev, x.Name.At), true
}

// metal is a face as it is drawn, less its cuts.
func (ev *evaluator) metal(f *face) plane.Region {
	ev.cutFace(f)
	ev.cutOutside(f)
	if len(f.cuts) == 0 {
		return f.region
	}
	cuts := make([]plane.Region, len(f.cuts))
	for i, c := range f.cuts {
		cuts[i] = c.region
	}
	var r plane.Region
	value.Bounded(f.stmt.Name.At, func() { r = plane.SubtractAll(f.region, cuts...) })
	return r
}

// cutFace draws the face's cuts, once.
func (ev *evaluator) cutFace(f *face) {
	if f.cuts != nil {
		return
	}
	f.cuts, f.byCut = []cutRef{}, map[*check.Decl]*value.Family{}
	for _, d := range f.decl.Members {
		c, ok := d.Node.(*syntax.Cut)
		if !ok {
			continue
		}
		f.byCut[d] = &value.Family{}
		ev.spread(d, f.env, func(e *env, key []value.Value, suffix string) {
			if c.Guard != nil && !ev.flag(c.Guard, e) {
				return
			}
			r, ok := value.ShapeOf(ev.eval(c.Value, e), c.Value).Draw(f.canvas).Bounded()
			if !ok {
				ev.fail("P4002", c.Value.Span(), "this cut has no end")
			}
			if len(r) == 0 {
				ev.fail("P4001", c.Value.Span(), "nothing is left of this cut")
			}
			ev.sized(f, r, c.Value.Span(), "cut "+c.Name.Name+suffix)
			f.keepCut(d, key, cutRef{f, c.Name.Name + suffix, r, source{c.Value, e}})
		})
	}
}

// keepCut adds a cut that is made, by its statement and index.
func (f *face) keepCut(d *check.Decl, key []value.Value, c cutRef) {
	if f.byCut[d] == nil {
		f.byCut[d] = &value.Family{}
	}
	all := f.byCut[d]
	f.cuts = append(f.cuts, c)
	all.Keys, all.Members = append(all.Keys, key), append(all.Members, c)
}
