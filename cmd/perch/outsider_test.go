package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
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
			When             string
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
			Line           []xyz // of a bead
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
				if edge := (p.Kind == "tack" || p.Kind == "weld") && on.near(p.At[0], p.At[1]) < 1e-5; !edge && !on.holds(p.At[0], p.At[1]) {
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
