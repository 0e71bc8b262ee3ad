package panel

import (
	"math"

	"perch/parts/measure"
	"perch/parts/plane"
)

// trim is a face with the set-backs of its folds taken off, in its own frame.
type trim struct {
	hinges  []*hinge
	folds   []int          // by hinge: index of the fold
	removed []plane.Region // by hinge: what the fold takes off
	left    plane.Loop     // what is left
	tangent [][2]int       // by hinge: vertices of left where the strip starts and ends, in the line's sense
}

// hingeOn returns the hinge of fold i on face.
func (u *unfolder) hingeOn(i, face int) *hinge {
	if u.p.Folds[i].A == face {
		return &u.creases[i].a
	}
	return &u.creases[i].b
}

// trimFaces takes the folds' set-backs off every face.
func (u *unfolder) trimFaces() {
	u.trims = make([]trim, len(u.p.Faces))
	for face := range u.p.Faces {
		u.trimFace(face)
	}
}

func (u *unfolder) trimFace(face int) {
	t := &u.trims[face]
	for i, f := range u.p.Folds {
		if f.A == face || f.B == face {
			t.folds = append(t.folds, i)
			t.hinges = append(t.hinges, u.hingeOn(i, face))
		}
	}
	outline := plane.Region{u.outlines[face]}
	left := outline
	t.removed = make([]plane.Region, len(t.hinges))
	for k, h := range t.hinges {
		if j, share := u.bentAlready(t, k); j >= 0 {
			u.fail(u.foldError(t.folds[k], FoldError{Reason: BentAlready, Got: share, Face: u.p.Faces[face].Name, Other: u.p.Folds[j].Name}))
			return
		}
		if reach := extent(u.outlines[face], h); reach <= h.set+lineTol {
			u.fail(u.tooShort(face, t.folds[k], reach, h.set))
			return
		}
		c := u.creases[t.folds[k]]
		var whole bool
		t.removed[k], whole = bendZone(outline, h, c.from, c.to)
		if whole {
			left = plane.Clip(left, h.deeper(h.set))
		} else {
			left = plane.Subtract(left, t.removed[k])
		}
	}
	left = withoutScraps(substantial(left), t.hinges)
	if len(left) != 1 {
		u.failTrim(face, t, left)
		return
	}
	t.left = left[0]
	t.tangent = make([][2]int, len(t.hinges))
	for k, h := range t.hinges {
		c := u.creases[t.folds[k]]
		v, n := tangentOn(t.left, h, c.from, c.to)
		switch {
		case n == 0:
			reach, need := extent(u.outlines[face], h), u.neededOn(t, k)
			if reach <= need+lineTol {
				u.fail(u.tooShort(face, t.folds[k], reach, need))
				break
			}
			u.fail(u.foldError(t.folds[k], FoldError{Reason: NoEdgeLeft, Got: c.to - c.from, Face: u.p.Faces[face].Name}))
		case n > 1:
			u.fail(&FaceError{Panel: u.p.Name, Face: "face " + u.p.Faces[face].Name, Reason: Pieces, Got: float64(n),
				Detail: measure.Plain("along its fold " + u.p.Folds[t.folds[k]].Name)})
		}
		t.tangent[k] = v
	}
}

// failTrim explains a face that its folds leave nothing of, or pieces.
func (u *unfolder) failTrim(face int, t *trim, left plane.Region) {
	if len(left) > 1 || len(t.hinges) == 0 {
		u.fail(&FaceError{Panel: u.p.Name, Face: "face " + u.p.Faces[face].Name, Reason: Pieces, Got: float64(len(left)),
			Detail: measure.Say("when its bends are taken off, which reach %.4g into it", measure.Length(deepest(t.hinges)))})
		return
	}
	worst := 0
	for k := range t.hinges {
		if extent(u.outlines[face], t.hinges[k])-u.neededOn(t, k) < extent(u.outlines[face], t.hinges[worst])-u.neededOn(t, worst) {
			worst = k
		}
	}
	u.fail(u.tooShort(face, t.folds[worst], extent(u.outlines[face], t.hinges[worst]), u.neededOn(t, worst)))
}

func (u *unfolder) tooShort(face, fold int, got, need float64) error {
	return u.foldError(fold, FoldError{Reason: TooShort, Got: got, Need: need, Face: u.p.Faces[face].Name})
}

// foldError is an error with the names of the fold that it is of.
func (u *unfolder) foldError(fold int, e FoldError) *FoldError {
	f := u.p.Folds[fold]
	e.Panel, e.Fold, e.A, e.B = u.p.Name, f.Name, u.p.Faces[f.A].Name, u.p.Faces[f.B].Name
	return &e
}

// bentAlready finds an earlier fold of the face on the same line as its k-th, and how much
// of the line both take; -1 where there is none.
func (u *unfolder) bentAlready(t *trim, k int) (other int, share float64) {
	h, c := t.hinges[k], u.creases[t.folds[k]]
	for j, g := range t.hinges[:k] {
		d := u.creases[t.folds[j]]
		a, b := g.at(d.from, 0), g.at(d.to, 0)
		if math.Abs(h.depth(a)) > lineTol || math.Abs(h.depth(b)) > lineTol {
			continue
		}
		lo, hi := min(h.along(a), h.along(b)), max(h.along(a), h.along(b))
		if share := min(hi, c.to) - max(lo, c.from); share > lineTol {
			return t.folds[j], share
		}
	}
	return -1, 0
}

// neededOn is the depth that hinge k and those facing it take off together.
func (u *unfolder) neededOn(t *trim, k int) float64 {
	need := t.hinges[k].set
	for j, h := range t.hinges {
		if j != k && h.in.Dot(t.hinges[k].in) < -0.5 {
			need += h.set
		}
	}
	return need
}

// extent is how deep the loop reaches from the line into its metal.
func extent(l plane.Loop, h *hinge) float64 {
	d := math.Inf(-1)
	for i := range l {
		d = max(d, h.depth(l[i].P))
		if l[i].Bulge != 0 {
			d = max(d, h.depth(l.Edge(i).Mid()))
		}
	}
	return d
}

// bendZone is what a fold takes off a face: the part of its outline between the
// line and the tangent line that hangs together with the span. Where the face's
// metal runs on past the span it is cut square at the span's end; elsewhere the
// whole piece goes, also where an oblique end reaches past the span. whole tells
// that this is all of the face on the line's side of the tangent line.
func bendZone(outline plane.Region, h *hinge, from, to float64) (zone plane.Region, whole bool) {
	zone = plane.Clip(outline, h.shallower(h.set))
	free := !h.runs[0] && !h.runs[1]
	behind := false // metal on the line's other side
	for i := range outline[0] {
		if h.depth(outline[0][i].P) < -lineTol || outline[0][i].Bulge != 0 && h.depth(outline[0].Edge(i).Mid()) < -lineTol {
			behind = true
			break
		}
	}
	if free && !behind && len(zone) == 1 {
		return zone, true
	}
	if behind {
		zone = plane.Clip(zone, h.deeper(-lineTol))
	}
	if h.runs[0] {
		zone = plane.Clip(zone, h.after(from))
	}
	if h.runs[1] {
		zone = plane.Clip(zone, h.before(to))
	}
	var touching plane.Region
	for _, piece := range zone.Components() {
		for _, e := range edgesOn(piece[0], *h) {
			if min(e.hi, to)-max(e.lo, from) > lineTol {
				touching = append(touching, piece...)
				break
			}
		}
	}
	return touching, false
}

// tangentOn finds the stretch of the trimmed loop on the hinge's tangent line, as
// the loop's vertices at its start and end in the line's sense, and counts such
// stretches.
func tangentOn(l plane.Loop, h *hinge, from, to float64) (ends [2]int, n int) {
	const tol = 1e-6
	on := func(i int) bool { return math.Abs(h.depth(l[i].P)-h.set) <= tol }
	forward := h.in.Dot(h.e.Perp()) > 0 // face A's outline runs along the line's sense
	for i := range l {
		j := (i + 1) % len(l)
		prev := (i + len(l) - 1) % len(l)
		if l[i].Bulge != 0 || !on(i) || !on(j) || (l[prev].Bulge == 0 && on(prev) && len(l) > 2) {
			continue // not on the line, or not its first edge
		}
		for l[j].Bulge == 0 && on((j+1)%len(l)) && (j+1)%len(l) != i {
			j = (j + 1) % len(l)
		}
		start, end := i, j
		if !forward {
			start, end = j, i
		}
		a, b := h.along(l[start].P), h.along(l[end].P)
		if b-a <= lineTol || min(b, to)-max(a, from) <= -h.set {
			continue
		}
		if (h.runs[0] && a < from-lineTol) || (h.runs[1] && b > to+lineTol) {
			continue
		}
		ends = [2]int{start, end}
		n++
	}
	return ends, n
}

// deepest is the deepest set-back of bends.
func deepest(hinges []*hinge) (set float64) {
	for _, h := range hinges {
		set = max(set, h.set)
	}
	return set
}

// withoutScraps drops the corner slivers that two bends, or their reliefs, cut off between
// them: pieces no larger than the square of the deepest set-back, where a larger one is
// left. No cutter leaves them and nothing could hold them. Openings stay.
func withoutScraps(r plane.Region, hinges []*hinge) plane.Region {
	set, largest := deepest(hinges), 0.0
	for _, l := range r {
		largest = max(largest, l.Area())
	}
	scrap := float64(set*set) + areaTol
	if largest <= scrap {
		return r
	}
	out := r[:0:0]
	for _, l := range r {
		if a := l.Area(); a < 0 || a > scrap {
			out = append(out, l)
		}
	}
	return out
}

// substantial drops pieces of no area.
func substantial(r plane.Region) plane.Region {
	out := r[:0:0]
	for _, l := range r {
		if math.Abs(l.Area()) > areaTol {
			out = append(out, l)
		}
	}
	return out
}
