package dxf_test

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/yofu/dxf/table"

	"perch/parts/dxf"
	"perch/parts/foldmark"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/shop"
)

func Example() {
	var out bytes.Buffer
	if err := dxf.Write(&out, bracket.Assembly().Blanks[1], dxf.Options{Size: "mid"}); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.Count(out.String(), "\nLWPOLYLINE\n"), strings.Count(out.String(), "\nCIRCLE\n"))
	// Output: 1 2
}

// shape is one entity as an independent reader sees it: its groups, in order.
type shape struct {
	kind, layer string
	points      [][2]float64 // groups 10, 20
	ends        [][2]float64 // groups 11, 21
	bulges      map[int]float64
	closed      bool
	radius      float64 // or text height
	turn        float64 // of a text, degrees
	text        string
}

// read is a reader of group codes that knows nothing of the writer.
func read(t testing.TB, r io.Reader) (header map[string]string, shapes []shape) {
	t.Helper()
	header = map[string]string{}
	sc := bufio.NewScanner(r)
	var section, variable string
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if x == 0 && math.Signbit(x) {
			t.Error("a −0 was written")
		}
		return x
	}
	for sc.Scan() {
		code, err := strconv.Atoi(strings.TrimSpace(sc.Text()))
		if err != nil || !sc.Scan() {
			t.Fatalf("not a pair of lines: %v", err)
		}
		val := sc.Text()
		if code == 0 {
			section = strings.TrimPrefix(section, "SECTION ")
			switch {
			case val == "SECTION":
				section = "?"
			case section == "ENTITIES" && val != "ENDSEC":
				shapes = append(shapes, shape{kind: val, bulges: map[int]float64{}})
			}
			continue
		}
		if section == "?" && code == 2 {
			section = val
		}
		if section == "HEADER" {
			if code == 9 {
				variable = val
			} else {
				header[variable] += val + " "
			}
		}
		if section != "ENTITIES" || len(shapes) == 0 {
			continue
		}
		s := &shapes[len(shapes)-1]
		switch code {
		case 8:
			s.layer = val
		case 10:
			s.points = append(s.points, [2]float64{number(val)})
		case 20:
			s.points[len(s.points)-1][1] = number(val)
		case 11:
			s.ends = append(s.ends, [2]float64{number(val)})
		case 21:
			s.ends[len(s.ends)-1][1] = number(val)
		case 42:
			s.bulges[len(s.points)-1] = number(val)
		case 40:
			s.radius = number(val)
		case 50:
			s.turn = number(val)
		case 70:
			s.closed = val == "1"
		case 1:
			s.text = val
		}
	}
	return header, shapes
}

// measured gives the area and length of a closed shape: the shoelace plus, for
// each arc, the segment between it and its chord.
func measured(s shape) (area, length float64) {
	if s.kind == "CIRCLE" {
		return math.Pi * s.radius * s.radius, 2 * math.Pi * s.radius
	}
	for i, p := range s.points {
		q := s.points[(i+1)%len(s.points)]
		chord := math.Hypot(q[0]-p[0], q[1]-p[1])
		area += (p[0]*q[1] - q[0]*p[1]) / 2
		if b := s.bulges[i]; b != 0 {
			angle := 4 * math.Atan(b)
			r := chord / (2 * math.Sin(angle/2))
			area += r * r / 2 * (angle - math.Sin(angle))
			length += math.Abs(r * angle)
		} else {
			length += chord
		}
	}
	return math.Abs(area), length
}

func write(t testing.TB, b *panel.Blank, opt dxf.Options) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := dxf.Write(&out, b, opt); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// The bracket's area and cut length follow from elementary geometry alone.
func TestDrawingHoldsTheBlank(t *testing.T) {
	for _, unit := range []measure.System{measure.Millimetres, measure.Inches} {
		file := write(t, bracket.Assembly().Blanks[0], dxf.Options{Unit: unit, Design: "Wandwinkel groß", Size: "mid"})
		header, shapes := read(t, bytes.NewReader(file))
		scale, wantUnits := 1.0, "4 "
		if unit == measure.Inches {
			scale, wantUnits = 25.4, "1 "
		}
		if header["$INSUNITS"] != wantUnits {
			t.Errorf("$INSUNITS %q, want %q", header["$INSUNITS"], wantUnits)
		}
		var area, length float64
		layers := map[string]int{}
		seen := map[string]bool{}
		for _, s := range shapes {
			layers[s.layer]++
			if key := fmt.Sprint(s.layer, s.points, s.ends, s.text); seen[key] {
				t.Errorf("drawn twice: %s", key)
			} else {
				seen[key] = true
			}
			if s.layer != dxf.LayerOutside && s.layer != dxf.LayerInside {
				continue
			}
			if s.kind != "CIRCLE" && !s.closed {
				t.Errorf("an open outline of %d vertices", len(s.points))
			}
			a, l := measured(s)
			if s.layer == dxf.LayerInside {
				a = -a
			}
			area, length = area+a*scale*scale, length+l*scale
		}
		if math.Abs(area/bracket.Area-1) > 1e-6 || math.Abs(length/bracket.CutLength-1) > 1e-6 {
			t.Errorf("unit %d: area %v, length %v; want %v, %v", unit, area, length, bracket.Area, bracket.CutLength)
		}
		for layer, n := range map[string]int{dxf.LayerOutside: 1, dxf.LayerInside: 4, dxf.LayerFoldDown: 1, dxf.LayerFoldUp: 0, dxf.LayerMark: 5} {
			if layers[layer] != n {
				t.Errorf("layer %s has %d shapes, want %d", layer, layers[layer], n)
			}
		}
	}
}

// Non-ASCII text leaves as \U+XXXX, so the whole file is ASCII.
func TestTextIsEscaped(t *testing.T) {
	file := write(t, bracket.Assembly().Blanks[0], dxf.Options{Design: "groß 梯 🪑 %%u \\P", Size: "a\nb 4%"})
	for _, c := range file {
		if c >= 0x80 {
			t.Fatalf("byte %#x in the file", c)
		}
	}
	if want := `gro\U+00DF \U+68AF \U+D83E\U+DE91 \U+0025\U+0025u \U+005CP, a b 4%`; !bytes.Contains(file, []byte("\n"+want+"\n")) {
		t.Errorf("the label lacks %s", want)
	}
}

// Of what the library gives every drawing nothing is left that the format does not ask
// for by name: no line type, pattern, text style or font.
func TestNothingOfTheLibraryIsLeft(t *testing.T) {
	blank := bracket.Assembly().Blanks[0]
	blank.Flat.Marks = append(blank.Flat.Marks, panel.FlatMark{Mark: panel.Mark{Kind: panel.MarkText, Text: "left", Height: 5, Dir: plane.Point{X: 1}}})
	file := string(write(t, blank, dxf.Options{Design: "Bracket", Size: "mid"}))
	has := func(code int, value string) bool {
		return strings.Contains(file, fmt.Sprintf("\n%d\n%s\n", code, value))
	}
	for _, l := range []*table.LineType{table.LT_CONTINUOUS, table.LT_HIDDEN, table.LT_DASHDOT} {
		if has(3, l.Description) || l != table.LT_CONTINUOUS && (has(2, l.Name()) || has(6, l.Name()) || has(40, fmt.Sprint(l.TotalLength()))) {
			t.Errorf("the library's line type %s is in the drawing", l.Name())
		}
	}
	if s := table.ST_STANDARD; has(3, s.FontName) || has(2, s.Name()) || has(7, s.Name()) {
		t.Error("the library's text style is in the drawing")
	}
	for _, l := range dxf.LineTypes {
		if !has(2, l.Name) {
			t.Errorf("there is no line type %s", l.Name)
		}
	}
	if !has(2, dxf.Lettering) || !has(3, dxf.Font) || strings.Count(file, "\n7\n"+dxf.Lettering+"\n") != strings.Count(file, "\nTEXT\n") {
		t.Error("a text has not our lettering")
	}
}

// The label lies on metal: inside the outline, off the holes and the folds, all of
// its letters, at 0.7 of their height each.
func TestLabelLiesOnMetal(t *testing.T) {
	real, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range append(bracket.Assembly().Blanks, real.Blanks...) {
		_, shapes := read(t, bytes.NewReader(write(t, b, dxf.Options{Design: "Workshop stool", Size: "mid"})))
		labels := 0
		for _, s := range shapes {
			if s.layer != dxf.LayerLabel {
				continue
			}
			labels++
			sin, cos := math.Sincos(s.turn * math.Pi / 180)
			wide := 0.7 * s.radius * float64(len(s.text))
			for i := range 200 { // points of the letters' box
				u, v := wide*float64(i%40)/39, s.radius*float64(i/40)/4
				p := [2]float64{s.points[0][0] + u*cos - v*sin, s.points[0][1] + u*sin + v*cos}
				if where := under(b.Flat, p); where != "" {
					t.Errorf("%s: label %q stands %s at %v", b.Name, s.text, where, p)
					break
				}
			}
		}
		if labels < 2 {
			t.Errorf("%s: %d lines of label", b.Name, labels)
		}
	}
}

// under tells what else than metal lies at p; arcs of the outline are taken as
// chords, which leaves out a little metal at outer corners.
func under(f *panel.Flat, p [2]float64) string {
	in := false
	for i, v := range f.Outer {
		a, b := v.P, f.Outer[(i+1)%len(f.Outer)].P
		if (a.Y > p[1]) != (b.Y > p[1]) && p[0] < a.X+(p[1]-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	if !in {
		return "off the blank"
	}
	for _, q := range f.Points {
		if math.Hypot(q.At.X-p[0], q.At.Y-p[1]) < q.Diameter/2 {
			return "in hole " + q.Name
		}
	}
	for _, s := range f.Folds {
		d := s.To.Sub(s.From).Unit()
		if math.Abs((p[0]-s.From.X)*d.Y-(p[1]-s.From.Y)*d.X) < 0.05 {
			return "on fold " + s.Name
		}
	}
	return ""
}

func TestBadBlanksAreRefused(t *testing.T) {
	nan := bracket.Assembly().Blanks[0]
	nan.Flat.Outer[1].P.X = math.NaN()
	inf := bracket.Assembly().Blanks[0]
	inf.Flat.Folds[0].To.Y = math.Inf(1)
	for name, b := range map[string]*panel.Blank{
		"empty": {Name: "x", Flat: &panel.Flat{}}, "no flat": {Name: "x"}, "NaN vertex": nan, "infinite fold": inf,
	} {
		if err := dxf.Write(io.Discard, b, dxf.Options{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestSameBytes(t *testing.T) {
	first := write(t, bracket.Assembly().Blanks[0], dxf.Options{Size: "mid"})
	for range 20 {
		if !bytes.Equal(first, write(t, bracket.Assembly().Blanks[0], dxf.Options{Size: "mid"})) {
			t.Fatal("two writings differ")
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	blank := bracket.Assembly().Blanks[0]
	b.ReportAllocs()
	for b.Loop() {
		if err := dxf.Write(io.Discard, blank, dxf.Options{Design: "bracket", Size: "mid"}); err != nil {
			b.Fatal(err)
		}
	}
}

// A nick is in the outline; a punch mark is a circle of 1 mm on the marks' layer, and a line to
// be scribed a line there.
func TestFoldMarksAreDrawn(t *testing.T) {
	for marks, want := range map[string]map[string]int{
		shop.MarksNicks:  {"OUTSIDE LWPOLYLINE": 1},
		shop.MarksPunch:  {"OUTSIDE LWPOLYLINE": 1, "MARK CIRCLE": 2},
		shop.MarksScribe: {"OUTSIDE LWPOLYLINE": 1, "MARK LINE": 1},
		shop.MarksNone:   {"OUTSIDE LWPOLYLINE": 1},
	} {
		a, err := stool.Assembly()
		if err != nil {
			t.Fatal(err)
		}
		b := a.Blanks[slices.IndexFunc(a.Blanks, func(b *panel.Blank) bool { return len(b.Flat.Folds) == 1 })] // a leg
		b.Flat.Points = nil
		s := shop.Default()
		s.Brake.Marks = marks
		foldmark.Mark(b, s, nil)
		_, shapes := read(t, bytes.NewReader(write(t, b, dxf.Options{})))
		got := map[string]int{}
		for _, s := range shapes {
			if s.layer == dxf.LayerOutside || s.layer == dxf.LayerMark {
				got[s.layer+" "+s.kind]++
			}
			if s.layer == dxf.LayerMark && s.kind == "CIRCLE" && s.radius != 0.5 {
				t.Errorf("a punch mark of radius %g", s.radius)
			}
			if s.layer != dxf.LayerOutside {
				continue
			}
			area, _ := measured(s)
			off := 0.0
			if marks == shop.MarksNicks {
				off = 2 * 24.0 / 7 // two triangles 2 mm wide and 24/7 mm deep, but for how the edge leans
			}
			if math.Abs(b.Flat.Outer.Area()-area-off) > 0.3 || marks != shop.MarksNicks && math.Abs(b.Flat.Outer.Area()-area) > 1e-3 {
				t.Errorf("%s: the outline has %.3f mm² less", marks, b.Flat.Outer.Area()-area)
			}
		}
		if !maps.Equal(got, want) {
			t.Errorf("%s: %v, want %v", marks, got, want)
		}
	}
}
