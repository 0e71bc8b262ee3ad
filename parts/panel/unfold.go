package panel

import (
	"errors"
	"math"

	"perch/parts/measure"
	"perch/parts/plane"
)

// Options are the shop's facts that shape a flat.
type Options struct {
	Kerf      float64 // width of a slit relief, mm; 0 for 1 mm
	MinRelief float64 // least diameter of a round relief at a corner, mm; 0 for 3 mm
}

const (
	defaultKerf      = 1.0 // mm, common practice for plasma, no source
	defaultMinRelief = 3.0 // mm, common practice, no source
	// areaTol is the area, in mm², below which a piece is nothing.
	areaTol = 1e-5
	// maxClearings is how often the tabs of laps are cut back and laid out anew: one tab
	// may move another's neighbour.
	maxClearings = 4
	// refoldTol is how far, in mm, a refolded face may lie off its frame.
	refoldTol = 1e-4
)

// unfolder carries one panel through the steps of Unfold.
type unfolder struct {
	p        *Panel
	opt      Options
	parent   []int        // by face: the fold that hangs it, −1 for the root
	order    []int        // faces, parents first
	cornered []plane.Loop // by face: drawn outline, at seams grown to the corner lines
	outlines []plane.Loop // by face: cornered, cut back at seams
	creases  []*crease    // by fold
	trims    []trim       // by face
	tabs     []tab        // of lapped seams
	errs     []error
}

// Unfold makes the flat blank of a panel.
//
// Faces are drawn on their mold surfaces; every fold takes its set-back off the two
// faces and puts a strip as wide as the bend's allowance between them. The flat's
// coordinates are the root face's own. The error joins a *FoldError, *FaceError or
// *SeamError for each thing that is wrong and independent of the others.
func Unfold(p *Panel, opt Options) (*Flat, error) {
	if opt.Kerf <= 0 {
		opt.Kerf = defaultKerf
	}
	if opt.MinRelief <= 0 {
		opt.MinRelief = defaultMinRelief
	}
	u := &unfolder{p: p, opt: opt}
	steps := [...]func(){u.checkFaces, u.hangFaces, u.treatSeams, u.makeCreases, u.trimFaces}
	for _, step := range steps {
		if step(); len(u.errs) > 0 {
			return nil, errors.Join(u.errs...)
		}
	}
	f := u.layOut()
	for range maxClearings {
		if !u.clearTabs(f) {
			break
		}
		for _, step := range [...]func(){u.makeCreases, u.trimFaces} {
			if step(); len(u.errs) > 0 {
				return nil, errors.Join(u.errs...)
			}
		}
		f = u.layOut()
	}
	u.refold(f)
	u.cutOut(f)
	if len(u.errs) > 0 {
		return nil, errors.Join(u.errs...)
	}
	return f, nil
}

func (u *unfolder) fail(err error) { u.errs = append(u.errs, err) }

// checkFaces refuses outlines and frames that nothing can be made of.
func (u *unfolder) checkFaces() {
	bad := func(face string, why measure.Text) {
		u.fail(&FaceError{Panel: u.p.Name, Face: face, Reason: BadOutline, Detail: why})
	}
	if len(u.p.Faces) == 0 {
		bad("", measure.Plain("the panel has no faces"))
	}
	if t := u.p.Stock.Thickness; !(t > 0 && t < 1000) {
		bad("", measure.Say("sheet thickness %v", measure.Length(t)))
	}
	for _, f := range u.p.Faces {
		n, x, y := f.Frame.Normal(), f.Frame.X, f.Frame.Y
		switch {
		case len(f.Outline) == 0:
			bad(f.Name, measure.Plain("it is empty"))
		case len(f.Outline) > 1:
			bad(f.Name, measure.Say("%d loops; an outline is one outer loop, openings are cuts", len(f.Outline)))
		case plane.Check(f.Outline[0]) != nil:
			bad(f.Name, measure.Of(plane.Check(f.Outline[0])))
		case !(f.Outline[0].Area() > areaTol):
			bad(f.Name, measure.Say("its area is %.3g (it must run counter-clockwise)", measure.Area(f.Outline[0].Area())))
		case !(math.Abs(n.Len()-1) < 1e-9 && math.Abs(x.Len()-1) < 1e-9 && math.Abs(y.Len()-1) < 1e-9):
			bad(f.Name, measure.Plain("its frame is not orthonormal"))
		case f.Frame.O.Len()-f.Frame.O.Len() != 0:
			bad(f.Name, measure.Plain("its frame has no finite origin"))
		}
	}
	for _, f := range u.p.Faces {
		for _, c := range f.Cuts {
			for _, l := range c.Region {
				if err := plane.Check(l); err != nil {
					bad(f.Name, measure.Say("cut %s: %s", c.Name, measure.Of(err)))
				}
			}
		}
	}
	n := len(u.p.Faces)
	for i, f := range u.p.Folds {
		if f.A < 0 || f.B < 0 || f.A >= n || f.B >= n || f.A == f.B {
			u.fail(&FaceError{Panel: u.p.Name, Face: f.Name, Reason: BadIndex, Detail: measure.Say("fold joins faces %d and %d of %d", f.A, f.B, n)})
		} else if !inRange(f.ReliefSize) || f.Angle-f.Angle != 0 {
			u.fail(u.foldError(i, FoldError{Reason: BadBend, Detail: measure.Say("relief of %v, angle %g", measure.Length(f.ReliefSize), f.Angle)}))
		}
	}
	for _, s := range u.p.Seams {
		if s.A < 0 || s.B < 0 || s.A >= n || s.B >= n || s.A == s.B {
			u.fail(&SeamError{Panel: u.p.Name, Seam: s.Name, Reason: BadIndex, Detail: measure.Say("faces %d and %d of %d", s.A, s.B, n)})
		} else if !inRange(s.Gap) || !inRange(s.Lap) {
			u.fail(&SeamError{u.p.Name, s.Name, u.p.Faces[s.A].Name, u.p.Faces[s.B].Name, BadSeam, s.Gap,
				measure.Say("gap %v, lap %v", measure.Length(s.Gap), measure.Length(s.Lap))})
		}
	}
}

// inRange tells whether a length can be computed with: not negative, at most a kilometre.
func inRange(x float64) bool { return x >= 0 && x <= 1e6 }

// hangFaces finds each face's parent and an order with parents first.
func (u *unfolder) hangFaces() {
	n := len(u.p.Faces)
	u.parent = make([]int, n)
	for i := range u.parent {
		u.parent[i] = -1
	}
	for i, f := range u.p.Folds {
		if j := u.parent[f.B]; j >= 0 {
			u.fail(&FaceError{Panel: u.p.Name, Face: u.p.Faces[f.B].Name, Reason: TwoParents,
				Others: u.names(u.p.Folds[j].A, f.A)})
			continue
		}
		u.parent[f.B] = i
	}
	if len(u.errs) > 0 {
		return
	}
	var roots []int
	for i, f := range u.parent {
		if f < 0 {
			roots = append(roots, i)
		}
	}
	if len(roots) > 1 {
		u.fail(&FaceError{Panel: u.p.Name, Face: u.p.Faces[roots[0]].Name, Reason: TwoRoots, Others: u.names(roots[1:]...)})
	}
	u.order = append(make([]int, 0, n), roots...)
	for k := 0; k < len(u.order); k++ {
		for _, f := range u.p.Folds {
			if f.A == u.order[k] {
				u.order = append(u.order, f.B)
			}
		}
	}
	if len(u.order) < n {
		u.fail(u.cycle())
	}
}

// cycle names the faces of a cycle: from a face that no root reaches, up its parents.
func (u *unfolder) cycle() error {
	reached := make([]bool, len(u.p.Faces))
	for _, i := range u.order {
		reached[i] = true
	}
	i := 0
	for reached[i] {
		i++
	}
	for !reached[i] { // climb until a face repeats: that one is on the cycle
		reached[i] = true
		i = u.p.Folds[u.parent[i]].A
	}
	var around []int
	for k := u.p.Folds[u.parent[i]].A; k != i; k = u.p.Folds[u.parent[k]].A {
		around = append(around, k)
	}
	return &FaceError{Panel: u.p.Name, Face: u.p.Faces[i].Name, Reason: Cycle, Others: u.names(around...)}
}

func (u *unfolder) names(faces ...int) []string {
	var out []string
	for _, i := range faces {
		out = append(out, u.p.Faces[i].Name)
	}
	return out
}

func (u *unfolder) makeCreases() {
	u.creases = make([]*crease, len(u.p.Folds))
	for i := range u.p.Folds {
		c, err := u.newCrease(i)
		if err != nil {
			u.fail(err)
		}
		u.creases[i] = c
	}
}
