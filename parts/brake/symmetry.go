package brake

import (
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

// same is how far, in mm, an outline may lie from its image by a symmetry.
const same = 1e-5

// image is a symmetry of the blank: a turn or a reflection of its flat that brings every face and
// fold to one alike. A stroke and its image go alike, the machine seen in a mirror where it reflects.
type image struct {
	mirrored bool
	faces    []int
	folds    []int
	ops      []int
	holds    []int
	sources  []int // faces by their images
}

// symmetries are those of the part but for none at all.
func (f *finder) symmetries() []image {
	var out []image
	flat := f.p.flat
	for j := range flat.Folds {
		for _, mirrored := range [2]bool{false, true} {
			for _, swapped := range [2]bool{false, true} {
				if m := f.image(j, mirrored, swapped); m != nil {
					out = append(out, *m)
				}
			}
		}
	}
	return out
}

// motion turns or reflects the flat.
type motion struct {
	from, to plane.Point // where it takes a point
	c, s     float64
	mirrored bool // reflected in the x axis before it is turned
}

func (m motion) at(p plane.Point) plane.Point {
	d := p.Sub(m.from)
	if m.mirrored {
		d.Y = -d.Y
	}
	return plane.Point{X: m.to.X + float64(m.c*d.X) - float64(m.s*d.Y), Y: m.to.Y + float64(m.s*d.X) + float64(m.c*d.Y)}
}

// image is the symmetry that takes fold 0 to fold j, its ends swapped or not; nil where there is none.
func (f *finder) image(j int, mirrored, swapped bool) *image {
	flat := f.p.flat
	a, b := &flat.Folds[0], &flat.Folds[j]
	from, to := b.From, b.To
	if swapped {
		from, to = to, from
	}
	d, e := a.To.Sub(a.From).Unit(), to.Sub(from).Unit()
	if mirrored {
		d.Y = -d.Y
	}
	m := motion{from: a.From, to: from, c: d.Dot(e), s: d.Cross(e), mirrored: mirrored}
	out := &image{mirrored: mirrored, sources: make([]int, len(flat.Faces))}
	still := true
	for i := range flat.Folds {
		k := slices.IndexFunc(flat.Folds, func(g panel.FlatFold) bool { return alikeFolds(&flat.Folds[i], &g, m) })
		if k < 0 {
			return nil
		}
		still = still && k == i
		out.folds = append(out.folds, k)
	}
	for i := range flat.Faces {
		k := slices.IndexFunc(flat.Faces, func(g panel.FlatFace) bool { return alikeLoops(flat.Faces[i].Loop, g.Loop, m) })
		if k < 0 {
			return nil
		}
		out.faces, out.sources[k] = append(out.faces, k), i
	}
	if still && !mirrored {
		return nil
	}
	for o := range f.p.ops {
		fold := f.p.ops[o].fold
		out.ops = append(out.ops, f.p.opsOf[out.folds[fold]][slices.Index(f.p.opsOf[fold], o)])
	}
	for _, h := range f.holds {
		k := slices.IndexFunc(f.holds, func(g *hold) bool { return out.alike(h, g) })
		if k < 0 {
			return nil
		}
		out.holds = append(out.holds, k)
	}
	return out
}

func alikeFolds(f, g *panel.FlatFold, m motion) bool {
	a, b := f.Bend, g.Bend
	if f.Down != g.Down || math.Abs(a.Angle-b.Angle) > 1e-9 || math.Abs(a.Radius-b.Radius) > 1e-9 || math.Abs(a.K-b.K) > 1e-9 {
		return false
	}
	return alikeLoops(f.Loop, g.Loop, m)
}

// alikeLoops tells whether a motion takes one loop to another, edge by edge.
func alikeLoops(a, b plane.Loop, m motion) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		e := a.Edge(i)
		from, to := m.at(e.From), m.at(e.To)
		if m.mirrored {
			from, to = to, from
		}
		found := false
		for k := range b {
			g := b.Edge(k)
			if g.From.Near(from, same) && g.To.Near(to, same) && math.Abs(g.Bulge-e.Bulge) < same {
				found = true
				break
			}
		}
		if !found {
			return false
		}
	}
	return true
}

// alike tells whether one hold is another's image: the same operations with the same faces clamped.
func (m *image) alike(h, g *hold) bool {
	return m.set(h.ops) == g.ops && h.k.brake.Punch == g.k.brake.Punch && slices.Equal(h.clamped(m.faces), g.clamped(nil))
}

// clamped are the faces that are held, or their images.
func (h *hold) clamped(images []int) []int {
	var out []int
	for i, fold := range h.folds {
		face := h.p.flat.Folds[fold].B
		if h.heldSides[i] {
			face = h.p.flat.Folds[fold].A
		}
		if images != nil {
			face = images[face]
		}
		out = append(out, face)
	}
	slices.Sort(out)
	return out
}

// set is the image of a set of operations.
func (m *image) set(ops uint64) uint64 {
	var out uint64
	for o, to := range m.ops {
		if ops&(1<<o) != 0 {
			out |= 1 << to
		}
	}
	return out
}

// first is the first of the trials that are alike by the part's symmetries, and the symmetry that leads to it.
func (f *finder) first(hold int, done uint64) (like *image, first int, at uint64) {
	first, at = hold, done
	for i := range f.images {
		m := &f.images[i]
		h := m.holds[hold]
		if h > first {
			continue
		}
		if d := m.set(done); h < first || d < at {
			like, first, at = m, h, d
		}
	}
	return like, first, at
}

// back is what the trial of a hold's image tells of the hold.
func (m *image) back(f *finder, t trial, hold int) trial {
	face := func(i int) int {
		if i == none {
			return none
		}
		return m.sources[i]
	}
	h := f.holds[hold]
	if !t.ok {
		t.block.Fold, t.block.Held = h.folds[0], h.held
		t.block.Face, t.block.Other = face(t.block.Face), face(t.block.Other)
		if t.by != all {
			by := uint64(0)
			for o, to := range m.ops {
				if t.by&(1<<to) != 0 {
					by |= 1 << o
				}
			}
			t.by = by
		}
		return t
	}
	t.warnings = slices.Clone(t.warnings)
	for i := range t.warnings {
		t.warnings[i].face = face(t.warnings[i].face)
	}
	if m.mirrored {
		t.wide = Span{0 - t.wide.To, 0 - t.wide.From}
		t.fingers, t.rows = inMirror(t.fingers, t.rows)
	}
	return t
}

// inMirror are rows of fingers on the other side of the middle. In a row they stand in the same order
// as before, for nothing tells its places apart.
func inMirror(fingers []Span, rows []int) (out []Span, ends []int) {
	for k := len(rows) - 1; k >= 0; k-- {
		from := 0
		if k > 0 {
			from = rows[k-1]
		}
		row := fingers[from:rows[k]]
		gap, at := 0.0, 0-row[len(row)-1].To
		if len(row) > 1 {
			gap = row[1].From - row[0].To
		}
		for _, f := range row {
			to := at + (f.To - f.From)
			out = append(out, Span{at, to})
			at = to + gap
		}
		ends = append(ends, len(out))
	}
	return out, ends
}
