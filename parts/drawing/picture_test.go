package drawing

import (
	"bytes"
	"image/color"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/solid"
)

func assemblies(t testing.TB) []*panel.Assembly {
	t.Helper()
	s, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return []*panel.Assembly{bracket.Assembly(), s}
}

func facetsOf(t testing.TB, a *panel.Assembly) []Facet {
	t.Helper()
	fs, err := Facets(a)
	if err != nil {
		t.Fatal(err)
	}
	return fs
}

// areaVector is half the sum of the loop's cross products.
func areaVector(l []solid.Vec) (v solid.Vec) {
	for i, p := range l {
		v = v.Add(p.Cross(l[(i+1)%len(l)]).Scale(0.5))
	}
	return v
}

// Facets are flat, look along their normals, and enclose the metal: their areas
// times their normals cancel, and by the divergence theorem they hold the sheet's volume.
func TestFacetsEncloseTheMetal(t *testing.T) {
	for _, a := range assemblies(t) {
		var sum solid.Vec
		volume, want := 0.0, 0.0
		metal, err := Metal(a)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range metal {
			if math.Abs(f.Normal.Len()-1) > 1e-9 {
				t.Fatalf("a normal %v long", f.Normal.Len())
			}
			area := areaVector(f.Outer).Len()
			for _, h := range f.Holes {
				area -= areaVector(h).Len()
			}
			for _, p := range f.Outer {
				if math.Abs(p.Sub(f.Outer[0]).Dot(f.Normal)) > 1e-6 {
					t.Errorf("a corner lies %v off its plane", p.Sub(f.Outer[0]).Dot(f.Normal))
				}
			}
			sum = sum.Add(f.Normal.Scale(area))
			volume += f.Outer[0].Dot(f.Normal) * area / 3
		}
		for _, b := range a.Blanks {
			want += b.Flat.Area() * b.Flat.Panel.Stock.Thickness * float64(b.Count)
		}
		if sum.Len() > 1 { // mm²; bends' chords leave their ends open by less
			t.Errorf("%s: the surface is open by %v mm²", a.Design, sum.Len())
		}
		// Small holes have no walls, and K moves metal: a few per cent.
		if math.Abs(volume/want-1) > 0.03 {
			t.Errorf("%s: volume %v, want about %v", a.Design, volume, want)
		}
	}
}

// What is painted last at a point is what a ray from the eye meets first.
func TestPaintersOrderAgainstRays(t *testing.T) {
	for _, a := range assemblies(t) {
		fs := facetsOf(t, a)
		lo, hi, err := extent(fs)
		if err != nil {
			t.Fatal(err)
		}
		v := newView(lo, hi)
		pieces := backToFront(fs, v.eye)
		rng := rand.New(rand.NewPCG(1, 2))
		met := 0
		for range 1500 {
			p := plane.Point{X: rng.Float64() * pictureWidth, Y: rng.Float64() * v.height}
			var painted *Facet
			for i := range pieces {
				if covers(v, pieces[i].loops, p) {
					painted = pieces[i].facet
				}
			}
			first, clear := firstMet(v, fs, p)
			if first != nil {
				met++
			}
			if painted != first && clear {
				t.Errorf("%s: at %v %+v is painted, %+v is met first", a.Design, p, painted, first)
			}
		}
		if met < 100 {
			t.Errorf("%s: only %d rays met anything", a.Design, met)
		}
	}
}

func covers(v view, loops [][]solid.Vec, p plane.Point) bool {
	in := false
	for _, l := range loops {
		in = in != inside(v.project(l), p)
	}
	return in
}

// firstMet finds the nearest facet on the ray through p by trying them all; clear is
// false where the next one is as near, or where p lies within a hair of its outline.
func firstMet(v view, fs []Facet, p plane.Point) (first *Facet, clear bool) {
	dir := v.ahead.Add(v.right.Scale((p.X - v.shift.X) / v.scale)).Add(v.up.Scale((v.shift.Y - p.Y) / v.scale))
	near, next := math.Inf(1), math.Inf(1)
	clear = true
	for i := range fs {
		f := &fs[i]
		if f.Normal.Dot(v.eye.Sub(f.Outer[0])) <= touching {
			continue
		}
		loops := append([][]solid.Vec{f.Outer}, f.Holes...)
		here := covers(v, loops, p)
		for _, d := range []plane.Point{{X: 0.01}, {X: -0.01}, {Y: 0.01}, {Y: -0.01}} {
			if covers(v, loops, plane.Point{X: p.X + d.X, Y: p.Y + d.Y}) != here {
				clear = false
			}
		}
		if !here {
			continue
		}
		depth := f.Normal.Dot(f.Outer[0].Sub(v.eye)) / f.Normal.Dot(dir)
		switch {
		case depth < near:
			first, near, next = f, depth, near
		case depth < next:
			next = depth
		}
	}
	return first, clear && next-near > 0.01
}

func picture(t testing.TB, a *panel.Assembly) *Picture {
	t.Helper()
	p, err := NewPicture(facetsOf(t, a), PictureOptions{Design: a.Design, Size: a.Size})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPictureFiles(t *testing.T) {
	for _, a := range assemblies(t) {
		var s, raster, again bytes.Buffer
		p := picture(t, a)
		if err := p.SVG(&s); err != nil {
			t.Fatal(err)
		}
		if err := p.PNG(&raster); err != nil {
			t.Fatal(err)
		}
		if err := picture(t, a).PNG(&again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(raster.Bytes(), again.Bytes()) {
			t.Error("two PNGs of one piece differ")
		}
		if !strings.Contains(s.String(), ">"+a.Design+"<") || !strings.Contains(s.String(), ">size mid<") {
			t.Error("the caption is missing")
		}
		img, err := png.Decode(&raster)
		if err != nil {
			t.Fatal(err)
		}
		if b := img.Bounds(); float64(b.Dx()) != p.Width || float64(b.Dy()) != p.Height {
			t.Errorf("the PNG is %v, the picture %v × %v", b, p.Width, p.Height)
		}
		// Each shape's middle, where nothing lies over it, has its colour in the raster.
		checkColours(t, p, img.At)
		for _, w := range p.texts {
			half := textWidth(w.content, w.size) / 2
			if left := w.at.X - half; w.middle && (left < 0 || w.at.X+half > p.Width) || w.at.Y > p.Height {
				t.Errorf("%q leaves the picture at %v", w.content, w.at)
			}
		}
	}
}

func TestPictureErrors(t *testing.T) {
	if _, err := NewPicture(nil, PictureOptions{}); err == nil {
		t.Error("a picture of nothing")
	}
	fs := facetsOf(t, bracket.Assembly())
	fs[3].Outer[0].X = math.Inf(1)
	if _, err := NewPicture(fs, PictureOptions{}); err == nil {
		t.Error("a picture of a corner at infinity")
	}
	a := bracket.Assembly()
	a.Copies[0].Blank = 9
	if _, err := Facets(a); err == nil {
		t.Error("a copy of no blank")
	}
}

func BenchmarkPicture(b *testing.B) {
	a := assemblies(b)[1]
	write := map[string]func(*Picture, io.Writer) error{"SVG": (*Picture).SVG, "PNG": (*Picture).PNG}
	for _, kind := range []string{"SVG", "PNG"} {
		b.Run(kind, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := write[kind](picture(b, a), io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// checkColours compares the raster with the shapes: a pixel whose whole
// neighbourhood lies in one topmost shape, off all lines, shows its colour.
func checkColours(t *testing.T, p *Picture, at func(x, y int) color.Color) {
	rng := rand.New(rand.NewPCG(3, 4))
	checked := 0
	for range 600 {
		x, y := 1+rng.IntN(int(p.Width)-2), 1+rng.IntN(int(p.Height)-2)
		top, whole := -2, true
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				q := plane.Point{X: float64(x+dx) + 0.5, Y: float64(y+dy) + 0.5}
				on := -1
				for i, s := range p.shapes {
					in := false
					for _, l := range s.loops {
						in = in != inside(l, q)
					}
					if in {
						on = i
					}
				}
				whole = whole && (top == -2 || top == on)
				top = on
			}
		}
		if !whole || top < 0 || p.shapes[top].tint == shadowTint {
			continue
		}
		s := p.shapes[top]
		want := palette[s.tint*levels+max(inkIndex, min(fullLevel, int(float64(s.light*1.06*fullLevel)+0.5)))]
		if got := at(x, y); got != want && got != palette[s.tint*levels+inkIndex] {
			r, g, b, _ := got.RGBA()
			wr, _, _, _ := want.RGBA()
			if r > wr { // darker is a line of a neighbour
				t.Errorf("pixel %d, %d is %x %x %x, want %v", x, y, r>>8, g>>8, b>>8, want)
			}
		}
		checked++
	}
	if checked < 20 {
		t.Errorf("only %d pixels checked", checked)
	}
}
