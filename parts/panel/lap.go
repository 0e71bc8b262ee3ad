package panel

import (
	"slices"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/solid"
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
// mold line, behind B's flat part. The tab is a face and a fold more, named for A and
// the seam, bent as A's own first fold (else at the stock's radius and K). B ends at
// the corner line, or where its drawn side is the inside of the corner at the tab
// bend's tangent line, less the gap.
func (u *unfolder) lapSeam(s Seam) {
	fa, fb := u.p.Faces[s.A], u.p.Faces[s.B]
	fail := func(r Reason, got float64, why string) {
		u.fail(&SeamError{u.p.Name, s.Name, fa.Name, fb.Name, r, got, why})
	}
	c, why := newCornerLine(fa, fb)
	if why != "" {
		fail(BadSides, c.angle, why)
		return
	}
	fold := u.lapFold(s)
	b, err := bend.NewBend(c.angle, u.p.Stock.Thickness, fold.Radius, fold.K)
	if err != nil {
		fail(BadBend, 0, err.Error())
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
	if !c.outside {
		back += b.SetBack(false)
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
	u.addFace(Face{Name: fa.Name + "." + s.Name, Frame: frame, Outline: outline}, fold)
}

// lapFold is the fold a lap hangs by.
func (u *unfolder) lapFold(s Seam) Fold {
	f := Fold{Name: u.p.Faces[s.A].Name + "." + s.Name, A: s.A, B: len(u.p.Faces), Radius: u.p.Stock.Radius, K: u.p.Stock.K}
	for _, g := range u.p.Folds {
		if g.A == s.A || g.B == s.A {
			f.Radius, f.K, f.Relief = g.Radius, g.K, g.Relief
			break
		}
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

// addFace puts a face and the fold that hangs it at the panel's end; the caller's panel
// stays as it was.
func (u *unfolder) addFace(f Face, fold Fold) {
	p := *u.p
	p.Faces = append(slices.Clip(p.Faces), f)
	p.Folds = append(slices.Clip(p.Folds), fold)
	u.p = &p
	u.parent = append(u.parent, len(p.Folds)-1)
	u.order = append(u.order, len(p.Faces)-1)
	u.outlines = append(u.outlines, f.Outline[0])
	u.cornered = append(u.cornered, f.Outline[0])
}
