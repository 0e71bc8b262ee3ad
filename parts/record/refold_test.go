package record_test

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"perch/parts/panel"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
)

// The refolding works from the file alone: generic JSON, own vectors, nothing
// of the rooms that made it.

type (
	object = map[string]any
	vec    [3]float64
)

func floats(v any) []float64 {
	var out []float64
	for _, x := range v.([]any) {
		out = append(out, x.(float64))
	}
	return out
}

func objects(v any) []object {
	var out []object
	for _, x := range v.([]any) {
		out = append(out, x.(object))
	}
	return out
}

func named(list []object, name any) object {
	for _, o := range list {
		if o["name"] == name {
			return o
		}
	}
	return nil
}

func (a vec) add(k float64, b vec) vec { return vec{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]} }
func (a vec) dot(b vec) float64        { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a vec) norm() float64 { return math.Sqrt(a.dot(a)) }

// place takes flat (x, y) at depth z above a face's reference surface to part space.
func place(face object, x, y, z float64) vec {
	f := face["frame"].(object)
	o, ux, uy := vec(floats(f["origin"])), vec(floats(f["x"])), vec(floats(f["y"]))
	return o.add(x, ux).add(y, uy).add(z, ux.cross(uy))
}

func toWorld(copied object, p vec) vec {
	m := floats(copied["matrix"])
	var out vec
	for i := range 3 {
		out[i] = m[4*i]*p[0] + m[4*i+1]*p[1] + m[4*i+2]*p[2] + m[4*i+3]
	}
	return out
}

// refold checks a record: every fold's two faces meet at its tangent lines, every
// copy's matrix is rigid with the determinant it claims, and the members of every
// join meet on its axis within tolerance mm, each within the stack.
func refold(file []byte, tolerance float64) (faults []string) {
	var r object
	if err := json.Unmarshal(file, &r); err != nil {
		return []string{err.Error()}
	}
	fault := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	blanks, copies := objects(r["blanks"]), objects(r["copies"])
	for _, b := range blanks {
		t := b["stock"].(object)["thickness"].(float64)
		for _, f := range objects(b["folds"]) {
			if gap := foldGap(b, f, t); !(gap <= tolerance) {
				fault("blank %v: fold %v misses by %g", b["name"], f["name"], gap)
			}
		}
	}
	for _, c := range copies {
		m := floats(c["matrix"])
		x, y, z := vec{m[0], m[4], m[8]}, vec{m[1], m[5], m[9]}, vec{m[2], m[6], m[10]}
		want := 1.0
		if c["mirrored"].(bool) {
			want = -1
		}
		if det := x.cross(y).dot(z); math.Abs(det-want) > 1e-9 || math.Abs(x.dot(y))+math.Abs(y.dot(z))+math.Abs(x.norm()-1)+math.Abs(y.norm()-1) > 1e-9 {
			fault("copy %v: its matrix is not rigid, determinant %g", c["name"], det)
		}
	}
	for i, j := range objects(r["joins"]) {
		at, axis := vec(floats(j["at"])), vec(floats(j["axis"]))
		for _, m := range objects(j["members"]) {
			c := named(copies, m["copy"])
			b := named(blanks, c["blank"])
			p := named(objects(b["points"]), m["point"])
			if p == nil {
				fault("join %d: copy %v has no point %v", i, m["copy"], m["point"])
				continue
			}
			q := floats(p["at"])
			w := toWorld(c, place(named(objects(b["faces"]), p["face"]), q[0], q[1], 0))
			depth := w.add(-1, at).dot(axis)
			if off := w.add(-1, at).add(-depth, axis).norm(); !(off <= tolerance) {
				fault("join %d: %v of %v lies %g off the axis", i, m["point"], m["copy"], off)
			}
			if !(depth >= -tolerance && depth <= j["grip"].(float64)+tolerance) {
				fault("join %d: %v of %v lies %g deep in a grip of %v", i, m["point"], m["copy"], depth, j["grip"])
			}
		}
	}
	return faults
}

// foldGap is the largest distance between the second face's tangent line as its
// own frame places it and as the bend carries it over from the first face.
func foldGap(blank, f object, t float64) float64 {
	names := f["faces"].([]any)
	a, b := named(objects(blank["faces"]), names[0]), named(objects(blank["faces"]), names[1])
	from, to := floats(f["from"]), floats(f["to"])
	angle, radius, ba := f["angle"].(float64)*math.Pi/180, f["radius"].(float64), f["allowance"].(float64)
	side, rho := 1.0, radius // up: the reference surface is the inside
	if f["direction"] == "down" {
		side, rho = -1, radius+t
	}
	long := math.Hypot(to[0]-from[0], to[1]-from[1])
	nx, ny := (to[1]-from[1])/long, -(to[0]-from[0])/long // from the first face to the second
	fr := a["frame"].(object)
	ux, uy := vec(floats(fr["x"])), vec(floats(fr["y"]))
	n, up := vec{}.add(nx, ux).add(ny, uy), ux.cross(uy)
	worst := 0.0
	for _, end := range [][]float64{from, to} {
		start := place(a, end[0]-nx*ba/2, end[1]-ny*ba/2, 0)
		bent := start.add(rho*math.Sin(angle), n).add(side*rho*(1-math.Cos(angle)), up)
		own := place(b, end[0]+nx*ba/2, end[1]+ny*ba/2, 0)
		worst = math.Max(worst, bent.add(-1, own).norm())
	}
	return worst
}

func TestRecordFoldsUpAgain(t *testing.T) {
	const tolerance = 0.01 // mm
	for _, a := range []*panel.Assembly{bracket.Assembly(), stoolAssembly(t)} {
		for _, fault := range refold(write(t, a), tolerance) {
			t.Errorf("%s: %s", a.Design, fault)
		}
	}
	// And the check sees what is wrong.
	a := bracket.Assembly()
	a.Blanks[1].Flat.Points[0].At.X += 0.02
	a.Blanks[0].Flat.Folds[0].Bend.Radius += 0.1
	a.Copies[0].Mirrored = true
	if got := len(refold(write(t, a), tolerance)); got != 4 {
		t.Errorf("%d faults found in a spoilt record, want 4: a fold, a matrix and a point used by two joins", got)
	}
}

func stoolAssembly(t testing.TB) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Joins) != 16 {
		t.Fatalf("the stool has %d rivets, not 16", len(a.Joins))
	}
	return a
}
