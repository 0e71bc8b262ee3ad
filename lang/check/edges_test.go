package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/lang/syntax"
)

// meant lists what each member of the design that may name an edge may mean: the
// lines where the edges are stated, 0 for one of the language's, ? for what is not
// known before the face is drawn.
func meant(p *Program) map[string]string {
	out := map[string]string{}
	syntax.InspectFile(p.Root.File, func(n syntax.Node) bool {
		m, ok := n.(*syntax.Member)
		if !ok {
			return true
		}
		edges, open := p.EdgesOf(m)
		if len(edges) == 0 && !open {
			return true
		}
		var at []string
		for _, e := range edges {
			line := 0
			if e.At.Source != nil {
				line = e.At.Position().Line
			}
			at = append(at, fmt.Sprint(line))
		}
		slices.Sort(at)
		if open {
			at = append(at, "?")
		}
		out[m.At.Text()] = strings.Join(at, " ")
		return true
	})
	return out
}

// TestEdges wants each use of an edge to lead to where it is stated, in every way
// that the language has to make an outline. (Derived from how outlines are drawn:
// what is taken away and a face's own outline have no names, the rest keeps them.)
func TestEdges(t *testing.T) {
	const head = `design "d"
stock st = sheet(mild_steel, 2mm)
body b = box(1m, 1m, 1m)
let a = [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm)]
let o = [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm) edge brim]
let f(w: length) = [(0mm, 0mm), (w, 0mm) edge rim, (w, w)]
let g(s: shape) = s.rounded(1mm)
panel p(s: shape, pts: [point], fc: face) {
  face base on level(0mm) { outline rect(9mm, 9mm) + a
    cut hole = circle(1mm) }
  face web on level(0mm) { outline %s }
  fold base to web
  let seen = %s
}
`
	for _, c := range []struct{ outline, use, want string }{
		{"[(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm)]", "web.rim", "11"},
		{"a", "web.rim", "4"},
		{"(a)", "web.rim", "4"},
		{"f(9mm)", "web.rim", "6"},
		{"if true then a else o", "web.rim", "4 5"},
		{"if true then a else o", "web.brim", "5"},
		{"if true then rect(1mm, 1mm) else [(0mm, 0mm), (9mm, 0mm) edge left, (9mm, 9mm)]", "web.left", "0 11"},
		{"a + o", "web.rim", "4 5"},
		{"a & o", "web.brim", "5"},
		{"a - o", "web.rim", "4"},
		{"a & inside(b)", "web.rim", "4"},
		{"a & behind(b.front)", "web.rim", "4"},
		{"a + base.hole", "web.rim", "4"},
		{"a & base.outline", "web.rim", "4"},
		{"base.outline", "web.rim", "4"},
		{"inside(b)", "web.left", "0"},
		{"fc.outline", "web.rim", "?"},
		{"a at (1mm, 1mm)", "web.rim", "4"},
		{"a at [(1mm, 1mm), (2mm, 2mm)]", "web.rim", "4"},
		{"a.rounded(1mm)", "web.rim", "4"},
		{"(a + o).mirrored().inset(1mm)", "web.brim", "5"},
		{"symmetric([(0mm, 0mm), (9mm, 0mm) edge rim, (0mm, 9mm)])", "web.rim", "11"},
		{"symmetric(a)", "web.rim", "4"},
		{"rect(1mm, 1mm)", "web.left", "0"},
		{"b.front.band(0mm, 1mm)", "web.top", "0"},
		{"a", "base.rim", "4"},
		{"a", "base.left", "0"},
		{"s", "web.rim", "?"},
		{"pts", "web.rim", "?"},
		{"g(a)", "web.rim", "?"},
		{"[a, o][1]", "web.rim", "?"},
		{"a + s", "web.rim", "4 ?"},
		{"a", "fc.rim", "?"},
		{"a", "web.rim.face.brim", "?"},
	} {
		p, diags := checkText(fmt.Sprintf(head, c.outline, c.use), nil)
		if len(diags) > 0 {
			t.Errorf("%s: %v", c.outline, diags)
		}
		if got := meant(p)[c.use]; got != c.want {
			t.Errorf("outline %s: %s may mean the edges of lines %q, want %q", c.outline, c.use, got, c.want)
		}
	}
	for _, c := range []struct{ outline, use, word string }{
		{"a", "web.brim", "rim"}, {"a - o", "web.brim", "rim"}, {"inside(b)", "web.rim", ""}, {"ngon(6, 9mm)", "web.left", ""},
		{"base.outline", "web.brim", "rim"}, {"base.hole", "web.rim", ""}, {"a at (1mm, 1mm)", "web.left", ""},
	} {
		_, diags := checkText(fmt.Sprintf(head, c.outline, c.use), nil)
		if len(diags) != 1 || diags[0].Code != "P2030" {
			t.Errorf("outline %s, use %s: got %v, want one P2030", c.outline, c.use, diags)
		}
		if c.word != "" && !strings.Contains(fmt.Sprint(diags), "did you mean "+c.word) {
			t.Errorf("outline %s, use %s: %v does not offer %s", c.outline, c.use, diags, c.word)
		}
	}
}

// TestEdgeDeclared wants an edge to be declared once, however often its list is read,
// and to know where it stands.
func TestEdgeDeclared(t *testing.T) {
	p, diags := checkText(`design "d"
let a = [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm) edge rim]
panel q() {
  face web on level(0mm) { outline [(0mm, 0mm), (9mm, 0mm) round 1mm edge top, (9mm, 9mm)] }
  let seen = web.top
}
`, nil)
	if len(diags) != 1 || diags[0].Code != "P2002" {
		t.Errorf("got %v, want one P2002", diags)
	}
	var got []string
	syntax.InspectFile(p.Root.File, func(n syntax.Node) bool {
		if l, ok := n.(*syntax.List); ok {
			for i := range l.Items {
				if d := p.EdgeOf(&l.Items[i]); d != nil {
					owner := "-"
					if d.Owner != nil {
						owner = d.Owner.Name
					}
					got = append(got, fmt.Sprintf("%s of %s: %s", d.Name, owner, d.Corner.At.Text()))
				} else if l.Items[i].Edge != nil {
					got = append(got, "none")
				}
			}
		}
		return true
	})
	want := []string{"rim of -: (9mm, 0mm) edge rim", "none", "top of web: (9mm, 0mm) round 1mm edge top"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if e := p.Root.Named("q")[0].Member("web").Edges(); len(e) != 1 || e[0].Kind != Edge || e[0].Name != "top" {
		t.Errorf("the face's edges are %v", e)
	}
}

// TestEdgeLists wants the name of an edge of which there are copies to be a list:
// where symmetric mirrors it, where `at` puts the shape at several points.
func TestEdgeLists(t *testing.T) {
	const head = `design "d"
let half = [(9mm, 0mm) edge side, (9mm, 9mm) edge crown]
let whole = [(9mm, 0mm) edge side, (9mm, 9mm), (0mm, 12mm) edge roof]
panel p(s: shape, pts: [point]) {
  face web on level(0mm) { outline %s }
  face lip off web.%s up 90deg { outline strip(5mm) }
}
`
	for _, c := range []struct{ outline, edge, want string }{
		{"symmetric(half)", "side", "list"},
		{"symmetric(half)", "crown", ""}, // it crosses the axis
		{"symmetric(whole)", "roof", "list"},
		{"symmetric(half).rounded(1mm)", "side", "list"},
		{"symmetric(half) & rect(9mm, 9mm)", "side", "list"},
		{"symmetric(half) + rect(9mm, 9mm)", "left", ""},
		{"rect(9mm, 9mm) at (1mm, 0mm)", "left", ""},
		{"rect(9mm, 9mm) at [(1mm, 0mm), (2mm, 0mm)]", "left", "list"},
		{"rect(9mm, 9mm) + rect(9mm, 9mm) at [(1mm, 0mm)]", "left", "list"},
		{"if true then half else symmetric(half)", "side", "list"},
		{"symmetric(half) - symmetric(whole)", "side", "list"},
		{"half - symmetric(half)", "side", ""},
		{"symmetric(pts)", "side", ""}, // known when it is drawn
		{"s", "side", ""},
		{"symmetric(half)", "side[2]", ""},
	} {
		_, diags := checkText(fmt.Sprintf(head, c.outline, c.edge), nil)
		if c.want == "" && len(diags) > 0 || c.want != "" && (len(diags) != 1 || diags[0].Code != "P2010" || !strings.Contains(fmt.Sprint(diags[0]), "face lip[e in web."+c.edge+"] off e")) {
			t.Errorf("off %s of %s: got %v, want %q", c.edge, c.outline, diags, c.want)
		}
	}
	// as the domain of an index a list will do, and what only the drawn face can tell
	for _, outline := range []string{"symmetric(half)", "s", "symmetric(pts)"} {
		text := strings.Replace(fmt.Sprintf(head, outline, "side"), "face lip off web.side up", "face lip[e in web.side] off e up", 1)
		if _, diags := checkText(text, nil); len(diags) > 0 {
			t.Errorf("each side of %s: %v", outline, diags)
		}
	}
	text := strings.Replace(fmt.Sprintf(head, "rect(9mm, 9mm)", "left"), "face lip off web.left up", "face lip[e in web.left] off e up", 1)
	if _, diags := checkText(text, nil); len(diags) != 1 || diags[0].Code != "P2016" {
		t.Errorf("each of one edge: %v, want one P2016", diags)
	}
}

// TestHungFaceHasOuter wants the edge along the fold to be known of hung faces only,
// and a written one before it.
func TestHungFaceHasOuter(t *testing.T) {
	const text = `design "d"
panel p(s: shape) {
  face web on level(0mm) { outline rect(90mm, 90mm) }
  face lip off web.top up 90deg { outline %s }
  face curl off %s.outer up 90deg { outline strip(5mm) }
}
`
	for _, c := range []struct{ outline, face, want string }{
		{"strip(9mm)", "lip", "0"}, {"rect(9mm, 9mm)", "lip", "0"}, {"[(0mm, 0mm), (9mm, 0mm), (9mm, 9mm)]", "lip", "0"},
		{"[(0mm, 0mm), (9mm, 0mm) edge outer, (9mm, 9mm)]", "lip", "4"}, {"s", "lip", "0 ?"}, {"strip(9mm)", "web", ""},
	} {
		p, diags := checkText(fmt.Sprintf(text, c.outline, c.face), nil)
		if got := meant(p)[c.face+".outer"]; got != c.want || (c.want == "") != (len(diags) == 1 && diags[0].Code == "P2030") {
			t.Errorf("%s of %s: means %q with %v, want %q", c.face, c.outline, got, diags, c.want)
		}
	}
}
