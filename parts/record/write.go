package record

import (
	"fmt"
	"io"
	"math"

	"perch/parts/decimal"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

const (
	massDecimals   = 9 // kg: a microgram
	factorDecimals = 9
)

// Options of a record.
type Options struct {
	// File gives the name of a blank's drawing; nil means the blank's name with .dxf.
	File func(*panel.Blank) string
}

// Write writes the record of one size. It returns an error, and writes nothing,
// when a number is not finite or an index points nowhere; otherwise w's own error.
func Write(w io.Writer, a *panel.Assembly, opt Options) error {
	if err := check(a); err != nil {
		return fmt.Errorf("recording %s, %s: %w", a.Design, a.Size, err)
	}
	e := new(encoder)
	if b, ok := w.(interface{ AvailableBuffer() []byte }); ok {
		e.buf = b.AvailableBuffer() // written in place where w is a buffer
	}
	e.assembly(a, opt)
	if e.bad != "" {
		return fmt.Errorf("recording %s, %s: %s is not a finite number", a.Design, a.Size, e.bad)
	}
	_, err := w.Write(e.buf)
	return err
}

// check finds what would make a record that cannot be read back.
func check(a *panel.Assembly) error {
	for _, b := range a.Blanks {
		f := b.Flat
		if f == nil || f.Panel == nil {
			return fmt.Errorf("blank %q has no flat", b.Name)
		}
		if f.Root < 0 || f.Root >= len(f.Faces) {
			return fmt.Errorf("blank %q: root face %d of %d", b.Name, f.Root, len(f.Faces))
		}
		named := map[string]bool{} // folds and points go by the names of faces
		for _, c := range f.Faces {
			if named[c.Name] {
				return fmt.Errorf("blank %q: two faces are called %q", b.Name, c.Name)
			}
			named[c.Name] = true
		}
		for _, s := range f.Folds {
			if min(s.A, s.B) < 0 || max(s.A, s.B) >= len(f.Faces) {
				return fmt.Errorf("blank %q: fold %s joins faces %d and %d of %d", b.Name, s.Name, s.A, s.B, len(f.Faces))
			}
		}
		for _, m := range b.FoldMarks {
			if m.Fold < 0 || m.Fold >= len(f.Folds) {
				return fmt.Errorf("blank %q: a mark tells fold %d of %d", b.Name, m.Fold, len(f.Folds))
			}
		}
		for _, p := range f.Points {
			if p.Face < 0 || p.Face >= len(f.Faces) {
				return fmt.Errorf("blank %q: point %s lies on face %d of %d", b.Name, p.Name, p.Face, len(f.Faces))
			}
		}
	}
	for _, c := range a.Copies {
		if c.Blank < 0 || c.Blank >= len(a.Blanks) {
			return fmt.Errorf("copy %q is of blank %d of %d", c.Name, c.Blank, len(a.Blanks))
		}
	}
	for _, j := range a.Joins {
		for _, m := range j.Members {
			if m.Copy < 0 || m.Copy >= len(a.Copies) {
				return fmt.Errorf("join %s holds copy %d of %d", j.Name, m.Copy, len(a.Copies))
			}
		}
	}
	return nil
}

func (e *encoder) assembly(a *panel.Assembly, opt Options) {
	e.open('{')
	e.line(1)
	e.textMember("format", Format)
	e.key("version")
	e.number(Version, 0)
	e.textMember("design", a.Design)
	e.textMember("size", a.Size)
	e.textMember("revision", a.Revision)
	e.line(1)
	e.key("layers")
	e.open('{')
	for _, l := range layerNames {
		e.textMember(l.role, l.name)
	}
	e.close('}')
	list(e, 1, "values", a.Values, func(i int) { e.value(a.Values[i]) })
	list(e, 1, "blanks", a.Blanks, func(i int) { e.blank(a.Blanks[i], opt) })
	list(e, 1, "copies", a.Copies, func(i int) { e.copy(a.Copies[i], a) })
	list(e, 1, "joins", a.Joins, func(i int) { e.join(a.Joins[i], a) })
	e.buf = append(e.buf, "\n}\n"...)
}

// layerNames are the drawings' layers by what they hold.
var layerNames = []struct{ role, name string }{
	{"outside", dxf.LayerOutside}, {"inside", dxf.LayerInside},
	{"fold_up", dxf.LayerFoldUp}, {"fold_down", dxf.LayerFoldDown},
	{"mark", dxf.LayerMark}, {"label", dxf.LayerLabel},
}

// list writes a member that is a list of objects, each on a line of its own.
func list[T any](e *encoder, depth int, name string, items []T, object func(i int)) {
	e.line(depth)
	e.key(name)
	e.open('[')
	for i := range items {
		e.line(depth + 1)
		e.open('{')
		object(i)
		e.close('}')
	}
	e.close(']')
}

func (e *encoder) value(v panel.Value) {
	e.textMember("name", v.Name)
	n := decimal.Length
	if v.Unit == "deg" {
		n = decimal.Angle
	}
	e.numberMember("value", v.Value, n)
	e.textMember("unit", v.Unit)
	e.textMember("from", v.From)
	e.textMember("where", v.Where)
}

func (e *encoder) blank(b *panel.Blank, opt Options) {
	f, m := b.Flat, Measure(b.Flat)
	file := b.Name + ".dxf"
	if opt.File != nil {
		file = opt.File(b)
	}
	e.textMember("name", b.Name)
	e.numberMember("count", float64(b.Count), 0)
	e.textMember("file", file)
	e.line(3)
	stock := f.Panel.Stock
	e.key("stock")
	e.open('{')
	e.textMember("name", stock.Name)
	e.textMember("material", stock.Material)
	e.numberMember("thickness", stock.Thickness, decimal.Length)
	e.numberMember("density_kg_m3", stock.Density, decimal.Length)
	e.close('}')
	e.line(3)
	e.key("outer")
	e.loop(f.Outer)
	e.line(3)
	e.key("inner")
	e.open('[')
	for _, l := range m.Openings {
		e.loop(l)
	}
	e.close(']')
	e.line(3)
	e.key("size")
	e.numbers(decimal.Length, m.Width, m.Height)
	e.numberMember("area", m.Area, decimal.Length)
	e.numberMember("cut_length", m.CutLength, decimal.Length)
	e.numberMember("mass_kg", m.Mass, massDecimals)
	stated := frames(f)
	list(e, 3, "faces", f.Faces, func(i int) { e.face(f.Faces[i], stated[i], i == f.Root) })
	list(e, 3, "folds", f.Folds, func(i int) { e.fold(f.Folds[i], f) })
	list(e, 3, "points", f.Points, func(i int) { e.point(f.Points[i], f) })
	list(e, 3, "nicks", b.FoldMarks, func(i int) { e.foldMark(&b.FoldMarks[i], f) })
	if len(b.Like) > 0 {
		list(e, 3, "like", b.Like, func(i int) { e.like(b.Like[i]) })
	}
}

func (e *encoder) foldMark(m *panel.FoldMark, f *panel.Flat) {
	e.textMember("kind", m.Kind.String())
	e.textMember("fold", f.Folds[m.Fold].Name)
	e.pointMember("at", m.At)
	switch m.Kind {
	case panel.Scribe:
		e.pointMember("to", m.To)
	case panel.Nick:
		e.numberMember("depth", m.Depth, decimal.Length)
		e.key("vee")
		e.open('[')
		for _, p := range m.Vee {
			e.numbers(decimal.Length, p.X, p.Y)
		}
		e.close(']')
	}
	if !m.Why.Empty() {
		e.textMember("why", m.Why.In(measure.Millimetres))
	}
}

func (e *encoder) like(l panel.Likeness) {
	e.textMember("blank", l.Blank)
	e.flagMember("turned_over", l.Over)
	e.key("differs")
	e.open('[')
	for _, d := range l.Differs {
		e.text(d.In(measure.Millimetres))
	}
	e.close(']')
}

func (e *encoder) face(c panel.FlatFace, frame solid.Frame, root bool) {
	e.textMember("name", c.Name)
	e.flagMember("root", root)
	e.key("loop")
	e.loop(c.Loop)
	e.key("frame")
	e.open('{')
	e.vecMember("origin", frame.O, decimal.Length)
	e.vecMember("x", frame.X, decimal.Cosine)
	e.vecMember("y", frame.Y, decimal.Cosine)
	e.close('}')
}

func (e *encoder) fold(s panel.FlatFold, f *panel.Flat) {
	direction := "up"
	if s.Down {
		direction = "down"
	}
	b := s.Bend
	e.textMember("name", s.Name)
	e.key("faces")
	e.open('[')
	e.text(f.Faces[s.A].Name)
	e.text(f.Faces[s.B].Name)
	e.close(']')
	e.pointMember("from", s.From)
	e.pointMember("to", s.To)
	e.numberMember("angle", b.Angle*180/math.Pi, decimal.Angle)
	e.numberMember("radius", b.Radius, decimal.Length)
	e.numberMember("k", b.K, factorDecimals)
	e.numberMember("allowance", s.Bend.Allowance(), decimal.Length)
	e.textMember("direction", direction)
	e.key("loop")
	e.loop(s.Loop)
	e.key("sight")
	e.open('[')
	for _, p := range s.Sight {
		e.numbers(decimal.Length, p.X, p.Y)
	}
	e.close(']')
}

func (e *encoder) point(p panel.Point, f *panel.Flat) {
	e.textMember("name", p.Name)
	e.textMember("face", f.Faces[p.Face].Name)
	e.pointMember("at", p.At)
	e.numberMember("diameter", p.Diameter, decimal.Length)
	e.textMember("kind", string(p.Kind))
	if when := p.Made(); when != "" {
		e.textMember("when", string(when))
	}
	if p.For != "" {
		e.textMember("for", p.For)
	}
}

func (e *encoder) copy(c panel.Copy, a *panel.Assembly) {
	e.textMember("name", c.Name)
	e.textMember("blank", a.Blanks[c.Blank].Name)
	e.flagMember("mirrored", c.Mirrored)
	if c.Loose {
		e.flagMember("loose", true)
	}
	e.key("matrix")
	e.matrix(c.Matrix)
}

func (e *encoder) join(j panel.JoinPoint, a *panel.Assembly) {
	e.textMember("kind", j.Kind)
	e.numberMember("diameter", j.Diameter, decimal.Length)
	e.vecMember("at", j.At, decimal.Length)
	e.vecMember("axis", j.Axis, decimal.Cosine)
	e.numberMember("grip", j.Grip, decimal.Length)
	if j.Line != nil {
		e.key("line")
		e.open('[')
		for _, v := range j.Line {
			e.numbers(decimal.Length, v.X, v.Y, v.Z)
		}
		e.close(']')
	}
	e.key("members")
	e.open('[')
	for _, m := range j.Members {
		e.open('{')
		e.textMember("copy", a.Copies[m.Copy].Name)
		e.textMember("point", m.Point)
		e.close('}')
	}
	e.close(']')
	e.hardware(j)
}

// hardware writes what a fastener takes from the drawer, as far as it is known.
func (e *encoder) hardware(j panel.JoinPoint) {
	if j.Kind == "rivet" && j.Closing != "" {
		e.textMember("closing", string(j.Closing))
		if j.Closing == shop.Cold || j.Closing == shop.Hot {
			tail := "round"
			if j.Countersunk {
				tail = "countersunk"
			}
			e.textMember("tail", tail)
		}
	}
	if j.Kind == "bolt" || j.Kind == "rivet" && j.Closing != "" {
		side := "outer"
		if j.Inner {
			side = "inner"
		}
		e.textMember("head_side", side)
	}
	for _, m := range []struct {
		name string
		mm   float64
	}{{"head_diameter", j.Head}, {"length", j.Shank.Length}, {"cut_to", j.Shank.Cut}} {
		if m.mm != 0 {
			e.numberMember(m.name, m.mm, decimal.Length)
		}
	}
	if j.Reach == (shop.Reach{}) {
		return
	}
	e.key("reach")
	e.open('{')
	e.room("head", j.Reach.Head)
	e.room("tail", j.Reach.Tail)
	e.close('}')
}

func (e *encoder) room(name string, r shop.Room) {
	if r.Length == 0 {
		return
	}
	e.key(name)
	e.open('{')
	e.numberMember("radius", r.Radius, decimal.Length)
	if r.From != 0 {
		e.numberMember("from", r.From, decimal.Length)
	}
	e.numberMember("length", r.Length, decimal.Length)
	e.close('}')
}
