package glb_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"perch/parts/glb"
	"perch/parts/panel"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/scene"
)

// A file of two brackets, a right and a left one, with a plate on each.
func ExampleWrite() {
	var b bytes.Buffer
	if err := glb.Write(&b, bracket.Assembly()); err != nil {
		fmt.Println(err)
		return
	}
	doc := new(gltf.Document)
	if err := gltf.NewDecoder(&b).Decode(doc); err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range doc.Nodes[doc.Scenes[0].Nodes[0]].Children {
		fmt.Println(doc.Nodes[n].Name)
	}
	fmt.Println(doc.Animations[0].Name)
	// Output:
	// angle.1
	// angle.2
	// plate.1
	// plate.2
	// fold
}

func made(t *testing.T) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// read is a written file with the nodes' parents.
type read struct {
	*gltf.Document
	t      *testing.T
	parent map[int]int
}

func written(t *testing.T, a *panel.Assembly) *read {
	t.Helper()
	var b, again bytes.Buffer
	for _, to := range []*bytes.Buffer{&b, &again} {
		if err := glb.Write(to, a); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Error("written twice, the bytes differ")
	}
	r := &read{new(gltf.Document), t, map[int]int{}}
	if err := gltf.NewDecoder(&b).Decode(r.Document); err != nil {
		t.Fatal(err)
	}
	for i, n := range r.Nodes {
		for _, c := range n.Children {
			r.parent[c] = i
		}
	}
	return r
}

// pose is what the animation says at a time: by node its rotation and translation.
type pose struct {
	turn  map[int][4]float64
	place map[int][3]float64
}

// at samples the animation as glTF has it: between keys places on a line, turns near one
// key each; only at keys are turns asked for here.
func (r *read) at(seconds float64) pose {
	p := pose{map[int][4]float64{}, map[int][3]float64{}}
	for _, a := range r.Animations {
		for _, c := range a.Channels {
			s := a.Samplers[c.Sampler]
			times := r.numbers(s.Input).([]float32)
			k := 0
			for k+1 < len(times) && float64(times[k+1]) <= seconds+1e-6 {
				k++
			}
			if c.Target.Path == gltf.TRSRotation {
				q := r.numbers(s.Output).([][4]float32)[k]
				p.turn[*c.Target.Node] = [4]float64{float64(q[0]), float64(q[1]), float64(q[2]), float64(q[3])}
			} else {
				v := r.numbers(s.Output).([][3]float32)[k]
				p.place[*c.Target.Node] = [3]float64{float64(v[0]), float64(v[1]), float64(v[2])}
			}
		}
	}
	return p
}

func (r *read) numbers(accessor int) any {
	data, err := modeler.ReadAccessor(r.Document, r.Accessors[accessor], nil)
	if err != nil {
		r.t.Fatal(err)
	}
	return data
}

// space takes a node's point to that of an ancestor; of −1 to the scene's.
func (r *read) space(node, ancestor int, p pose, v [3]float64) [3]float64 {
	for node != ancestor {
		n := r.Nodes[node]
		q, at, s := n.RotationOrDefault(), n.TranslationOrDefault(), n.ScaleOrDefault()
		if moved, ok := p.turn[node]; ok {
			q, at = moved, p.place[node]
		}
		for i := range v {
			v[i] *= s[i]
		}
		// v + 2w(q×v) + 2q×(q×v)
		c := cross(q, v)
		cc := cross(q, c)
		for i := range v {
			v[i] += 2*q[3]*c[i] + 2*cc[i] + at[i]
		}
		up, ok := r.parent[node]
		if !ok {
			break
		}
		node = up
	}
	return v
}

func cross(q [4]float64, v [3]float64) [3]float64 {
	return [3]float64{q[1]*v[2] - q[2]*v[1], q[2]*v[0] - q[0]*v[2], q[0]*v[1] - q[1]*v[0]}
}

// corners are the places of a node's metal in the space of an ancestor.
func (r *read) corners(node, ancestor int, p pose) (out [][3]float64) {
	if r.Nodes[node].Mesh == nil {
		return nil
	}
	for _, prim := range r.Meshes[*r.Nodes[node].Mesh].Primitives {
		for _, v := range r.numbers(prim.Attributes[gltf.POSITION]).([][3]float32) {
			out = append(out, r.space(node, ancestor, p, [3]float64{float64(v[0]), float64(v[1]), float64(v[2])}))
		}
	}
	return out
}

const tol = 1e-6 // m: a float32 of a metre keeps 6e-8

// What stands still is the finished piece, y up, in metres: as large as the scene, with each corner of
// the scene's metal somewhere; and the animation ends there.
func TestFinished(t *testing.T) {
	for _, a := range []*panel.Assembly{bracket.Assembly(), made(t)} {
		s, err := scene.New(a, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := written(t, a)
		still, end := pose{}, r.at(100)
		lo, hi := [3]float64{9, 9, 9}, [3]float64{-9, -9, -9}
		have := map[[3]int]bool{}
		for i := range r.Nodes {
			last := r.corners(i, -1, end)
			for k, v := range r.corners(i, -1, still) {
				var cell [3]int
				for x := range v {
					lo[x], hi[x] = min(lo[x], v[x]), max(hi[x], v[x])
					cell[x] = int(math.Floor(v[x] / 1e-5))
					if math.Abs(last[k][x]-v[x]) > tol {
						t.Fatalf("node %s ends at %v, and stands at %v", r.Nodes[i].Name, last[k], v)
					}
				}
				have[cell] = true
			}
		}
		wantLo, wantHi := [3]float64{s.Lo.X, s.Lo.Z, -s.Hi.Y}, [3]float64{s.Hi.X, s.Hi.Z, -s.Lo.Y}
		for x := range lo {
			if math.Abs(lo[x]-wantLo[x]/1000) > tol || math.Abs(hi[x]-wantHi[x]/1000) > tol {
				t.Errorf("%s: from %v to %v, the piece from %v to %v mm", a.Design, lo, hi, wantLo, wantHi)
			}
		}
		missing, looked := 0, 0
		for _, c := range s.Copies {
			m := c.Matrix
			shape := s.Shapes[c.Shape]
			for _, p := range shape.Solid(shape.Bent(1)).Points {
				w := [3]float64{m[0]*p.X + m[1]*p.Y + m[2]*p.Z + m[3], m[8]*p.X + m[9]*p.Y + m[10]*p.Z + m[11], -(m[4]*p.X + m[5]*p.Y + m[6]*p.Z + m[7])}
				found := false
				for k := range 27 { // it may lie by a cell's border
					found = found || have[[3]int{int(math.Floor(w[0]/1000/1e-5)) + k%3 - 1, int(math.Floor(w[1]/1000/1e-5)) + k/3%3 - 1, int(math.Floor(w[2]/1000/1e-5)) + k/9 - 1}]
				}
				looked++
				if !found {
					missing++
				}
			}
		}
		if missing > 0 || looked < 100 {
			t.Errorf("%s: %d of %d corners of the metal are not there", a.Design, missing, looked)
		}
	}
}

// The animation begins with the flat: every face lies in its blank's plane, at its place there.
func TestFlat(t *testing.T) {
	a := made(t)
	s, err := scene.New(a, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := written(t, a)
	start := r.at(0)
	for i, c := range s.Copies {
		shape := s.Shapes[c.Shape]
		copy := r.Nodes[r.Scenes[0].Nodes[0]].Children[i]
		lo, hi := [2]float64{9, 9}, [2]float64{-9, -9}
		for node := range r.Nodes {
			if !r.below(node, copy) {
				continue
			}
			// a flat of a bend is as it is bent: its rounds lie off the plane
			flat := strings.Contains(r.Nodes[r.parent[node]].Name, "/")
			for _, v := range r.corners(node, copy, start) {
				if z := v[2] * 1000; !flat && math.Abs(z) > 1e-3 && math.Abs(z+shape.Thickness) > 1e-3 || math.Abs(z+shape.Thickness/2) > shape.Thickness/2+0.2 {
					t.Fatalf("%s: %s lies at %v", c.Name, r.Nodes[node].Name, v)
				}
				if !flat {
					lo, hi = [2]float64{min(lo[0], v[0]), min(lo[1], v[1])}, [2]float64{max(hi[0], v[0]), max(hi[1], v[1])}
				}
			}
		}
		x0, y0, x1, y1 := 1e9, 1e9, -1e9, -1e9
		for _, p := range shape.Outline {
			x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
		}
		for k, d := range [4]float64{lo[0]*1000 - x0, lo[1]*1000 - y0, hi[0]*1000 - x1, hi[1]*1000 - y1} {
			if math.Abs(d) > 1e-3 {
				t.Errorf("%s: side %d of the flat is %g mm off", c.Name, k, d)
			}
		}
	}
}

func (r *read) below(node, ancestor int) bool {
	for {
		if node == ancestor {
			return true
		}
		up, ok := r.parent[node]
		if !ok {
			return false
		}
		node = up
	}
}

// Parts, faces and flats of bends are nodes under their names, and no flat turns by more than 10°.
func TestNodes(t *testing.T) {
	a := made(t)
	s, err := scene.New(a, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := written(t, a)
	want := 1
	for i, c := range s.Copies {
		shape := s.Shapes[c.Shape]
		want += 1 + len(shape.Faces) + len(shape.Folds)
		for _, f := range shape.Folds {
			want += f.Facets
			if f.Angle/float64(f.Facets) > math.Pi/18+1e-9 {
				t.Errorf("%s: flats turn by %g°", f.Name, f.Angle/float64(f.Facets)*180/math.Pi)
			}
		}
		if n := r.Nodes[r.Nodes[r.Scenes[0].Nodes[0]].Children[i]]; n.Name != c.Name || (c.Mirrored) != (n.ScaleOrDefault()[2] < 0) {
			t.Errorf("copy %s is node %q", c.Name, n.Name)
		}
	}
	if len(r.Nodes) != want {
		t.Errorf("%d nodes, want %d", len(r.Nodes), want)
	}
}

// What is no scene is refused, and nothing is written.
func TestRefused(t *testing.T) {
	var b bytes.Buffer
	if err := glb.Write(&b, &panel.Assembly{Design: "Try", Size: "only", Blanks: []*panel.Blank{{Name: "bare"}}}); err == nil || b.Len() > 0 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
}
