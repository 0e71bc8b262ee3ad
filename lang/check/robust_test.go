package check

import (
	"fmt"
	"reflect"
	"sort"
	"strings"
	"testing"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
)

func checkText(text string, lib Loader) (*Program, []diag.Diagnostic) {
	root, _ := syntax.Parse(diag.NewSource("design.perch", text))
	return Check(root, lib, shop)
}

// apply carries out the fixes of all diagnostics, last place first.
func apply(text string, diags []diag.Diagnostic) string {
	var edits []diag.Edit
	for _, d := range diags {
		if d.Fix != nil {
			edits = append(edits, d.Fix.Edits...)
		}
	}
	sort.Slice(edits, func(i, j int) bool { return edits[i].Span.Start > edits[j].Span.Start })
	for _, e := range edits {
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
	}
	return text
}

// TestFixes applies what diagnostics offer: the text then reads as it must and checks clean.
func TestFixes(t *testing.T) {
	lib := shelf{modules: map[string]string{"std.m": "let one = 1mm\nlet two = 2mm\nlet three = 3mm"}}
	head := "design \"d\"\n"
	for _, c := range []struct{ text, want string }{
		{head + "param width: length = 1mm\nlet a = widht * 2", head + "param width: length = 1mm\nlet a = width * 2"},
		{head + "let a = sin(30)", head + "let a = sin(30deg)"},
		{head + "let a = 5mm + 2", head + "let a = 5mm + 2mm"},
		{head + "let a = 5mm - (-2.5)", head + "let a = 5mm - (-2.5mm)"},
		{head + "param a: lenght = 1mm", head + "param a: length = 1mm"},
		{head + "param a: mass = 20", head + "param a: mass = 20kg"},
		{head + "rule 3mm > 2", head + "rule 3mm > 2mm"},
		{head + "param a: length in 1mm..5 = 2mm", head + "param a: length in 1mm..5mm = 2mm"},
		{head + "let a = rect(w: 1mm, hh: 2mm)", head + "let a = rect(w: 1mm, h: 2mm)"},
		{head + "let a = circle(2mm) at (1, 2mm)", head + "let a = circle(2mm) at (1mm, 2mm)"},
		{head + "use one, two as t, three from std.m\nlet a = one + three", head + "use one, three from std.m\nlet a = one + three"},
		{head + "use one, two from std.m\nlet a = one", head + "use one from std.m\nlet a = one"},
		{head + "use one from std.m\nlet a = 1", head + "let a = 1"},
		{head + "use on from std.m\nlet a = on", head + "use one from std.m\nlet a = one"},
		{head + "use on as o from std.m\nlet a = o", head + "use one as o from std.m\nlet a = o"},
		{"param a: length = 1mm", "design \"Unnamed\"\n\nparam a: length = 1mm"},
		{head + "size low\nsize high like lov", head + "size low\nsize high like low"},
		{head + "let b = box(1mm, 1mm, 1mm)\nlet h = b.hieght", head + "let b = box(1mm, 1mm, 1mm)\nlet h = b.height"},
	} {
		_, diags := checkText(c.text, lib)
		got := apply(c.text, diags)
		if got != c.want {
			t.Errorf("%q is mended to\n%q, want\n%q", c.text, got, c.want)
			continue
		}
		if _, again := checkText(got, lib); len(again) > 0 {
			t.Errorf("%q is not clean: %s", got, again[0])
		}
	}
}

// TestDeep wants a diagnostic, not a dead process, for chains that are too deep to follow.
func TestDeep(t *testing.T) {
	var b strings.Builder
	b.WriteString("design \"deep\"\n")
	for i := range 12000 {
		fmt.Fprintf(&b, "let a%d = a%d + 1\n", i, i+1)
	}
	b.WriteString("let a12000 = 1\n")
	_, diags := checkText(b.String(), nil)
	if len(diags) != 1 || diags[0].Code != "P2045" {
		t.Errorf("got %d diagnostics, the first %v", len(diags), diags[:min(1, len(diags))])
	}
	var long strings.Builder
	long.WriteString("design \"circle\"\n")
	for i := range 5000 {
		fmt.Fprintf(&long, "let a%d = a%d + 1\n", i, (i+1)%5000)
	}
	_, diags = checkText(long.String(), nil)
	if len(diags) != 1 || diags[0].Code != "P2004" {
		t.Errorf("got %d diagnostics, the first %v", len(diags), diags[:min(1, len(diags))])
	}
}

// TestSame wants the same diagnostics in the same order from every run.
func TestSame(t *testing.T) {
	for _, file := range []string{"names.chunks", "types.chunks", "designs.chunks"} {
		text := strings.ReplaceAll(read(t, file), "---", "")
		_, first := checkText(text, shelf{})
		for range 5 {
			if _, again := checkText(text, shelf{}); fmt.Sprint(again) != fmt.Sprint(first) {
				t.Fatalf("%s: two runs differ", file)
			}
		}
	}
}

// walk calls visit with every expression below a node, by reflection, so that
// it can miss none that the checker should have read.
func walk(v reflect.Value, visit func(syntax.Expr)) {
	switch v.Kind() {
	case reflect.Interface, reflect.Pointer:
		if v.IsNil() || v.Type() == reflect.TypeOf((*diag.Source)(nil)) {
			return
		}
		if e, ok := v.Interface().(syntax.Expr); ok && v.Kind() == reflect.Pointer {
			visit(e)
		}
		walk(v.Elem(), visit)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walk(v.Field(i), visit)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), visit)
		}
	}
}

// TestTyped wants a type for every expression of a clean program but words and
// the names of what is called.
func TestTyped(t *testing.T) {
	lib := shelf{modules: map[string]string{"std.stool": read(t, "std_stool.perch")}}
	prog, _ := checkText(read(t, "stool.perch"), lib)
	n := 0
	for _, m := range prog.Modules {
		called := map[syntax.Expr]bool{}
		walk(reflect.ValueOf(m.File.Stmts), func(e syntax.Expr) {
			if c, ok := e.(*syntax.Call); ok {
				called[c.Fun] = true
			}
			if name, ok := e.(*syntax.Name); ok && builtin.IsWord(name.Name) && prog.DeclOf(name) == nil {
				return
			}
			n++
			if prog.TypeOf(e).Kind == Invalid && !called[e] {
				t.Errorf("%v: %s has no type", e.Span().Position(), e.Span().Text())
			}
		})
	}
	if n < 300 {
		t.Errorf("only %d expressions were seen", n)
	}
}

// linesEach is how many lines each round of generated writes.
const linesEach = 19

// generated is a design of about n lines that holds no mistake.
func generated(n int) string {
	var b strings.Builder
	b.WriteString("design \"generated\"\n\nstock shell = sheet(mild_steel, 1.5mm)\nbody frame = frustum(top: 300mm, bottom: 400mm, height: 600mm)\n")
	for i := 0; i*linesEach < n; i++ {
		fmt.Fprintf(&b, `param w%[1]d: length in 10mm..900mm = 100mm "a width"
param a%[1]d: angle in 0deg..90deg about 6deg
let half%[1]d = w%[1]d / 2 + 3mm * sin(a%[1]d)
rule half%[1]d >= 10mm and w%[1]d < 2 * half%[1]d + 900mm "fits"
panel leg%[1]d(
  c: corner "where",
  toe: length = 40mm "width",
) "A leg." {
  let top = c.height - 3mm
  face cheek[s in c.sides] on s from c {
    outline [(0mm, 0mm), (toe, 0mm) round 3mm, (toe, top), (0mm, top) edge back_edge]
    cut hole[i in 1..3] = circle(4mm) at (toe / 2, i * 40mm) if i > 1
  }
  fold cheek[c.left] to cheek[c.right] by bend(relief: round)
}
part p%[1]d[c in frame.corners] of shell = leg%[1]d(c, toe: half%[1]d)
join j%[1]d = p%[1]d.cheek to p%[1]d.cheek by rivet(4mm, pitch: 40mm)
size z%[1]d: w%[1]d = 120mm
`, i)
	}
	return b.String()
}

func BenchmarkCheck(b *testing.B) {
	text := generated(2000)
	root, diags := syntax.Parse(diag.NewSource("generated.perch", text))
	if _, more := Check(root, nil, shop); len(diags)+len(more) > 0 {
		b.Fatal(append(diags, more...)[0])
	}
	b.SetBytes(int64(len(text)))
	b.ReportMetric(float64(strings.Count(text, "\n")), "lines")
	b.ReportAllocs()
	for b.Loop() {
		Check(root, nil, shop)
	}
}

// FuzzCheck wants parse and check to end without panic on any text, and every
// diagnostic to have a listed code and a place inside a text.
func FuzzCheck(f *testing.F) {
	for _, file := range []string{"names.chunks", "types.chunks", "designs.chunks"} {
		for _, c := range chunks(read(f, file)) {
			f.Add(strings.TrimLeft(c, "\n"))
		}
	}
	f.Add(read(f, "stool.perch"))
	std := read(f, "std_stool.perch")
	f.Add(std)
	lib := shelf{modules: map[string]string{"std.stool": std, "std.small": "let thick = 1mm"}}
	f.Fuzz(func(t *testing.T, text string) {
		_, diags := checkText(text, lib)
		for _, d := range diags {
			if _, ok := diag.Title(d.Code); !ok || d.Summary == "" {
				t.Errorf("%s %q", d.Code, d.Summary)
			}
			if d.Span.Source == nil || d.Span.Start < 0 || d.Span.End < d.Span.Start || int(d.Span.End) > len(d.Span.Source.Text) {
				t.Errorf("%s %q has no place: %v", d.Code, d.Summary, d.Span)
			}
			if d.Fix != nil {
				for _, e := range d.Fix.Edits {
					if e.Span.Source == nil || e.Span.End < e.Span.Start || int(e.Span.End) > len(e.Span.Source.Text) {
						t.Errorf("%s: a fix without place", d.Code)
					}
				}
			}
		}
	})
}
