package panel

import (
	"perch/parts/plane"
	"perch/parts/solid"
)

// layOut places every face in the flat and draws the strips between them.
func (u *unfolder) layOut() *Flat {
	f := &Flat{
		Panel: u.p,
		Root:  u.order[0],
		Faces: make([]FlatFace, len(u.p.Faces)),
		Folds: make([]FlatFold, len(u.p.Folds)),
	}
	for _, i := range u.order {
		m := plane.Identity()
		if k := u.parent[i]; k >= 0 {
			m = u.creases[k].place(f.Faces[u.p.Folds[k].A].ToFlat)
		}
		f.Faces[i] = FlatFace{Name: u.p.Faces[i].Name, ToFlat: m, Loop: u.trims[i].left.Transform(m)}
	}
	for _, t := range u.tabs {
		f.Tabs = append(f.Tabs, Tab{Face: t.face, Of: t.of})
	}
	for i := range u.p.Folds {
		f.Folds[i] = u.strip(f, i)
	}
	return f
}

// place is the rigid map of face B into the flat, with that of face A: B's tangent
// line lies the allowance beyond A's.
func (c *crease) place(toFlat plane.Affine) plane.Affine {
	e, in := toFlat.Vec(c.a.e), toFlat.Vec(c.a.in)
	// the turn that takes b.e to e, as a product of complex numbers
	k := plane.Point{X: e.Dot(c.b.e), Y: c.b.e.Cross(e)}.Unit()
	m := plane.Affine{A: k.X, B: -k.Y, C: k.Y, D: k.X}
	at := toFlat.Apply(c.a.at(0, c.a.set))
	at = plane.Point{X: at.X - float64(c.ba*in.X), Y: at.Y - float64(c.ba*in.Y)}
	o := m.Apply(c.b.at(0, c.b.set))
	m.E, m.F = at.X-o.X, at.Y-o.Y
	return m
}

// strip draws the allowance strip of fold i between the trimmed faces.
func (u *unfolder) strip(f *Flat, i int) FlatFold {
	fold, c := u.p.Folds[i], u.creases[i]
	a, b := u.tangent(f, i, fold.A), u.tangent(f, i, fold.B)
	for end := range 2 { // beside metal that runs on, the strip ends square
		if c.a.runs[end] && u.overhang(i, fold.B, end) > 0 {
			b[end] = f.Faces[fold.B].ToFlat.Apply(c.b.at(u.spanEnd(i, end), c.b.set))
		}
		if c.b.runs[end] && u.overhang(i, fold.A, end) > 0 {
			a[end] = f.Faces[fold.A].ToFlat.Apply(c.a.at(u.spanEnd(i, end), c.a.set))
		}
	}
	across := func(k float64) [2]plane.Point {
		return [2]plane.Point{a[0].Lerp(b[0], k), a[1].Lerp(b[1], k)}
	}
	mid := across(0.5)
	return FlatFold{
		Name: fold.Name, A: fold.A, B: fold.B,
		From: mid[0], To: mid[1],
		Loop:     plane.Loop{{P: b[0]}, {P: b[1]}, {P: a[1]}, {P: a[0]}},
		TangentA: a, TangentB: b,
		Sight: across(c.bend.Radius / c.ba),
		Bend:  c.bend, Down: c.down,
		SetBackA: c.a.set, SetBackB: c.b.set,
		Deviation: u.deviation(i),
	}
}

// tangent is where the strip of fold i meets a face: two vertices of the face's loop
// in the flat, in the line's sense.
func (u *unfolder) tangent(f *Flat, i, face int) [2]plane.Point {
	v := u.tangentVertices(i, face)
	l := f.Faces[face].Loop
	return [2]plane.Point{l[v[0]].P, l[v[1]].P}
}

// overhang is how far the trimmed face reaches, on its tangent line, past an end of the
// fold's span: an oblique end's corner. Negative where it ends short of it.
func (u *unfolder) overhang(i, face, end int) float64 {
	h, v := u.hingeOn(i, face), u.tangentVertices(i, face)
	past := h.along(u.trims[face].left[v[end]].P) - u.spanEnd(i, end)
	if end == 0 {
		return -past
	}
	return past
}

func (u *unfolder) tangentVertices(i, face int) [2]int {
	t := &u.trims[face]
	for k, fold := range t.folds {
		if fold == i {
			return t.tangent[k]
		}
	}
	panic("a fold has no hinge on its own face") // trimFace made one for each
}

// deviation is how far the straight ends of strip i lie from the true cut, mm: at an
// end, both faces' edges lie in one plane through the mold line's end; a plane with
// normal n meets the bend's surface of radius R in a curve that bulges
// R·(1 − cos(A/2))·|n·b| over the straight end, b the bend's middle direction. For a
// level cut on a corner that is (r + t)·sin θ·(sec(A/2) − 1). Derived from planes.
func (u *unfolder) deviation(i int) float64 {
	fold, c := u.p.Folds[i], u.creases[i]
	if c.bend.Angle > hemAngle {
		return 0
	}
	fa, fb := u.p.Faces[fold.A].Frame, u.p.Faces[fold.B].Frame
	va, vb := u.tangentVertices(i, fold.A), u.tangentVertices(i, fold.B)
	radius := c.bend.Radius
	if c.down {
		radius += c.bend.Thickness
	}
	na, nb := fa.Normal(), fb.Normal()
	mid := na.Add(nb)
	half := float64(mid.Len() / 2) // cos(A/2)
	worst := 0.0
	for k, s := range [2]float64{c.from, c.to} {
		if c.a.runs[k] || c.b.runs[k] || u.relieved(i, s) {
			continue
		}
		end := fa.At(c.a.at(s, 0))
		da := fa.At(u.trims[fold.A].left[va[k]].P).Sub(end)
		db := fb.At(u.trims[fold.B].left[vb[k]].P).Sub(end)
		n := da.Cross(db).Unit()
		worst = max(worst, radius*(1-half)*absDot(n, mid.Unit()))
	}
	return worst
}

// relieved tells whether fold i ends at s in a corner with another fold of face A:
// the corner's relief takes the strip's end away.
func (u *unfolder) relieved(i int, s float64) bool {
	fold := u.p.Folds[i]
	end := u.creases[i].a.at(s, 0)
	for j, g := range u.p.Folds {
		if j == i || fold.Relief == ReliefNone || g.A != fold.A {
			continue
		}
		o := u.creases[j]
		for _, t := range [2]float64{o.from, o.to} {
			if o.a.at(t, 0).Near(end, o.bend.Radius+o.bend.Thickness) {
				return true
			}
		}
	}
	return false
}

func absDot(a, b solid.Vec) float64 {
	if d := a.Dot(b); d > 0 {
		return d
	} else {
		return -d
	}
}

// refold sets every face's frame, flat to part space, by bending the flat about the
// real axes of its bends, root face held, and checks it against the frames drawn.
func (u *unfolder) refold(f *Flat) {
	for _, i := range u.order {
		k := u.parent[i]
		if k < 0 {
			f.Faces[i].Frame = solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}
			continue
		}
		a := f.Faces[u.p.Folds[k].A]
		f.Faces[i].Frame = u.creases[k].fold(a.Frame, a.ToFlat)
		drawn := u.p.Faces[i].Frame
		got := f.FaceFrame(i)
		miss := got.O.Sub(drawn.O).Len()
		for _, v := range u.trims[i].left {
			miss = max(miss, got.At(v.P).Sub(drawn.At(v.P)).Len())
		}
		if !(miss <= refoldTol) {
			u.fail(u.foldError(k, FoldError{Reason: NotRefolding, Got: miss}))
		}
	}
}

// fold is the frame, flat to part space, of what hangs beyond the crease, with that of
// face A: the flat slides back by the allowance onto A's tangent line and turns about
// the bend's axis.
func (c *crease) fold(a solid.Frame, toFlat plane.Affine) solid.Frame {
	e, in := toFlat.Vec(c.a.e), toFlat.Vec(c.a.in)
	p := toFlat.Apply(c.a.at(0, c.a.set))
	n := a.Normal()
	axis := a.Dir(e)
	centre := shift(a.At(p), axisHeight(c.bend, c.down), n)
	angle := signed(c.bend.Angle, c.down)
	origin := shift(a.O, c.ba, a.Dir(in))
	return solid.Frame{
		O: centre.Add(turn(origin.Sub(centre), axis, angle)),
		X: turn(a.X, axis, angle),
		Y: turn(a.Y, axis, angle),
	}
}

// World is the frame of face i, flat coordinates to the world.
func (f *Flat) World(i int) solid.Frame {
	return compose(f.Panel.Faces[f.Root].Frame, f.Faces[i].Frame)
}

// Along is the way that the design's u runs, in the flat, on a face that hangs on an
// edge; ok is false of other faces.
func (f *Flat) Along(i int) (u plane.Point, ok bool) {
	return f.Faces[i].ToFlat.Vec(plane.Point{X: 1}), f.Panel.Faces[i].Hung
}

// FaceFrame is the frame of face i as folded, its own coordinates to the world. It is
// the panel's own frame, come by through the bends.
func (f *Flat) FaceFrame(i int) solid.Frame {
	w, m := f.World(i), f.Faces[i].ToFlat
	return solid.Frame{
		O: w.At(plane.Point{X: m.E, Y: m.F}),
		X: w.Dir(plane.Point{X: m.A, Y: m.C}),
		Y: w.Dir(plane.Point{X: m.B, Y: m.D}),
	}
}

// compose is the frame g seen from the space that f places: f's plane is z = 0 there.
func compose(f, g solid.Frame) solid.Frame {
	n := f.Normal()
	dir := func(v solid.Vec) solid.Vec { return shift(f.Dir(plane.Point{X: v.X, Y: v.Y}), v.Z, n) }
	return solid.Frame{O: f.O.Add(dir(g.O)), X: dir(g.X), Y: dir(g.Y)}
}
