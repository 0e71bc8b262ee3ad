// Package naming puts a build's names into the words that people at the bench use: mild
// steel for mild_steel, front left leg for the copy of a family that stands there, flap (3)
// where no place tells copies apart. It names nothing anew, and never decides what a file or
// a mark on metal is called.
package naming

import (
	"math"
	"strings"

	"perch/parts/panel"
	"perch/parts/solid"
)

// Plain puts a name of the language into words: blanks for _, and the numbers of a family in
// brackets behind it: rung.1.2 is rung (1.2).
func Plain(name string) string {
	words := strings.Split(name, ".")
	var text, numbers []string
	for _, w := range words {
		if w != "" && strings.Trim(w, "0123456789") == "" {
			numbers = append(numbers, w)
		} else {
			text = append(text, strings.ReplaceAll(w, "_", " "))
		}
	}
	out := strings.TrimSpace(strings.Join(text, " "))
	if len(numbers) == 0 {
		return out
	}
	return strings.TrimSpace(out + " (" + strings.Join(numbers, ".") + ")")
}

// stem is a name without the numbers of its family.
func stem(name string) string {
	end := strings.IndexByte(name, '.')
	if end < 0 {
		return name
	}
	return name[:end]
}

// Names are those of one size's copies and of the faces of its blanks.
type Names struct {
	assembly *panel.Assembly
	copies   []string
	faces    [][]string // by blank and face
}

// Of names all of an assembly.
func Of(a *panel.Assembly) *Names {
	n := &Names{assembly: a, copies: make([]string, len(a.Copies)), faces: make([][]string, len(a.Blanks))}
	boxes := make([]box, len(a.Copies))
	all := none()
	families := map[string][]int{}
	for i, c := range a.Copies {
		boxes[i] = none()
		for f := range a.Blanks[c.Blank].Flat.Faces {
			boxes[i] = boxes[i].with(faceBox(a, c, f))
		}
		all = all.with(boxes[i])
		families[stem(c.Name)] = append(families[stem(c.Name)], i)
		n.copies[i] = Plain(c.Name)
	}
	for i, c := range a.Copies {
		if f := families[stem(c.Name)]; len(f) > 1 && f[0] == i {
			n.place(f, boxes, all)
		}
	}
	for i, b := range a.Blanks {
		n.faces[i] = n.facesOf(i, b)
	}
	return n
}

// place names the copies of a family by where they stand, where that tells them all apart.
func (n *Names) place(family []int, boxes []box, all box) {
	var own []box
	for _, i := range family {
		own = append(own, boxes[i])
	}
	words := places(own, all)
	for k, i := range family {
		if words == nil {
			return
		}
		n.copies[i] = words[k] + " " + strings.ReplaceAll(stem(n.assembly.Copies[i].Name), "_", " ")
	}
}

// facesOf names a blank's faces: by their place where it makes one copy alone and that tells
// a family of faces apart.
func (n *Names) facesOf(blank int, b *panel.Blank) []string {
	names := make([]string, len(b.Flat.Faces))
	families := map[string][]int{}
	for i := range names {
		name := b.Flat.FaceName(i)
		names[i] = Plain(name)
		families[stem(name)] = append(families[stem(name)], i)
	}
	if b.Count != 1 {
		return names
	}
	for _, c := range n.assembly.Copies {
		if c.Blank != blank {
			continue
		}
		all := none()
		own := make([]box, len(names))
		for i := range names {
			own[i] = faceBox(n.assembly, c, i)
			all = all.with(own[i])
		}
		for i := range names {
			f := families[stem(b.Flat.FaceName(i))]
			if len(f) < 2 || f[0] != i {
				continue
			}
			var of []box
			for _, k := range f {
				of = append(of, own[k])
			}
			words := places(of, all)
			for k, face := range f {
				if words != nil {
					names[face] = words[k] + " " + strings.TrimSuffix(strings.ReplaceAll(stem(b.Flat.FaceName(face)), "_", " "), " of") // lip_of[edge]
				}
			}
		}
	}
	return names
}

// Copy is what a copy is called.
func (n *Names) Copy(i int) string { return n.copies[i] }

// Blank is what a blank is called: its own name, which its file has, in words.
func (n *Names) Blank(i int) string { return Plain(n.assembly.Blanks[i].Name) }

// Face is what a face of a blank is called.
func (n *Names) Face(blank, face int) string { return n.faces[blank][face] }

// Fold is what a fold of a blank is called: by the face that hangs on it, and where that is
// not enough by both.
func (n *Names) Fold(blank, fold int) string {
	f := n.assembly.Blanks[blank].Flat.Folds[fold]
	return n.Face(blank, f.B) + " on " + n.Face(blank, f.A)
}

// off is the part of the whole's half size that something has to lie away from its middle to
// lie on a side of it.
const off = 0.25

// places are words that tell boxes apart by where in the whole they lie, seen from the front:
// front is towards the viewer, left is left. Nil where some have the same words.
func places(boxes []box, all box) []string {
	middle, half := all.middle(), all.hi.Sub(all.lo).Scale(0.5)
	for _, axes := range []struct{ x, y, z bool }{{x: true}, {y: true}, {y: true, x: true}, {z: true}, {z: true, y: true, x: true}} {
		seen := map[string]bool{}
		var out []string
		for _, b := range boxes {
			d := b.middle().Sub(middle)
			var words []string
			add := func(use bool, d, half float64, below, above string) {
				switch {
				case !use || !(half > 0) || math.Abs(d) < off*half:
				case d < 0:
					words = append(words, below)
				default:
					words = append(words, above)
				}
			}
			add(axes.z, d.Z, half.Z, "lower", "upper")
			add(axes.y, d.Y, half.Y, "front", "back")
			add(axes.x, d.X, half.X, "left", "right")
			w := strings.Join(words, " ")
			if w == "" || seen[w] {
				out = nil
				break
			}
			seen[w] = true
			out = append(out, w)
		}
		if out != nil {
			return out
		}
	}
	return nil
}

// box is upright in the world.
type box struct{ lo, hi solid.Vec }

func none() box {
	inf := math.Inf(1)
	return box{solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}}
}

func (b box) with(c box) box {
	return box{
		solid.Vec{X: min(b.lo.X, c.lo.X), Y: min(b.lo.Y, c.lo.Y), Z: min(b.lo.Z, c.lo.Z)},
		solid.Vec{X: max(b.hi.X, c.hi.X), Y: max(b.hi.Y, c.hi.Y), Z: max(b.hi.Z, c.hi.Z)},
	}
}

func (b box) middle() solid.Vec { return b.lo.Add(b.hi).Scale(0.5) }

// faceBox is the box of a copy's face in the world, by the corners of its drawn side.
func faceBox(a *panel.Assembly, c panel.Copy, face int) box {
	f := a.Blanks[c.Blank].Flat.Faces[face]
	b := none()
	for _, v := range f.Loop {
		p := c.Matrix.Apply(f.Frame.At(v.P))
		b = b.with(box{p, p})
	}
	return b
}
