package check

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// checkPanel reads a panel's declarations, faces, folds, seams and rules, and
// checks what can be known of how its faces hang together.
func (c *checker) checkPanel(p *Decl, s *syntax.Panel) {
	for _, d := range p.Members {
		switch d.Kind {
		case PanelParam:
			c.checkDecl(d)
		case Let:
			c.typeOf(d)
		case Face:
			c.checkFace(d, d.Node.(*syntax.Face))
		}
	}
	h := newHanging(c, p)
	for _, b := range s.Body {
		if r, ok := b.(*syntax.Rule); ok {
			c.ruled(p.scope, r)
		}
	}
	for _, d := range p.Folds {
		for _, i := range d.Indices {
			c.typeOf(i)
		}
		c.reading(d, func() {
			switch b := d.Node.(type) {
			case *syntax.Fold:
				h.fold(d, b)
			case *syntax.Seam:
				c.checkSeam(d, b)
			}
		})
	}
	switch {
	case len(h.faces) > 0:
		h.check()
	case !h.lost():
		c.report("P2035", s.Name.At, fmt.Sprintf("the panel %s has no face", s.Name.Name), "nothing to make")
	}
}

// lost says that a face or a fold of the panel may stand in text that was skipped.
func (h *hanging) lost() bool { return h.c.lost(h.panel.Module, "face", "fold") }

func (c *checker) checkFace(f *Decl, s *syntax.Face) {
	c.typeOf(f)
	where := f.scope.parent // the face's own lets are not known where it is placed
	c.reading(f, func() {
		c.checkWhere(f, s, where)
		if s.Guard != nil {
			c.condition(where, s.Guard, "a guard")
		}
	})
	c.checkOutlines(f, s)
	for _, d := range f.Members {
		switch b := d.Node.(type) {
		case *syntax.Let:
			c.typeOf(d)
		case *syntax.Cut:
			c.typeOf(d)
			c.want(d.scope, b.Value, "a cut", shape)
			if b.Guard != nil {
				c.condition(d.scope, b.Guard, "a guard")
			}
		case *syntax.Mark:
			c.typeOf(d)
			c.want(d.scope, b.Value, "a mark", mark)
			if b.Guard != nil {
				c.condition(d.scope, b.Guard, "a guard")
			}
		}
	}
}

// checkWhere checks `on PLANE from CORNER` and `off EDGE up|down ANGLE|on PLANE`.
func (c *checker) checkWhere(f *Decl, s *syntax.Face, in *scope) {
	if s.On != nil {
		c.want(in, s.On, "what a face is drawn on", plane)
	}
	if s.From != nil {
		if s.Off != nil {
			c.report("P2029", s.From.Span(), "a hung face is measured from its fold, not from elsewhere", "leave it out")
		}
		c.want(in, s.From, "what follows from", corner, edge)
	}
	if s.Off == nil {
		return
	}
	t := c.want(in, s.Off, "what a face is hung off", edge, face)
	if got := c.prog.TypeOf(s.Off); got.Kind == ListKind && got.Elem.Kind == EdgeKind && len(c.diags) > 0 {
		note(c.diags[len(c.diags)-1], fmt.Sprintf("or hang a face on each: face %s[e in %s] off e", s.Name.Name, s.Off.Span().Text()))
	}
	c.ownFace(f.Owner, s.Off, in, "a face is hung off a face of its own panel")
	if s.Turn == syntax.NoTurn {
		return
	}
	if t.Kind == FaceKind {
		d := c.report("P2029", s.Off.Span(), "with an angle, a face is hung off an edge", "a face")
		such := "top"
		if t.Decl != nil {
			if names := c.faceEdges(t.Decl).edgeNames(); len(names) > 0 {
				such = names[len(names)-1]
				if contains(names, "top") {
					such = "top"
				}
			}
		}
		note(d, "name an edge of it, such as "+s.Off.Span().Text()+"."+such+", or give the plane with on")
	}
	c.want(in, s.Angle, "the angle of the fold", angle)
	if v, ok := constant(s.Angle); ok && v.Dim == angle.Dim && (v.Value <= 0 || v.Value > straight) {
		c.report("P2043", s.Angle.Span(), "a fold turns by more than 0deg and at most 180deg", "out of range")
	}
}

// straight is 180deg in radians, with room for the last bit of 180deg as it was read.
const straight = 3.141592653589794

// ownFace finds the face of the panel that e names, alone, indexed or through an
// edge; it reports another panel's.
func (c *checker) ownFace(p *Decl, e syntax.Expr, in *scope, rule string) *Decl {
	for e != nil {
		switch x := strip(e).(type) {
		case *syntax.IndexExpr:
			e = x.X
		case *syntax.Member:
			e = x.X
		case *syntax.Name:
			d := c.prog.DeclOf(x)
			if d == nil || d.Type.Kind == Invalid && d.state == done {
				return nil
			}
			switch {
			case d.Kind == Face && d.Owner == p:
				return d
			case d.Kind == Index || d.Kind == Let: // which face it is of is known when values are
				return nil
			}
			r := c.report("P2033", x.At, rule, "not a face of "+p.Name)
			also(r, d.At, fmt.Sprintf("%s is a %s", d.Name, d.Kind))
			return nil
		default:
			return nil
		}
	}
	return nil
}

// checkOutlines wants exactly one outline.
func (c *checker) checkOutlines(f *Decl, s *syntax.Face) {
	c.faceEdges(f)
	var first *syntax.Outline
	for _, b := range s.Body {
		o, ok := b.(*syntax.Outline)
		switch {
		case !ok:
		case first == nil:
			first = o
		default:
			also(c.report("P2040", o.At, fmt.Sprintf("the face %s has two outlines", s.Name.Name), "again here"), first.At, "the first is here")
			c.want(f.scope, o.Value, "an outline", shape)
		}
	}
	if first == nil && !c.lost(f.Module, "outline") {
		c.report("P2040", s.Name.At, fmt.Sprintf("the face %s has no outline", s.Name.Name), "what is its edge?")
	}
}

// readOutline reads a face's first outline; its type carries the names of the edges.
func (c *checker) readOutline(f *Decl) Type {
	for _, b := range f.Node.(*syntax.Face).Body {
		if o, ok := b.(*syntax.Outline); ok {
			return c.want(f.scope, o.Value, "an outline", shape)
		}
	}
	return invalid
}

// faceOrFamily reads a face of the panel, or a family of its faces.
func (c *checker) faceOrFamily(d *Decl, e syntax.Expr, what string) (own *Decl, t Type) {
	if e == nil {
		return nil, invalid
	}
	t = c.expr(d.scope, e)
	one := t
	if t.Kind == FamilyKind {
		one = *t.Elem
	}
	if !assignable(face, one) {
		c.report("P2033", e.Span(), fmt.Sprintf("%s joins faces, this is %s", what, t.phrase()), "not a face")
		return nil, invalid
	}
	if t.silent() {
		return nil, t
	}
	return c.ownFace(d.Owner, e, d.scope, what+" joins faces of its own panel"), t
}

func (c *checker) checkSeam(d *Decl, s *syntax.Seam) {
	_, t := c.faceOrFamily(d, s.A, "a seam")
	if s.Guard != nil {
		c.condition(d.scope, s.Guard, "a guard")
	}
	if s.B != nil {
		c.faceOrFamily(d, s.B, "a seam")
	} else if t.Kind == FaceKind {
		r := c.report("P2036", s.A.Span(), "one face has no neighbours of its own kind", "a seam is between two")
		note(r, "name the other face with to, or a family of faces")
	}
	if s.By != nil {
		c.want(d.scope, s.By, "what a seam is made by", seamSpec)
	}
}

// hanging is how the faces of one panel hang on each other, as far as the text
// alone tells: families and guarded faces are left to the geometry.
type hanging struct {
	c      *checker
	panel  *Decl
	faces  []*Decl
	parent map[*Decl]*Decl     // of single, unguarded faces
	at     map[*Decl]diag.Span // where that was said
	folds  map[[2]string]diag.Span
	hung   map[*Decl]bool // hung, wholly or in part
	doubt  bool           // a fold names something else: what it hangs is not known
}

func newHanging(c *checker, p *Decl) *hanging {
	h := &hanging{c: c, panel: p, parent: map[*Decl]*Decl{}, at: map[*Decl]diag.Span{},
		folds: map[[2]string]diag.Span{}, hung: map[*Decl]bool{}}
	for _, d := range p.Members {
		if d.Kind != Face {
			continue
		}
		h.faces = append(h.faces, d)
		if s := d.Node.(*syntax.Face); s.Off != nil {
			h.hung[d] = true
			if root := c.rootFace(p, s.Off); root != nil && single(d) {
				h.parent[d], h.at[d] = root, s.Off.Span()
			}
		}
	}
	return h
}

// single says that a face is there once, whatever the values.
func single(d *Decl) bool {
	s := d.Node.(*syntax.Face)
	return len(s.Index) == 0 && s.Guard == nil
}

// rootFace is the face of p that e starts with, or nil.
func (c *checker) rootFace(p *Decl, e syntax.Expr) *Decl {
	for {
		switch x := e.(type) {
		case *syntax.Paren:
			e = x.X
		case *syntax.IndexExpr:
			e = x.X
		case *syntax.Member:
			e = x.X
		case *syntax.Name:
			if d := c.prog.DeclOf(x); d != nil && d.Kind == Face && d.Owner == p {
				return d
			}
			return nil
		default:
			return nil
		}
	}
}

func (h *hanging) fold(d *Decl, s *syntax.Fold) {
	c := h.c
	told := c.reported
	a, _ := c.faceOrFamily(d, s.A, "a fold")
	b, _ := c.faceOrFamily(d, s.B, "a fold")
	if s.By != nil {
		c.want(d.scope, s.By, "what a fold is made by", bendSpec)
	}
	if s.Guard != nil {
		c.condition(d.scope, s.Guard, "a guard")
	}
	if a == nil || b == nil {
		h.doubt = h.doubt || c.reported > told
		return
	}
	h.hung[b] = true
	if s.Guard != nil { // which of several is there is known when values are
		return
	}
	key := [2]string{s.A.Span().Text(), s.B.Span().Text()}
	if at, twice := h.folds[key]; twice {
		r := c.report("P2034", s.At, fmt.Sprintf("the fold of %s to %s stands twice", key[0], key[1]), "again here")
		also(r, at, "first here")
		fix(r, "leave this one out", diag.Edit{Span: ownLine(s.At)})
		return
	}
	h.folds[key] = s.At
	if !single(b) || !single(a) {
		return
	}
	if old := h.parent[b]; old != nil && old != a {
		d := c.report("P2034", s.B.Span(), fmt.Sprintf("%s is hung twice: on %s and on %s", b.Name, old.Name, a.Name), "hung again")
		also(d, h.at[b], "hung here already")
		fix(d, "leave this fold out", diag.Edit{Span: ownLine(s.At)})
		return
	}
	h.parent[b], h.at[b] = a, s.At
}

// check reports circles of single faces, and two single faces that nothing hangs.
func (h *hanging) check() {
	seen := map[*Decl]int{} // by the number of the walk that came by
	for i, f := range h.faces {
		at := f
		for at != nil && seen[at] == 0 {
			seen[at] = i + 1
			at = h.parent[at]
		}
		if at == nil || seen[at] != i+1 {
			continue
		}
		if s := at.Node.(*syntax.Face); (s.Off == nil || h.parent[at] != at) && !h.lost() { // off itself is a circle of names
			h.c.report("P2035", h.at[at], fmt.Sprintf("the faces of %s hang on each other in a circle", h.panel.Name), fmt.Sprintf("%s comes back to itself", at.Name))
		}
		return
	}
	var roots []*Decl
	for _, f := range h.faces {
		if single(f) && !h.hung[f] && !h.c.doubled[f] {
			roots = append(roots, f)
		}
	}
	if len(roots) > 1 && !h.doubt && !h.lost() {
		d := h.c.report("P2035", roots[1].At, fmt.Sprintf("%s hangs on nothing, nor does %s: a panel has one root", roots[1].Name, roots[0].Name), "not joined to the rest")
		also(d, roots[0].At, "the other")
		text := fmt.Sprintf("fold %s to %s", roots[0].Name, roots[1].Name)
		fix(d, "write "+text, statementBehind(roots[1].Node.Span(), text))
	}
}
