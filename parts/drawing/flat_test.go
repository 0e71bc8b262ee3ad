package drawing_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"perch/parts/drawing"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
)

func ExampleFlatSVG() {
	var out bytes.Buffer
	err := drawing.FlatSVG(&out, bracket.Assembly().Blanks[0], drawing.FlatOptions{Size: "mid"})
	fmt.Println(err, strings.Contains(out.String(), "down 90° R3"), strings.Count(out.String(), "<circle"))
	// Output: <nil> true 3
}

// node is an element of a parsed SVG.
type node struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Children []node     `xml:",any"`
	Text     string     `xml:",chardata"`
}

func (n node) attr(name string) string {
	for _, a := range n.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (n node) number(t testing.TB, name string) float64 {
	x, err := strconv.ParseFloat(n.attr(name), 64)
	if err != nil {
		t.Fatalf("attribute %s of %s: %v", name, n.XMLName.Local, err)
	}
	return x
}

func (n node) each(visit func(node)) {
	visit(n)
	for _, c := range n.Children {
		c.each(visit)
	}
}

func flat(t testing.TB, b *panel.Blank, opt drawing.FlatOptions) node {
	t.Helper()
	var out bytes.Buffer
	if err := drawing.FlatSVG(&out, b, opt); err != nil {
		t.Fatal(err)
	}
	var root node
	if err := xml.Unmarshal(out.Bytes(), &root); err != nil {
		t.Fatal(err)
	}
	return root
}

func blanks(t testing.TB) []*panel.Blank {
	t.Helper()
	s, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return append(bracket.Assembly().Blanks, s.Blanks...)
}

var pathToken = regexp.MustCompile(`[MLAZ]|-?[0-9.]+`)

// pathArea reads M, L, A and Z and integrates the area, arcs by many chords.
func pathArea(t testing.TB, data string) float64 {
	toks := pathToken.FindAllString(data, -1)
	next := func() float64 {
		x, err := strconv.ParseFloat(toks[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		toks = toks[1:]
		return x
	}
	var area, x, y, x0, y0 float64
	step := func(u, v float64) { area += (x*v - u*y) / 2; x, y = u, v }
	for len(toks) > 0 {
		op := toks[0]
		toks = toks[1:]
		switch op {
		case "M":
			x, y = next(), next()
			x0, y0 = x, y
		case "L":
			u, v := next(), next()
			step(u, v)
		case "Z":
			step(x0, y0)
		case "A":
			r, _, _, large, sweep := next(), next(), next(), next(), next()
			u, v := next(), next()
			area += segment(r, math.Hypot(u-x, v-y), large, sweep)
			step(u, v)
		}
	}
	return math.Abs(area)
}

// segment is the signed area between an arc and its chord.
func segment(r, chord, large, sweep float64) float64 {
	angle := 2 * math.Asin(math.Min(1, chord/(2*r)))
	if large == 1 {
		angle = 2*math.Pi - angle
	}
	return (2*sweep - 1) * r * r / 2 * (angle - math.Sin(angle))
}

// The drawing, read back as SVG, has the area of the blank: it is true to scale.
func TestFlatIsTrueToScale(t *testing.T) {
	for _, b := range blanks(t) {
		root := flat(t, b, drawing.FlatOptions{})
		area, inner := 0.0, 0
		for _, g := range root.Children {
			sign := map[string]float64{"outside": 1, "inside": -1}[g.attr("id")]
			for _, c := range g.Children {
				switch c.XMLName.Local {
				case "circle":
					r := c.number(t, "r")
					area += sign * math.Pi * r * r
				case "path":
					area += sign * pathArea(t, c.attr("d"))
				}
				if sign < 0 {
					inner++
				}
			}
		}
		m := record.Measure(b.Flat)
		if math.Abs(area/m.Area-1) > 1e-5 || inner != len(m.Openings) {
			t.Errorf("%s: area %v with %d openings, want %v with %d", b.Name, area, inner, m.Area, len(m.Openings))
		}
		box := strings.Fields(root.attr("viewBox"))
		if root.attr("width") != box[2]+"mm" || root.attr("height") != box[3]+"mm" {
			t.Errorf("%s: %s × %s for a view of %v", b.Name, root.attr("width"), root.attr("height"), box)
		}
	}
	if m := record.Measure(blanks(t)[0].Flat); math.Abs(m.Area-bracket.Area) > 1e-6 {
		t.Errorf("the bracket's area is %v, by elementary geometry %v", m.Area, bracket.Area)
	}
}

// textBox is four corners of a text as drawn, by letters 0.6 of their size wide.
func textBox(t testing.TB, n node) [4][2]float64 {
	size := n.number(t, "font-size")
	wide := 0.6 * size * float64(utf8.RuneCountInString(n.Text))
	left := 0.0
	if n.attr("text-anchor") == "middle" {
		left = -wide / 2
	}
	var x, y, turn float64
	if tr := n.attr("transform"); tr != "" {
		if _, err := fmt.Sscanf(tr, "translate(%g %g) rotate(%g)", &x, &y, &turn); err != nil {
			t.Fatal(err)
		}
	} else {
		x, y = n.number(t, "x"), n.number(t, "y")
	}
	s, c := math.Sincos(turn * math.Pi / 180)
	var out [4][2]float64
	for i, p := range [4][2]float64{{left, -0.75 * size}, {left + wide, -0.75 * size}, {left + wide, 0.1 * size}, {left, 0.1 * size}} {
		out[i] = [2]float64{x + c*p[0] - s*p[1], y + s*p[0] + c*p[1]}
	}
	return out
}

// apart looks for an edge of either box that separates them.
func apart(a, b [4][2]float64) bool {
	for _, q := range [2][2][4][2]float64{{a, b}, {b, a}} {
		for i, p := range q[0] {
			r := q[0][(i+1)%4]
			nx, ny := r[1]-p[1], p[0]-r[0]
			out := true
			for _, v := range q[1] {
				out = out && (v[0]-p[0])*nx+(v[1]-p[1])*ny >= -1e-9
			}
			if out {
				return true
			}
		}
	}
	return false
}

func TestTextsDoNotOverlapAndStayOnThePage(t *testing.T) {
	for _, b := range blanks(t) {
		for _, unit := range []measure.System{measure.Millimetres, measure.Inches} {
			root := flat(t, b, drawing.FlatOptions{Paper: measure.Paper{System: unit}, Design: "Wandwinkel groß", Size: "mid"})
			var texts []node
			root.each(func(n node) {
				if n.XMLName.Local == "text" {
					texts = append(texts, n)
				}
			})
			if len(texts) < 6 {
				t.Errorf("%s: only %d texts", b.Name, len(texts))
			}
			var wide, high float64
			if _, err := fmt.Sscanf(root.attr("viewBox"), "0 0 %g %g", &wide, &high); err != nil {
				t.Fatal(err)
			}
			for i, n := range texts {
				box := textBox(t, n)
				for _, p := range box {
					if p[0] < 0 || p[1] < 0 || p[0] > wide || p[1] > high {
						t.Errorf("%s: %q leaves the page at %v", b.Name, n.Text, p)
					}
				}
				for _, m := range texts[:i] {
					if !apart(box, textBox(t, m)) {
						t.Errorf("%s: %q and %q overlap", b.Name, n.Text, m.Text)
					}
				}
			}
		}
	}
}

// Every fold's angle and direction stands beside it or, without room, below.
func TestEveryFoldIsTold(t *testing.T) {
	for _, b := range blanks(t) {
		told := 0
		flat(t, b, drawing.FlatOptions{}).each(func(n node) {
			if n.XMLName.Local == "text" && regexp.MustCompile(`(up|down) [0-9.]+° R`).MatchString(n.Text) {
				told++
			}
		})
		if told != len(b.Flat.Folds) {
			t.Errorf("%s: %d of %d folds told", b.Name, told, len(b.Flat.Folds))
		}
	}
}

func TestFlatNamesAndNumbers(t *testing.T) {
	b := bracket.Assembly().Blanks[0]
	b.Name = "<a&\"b\">\x01"
	root := flat(t, b, drawing.FlatOptions{Design: "]]><script>"})
	found := false
	root.each(func(n node) {
		if n.XMLName.Local == "script" {
			t.Error("a name became an element")
		}
		found = found || strings.HasPrefix(n.Text, "<a&\"b\">\ufffd – 2 pieces")
	})
	if !found {
		t.Error("the name is not in the title")
	}
	b.Flat.Outer[2].P.Y = math.NaN()
	if err := drawing.FlatSVG(io.Discard, b, drawing.FlatOptions{}); err == nil {
		t.Error("a NaN was drawn")
	}
	if err := drawing.FlatSVG(io.Discard, &panel.Blank{}, drawing.FlatOptions{}); err == nil {
		t.Error("nothing was drawn")
	}
}

func BenchmarkFlatSVG(b *testing.B) {
	cap := blanks(b)[2]
	b.ReportAllocs()
	for b.Loop() {
		if err := drawing.FlatSVG(io.Discard, cap, drawing.FlatOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

// TestHungFacesShowU wants an arrow on every face that hangs on an edge and has room
// for one, which points the way that u runs there; and on no other face.
func TestHungFacesShowU(t *testing.T) {
	shown := 0
	for _, b := range blanks(t) {
		for i := range b.Flat.Panel.Faces {
			b.Flat.Panel.Faces[i].Hung = false
		}
		plain := 0
		flat(t, b, drawing.FlatOptions{}).each(func(n node) {
			if n.attr("class") == "way" {
				plain++
			}
		})
		if plain > 0 {
			t.Errorf("%s: %d arrows, and nothing hangs on an edge", b.Name, plain)
		}
		var ways []plane.Point
		for _, f := range b.Flat.Folds {
			b.Flat.Panel.Faces[f.B].Hung = true
			u, ok := b.Flat.Along(f.B)
			if !ok {
				t.Fatal("a hung face has no u")
			}
			ways = append(ways, plane.Point{X: u.X, Y: -u.Y})
		}
		flat(t, b, drawing.FlatOptions{}).each(func(n node) {
			if n.attr("class") != "way" {
				return
			}
			var at [4]float64
			for i, tok := range slices.DeleteFunc(pathToken.FindAllString(n.attr("d"), -1), func(s string) bool { return s == "M" || s == "L" }) {
				var err error
				if at[i], err = strconv.ParseFloat(tok, 64); err != nil {
					t.Fatal(n.attr("d"), err)
				}
			}
			d := plane.Point{X: at[2] - at[0], Y: at[3] - at[1]}.Unit()
			if !slices.ContainsFunc(ways, func(w plane.Point) bool { return w.Dist(d) < 1e-3 }) {
				t.Errorf("%s: an arrow points to %v, u runs %v", b.Name, d, ways)
			}
			shown++
		})
	}
	if shown < 4 {
		t.Errorf("%d arrows are too few to tell", shown)
	}
}
