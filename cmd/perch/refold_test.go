package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	perchrecord "perch/parts/record"
)

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
// plane within one of the steps to which lengths are rounded, and in the plane within
// two.
func TestRecordFoldsUp(t *testing.T) {
	const step = 1e-6
	const tol, inPlane = 1.001 * step, 2 * step
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
// face; and the members' sheets lie on each other. A bead's are no farther from it than
// their sheet is thick and a gap may be wide.
func TestRecordJoinsMeet(t *testing.T) {
	const tol = 0.01 // mm
	worst, members, beads := 0.0, 0, 0
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
				if j.Line != nil { // a bead: marked on the drawn side of a sheet whose edge or back it lies on
					if gap := off.length(); gap > thickness+j.Grip/2+tol {
						t.Errorf("%s: %s of %s is marked %g mm off the bead", where, m.Point, m.Copy, gap)
					}
					beads++
					continue
				}
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
			if j.Line == nil && math.Abs(stack-j.Grip) > 0.05*float64(len(j.Members)) {
				t.Errorf("%s: sheets of %g mm in a grip of %g", where, stack, j.Grip)
			}
		}
	}
	if members < 500 || beads < 100 {
		t.Errorf("only %d members and %d beads' were looked at", members, beads)
	}
	t.Logf("%d members, at most %.2g mm off their axis; %d of beads", members, worst, beads)
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
