package eval_test

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
)

// examples are the designs that a person would build.
func examples(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(names) < 6 {
		t.Fatalf("the examples are not where they should be: %v %v", names, err)
	}
	return append(names, "testdata/cabinet.perch", "testdata/chest.perch")
}

// built builds every size of a design and fails the test on any error.
func built(t testing.TB, name string) []*build.Result {
	t.Helper()
	shop := shop.Default()
	prog, diags, err := load.Design(name, shop)
	if err != nil {
		t.Fatal(err)
	}
	var out []*build.Result
	if !diag.HasErrors(diags) {
		for _, size := range build.Sizes(prog) {
			r, more := build.Size(prog, size, shop, nil)
			diags = append(diags, more...)
			out = append(out, r)
		}
	}
	if diag.HasErrors(diags) {
		var b bytes.Buffer
		diag.Render(&b, diags, diag.Style{})
		t.Fatalf("%s:\n%s", name, b.String())
	}
	return out
}

// TestFacesReturnToTheirPlanes refolds every part of every example.
func TestFacesReturnToTheirPlanes(t *testing.T) {
	for _, name := range examples(t) {
		for _, r := range built(t, name) {
			for _, f := range r.Flats {
				for i, face := range f.Panel.Faces {
					got, want := f.FaceFrame(i), face.Frame
					if d := got.Plane().Height(want.O); math.Abs(d) > 1e-6 {
						t.Errorf("%s %s: %s.%s is %g mm off its plane", name, r.Size, f.Panel.Name, face.Name, d)
					}
					if d := got.Normal().Sub(want.Normal()).Len(); d > 1e-9 {
						t.Errorf("%s %s: %s.%s is turned by %g", name, r.Size, f.Panel.Name, face.Name, d)
					}
				}
			}
		}
	}
}

// TestNothingInterpenetrates holds the parts' solids to each other.
func TestNothingInterpenetrates(t *testing.T) {
	for _, name := range examples(t) {
		for _, r := range built(t, name) {
			for _, c := range panel.Clashes(r.Flats) {
				a, b := r.Flats[c.A], r.Flats[c.B]
				t.Errorf("%s %s: %s.%s runs %.2f mm into %s.%s (about %.0f mm³)", filepath.Base(name), r.Size,
					a.Panel.Name, a.Faces[c.FaceA].Name, c.Depth, b.Panel.Name, b.Faces[c.FaceB].Name, c.Volume)
			}
		}
	}
}

// TestEveryJoinMeets takes the points of every fastener to the world by the
// blanks and matrices alone.
func TestEveryJoinMeets(t *testing.T) {
	for _, name := range examples(t) {
		for _, r := range built(t, name) {
			n := 0
			for _, j := range r.Assembly.Joins {
				for _, m := range j.Members {
					at, err := worldPoint(r.Assembly, m)
					if err != nil {
						t.Fatalf("%s %s %s: %v", name, r.Size, j.Name, err)
					}
					along := at.sub(vec{j.At.X, j.At.Y, j.At.Z})
					axis := vec{j.Axis.X, j.Axis.Y, j.Axis.Z}
					d := along.dot(axis)
					off := along.sub(axis.scale(d)).len()
					if j.Line != nil { // marked on the drawn side of a sheet on whose back it may lie
						thick := r.Assembly.Blanks[r.Assembly.Copies[m.Copy].Blank].Flat.Panel.Stock.Thickness
						if gap := along.len(); gap > thick+j.Grip/2+0.01 {
							t.Errorf("%s %s %s: member %s is marked %g mm off the bead, on sheet of %g mm", name, r.Size, j.Name, m.Point, gap, thick)
						}
						n++
						continue
					}
					if off > 0.01 || d < -0.01 || d > j.Grip+0.01 {
						t.Errorf("%s %s %s: member %s lies %g mm off the axis, %g mm deep of %g", name, r.Size, j.Name, m.Point, off, d, j.Grip)
					}
					n++
				}
			}
			if n == 0 && len(r.Assembly.Joins) > 0 {
				t.Errorf("%s %s: no member was checked", name, r.Size)
			}
		}
	}
}

type vec [3]float64

func (a vec) sub(b vec) vec       { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) add(b vec) vec       { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) scale(k float64) vec { return vec{k * a[0], k * a[1], k * a[2]} }
func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) len() float64        { return math.Sqrt(a.dot(a)) }

func worldPoint(a *panel.Assembly, m panel.JoinMember) (vec, error) {
	c := a.Copies[m.Copy]
	f := a.Blanks[c.Blank].Flat
	for _, p := range f.Points {
		if p.Name != m.Point {
			continue
		}
		fr := f.Faces[p.Face].Frame
		o, x, y := vec{fr.O.X, fr.O.Y, fr.O.Z}, vec{fr.X.X, fr.X.Y, fr.X.Z}, vec{fr.Y.X, fr.Y.Y, fr.Y.Z}
		v := o.add(x.scale(p.At.X)).add(y.scale(p.At.Y))
		k := c.Matrix
		return vec{
			k[0]*v[0] + k[1]*v[1] + k[2]*v[2] + k[3],
			k[4]*v[0] + k[5]*v[1] + k[6]*v[2] + k[7],
			k[8]*v[0] + k[9]*v[1] + k[10]*v[2] + k[11],
		}, nil
	}
	return vec{}, fmt.Errorf("blank %s has no point %s", a.Blanks[c.Blank].Name, m.Point)
}
