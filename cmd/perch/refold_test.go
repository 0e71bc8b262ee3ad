package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	perchrecord "perch/parts/record"
)

// What an outsider knows of a build: build.json alone, read into types of the
// test's own, and the meaning of its fields. Nothing of the rooms that made it.

type (
	xyz   [3]float64
	frame struct{ Origin, X, Y xyz }
	loop  [][3]float64 // x, y, bulge

	fold struct {
		Name                        string
		Faces                       [2]string
		From, To                    [2]float64
		Angle, Radius, K, Allowance float64
		Direction                   string
		Loop                        loop
	}
	face struct {
		Name  string
		Root  bool
		Loop  loop
		Frame frame
	}
	blank struct {
		Name   string
		Count  int
		File   string
		Stock  struct{ Thickness float64 }
		Outer  loop
		Inner  []loop
		Size   [2]float64
		Area   float64
		Cut    float64 `json:"cut_length"`
		Faces  []face
		Folds  []fold
		Points []struct {
			Name, Face, Kind string
			At               [2]float64
			Diameter         float64
		}
	}
	outsideRecord struct {
		Blanks []blank
		Copies []struct {
			Name, Blank string
			Mirrored    bool
			Matrix      [16]float64
		}
		Joins []struct {
			Kind           string
			Diameter, Grip float64
			At, Axis       xyz
			Members        []struct{ Copy, Point string }
		}
	}
)

func (a xyz) plus(k float64, b xyz) xyz { return xyz{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]} }
func (a xyz) dot(b xyz) float64         { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a xyz) length() float64           { return math.Sqrt(a.dot(a)) }
func (a xyz) cross(b xyz) xyz {
	return xyz{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// at is the place of flat (x, y), z above the reference surface.
func (f frame) at(x, y, z float64) xyz {
	return f.Origin.plus(x, f.X).plus(y, f.Y).plus(z, f.X.cross(f.Y))
}

// area is positive for a counter-clockwise loop; arcs count truly.
func (l loop) area() float64 {
	sum := 0.0
	for i, v := range l {
		w := l[(i+1)%len(l)]
		sum += (v[0]*w[1] - w[0]*v[1]) / 2
		if b := v[2]; b != 0 {
			swept := 4 * math.Atan(math.Abs(b))
			r := math.Hypot(w[0]-v[0], w[1]-v[1]) / 2 / math.Sin(swept/2)
			sum += math.Copysign(r*r*(swept-math.Sin(swept))/2, b)
		}
	}
	return sum
}

// length runs along the loop.
func (l loop) length() float64 {
	sum := 0.0
	for i, v := range l {
		w := l[(i+1)%len(l)]
		d := math.Hypot(w[0]-v[0], w[1]-v[1])
		if b := v[2]; b != 0 {
			swept := 4 * math.Atan(math.Abs(b))
			d = d / 2 / math.Sin(swept/2) * swept
		}
		sum += d
	}
	return sum
}

// flattened replaces arcs by chords of at most about a hundredth of a turn.
func (l loop) flattened() loop {
	var out loop
	for i, v := range l {
		w := l[(i+1)%len(l)]
		out = append(out, [3]float64{v[0], v[1], 0})
		if v[2] == 0 {
			continue
		}
		swept := 4 * math.Atan(v[2])
		dx, dy := w[0]-v[0], w[1]-v[1]
		apart := 1 / (2 * math.Tan(swept/2))
		cx, cy := (v[0]+w[0])/2-dy*apart, (v[1]+w[1])/2+dx*apart
		n := int(math.Ceil(math.Abs(swept) / (2 * math.Pi / 100)))
		for k := 1; k < n; k++ {
			s, c := math.Sincos(swept * float64(k) / float64(n))
			x, y := v[0]-cx, v[1]-cy
			out = append(out, [3]float64{cx + c*x - s*y, cy + s*x + c*y, 0})
		}
	}
	return out
}

// holds tells whether (x, y) is inside a flattened loop.
func (l loop) holds(x, y float64) bool {
	in := false
	for i, v := range l {
		w := l[(i+1)%len(l)]
		if (v[1] > y) != (w[1] > y) && x < v[0]+(y-v[1])/(w[1]-v[1])*(w[0]-v[0]) {
			in = !in
		}
	}
	return in
}

// near is the least distance of (x, y) from a flattened loop.
func (l loop) near(x, y float64) float64 {
	best := math.Inf(1)
	for i, v := range l {
		w := l[(i+1)%len(l)]
		dx, dy := w[0]-v[0], w[1]-v[1]
		s := 0.0
		if d := dx*dx + dy*dy; d > 0 {
			s = min(1, max(0, ((x-v[0])*dx+(y-v[1])*dy)/d))
		}
		best = min(best, math.Hypot(x-v[0]-s*dx, y-v[1]-s*dy))
	}
	return best
}

func readRecord(t testing.TB, dir string) *outsideRecord {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "build.json"))
	if err != nil {
		t.Fatal(err)
	}
	r := new(outsideRecord)
	if err := json.Unmarshal(text, r); err != nil {
		t.Fatalf("%s: %v", dir, err)
	}
	return r
}

func (b *blank) face(name string) *face {
	for i := range b.Faces {
		if b.Faces[i].Name == name {
			return &b.Faces[i]
		}
	}
	return nil
}

// folded is the frame of a fold's second face, bent off the first one's.
func (f *fold) folded(a frame, thickness float64) frame {
	length := math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1])
	ex, ey := (f.To[0]-f.From[0])/length, (f.To[1]-f.From[1])/length
	nx, ny := ey, -ex // away from the first face, which lies left
	px, py := f.From[0]-nx*f.Allowance/2, f.From[1]-ny*f.Allowance/2
	s, c := math.Sincos(f.Angle * math.Pi / 180)
	turn, radius := 1.0, f.Radius // up: the reference surface is the inside
	if f.Direction == "down" {
		turn, radius = -1, f.Radius+thickness
	}
	// In the first face's coordinates: along e nothing changes; n turns towards ±z.
	start := a.at(px+nx*radius*s, py+ny*radius*s, turn*radius*(1-c))
	up := a.X.cross(a.Y)
	e := xyz{}.plus(ex, a.X).plus(ey, a.Y)
	n := xyz{}.plus(nx*c, a.X).plus(ny*c, a.Y).plus(turn*s, up)
	b := frame{X: xyz{}.plus(ex, e).plus(nx, n), Y: xyz{}.plus(ey, e).plus(ny, n)}
	qx, qy := px+nx*f.Allowance, py+ny*f.Allowance
	b.Origin = start.plus(-qx, b.X).plus(-qy, b.Y)
	return b
}

// eachBlank calls do for every blank of every size of every example.
func eachBlank(t *testing.T, do func(where string, b *blank)) {
	n := 0
	for _, dir := range built(t) {
		r := readRecord(t, dir)
		for i := range r.Blanks {
			do(sizeName(dir)+" "+r.Blanks[i].Name, &r.Blanks[i])
			n++
		}
	}
	if n < 40 {
		t.Fatalf("only %d blanks were looked at", n)
	}
}

// Every part folds up from its root by its folds' own numbers: the frames stated
// for the other faces are where the folds lead. Every point comes back to its
// plane within 1e-6 mm, and in the plane within two of the steps to which lengths
// are rounded.
func TestRecordFoldsUp(t *testing.T) {
	const step = 1e-6
	const tol, inPlane = 1e-6, 2 * step
	worst, slid, folds := 0.0, 0.0, 0
	eachBlank(t, func(where string, b *blank) {
		frames := map[string]frame{}
		for _, f := range b.Faces {
			if f.Root {
				frames[f.Name] = frame{X: xyz{1, 0, 0}, Y: xyz{0, 1, 0}}
			}
		}
		if len(frames) != 1 || len(b.Folds) != len(b.Faces)-1 {
			t.Fatalf("%s: %d roots, %d faces, %d folds", where, len(frames), len(b.Faces), len(b.Folds))
		}
		for left := len(b.Folds); left > 0; {
			before := left
			for i := range b.Folds {
				f := &b.Folds[i]
				a, known := frames[f.Faces[0]]
				if _, done := frames[f.Faces[1]]; !known || done {
					continue
				}
				frames[f.Faces[1]] = f.folded(a, b.Stock.Thickness)
				left--
				folds++
			}
			if left == before {
				t.Fatalf("%s: %d folds hang on nothing", where, left)
			}
		}
		for _, f := range b.Faces {
			for _, v := range f.Loop {
				got, want := frames[f.Name].at(v[0], v[1], 0), f.Frame.at(v[0], v[1], 0)
				off := got.plus(-1, want)
				height := math.Abs(off.dot(f.Frame.X.cross(f.Frame.Y)))
				worst, slid = max(worst, height), max(slid, off.length())
				if !(height <= tol && off.length() <= inPlane) {
					t.Errorf("%s.%s: folds to %g mm off its stated plane, %g mm off its place", where, f.Name, height, off.length())
					break
				}
			}
		}
	})
	t.Logf("%d folds, faces at most %.2g mm off their planes, %.2g mm off their places", folds, worst, slid)
}

// Both faces of a fold touch its strip along a tangent line: in space the two
// lines lie on one cylinder of the stated radius, turned by the stated angle.
func TestRecordFoldsAreCylinders(t *testing.T) {
	const tol = 2e-6 // mm: the axis comes from rounded places and frames on both sides
	worst := 0.0
	eachBlank(t, func(where string, b *blank) {
		for i := range b.Folds {
			f := &b.Folds[i]
			fa, fb := b.face(f.Faces[0]), b.face(f.Faces[1])
			if fa == nil || fb == nil {
				t.Fatalf("%s: fold %s has no faces", where, f.Name)
			}
			length := math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1])
			ex, ey := (f.To[0]-f.From[0])/length, (f.To[1]-f.From[1])/length
			h := f.Allowance / 2
			// the axis as each face sees it: below (or above) its own tangent line
			height := f.Radius
			if f.Direction == "down" {
				height = -(f.Radius + b.Stock.Thickness)
			}
			for _, end := range [2][2]float64{f.From, f.To} {
				fromA := fa.Frame.at(end[0]-ey*h, end[1]+ex*h, height)
				fromB := fb.Frame.at(end[0]+ey*h, end[1]-ex*h, height)
				d := fromA.plus(-1, fromB).length()
				worst = max(worst, d)
				if !(d <= tol) {
					t.Errorf("%s, fold %s: its faces' axes are %g mm apart", where, f.Name, d)
				}
			}
			na, nb := fa.Frame.X.cross(fa.Frame.Y), fb.Frame.X.cross(fb.Frame.Y)
			e := xyz{}.plus(ex, fa.Frame.X).plus(ey, fa.Frame.Y)
			turned := math.Atan2(na.cross(nb).dot(e), na.dot(nb)) * 180 / math.Pi
			if f.Direction == "up" {
				turned = -turned
			}
			if d := math.Remainder(turned-f.Angle, 360); math.Abs(d) > 1e-8 {
				t.Errorf("%s, fold %s: turned by %.9f°, %.9f° stated", where, f.Name, turned, f.Angle)
			}
			if want := f.Angle * math.Pi / 180 * (f.Radius + f.K*b.Stock.Thickness); math.Abs(f.Allowance-want) > 1.1e-6 {
				t.Errorf("%s, fold %s: allowance %g, angle·(radius + k·thickness) is %g", where, f.Name, f.Allowance, want)
			}
		}
	})
	t.Logf("axes at most %.2g mm apart", worst)
}

// Faces and strips tile the blank: their areas add up to it, and points thrown
// at it fall into exactly one of them.
func TestRecordTiles(t *testing.T) {
	const tol = 1e-3 // mm²
	worst, thrown := 0.0, 0
	random := rand.New(rand.NewPCG(1, 2))
	eachBlank(t, func(where string, b *blank) {
		sum := 0.0
		var pieces []loop
		for _, f := range b.Faces {
			sum += f.Loop.area()
			pieces = append(pieces, f.Loop.flattened())
		}
		for _, f := range b.Folds {
			sum += f.Loop.area()
			pieces = append(pieces, f.Loop.flattened())
		}
		d := sum - b.Outer.area()
		worst = max(worst, math.Abs(d))
		if math.Abs(d) > tol {
			t.Errorf("%s: faces and strips make %.6f mm², the blank is %.6f", where, sum, b.Outer.area())
		}
		outer := b.Outer.flattened()
		lo, hi := outer[0], outer[0]
		for _, v := range outer {
			lo[0], lo[1], hi[0], hi[1] = min(lo[0], v[0]), min(lo[1], v[1]), max(hi[0], v[0]), max(hi[1], v[1])
		}
		if w, h := hi[0]-lo[0], hi[1]-lo[1]; math.Abs(w-b.Size[0]) > 0.02 || math.Abs(h-b.Size[1]) > 0.02 {
			t.Errorf("%s: %g × %g mm, %v stated", where, w, h, b.Size)
		}
	points:
		for range 400 {
			x, y := lo[0]+random.Float64()*(hi[0]-lo[0]), lo[1]+random.Float64()*(hi[1]-lo[1])
			in := 0
			for _, p := range append(pieces, outer) {
				if p.near(x, y) < 0.05 { // chords of arcs run by as much
					continue points
				}
			}
			for _, p := range pieces {
				if p.holds(x, y) {
					in++
				}
			}
			want := 0
			if outer.holds(x, y) {
				want = 1
			}
			if in != want {
				t.Errorf("%s: (%g, %g) lies in %d faces and strips, and in %d blanks", where, x, y, in, want)
				break
			}
			thrown++
		}
	})
	t.Logf("areas at most %.2g mm² off; %d points", worst, thrown)
}

// The record's own sums are those of its loops.
func TestRecordMeasures(t *testing.T) {
	eachBlank(t, func(where string, b *blank) {
		area, cut := b.Outer.area(), b.Outer.length()
		if area <= 0 {
			t.Errorf("%s: the outline runs clockwise", where)
		}
		for _, l := range b.Inner {
			if l.area() >= 0 {
				t.Errorf("%s: an opening runs counter-clockwise", where)
			}
			area += l.area()
			cut += l.length()
		}
		if math.Abs(area/b.Area-1) > 1e-7 || math.Abs(cut/b.Cut-1) > 1e-7 {
			t.Errorf("%s: area %g and cut %g; %g and %g stated", where, area, cut, b.Area, b.Cut)
		}
	})
}

// Every member of every join, taken to the world by frame and matrix alone, is
// on the fastener's axis and within its grip; each is there on the metal of its
// face; and the members' sheets lie on each other.
func TestRecordJoinsMeet(t *testing.T) {
	const tol = 0.01 // mm
	worst, members := 0.0, 0
	for _, dir := range built(t) {
		r := readRecord(t, dir)
		for k, j := range r.Joins {
			where := fmt.Sprintf("%s, join %d", sizeName(dir), k)
			if len(j.Members) < 2 || math.Abs(j.Axis.length()-1) > 1e-9 {
				t.Errorf("%s: %d members, axis %v", where, len(j.Members), j.Axis)
			}
			var stack float64
			last := math.Inf(-1)
			for _, m := range j.Members {
				at, normal, thickness, err := r.member(m.Copy, m.Point)
				if err != nil {
					t.Fatalf("%s: %v", where, err)
				}
				off := at.plus(-1, j.At)
				along := off.dot(j.Axis)
				away := off.plus(-along, j.Axis).length()
				worst = max(worst, away)
				if away > tol || along < -tol || along > j.Grip+tol {
					t.Errorf("%s: %s of %s is %g mm off the axis and %g deep in a grip of %g", where, m.Point, m.Copy, away, along, j.Grip)
				}
				if c := math.Abs(normal.dot(j.Axis)); c < math.Cos(0.01*math.Pi/180) {
					t.Errorf("%s: %s is askew by %g°", where, m.Copy, math.Acos(c)*180/math.Pi)
				}
				middle := along - math.Copysign(thickness/2, normal.dot(j.Axis))
				if middle <= last {
					t.Errorf("%s: %s is not further in than the member before", where, m.Copy)
				}
				last = middle
				stack += thickness
				members++
			}
			if math.Abs(stack-j.Grip) > 0.05*float64(len(j.Members)) {
				t.Errorf("%s: sheets of %g mm in a grip of %g", where, stack, j.Grip)
			}
		}
	}
	if members < 500 {
		t.Errorf("only %d members were looked at", members)
	}
	t.Logf("%d members, at most %.2g mm off their axis", members, worst)
}

// member is a point in the world, its face's normal off the drawn side, and the
// thickness of its sheet.
func (r *outsideRecord) member(copy, point string) (at, normal xyz, thickness float64, err error) {
	for _, c := range r.Copies {
		if c.Name != copy {
			continue
		}
		for i := range r.Blanks {
			b := &r.Blanks[i]
			if b.Name != c.Blank {
				continue
			}
			for _, p := range b.Points {
				f := b.face(p.Face)
				if p.Name != point || f == nil {
					continue
				}
				on := f.Loop.flattened()
				if edge := p.Kind == "tack" && on.near(p.At[0], p.At[1]) < 1e-5; !edge && !on.holds(p.At[0], p.At[1]) {
					return at, normal, 0, fmt.Errorf("%s of blank %s lies off its face %s", point, b.Name, p.Face)
				}
				m := c.Matrix
				to := func(v xyz, w float64) xyz {
					return xyz{
						m[0]*v[0] + m[1]*v[1] + m[2]*v[2] + m[3]*w,
						m[4]*v[0] + m[5]*v[1] + m[6]*v[2] + m[7]*w,
						m[8]*v[0] + m[9]*v[1] + m[10]*v[2] + m[11]*w,
					}
				}
				return to(f.Frame.at(p.At[0], p.At[1], 0), 1), to(f.Frame.X.cross(f.Frame.Y), 0), b.Stock.Thickness, nil
			}
		}
	}
	return at, normal, 0, fmt.Errorf("there is no point %s of a copy %s", point, copy)
}

// Counts, names, files and matrices agree with each other.
func TestRecordAgreesWithItself(t *testing.T) {
	for _, dir := range built(t) {
		r := readRecord(t, dir)
		copies := map[string]int{}
		for _, c := range r.Copies {
			copies[c.Blank]++
			m := c.Matrix
			x, y, z := xyz{m[0], m[4], m[8]}, xyz{m[1], m[5], m[9]}, xyz{m[2], m[6], m[10]}
			want := 1.0
			if c.Mirrored {
				want = -1
			}
			if d := x.cross(y).dot(z); math.Abs(d-want) > 1e-9 || math.Abs(x.dot(y)) > 1e-9 || math.Abs(x.length()-1) > 1e-9 {
				t.Errorf("%s: the matrix of %s is no placing: determinant %g", sizeName(dir), c.Name, d)
			}
		}
		for _, b := range r.Blanks {
			if copies[b.Name] != b.Count || b.Count == 0 {
				t.Errorf("%s: %d copies of %s, %d counted", sizeName(dir), copies[b.Name], b.Name, b.Count)
			}
			if _, err := os.Stat(filepath.Join(dir, b.File)); err != nil {
				t.Errorf("%s: %v", sizeName(dir), err)
			}
		}
	}
}

func TestRecordsMeetTheSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(perchrecord.Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("record.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("record.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, dir := range built(t) {
		text, err := os.ReadFile(filepath.Join(dir, "build.json"))
		if err != nil {
			t.Fatal(err)
		}
		file, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatalf("%s: %v", dir, err)
		}
		if err := schema.Validate(file); err != nil {
			t.Errorf("%s: %v", sizeName(dir), err)
		}
	}
}
