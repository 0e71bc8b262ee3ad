// Package glb writes a piece for programs that show things in space: one binary glTF 2.0 file
// with a named node for each part, face and flat of a bend, and an animation that folds the
// parts up. It decides nothing, and knows nothing of designs or shops.
package glb

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"reflect"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"perch/parts/decimal"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/scene"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// metre is a millimetre in the file's unit.
const metre = 1e-3

// Write writes an assembly. Lengths are metres and y is up, as glTF has it; the piece's own z up is
// turned by its topmost node. A copy is a node under its name, the copy's root face below
// it, and below each face the faces and bends that hang on it; a bend is a node with one below for each
// of its flats. What stands still is the finished piece; the animation "fold" brings it there from
// the flat, one second for each fold of the part that has most, fold by fold where their order
// is planned.
//
// It returns what keeps a scene from being made, or w's error. The same assembly gives the same bytes.
func Write(w io.Writer, a *panel.Assembly) error {
	s, err := scene.New(a, nil)
	if err != nil {
		return fmt.Errorf("%s, %s as glTF: %w", a.Design, a.Size, err)
	}
	f := &file{doc: &gltf.Document{Asset: gltf.Asset{Version: "2.0", Generator: "perch"}, Scene: gltf.Index(0)}, seen: map[string]int{}}
	f.materials()
	top := f.node(&gltf.Node{Name: title(s), Rotation: upright})
	longest := 0.0
	for _, shape := range s.Shapes {
		longest = max(longest, stages(shape))
	}
	shapes := make([]*body, len(s.Shapes))
	fold := &gltf.Animation{Name: "fold"}
	for _, c := range s.Copies {
		if shapes[c.Shape] == nil {
			shapes[c.Shape] = f.body(s.Shapes[c.Shape], longest, fold)
		}
		f.doc.Nodes[top].Children = append(f.doc.Nodes[top].Children, f.copy(&c, s.Shapes[c.Shape], shapes[c.Shape], fold))
	}
	if len(fold.Channels) > 0 {
		f.doc.Animations = []*gltf.Animation{fold}
	}
	f.doc.Scenes = []*gltf.Scene{{Name: title(s), Nodes: []int{top}}}
	e := gltf.NewEncoder(w)
	e.AsBinary = true
	if err := e.Encode(f.doc); err != nil {
		return fmt.Errorf("%s as glTF: %w", title(s), err)
	}
	return nil
}

// upright turns what has z up so that it has y up: a quarter turn about x.
var upright = [4]float64{-math.Sqrt2 / 2, 0, 0, math.Sqrt2 / 2}

func title(s *scene.Scene) string {
	t := s.Design + " " + s.Size
	if s.Revision != "" {
		t += " rev " + s.Revision
	}
	return t
}

// file is a document under way.
type file struct {
	doc  *gltf.Document
	seen map[string]int // what is written already, by its kind and content: its accessor or mesh
}

const (
	metal = 0
	edges = 1
)

// materials are those of metal and of the lines that show its edges.
func (f *file) materials() {
	f.doc.Materials = []*gltf.Material{
		{Name: "metal", DoubleSided: true, PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
			BaseColorFactor: &[4]float64{0.66, 0.68, 0.7, 1}, MetallicFactor: gltf.Float(0.4), RoughnessFactor: gltf.Float(0.55)}},
		{Name: "edges", PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
			BaseColorFactor: &[4]float64{0.12, 0.12, 0.12, 1}, MetallicFactor: gltf.Float(0), RoughnessFactor: gltf.Float(1)}},
	}
}

func (f *file) node(n *gltf.Node) int {
	f.doc.Nodes = append(f.doc.Nodes, n)
	return len(f.doc.Nodes) - 1
}

// accessor writes numbers, slices of a fixed width, once; it is where they are.
func (f *file) accessor(kind string, write func() int, data ...any) int {
	h := sha256.New()
	for _, d := range data {
		fmt.Fprint(h, kind, reflect.ValueOf(d).Len(), " ")
		binary.Write(h, binary.LittleEndian, d)
	}
	key := string(h.Sum(nil))
	k, known := f.seen[key]
	if !known {
		k = write()
		f.seen[key] = k
	}
	return k
}

// times and turns and places are the numbers of an animation.
func (f *file) times(ts []float32) int {
	return f.accessor("times", func() int {
		k := modeler.WriteAccessor(f.doc, gltf.TargetNone, ts)
		f.doc.Accessors[k].Min, f.doc.Accessors[k].Max = []float64{float64(ts[0])}, []float64{float64(ts[len(ts)-1])}
		return k
	}, ts)
}

func (f *file) turns(qs [][4]float32) int {
	return f.accessor("turns", func() int { return modeler.WriteAccessor(f.doc, gltf.TargetNone, qs) }, qs)
}

func (f *file) places(ps [][3]float32) int {
	return f.accessor("places", func() int { return modeler.WriteAccessor(f.doc, gltf.TargetNone, ps) }, ps)
}

// copy makes the nodes of a placed part.
func (f *file) copy(c *scene.Copy, s *scene.Shape, b *body, fold *gltf.Animation) int {
	n := &gltf.Node{Name: c.Name}
	m := c.Matrix
	x, y, z := solid.Vec{X: m[0], Y: m[4], Z: m[8]}, solid.Vec{X: m[1], Y: m[5], Z: m[9]}, solid.Vec{X: m[2], Y: m[6], Z: m[10]}
	if c.Mirrored {
		n.Scale, z = [3]float64{1, 1, -1}, z.Neg()
	}
	n.Rotation, n.Translation = rounded(turnOf(x, y, z)), place(solid.Vec{X: m[3], Y: m[7], Z: m[11]})
	n.Children = []int{f.face(s, b, s.Root, fold)}
	return f.node(n)
}

// face makes the node of a face with all that hangs on it.
func (f *file) face(s *scene.Shape, b *body, face int, fold *gltf.Animation) int {
	n := &gltf.Node{Name: s.Faces[face].Name, Mesh: b.faces[face]}
	if at := b.hung[face]; at != nil {
		n.Rotation, n.Translation = at.turn, at.place
	}
	for i := range s.Folds {
		if s.Folds[i].A != face {
			continue
		}
		bend := &gltf.Node{Name: s.Folds[i].Name}
		for k, flat := range b.flats[i] {
			at := flat.moved
			child := f.node(&gltf.Node{Name: fmt.Sprintf("%s %d", s.Folds[i].Name, k+1), Mesh: flat.mesh, Rotation: at.turn, Translation: at.place})
			at.drive(fold, child)
			bend.Children = append(bend.Children, child)
		}
		child := f.face(s, b, s.Folds[i].B, fold)
		b.hung[s.Folds[i].B].drive(fold, child)
		n.Children = append(n.Children, f.node(bend), child)
	}
	return f.node(n)
}

// turnOf is the quaternion (x, y, z, w) of the rotation that takes the axes to x, y and z.
func turnOf(x, y, z solid.Vec) [4]float64 {
	// The largest of the four is taken by its square, so that nothing small is divided by
	// (Shepperd's method, 1978).
	t := [4]float64{x.X - y.Y - z.Z, y.Y - x.X - z.Z, z.Z - x.X - y.Y, x.X + y.Y + z.Z}
	k := 3
	for i := range t {
		if t[i] > t[k] {
			k = i
		}
	}
	r := math.Sqrt(max(0, 1+t[k])) / 2
	d := 4 * r
	switch k {
	case 0:
		return [4]float64{r, (x.Y + y.X) / d, (z.X + x.Z) / d, (y.Z - z.Y) / d}
	case 1:
		return [4]float64{(x.Y + y.X) / d, r, (y.Z + z.Y) / d, (z.X - x.Z) / d}
	case 2:
		return [4]float64{(z.X + x.Z) / d, (y.Z + z.Y) / d, r, (x.Y - y.X) / d}
	}
	return [4]float64{(y.Z - z.Y) / d, (z.X - x.Z) / d, (x.Y - y.X) / d, r}
}

// about is the quaternion of a turn about a unit vector.
func about(axis solid.Vec, angle float64) [4]float64 {
	s, c := elementary.Sincos(angle / 2)
	return [4]float64{float64(s * axis.X), float64(s * axis.Y), float64(s * axis.Z), c}
}

func rounded(q [4]float64) [4]float64 {
	for i := range q {
		q[i] = decimal.Round(q[i], decimal.Cosine)
	}
	return q
}

// place is a place in metres, to a nanometre.
func place(v solid.Vec) [3]float64 {
	return [3]float64{decimal.Round(v.X*metre, 9), decimal.Round(v.Y*metre, 9), decimal.Round(v.Z*metre, 9)}
}

// at32 is a place of a mesh.
func at32(v solid.Vec) [3]float32 {
	p := place(v)
	return [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
}

// away is the unit direction in the flat from a fold's face A to its face B.
func away(f *scene.Fold) plane.Point { return plane.Point{X: f.Along.Y, Y: -f.Along.X} }

// stages counts the folds that are made one after the other, those without a planned order together.
func stages(s *scene.Shape) float64 {
	n := len(s.Order)
	if n < len(s.Folds) {
		n++
	}
	return float64(n)
}
