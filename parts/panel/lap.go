package panel

import (
	"slices"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	// lapFit keeps a lap's tab clear of the bends of the face it lies behind, mm.
	lapFit = 0.2
	// lapTaper is how much narrower a lap's tab gets at each end per millimetre of lap:
	// tan 25°, so that in the flat it clears the next wall of a tray that flares by 12°.
	lapTaper = 0.46630766
)

// lapSeam lets face A of a lapped seam go on past the corner: it grows to where its
// plane meets the plane one sheet behind B, and a tab hangs there, Lap deep from the
// mold line, behind B's flat part. The tab is a face of A and a fold more, named for the
// seam, bent as A's own fold (lapFold; else at the stock's radius and K). B ends at the
// corner line, or where its drawn side is the inside of the corner at the tab bend's
// tangent line or t·cot A from the corner, whichever is farther, less the gap.
func (u *unfolder) lapSeam(s Seam) {
	fa, fb := u.p.Faces[s.A], u.p.Faces[s.B]
	fail := func(r Reason, got float64, why string) {
		u.fail(&SeamError{u.p.Name, s.Name, fa.Name, fb.Name, r, got, measure.Plain(why)})
	}
	c, why := newCornerLine(fa, fb)
	if why != "" {
		fail(BadSides, c.angle, why)
		return
	}
	fold := u.lapFold(s)
	b, err := bend.NewBend(c.angle, u.p.Stock.Thickness, fold.Radius, fold.K)
	if err != nil {
		u.fail(&SeamError{u.p.Name, s.Name, fa.Name, fb.Name, BadBend, 0, measure.Of(err)})
		return
	}
	if !(s.Lap > b.SetBack(c.outside)+lineTol) {
		fail(TooShort, s.Lap, "the lap is shorter than its bend's set-back")
		return
	}
	behind := fb.Frame.Shifted(-u.p.Stock.Thickness)
	end := cornerIn(fa.Frame, behind, c.outside)
	lineB := cornerIn(fb.Frame, fa.Frame, c.outside)
	back := s.Gap
	if !c.outside { // clear of A's own square end too, where A runs on beside the tab
		back += max(b.SetBack(false), u.p.Stock.Thickness/elementary.Tan(c.angle))
	}
	grownA, whyA := growTo(u.outlines[s.A], end, 0)
	fullB, whyB := growTo(u.cornered[s.B], lineB, 0)
	endsB, whyEnd := growTo(u.outlines[s.B], lineB, back)
	for _, w := range [3]string{whyA, whyB, whyEnd} {
		if w != "" {
			fail(BadSeam, 0, w)
			return
		}
	}
	u.outlines[s.A], u.cornered[s.A] = grownA, grownA
	u.cornered[s.B], u.outlines[s.B] = fullB, endsB
	i := facing(grownA, end)
	e := grownA.Edge(i)
	frame := Hung(fa.Frame, e.From, e.To, b, c.outside)
	outline, ok := u.tabOutline(s, frame, e.Chord())
	if !ok {
		fail(BadSeam, 0, "nothing of the lap lies behind "+fb.Name)
		return
	}
	u.addTab(Face{Name: fa.Name + ".lap." + fb.Name, Frame: frame, Outline: outline}, fold, e)
	if c.outside { // at a sharp corner A's square end would lie in B's back
		u.tabs[len(u.tabs)-1].shoulder = -u.p.Stock.Thickness / elementary.Tan(c.angle)
		u.cutShoulders(u.tabs[len(u.tabs)-1])
	}
}

// lapFold is the fold a lap hangs by: made like the one that its face hangs by, else like
// the first that hangs on it. A hem along its edge, pressed flat, says nothing of a corner.
func (u *unfolder) lapFold(s Seam) Fold {
	f := Fold{Name: s.Name, A: s.A, B: len(u.p.Faces), Radius: u.p.Stock.Radius, K: u.p.Stock.K}
	like := -1
	for i, g := range u.p.Folds {
		hem := bend.Bend{Angle: g.Angle, Radius: g.Radius}.ClosedHem()
		if g.B == s.A || g.A == s.A && !hem && like < 0 {
			like = i
		}
		if g.B == s.A {
			break
		}
	}
	if like >= 0 {
		g := u.p.Folds[like]
		f.Radius, f.K, f.Relief = g.Radius, g.K, g.Relief
	}
	return f
}

// tabOutline is the lap, tapered, in the tab's frame, kept to the flat part of the
// face it lies behind.
func (u *unfolder) tabOutline(s Seam, frame solid.Frame, width float64) (plane.Region, bool) {
	on := Prism{Frame: u.p.Faces[s.B].Frame, Region: plane.Region{u.cornered[s.B]}}
	for i, g := range u.p.Folds {
		if g.A != s.B && g.B != s.B {
			continue
		}
		c, err := u.newCrease(i)
		if err != nil { // said again, and better, when all creases are made
			continue
		}
		h := c.a
		if g.B == s.B {
			h = c.b
		}
		on.Region = plane.Clip(on.Region, h.deeper(h.set+lapFit))
	}
	r := on.On(frame)
	b := r.Bounds()
	if b.Empty() {
		return nil, false
	}
	x := chordSpan(r, s.Lap)
	x.From, x.To = max(x.From, -width/2), min(x.To, width/2)
	in := float64(s.Lap * lapTaper)
	tab := plane.Loop{{P: plane.Point{X: x.From}}, {P: plane.Point{X: x.To}},
		{P: plane.Point{X: x.To - in, Y: s.Lap}}, {P: plane.Point{X: x.From + in, Y: s.Lap}}}
	return plane.Region{tab}, x.Len() > float64(2*in)+lineTol
}

// chordSpan is the stretch of x that lies inside the region at every depth of the lap.
func chordSpan(r plane.Region, lap float64) plane.Interval {
	out := plane.Interval{From: -1e9, To: 1e9}
	const steps = 8
	for k := 1; k <= steps; k++ {
		in := plane.ChordsAt(r, lap*float64(k)/steps)
		if len(in) == 0 {
			continue
		}
		out.From, out.To = max(out.From, in[0].From), min(out.To, in[len(in)-1].To)
	}
	return out
}

// addTab puts a tab and the fold that hangs it at the panel's end; the caller's panel
// stays as it was.
func (u *unfolder) addTab(f Face, fold Fold, edge plane.Edge) {
	p := *u.p
	p.Faces = append(slices.Clip(p.Faces), f)
	p.Folds = append(slices.Clip(p.Folds), fold)
	u.p = &p
	u.tabs = append(u.tabs, tab{face: len(p.Faces) - 1, of: fold.A, fold: len(p.Folds) - 1, edge: edge})
	u.parent = append(u.parent, len(p.Folds)-1)
	u.order = append(u.order, len(p.Faces)-1)
	u.outlines = append(u.outlines, f.Outline[0])
	u.cornered = append(u.cornered, f.Outline[0])
}

// tab is a lap's tab: the face, whose it is, and the fold that it hangs by.
type tab struct {
	face, of, fold int
	edge           plane.Edge // of the wall, in its frame, that the tab hangs on
	shoulder       float64    // how far beside the tab the wall ends short of the edge, mm
}

// cutShoulders takes off the wall what runs on beside its tab's root.
func (u *unfolder) cutShoulders(t tab) {
	if t.shoulder <= lineTol {
		return
	}
	root := u.outlines[t.face]
	dir := t.edge.To.Sub(t.edge.From).Unit()
	// the tab's x runs against the edge, from its middle
	mid := t.edge.Mid().Sub(t.edge.From).Dot(dir)
	from, to := mid-root[1].P.X, mid-root[0].P.X
	m := plane.RotateTo(dir).Then(plane.Translate(t.edge.From))
	beside := plane.Region{
		plane.RectAt(plane.Point{X: -t.shoulder, Y: -t.shoulder}, plane.Point{X: from, Y: t.shoulder}),
		plane.RectAt(plane.Point{X: to, Y: -t.shoulder}, plane.Point{X: t.edge.Chord() + t.shoulder, Y: t.shoulder}),
	}.Transform(m)
	if left := substantial(plane.Subtract(plane.Region{u.outlines[t.of]}, beside)); len(left) == 1 {
		u.outlines[t.of], u.cornered[t.of] = left[0], left[0]
	}
}

// clearTabs cuts back the roots of tabs that lie, in the flat, on other metal or nearer
// to it than a cut is wide: the end in question moves in along the fold, its taper as it
// was. It tells whether any was cut; then the flat has to be laid out anew. A tab of
// which nothing would be left is a *SeamError.
func (u *unfolder) clearTabs(f *Flat) (cut bool) {
	for k, t := range u.tabs {
		toTab := inverse(f.Faces[t.face].ToFlat)
		var in [2]float64
		for _, metal := range u.besideTab(f, k) {
			for _, piece := range plane.Intersect(plane.Region{u.outlines[t.face]}, metal.Transform(toTab)) {
				end, far := u.tabEnd(t.face, piece)
				in[end] = max(in[end], far)
			}
		}
		if in == [2]float64{} {
			continue
		}
		cut = true
		l := u.outlines[t.face].Clone()
		for i := range l {
			if i == 0 || i == 3 { // the left end's, see tabOutline
				l[i].P.X += in[0] + lapFit
			} else {
				l[i].P.X -= in[1] + lapFit
			}
		}
		if !(l[2].P.X-l[3].P.X > lineTol) {
			s := u.p.Folds[t.fold]
			u.fail(&SeamError{u.p.Name, s.Name, u.p.Faces[t.of].Name, u.p.Faces[t.face].Name, BadSeam, 0,
				measure.Plain("in the flat the lap finds no room between its wall and the next one")})
			return false
		}
		u.outlines[t.face], u.cornered[t.face] = l, l
		u.p.Faces[t.face].Outline = plane.Region{l}
		u.cutShoulders(t)
	}
	return cut
}

// besideTab is what a tab must keep clear of in the flat, grown by the width of a cut:
// every face and strip but those that it hangs on, and of two tabs the earlier one.
func (u *unfolder) besideTab(f *Flat, k int) []plane.Region {
	t := u.tabs[k]
	box := f.Faces[t.face].Loop.Bounds().Grow(u.opt.Kerf)
	var out []plane.Region
	take := func(l plane.Loop) {
		if box.Overlaps(l.Bounds()) {
			out = append(out, plane.Offset(plane.Region{l}, u.opt.Kerf))
		}
	}
	for i := range f.Faces {
		later := slices.ContainsFunc(u.tabs[k:], func(o tab) bool { return o.face == i })
		if i != t.of && !later {
			take(f.Faces[i].Loop)
		}
	}
	for i, s := range f.Folds {
		if s.A != t.of && s.B != t.of {
			take(f.Folds[i].Loop)
		}
	}
	return out
}

// tabEnd tells which end of a tab a piece of it belongs to, 0 the left, and how far in
// from that end's edge, along the fold, the piece reaches.
func (u *unfolder) tabEnd(face int, piece plane.Loop) (end int, far float64) {
	l := u.outlines[face]
	if middle := (l[0].P.X + l[1].P.X) / 2; piece.Centroid().X > middle {
		end = 1
	}
	for _, v := range piece {
		k := v.P.Y / l[2].P.Y
		d := v.P.X - l[0].P.Lerp(l[3].P, k).X
		if end == 1 {
			d = l[1].P.Lerp(l[2].P, k).X - v.P.X
		}
		far = max(far, d)
	}
	return end, far
}
