package main

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// stepFile is what OpenCASCADE makes of a STEP file.
type stepFile struct {
	File   string
	Other  int // shapes that are no solids
	Solids []struct {
		Name    string
		Volume  float64
		Kinds   map[string]int
		Open    int // edges that are not between two faces
		Corners []xyz
	}
}

// drilled are the holes of a blank that its loops have not: those that are drilled, before or
// in place, but for what fastens in an opening anyway.
func (b *blank) drilled() (holes []float64) {
	for _, p := range b.Points {
		if p.Kind != "drill" && p.When != "in_place" {
			continue
		}
		open := false
		for _, l := range b.Inner {
			open = open || l.flattened().holds(p.At[0], p.At[1])
		}
		if !open {
			holes = append(holes, p.Diameter)
		}
	}
	return holes
}

// bentVolume is what a blank's bent part holds, mm³: flat metal times thickness, and of every
// strip, at each place across it, its length there times the sector of a ring.
func (b *blank) bentVolume() float64 {
	t := b.Stock.Thickness
	sum := 0.0
	for _, f := range b.Faces {
		sum += f.Loop.area() * t
	}
	for _, l := range b.Inner { // all on flat metal, and clockwise
		sum += l.area() * t
	}
	for _, d := range b.drilled() {
		sum -= math.Pi * d * d / 4 * t
	}
	for _, f := range b.Folds {
		outer := f.Radius + t
		ring := f.Angle * math.Pi / 180 * (outer*outer - f.Radius*f.Radius) / 2
		sum += f.Loop.area() / f.Allowance * ring
	}
	return sum
}

// surfaces counts what a blank's bent part has on it: two planes a face, one for each of its
// straight edges that no bend hangs on and each square end of a bend; two cylinders a bend, one where it is folded flat
// on itself, and one for each arc on flat metal; a spline for each other end of a bend.
func (b *blank) surfaces() map[string]int {
	n := map[string]int{"Plane": 2 * len(b.Faces), "Cylinder": 2 * len(b.drilled())}
	count := func(l loop) {
		for _, v := range l {
			if v[2] != 0 {
				n["Cylinder"]++
			} else {
				n["Plane"]++
			}
		}
	}
	for _, f := range b.Faces {
		count(f.Loop)
	}
	for _, l := range b.Inner {
		count(l)
	}
	for _, f := range b.Folds {
		n["Plane"] -= 2 // the edges of the faces that it hangs on
		n["Cylinder"]++
		if f.Radius > 0 {
			n["Cylinder"]++
		}
		dx, dy := f.To[0]-f.From[0], f.To[1]-f.From[1]
		length := math.Hypot(dx, dy)
		for i, v := range f.Loop {
			w := f.Loop[(i+1)%len(f.Loop)]
			along := ((w[0]-v[0])*dx + (w[1]-v[1])*dy) / length
			across := ((w[1]-v[1])*dx - (w[0]-v[0])*dy) / length
			switch {
			case v[2] != 0:
				n["BSpline surface"]++
			case math.Abs(across) < 1e-5: // along a face, whose edge there may be longer
				n["Plane"] += b.overhangs([2]float64{v[0], v[1]}, [2]float64{w[0], w[1]})
			case math.Abs(along) < 2e-6:
				n["Plane"]++
			default:
				n["BSpline surface"]++
			}
		}
	}
	for kind, k := range n {
		if k == 0 {
			delete(n, kind)
		}
	}
	return n
}

// overhangs counts the ends of the face's edge behind a strip's edge that reach past it.
func (b *blank) overhangs(from, to [2]float64) (n int) {
	const tol = 1e-5 // mm
	dx, dy := to[0]-from[0], to[1]-from[1]
	length := math.Hypot(dx, dy)
	local := func(v [3]float64) (along, off float64) {
		return ((v[0]-from[0])*dx + (v[1]-from[1])*dy) / length, ((v[1]-from[1])*dx - (v[0]-from[0])*dy) / length
	}
	for _, f := range b.Faces {
		for i, v := range f.Loop {
			hi, offV := local(v) // faces run against strips
			lo, offW := local(f.Loop[(i+1)%len(f.Loop)])
			if v[2] != 0 || math.Abs(offV) > tol || math.Abs(offW) > tol || hi < tol || lo > length-tol {
				continue
			}
			if lo < -tol {
				n++
			}
			if hi > length+tol {
				n++
			}
		}
	}
	return n
}

// OpenCASCADE reads every example at every size: a closed solid for each copy, under its name,
// where the record has it, of the volume that its flat and bends hold, on the
// planes and cylinders that it has and no others.
func TestSTEPByAnotherKernel(t *testing.T) {
	require(t, "python3-gmsh", python, "-c", "import gmsh")
	const tol = 1e-6 // relative
	dirs := builtUnmarked(t)
	answers := make([][]stepFile, 2)
	t.Run("kernel", func(t *testing.T) {
		for half := range answers {
			var files []string
			for i := half; i < len(dirs); i += len(answers) {
				files = append(files, filepath.Join(dirs[i], "piece.step"))
			}
			t.Run(strconv.Itoa(half), func(t *testing.T) {
				t.Parallel()
				ask(t, "testdata/read_step.py", files, &answers[half])
			})
		}
	})
	solids, splines, worst := 0, 0, 0.0
	for _, f := range append(answers[0], answers[1]...) {
		r := readRecord(t, filepath.Dir(f.File))
		where := sizeName(filepath.Dir(f.File))
		if f.Other != 0 || len(f.Solids) != len(r.Copies) {
			t.Fatalf("%s: %d solids and %d other shapes, the record has %d copies", where, len(f.Solids), f.Other, len(r.Copies))
		}
		volumes, surfaces := map[string]float64{}, map[string]map[string]int{}
		for i := range r.Blanks {
			volumes[r.Blanks[i].Name], surfaces[r.Blanks[i].Name] = r.Blanks[i].bentVolume(), r.Blanks[i].surfaces()
		}
		for i, s := range f.Solids {
			c := r.Copies[i]
			if path := strings.Split(s.Name, "/"); !strings.HasSuffix(strings.Join(path[:len(path)-1], "/"), "/"+c.Name) || !strings.HasPrefix(path[len(path)-1], c.Blank) {
				t.Errorf("%s: solid %d is called %s, the copy %s of %s", where, i, s.Name, c.Name, c.Blank)
			}
			off := math.Abs(s.Volume/volumes[c.Blank] - 1)
			worst = max(worst, off)
			if !(off <= tol) || s.Open != 0 {
				t.Errorf("%s, %s: %.9g mm³, %.9g by flat and bends; %d open edges", where, c.Name, s.Volume, volumes[c.Blank], s.Open)
			}
			if want := surfaces[c.Blank]; !sameCounts(s.Kinds, want) {
				t.Errorf("%s, %s: surfaces %v, flat and bends have %v", where, c.Name, s.Kinds, want)
			}
			solids++
			splines += s.Kinds["BSpline surface"]
			if d := r.farthestCorner(t, i, s.Corners); !(d <= 1e-5) {
				t.Errorf("%s, %s: a corner of a face is %g mm from any of the solid's", where, c.Name, d)
			}
		}
	}
	if solids < 300 || splines < 200 {
		t.Errorf("only %d solids were read, %d of their surfaces splines", solids, splines)
	}
	t.Logf("%d solids, volumes at most %.2g off (relative)", solids, worst)
}

func sameCounts(a, b map[string]int) bool {
	for k, n := range a {
		if b[k] != n {
			return false
		}
	}
	return len(a) == len(b)
}

// farthestCorner is how far, in mm, a corner of a copy's faces, taken to the world by frame
// and matrix, lies from the nearest of a solid's corners.
func (r *outsideRecord) farthestCorner(t *testing.T, copy int, corners []xyz) float64 {
	c := r.Copies[copy]
	b, m := r.blank(c.Blank), c.Matrix
	if b == nil {
		t.Fatalf("no blank %s", c.Blank)
	}
	worst := 0.0
	for _, f := range b.Faces {
		for _, v := range f.Loop {
			p, least := f.Frame.at(v[0], v[1], 0), math.Inf(1)
			q := xyz{m[0]*p[0] + m[1]*p[1] + m[2]*p[2] + m[3], m[4]*p[0] + m[5]*p[1] + m[6]*p[2] + m[7], m[8]*p[0] + m[9]*p[1] + m[10]*p[2] + m[11]}
			for _, k := range corners {
				least = min(least, k.plus(-1, q).length())
			}
			worst = max(worst, least)
		}
	}
	return worst
}

// A STEP file tells no time and no path, and the same build gives the same bytes.
func TestSTEPIsTheSameEveryTime(t *testing.T) {
	dir := t.TempDir()
	var texts [2]string
	for i, out := range []string{"a", "b"} {
		out = filepath.Join(dir, out)
		if code, _, errs := perchIn(t, "build", "../../examples/parts_bin/parts_bin.perch", "--out", out, "--also", "step", "--no-pictures"); code != exitDone {
			t.Fatal(errs)
		}
		text, err := os.ReadFile(filepath.Join(out, "parts_bin", "hubs", "piece.step"))
		if err != nil {
			t.Fatal(err)
		}
		texts[i] = string(text)
	}
	if texts[0] != texts[1] || len(texts[0]) < 10000 {
		t.Errorf("two builds differ: %d and %d bytes", len(texts[0]), len(texts[1]))
	}
	if strings.Contains(texts[0], dir) || strings.Contains(texts[0], strconv.Itoa(time.Now().Year())+"-") {
		t.Error("the file tells where or when it was made")
	}
}
