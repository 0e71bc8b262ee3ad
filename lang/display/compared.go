package display

import (
	"perch/lang/build"
	"perch/lang/family"
	"perch/parts/page"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/scene"
)

// same is how far apart, mm, what did not change may lie.
const same = 1e-6

// Compared is the page of two states of a design, laid over each other at every size that both
// have: parts that did not change once, others as they were and as they are.
func Compared(was, is family.Job, before, after []*build.Result, names [2]string) (*page.Document, error) {
	doc := Document(is, false)
	doc.Before, doc.After = names[0], names[1]
	for _, now := range after {
		for _, old := range before {
			if old.Size != now.Size {
				continue
			}
			z, err := Size(is, now, nil)
			if err != nil {
				return nil, err
			}
			other, err := Size(was, old, nil)
			if err != nil {
				return nil, err
			}
			over(&z, other.Scene)
			if z.Type, z.Picture, err = picture(is, now, false); err != nil {
				return nil, err
			}
			doc.Sizes = append(doc.Sizes, z)
		}
	}
	return doc, nil
}

// over lays a scene as it was over a size: its copies come behind the size's own.
func over(z *page.Size, was *scene.Scene) {
	s := z.Scene
	z.Revisions = make([]page.Revision, len(s.Copies))
	kept := make([]bool, len(was.Copies))
	for i := range s.Copies {
		z.Revisions[i] = page.After
		for k := range was.Copies {
			if !kept[k] && alike(s, i, was, k) {
				kept[k], z.Revisions[i] = true, page.Both
				break
			}
		}
	}
	first := len(s.Shapes)
	s.Shapes = append(s.Shapes, was.Shapes...)
	for k, c := range was.Copies {
		if !kept[k] {
			c.Shape += first
			c.Called += ", before"
			s.Copies = append(s.Copies, c)
			z.Revisions = append(z.Revisions, page.Before)
		}
	}
	s.Cover(was)
}

// alike tells whether two copies are the same metal in the same place.
func alike(a *scene.Scene, i int, b *scene.Scene, k int) bool {
	p, q := &a.Copies[i], &b.Copies[k]
	s, t := a.Shapes[p.Shape], b.Shapes[q.Shape]
	if p.Name != q.Name || p.Mirrored != q.Mirrored || s.Thickness != t.Thickness || len(s.Folds) != len(t.Folds) || len(s.Openings) != len(t.Openings) || !near(p.Matrix, q.Matrix) || !alikeLoop(s.Outline, t.Outline) {
		return false
	}
	for n := range s.Folds {
		f, g := &s.Folds[n], &t.Folds[n]
		if f.Down != g.Down || f.Start.Dist(g.Start) > same || f.Angle-g.Angle > same || g.Angle-f.Angle > same || f.Radius != g.Radius {
			return false
		}
	}
	for n := range s.Openings {
		if !alikeLoop(s.Openings[n], t.Openings[n]) {
			return false
		}
	}
	return true
}

func near(a, b panel.Matrix) bool {
	for i := range a {
		if d := a[i] - b[i]; d > same || d < -same {
			return false
		}
	}
	return true
}

func alikeLoop(a, b []plane.Point) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Dist(b[i]) > same {
			return false
		}
	}
	return true
}
