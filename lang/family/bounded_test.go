package family_test

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/output"
	"perch/parts/shop"
)

// ended builds a design and answers with what was told of it; it fails where that does
// not end in a time that a hundred times the work would need, or takes more memory in all than
// so many megabytes.
func ended(t *testing.T, text string, megabytes uint64) []diag.Diagnostic {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	done := make(chan []diag.Diagnostic, 1)
	go func() {
		s := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("many.perch", text), load.Library(), s)
		if err == nil && !diag.HasErrors(diags) {
			var more []diag.Diagnostic
			more, err = family.Job{Program: prog, Shop: s}.Build(t.TempDir(), output.Options{})
			diags = append(diags, more...)
		}
		if err != nil {
			t.Error(err)
		}
		done <- diags
	}()
	select {
	case diags := <-done:
		runtime.ReadMemStats(&after)
		if got := (after.TotalAlloc - before.TotalAlloc) >> 20; got > megabytes {
			t.Errorf("%d MB were taken in all, more than %d", got, megabytes)
		}
		return diags
	case <-time.After(3 * time.Minute):
		t.Fatal("this does not end")
		return nil
	}
}

// TestManyHoles: ten thousand holes, as a family of cuts and as one cut at many places,
// cost what a few seconds do.
func TestManyHoles(t *testing.T) {
	n := 100
	if testing.Short() {
		n = 40
	}
	for name, cuts := range map[string]string{
		"family": fmt.Sprintf("cut h[i in 1..%d, j in 1..%d] = circle(6mm) at (10mm * i, 10mm * j)", n, n),
		"places": "cut h = circle(6mm) at places",
	} {
		diags := ended(t, fmt.Sprintf(`
design "Sieve" in millimetres
stock steel = sheet(mild_steel, 1mm)
let places[i in 1..%d, j in 1..%d] = (10mm * i, 10mm * j)
panel sieve() { face web on level(0mm) { outline rect(%dmm, %dmm) at (%dmm, %dmm)
  %s
} }
part sieve of steel = sieve()`, n, n, 10*n+20, 10*n+20, 5*n, 5*n, cuts), uint64(n*n/20))
		if len(diags) > 0 {
			t.Errorf("%s: %v", name, diags)
		}
	}
}

// TestTooMuch: designs whose work grows beyond any bound, each by another way, are told so at
// a place, and end.
func TestTooMuch(t *testing.T) {
	chain := func(first, next string) string { // next has two %d for the one before
		var s strings.Builder
		s.WriteString(first + "\n")
		for i := 1; i < 25; i++ {
			fmt.Fprintf(&s, next+"\n", i, i-1, i-1)
		}
		return s.String()
	}
	panel := func(body string) string {
		return "panel p() { face web on level(0mm) {\n" + body + "\n} }\npart a of steel = p()\n"
	}
	plate := panel("outline rect(900mm, 900mm)")
	for name, text := range map[string]string{
		"functions in a rule": chain("let f0(x: length) = x", "let f%d(x: length) = f%d(x: x + 1mm) + f%d(x: x * 2)") +
			"param w: length in 1mm..100mm = 10mm\nparam q: length\nrule q = f24(w)\n" + plate,
		"choices in a rule": chain("let f0(x: length) = x", "let f%d(x: length) = if x > 3mm then f%d(x: x + 1mm) else f%d(x: x * 2)") +
			"param w: length in 1mm..100mm = 10mm\nparam q: length\nrule q = f24(w)\n" + plate,
		"functions":           chain("let f0(x: length) = x", "let f%d(x: length) = f%d(x: x + 1mm) + f%d(x: x * 2)") + "let q = f24(1mm)\n" + plate,
		"shapes of functions": chain("let f0(x: length) = circle(x)", "let f%d(x: length) = f%d(x: x + 1mm) + f%d(x: x * 2)") + panel("outline f24(1mm)"),
		"shapes of shapes":    chain("let s0 = circle(9mm)", "let s%d = s%d + (s%d at (7mm, 0mm))") + panel("outline s24"),
		"shapes at places":    "let p[i in 1..200] = (1mm * i, 0mm)\n" + chain("let s0 = circle(9mm)", "let s%d = s%d at p // %d") + panel("outline s24"),
		"lists of lists": "body c = box(99mm, 99mm, 99mm)\n" + chain("let l0 = [c, c]", "let l%d = [l%d, l%d]") +
			"let q = l24.sides.right.height\n" + plate,
		"values in a list": "let l[i in 1..20000] = i\nlet q[i in 1..20000] = if i in l then 1 else 2\n" + plate,
		"cuts that cross":  panel("outline rect(900mm, 900mm)\ncut h[i in 1..2000] = rect(400mm, 0.01mm).turned(0.09deg * i)"),
		"cuts on cuts":     panel("outline rect(900mm, 900mm)\ncut h[i in 1..9000] = circle(20mm) at (0.001mm * i, 0mm)"),
	} {
		if testing.Short() && name != "shapes of shapes" && name != "lists of lists" && name != "cuts that cross" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			diags := ended(t, "design \"Deep\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\n"+text, 4000)
			if len(diags) == 0 || slices.ContainsFunc(diags, func(d diag.Diagnostic) bool { return d.Code != "P2061" || d.Span.IsZero() }) {
				t.Errorf("told: %v", diags)
			}
		})
	}
}

// TestMuch: what is large and nothing else is built: many blanks, fasteners and beads, each
// unlike the others.
func TestMuch(t *testing.T) {
	n := 5000
	if testing.Short() {
		n = 1000
	}
	for name, text := range map[string]string{
		"blanks": fmt.Sprintf(`panel p(z: length, w: length) { face web on level(z) { outline rect(100mm + w, 80mm) } }
part a[i in 1..%d] of steel = p(2mm * i, 0.001mm * i) loose`, n/5),
		"fasteners": fmt.Sprintf(`panel p(z: length) { face web on level(z) { outline rect(2000mm, 1100mm)
  cut h[i in 1..50, j in 1..%d] = circle(4.9mm) at (19mm * (i - 25), 19mm * (j - 25)) } }
panel q(z: length) { face web on level(z) { outline rect(2000mm, 1100mm) } }
part a of steel = p(1mm)
part b of steel = q(2mm)
join j = a.web to b.web at a.web.h by rivet(4.8mm)`, n/100),
		"beads": fmt.Sprintf(`panel p() { face web on level(0mm) { outline rect(2000mm, 1100mm)
  mark b[i in 1..50, j in 1..%d] = bead(circle(12mm), width: 1mm) at (18mm * (i - 25), 18mm * (j - 25)) } }
part a of steel = p()`, n/100),
		"looked up": fmt.Sprintf("let q[i in 1..%d] = i\nlet r[i in 1..%[1]d] = q[i]\nlet s[i in 1..%[1]d] = r[q[i]]\npanel p() { face web on level(0mm) { outline rect(99mm, 99mm) } }\npart a of steel = p()", 4*n),
	} {
		t.Run(name, func(t *testing.T) {
			diags := ended(t, "design \"Large\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\n"+text, uint64(n))
			if diag.HasErrors(diags) {
				t.Errorf("told: %v", diags)
			}
		})
	}
}

// TestStoppedSoon: once nobody wants the values any more, little is asked before all is given
// up, wherever the work stood.
func TestStoppedSoon(t *testing.T) {
	var s strings.Builder
	s.WriteString("design \"Deep\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\nlet f0(x: length) = x\n")
	for i := 1; i < 25; i++ {
		fmt.Fprintf(&s, "let f%d(x: length) = f%d(x: x + 1mm) + f%d(x: x * 2)\n", i, i-1, i-1)
	}
	s.WriteString("let q = f24(1mm)\npanel p() { face web on level(0mm) { outline rect(9mm, 9mm) } }\npart a[i in 1..500] of steel = p()\n")
	for _, rule := range []string{"", "param w: length in 1mm..9mm = 2mm\nparam z: length\nrule z = f24(w)\n"} {
		facts := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("deep.perch", s.String()+rule), load.Library(), facts)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(err, diags)
		}
		var asked atomic.Int64
		prog.Stopped = func() bool { return asked.Add(1) > 20 }
		dir := t.TempDir()
		if _, err := (family.Job{Program: prog, Shop: facts, File: "deep.perch"}).Build(dir, output.Options{}); !errors.Is(err, family.ErrStopped) {
			t.Errorf("stopped: %v", err)
		}
		if n := asked.Load(); n < 21 || n > 1000 {
			t.Errorf("asked %d times whether to go on", n)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%s is left", left[0].Name())
		}
	}
}

// TestManyPartsInOnePlace: thousands of equal parts that overlap are told as far as they were
// compared, with how many more there are; as many apart cost next to nothing.
func TestManyPartsInOnePlace(t *testing.T) {
	n := 3000
	if testing.Short() {
		n = 1000
	}
	text := `design "Pile" in millimetres
stock steel = sheet(mild_steel, 1mm)
panel p(z: length) { face web on level(z) { outline rect(100mm, 80mm) } }
part a[i in 1..%d] of steel = p(%s) loose`
	if diags := ended(t, fmt.Sprintf(text, n, "10mm"), 1500); len(diags) != 2 || diags[0].Code != "P5004" || diags[1].Code != "P5004" ||
		!strings.HasPrefix(diags[0].Notes[len(diags[0].Notes)-1], "and ") || !strings.Contains(diags[1].Summary, "were not compared") {
		t.Errorf("told: %v", diags)
	}
	if diags := ended(t, fmt.Sprintf(text, n, "2mm * i"), 200); len(diags) > 0 {
		t.Errorf("told: %v", diags)
	}
}
