package eval_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/blankpage"
	"perch/parts/drawing"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// slowest is how many times as long as the stool in the same run a text of a few
// kilobytes may take to be built or refused, by the time that processors work.
const slowest = 400

// cpuTime is the processors' time in this process so far, which other work on the machine does
// not change.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// yardstick is the time that one size of the stool takes.
var yardstick = sync.OnceValue(func() time.Duration {
	start := cpuTime()
	shop := shop.Default()
	prog, _, err := load.Design("../../examples/stool/stool.perch", shop)
	if err != nil {
		panic(err)
	}
	build.Size(prog, build.Sizes(prog)[0], shop, nil)
	return cpuTime() - start
})

// wholeBuild takes a text the whole way, all but the output folder, and holds
// what comes out to the laws of a build: errors have codes and places, and what
// has none is written down without error.
func wholeBuild(t testing.TB, text string) {
	t.Helper()
	start := cpuTime()
	shop := shop.Default()
	prog, diags, _ := load.Source(diag.NewSource("fuzz.perch", text), load.Library(), shop)
	if !diag.HasErrors(diags) {
		sizes := build.Sizes(prog)
		for _, size := range sizes[:min(len(sizes), 3)] {
			r, more := build.Size(prog, size, shop, nil)
			diags = append(diags, more...)
			if diag.HasErrors(more) != (r.Assembly == nil) {
				t.Errorf("size %s: an assembly with errors, or none without", size)
			}
			if r.Assembly != nil && len(r.Assembly.Copies) < 200 {
				writeDown(t, r, shop)
			}
		}
	}
	for _, d := range diags {
		if _, ok := diag.Title(d.Code); !ok || d.Summary == "" {
			t.Errorf("a diagnostic without code or words: %+v", d)
		}
		if d.Severity == diag.Error && d.Span.IsZero() {
			t.Errorf("%s %s has no place", d.Code, d.Summary)
		}
	}
	if took := cpuTime() - start; took > slowest*yardstick() {
		t.Errorf("it took %v, the stool %v", took, yardstick())
	}
}

func writeDown(t testing.TB, r *build.Result, shop *shop.Shop) {
	t.Helper()
	panel.Clashes(r.Flats)
	for _, f := range shopcheck.CheckAssembly(r.Assembly, shop, r.Made.Misfits) {
		for copy := range r.Flats { // its own, and those that it is not of
			r.Made.Site(copy, f)
		}
	}
	if err := record.Write(io.Discard, r.Assembly, record.Options{}); err != nil {
		t.Errorf("the record: %v", err)
	}
	if err := record.CutList(io.Discard, r.Assembly, measure.Inches); err != nil {
		t.Errorf("the cut list: %v", err)
	}
	for i, b := range r.Assembly.Blanks {
		if err := dxf.Write(io.Discard, b, dxf.Options{Design: "x"}); err != nil {
			t.Errorf("the drawing of %s: %v", b.Name, err)
		}
		pages := blankpage.Job{Assembly: r.Assembly, Names: naming.Of(r.Assembly), Sheet: paper.A4}
		doc := &paper.Document{}
		if err := pages.Add(doc, i); err != nil {
			t.Errorf("the page of %s: %v", b.Name, err)
		} else if err := doc.SVG(io.Discard); err != nil {
			t.Errorf("the picture of %s: %v", b.Name, err)
		}
	}
	if len(r.Assembly.Copies) == 0 {
		return
	}
	if _, err := drawing.Facets(r.Assembly); err != nil {
		t.Errorf("the picture of the piece: %v", err)
	}
}

func designTexts(t testing.TB) []string {
	t.Helper()
	var out []string
	for _, name := range append(examples(t), "../../testdata/worked-stool.perch") {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(b))
	}
	return out
}

func FuzzBuild(f *testing.F) {
	for _, text := range designTexts(f) {
		f.Add(text)
	}
	for seed := range uint64(5) {
		f.Add(newDraw(seed))
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 20000 {
			t.Skip()
		}
		wholeBuild(t, text)
	})
}

// TestMutatedDesigns spoils the examples as a person might: numbers changed,
// words swapped, lines and tokens lost or doubled. PERCH_MUTATIONS asks for more.
func TestMutatedDesigns(t *testing.T) {
	n := 300
	if testing.Short() {
		n = 100
	}
	if s := os.Getenv("PERCH_MUTATIONS"); s != "" {
		if _, err := fmt.Sscan(s, &n); err != nil {
			t.Fatal(err)
		}
	}
	texts := designTexts(t)
	var longest time.Duration
	for seed := range uint64(n) {
		r := rand.New(rand.NewPCG(seed, 7))
		text := texts[r.IntN(len(texts))]
		for range 1 + r.IntN(3) {
			text = spoil(r, text)
		}
		start := cpuTime()
		func() {
			defer func() {
				if p := recover(); p != nil {
					t.Fatalf("seed %d panics: %v\n%s", seed, p, text)
				}
			}()
			wholeBuild(t, text)
		}()
		longest = max(longest, cpuTime()-start)
		if t.Failed() {
			t.Fatalf("seed %d:\n%s", seed, text)
		}
	}
	t.Logf("%d texts, the slowest took %v", n, longest)
}

// spoil makes one change to a text.
func spoil(r *rand.Rand, text string) string {
	words := tokens(text)
	if len(words) < 4 {
		return text
	}
	i, j := r.IntN(len(words)), r.IntN(len(words))
	switch r.IntN(6) {
	case 0, 1, 2: // another number
		for range words {
			if w := words[i]; w[0] >= '0' && w[0] <= '9' {
				unit := strings.TrimLeft(w, "0123456789./'\"-")
				words[i] = []string{"0", "1", "-3", "0.001", "7", "33.3", "90", "180", "400", "5000", "1e9", "1e-9"}[r.IntN(12)] + unit
				break
			}
			i = (i + 1) % len(words)
		}
	case 3:
		words[i], words[j] = words[j], words[i]
	case 4:
		words[i] = ""
	case 5:
		words[i] += " " + words[j]
	}
	return strings.Join(words, "")
}

// tokens cuts a text into words, blanks and single signs; joined they are the text.
func tokens(text string) []string {
	kind := func(c byte) int {
		switch {
		case c == ' ' || c == '\n':
			return 0
		case c == '_' || c == '.' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z':
			return 1
		}
		return 2
	}
	var out []string
	for i := 0; i < len(text); {
		j := i + 1
		for j < len(text) && kind(text[j]) == kind(text[i]) && kind(text[i]) != 2 {
			j++
		}
		out = append(out, text[i:j])
		i = j
	}
	return out
}
