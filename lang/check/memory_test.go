package check

import (
	"errors"
	"fmt"
	"maps"
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// desk is a loader whose texts can change between two checks; what did not change
// is the same source, as it is in an editor.
type desk struct{ texts map[string]*diag.Source }

func newDesk(t testing.TB) *desk {
	t.Helper()
	d := &desk{map[string]*diag.Source{}}
	for _, dotted := range stdlib.Modules() {
		name, text, err := stdlib.Module(dotted)
		if err != nil {
			t.Fatal(err)
		}
		d.texts[dotted] = diag.NewSource(name, text)
	}
	d.put("pan.perch", "use leaf from \"leaf.perch\"\npanel pan(s: side, deep: length = 40mm) { face web on s { outline s.band(deep, leaf(deep)) } }\nlet wide = 3mm\n")
	d.put("leaf.perch", "let leaf(x: length) = x * 2\n")
	return d
}

func (d *desk) put(name, text string) { d.texts[name] = diag.NewSource(name, text) }

func (d *desk) Module(dotted string) (*diag.Source, error) { return d.File(nil, dotted) }

func (d *desk) File(_ *diag.Source, name string) (*diag.Source, error) {
	if src := d.texts[name]; src != nil {
		return src, nil
	}
	return nil, fmt.Errorf("%s: %w", name, errors.New("it is not on the desk"))
}

// typed are designs and modules to be edited: whole ones, and some full of mistakes.
func typed(t testing.TB) map[string]string {
	t.Helper()
	texts := map[string]string{}
	for _, pattern := range []string{"../../examples/*/*.perch", "../../stdlib/std/*.perch", "testdata/*.chunks"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range files {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			texts[name] = strings.ReplaceAll(string(b), "---", "")
		}
	}
	texts["files"] = `design "d"
use pan, wide as broad from "pan.perch"
use gone from "gone.perch"
stock s = sheet(mild_steel, 2mm)
body b = box(1m, 1m, 1m)
param w: length in 1mm..9mm = broad
param v: length = w
param w2: length about v
rule w = w2 + v
let a = w * 2
let twice(x: length, n: count in 0..3 = 1) = x * n + a
let c = twice(a, 2)
panel own(p: pan, x: length) { face web off p.web.top up 90deg { outline strip(x) } }
part one[i in b.sides] of s = pan(i, deep: c)
part two of s = own(one[b.front], x: c) if mass() > 3kg
join j = one.web to two.web by rivet(4mm, count: 2)
size low: w = 3mm
size high like low: v = largest
`
	texts["edges"] = `design "d"
use bracket from std.plain
stock s = sheet(mild_steel, 2mm)
let low = [(0mm, 0mm), (9mm, 0mm) edge rim, (9mm, 9mm) edge side]
let high = [(0mm, 0mm), (8mm, 0mm) edge rim, (9mm, 9mm)]
let both = low + high.rounded(1mm) - rect(1mm, 1mm)
let put(w: length) = [(0mm, 0mm), (w, 0mm) edge far, (w, w)] at (w, w)
panel one(tall: flag = false) { face web on level(0mm) { outline if tall then high else low } face lip off web.rim up 90deg { outline strip(9mm) } }
panel two(a: one) { face web on a.web.over { outline both } face lip off web.side up 90deg { outline put(9mm) } let l = lip.far.length + a.web.rim.length }
panel three(a: two) { face web on level(0mm) { outline symmetric(low) } let l = web.rim.length + a.lip.far.length }
part p of s = one()
part q of s = two(p)
part r of s = three(q)
part b of s = bracket()
let far = q.lip.far.length + b.base.bend_line.length + p.web.rim.length
`
	return texts
}

var aWord = regexp.MustCompile(`[a-z_]+[0-9]*`)

// meddle makes one random edit of the kind that people make.
func meddle(rnd *rand.Rand, text string) string {
	spanOf := func(f *syntax.File) (lo, hi int) {
		if len(f.Stmts) == 0 {
			return 0, 0
		}
		sp := f.Stmts[rnd.Intn(len(f.Stmts))].Span()
		return int(sp.Start), int(sp.End)
	}
	f, _ := syntax.Parse(diag.NewSource("x", text))
	at := rnd.Intn(len(text) + 1)
	switch rnd.Intn(9) {
	case 0: // type
		pieces := []string{"a", "0", " ", "\n", "(", ")", "{", "}", ",", ".", "mm", "let ", "param q: length = 3mm\n", "face", "// ", "\""}
		return text[:at] + pieces[rnd.Intn(len(pieces))] + text[at:]
	case 1: // take out
		return text[:at] + text[min(len(text), at+1+rnd.Intn(6)):]
	case 2, 3: // put one word for another, once or everywhere
		words := aWord.FindAllStringIndex(text, -1)
		if len(words) == 0 {
			return text + "\nlet more = 1mm"
		}
		x, y := words[rnd.Intn(len(words))], words[rnd.Intn(len(words))]
		if rnd.Intn(2) == 0 {
			return strings.ReplaceAll(text, text[x[0]:x[1]], text[y[0]:y[1]])
		}
		return text[:x[0]] + text[y[0]:y[1]] + text[x[1]:]
	case 4: // another unit
		for i := at; i+2 < len(text); i++ {
			if text[i:i+2] == "mm" {
				return text[:i] + []string{"deg", "kg", "", "cm"}[rnd.Intn(4)] + text[i+2:]
			}
		}
		return text + "\nlet more = 1mm"
	case 5: // take a statement out
		lo, hi := spanOf(f)
		return text[:lo] + text[hi:]
	case 6: // put it in twice
		lo, hi := spanOf(f)
		return text[:lo] + text[lo:hi] + "\n" + text[lo:]
	case 7: // move it to the end
		lo, hi := spanOf(f)
		return text[:lo] + text[hi:] + "\n" + text[lo:hi]
	}
	news := []string{"let more = 1mm\n", "let sin = 3\n", "stock toe = sheet(mild_steel, 2mm)\n", "let web = 3deg\n", "panel more() { }\n", "size more: more = 1\n"}
	lo, _ := spanOf(f)
	return text[:lo] + news[rnd.Intn(len(news))] + text[lo:]
}

// TestDiagnose edits texts and the modules they use at random and wants, after
// every edit, what a check from the beginning says.

func TestDiagnose(t *testing.T) {
	edits := 60
	if testing.Short() {
		edits = 20
	}
	looked, all := 0, 0
	for name, text := range typed(t) {
		rnd := rand.New(rand.NewSource(int64(len(text))))
		lib := newDesk(t)
		var mem *Memory
		first, back := text, text
		for i := range edits {
			was := text
			switch n := rnd.Intn(20); {
			case i == 0:
			case n == 0:
				names := slices.Sorted(maps.Keys(lib.texts))
				name := names[rnd.Intn(len(names))]
				lib.put(name, meddle(rnd, lib.texts[name].Text))
			case n == 1:
				lib = newDesk(t)
			case n < 12:
				text = back // undo
			default:
				if rnd.Intn(3) > 0 {
					back = text
				}
				text = meddle(rnd, text)
				if rnd.Intn(4) == 0 {
					text = meddle(rnd, text)
				}
			}
			root, mistakes := syntax.Parse(diag.NewSource("design.perch", text))
			_, want := Check(root, lib, shop)
			got, next := Diagnose(root, mistakes, lib, shop, mem)
			same := cmp.Comparer(func(a, b *diag.Source) bool { return a == b })
			if d := cmp.Diff(want, got, same); d != "" {
				t.Fatalf("%s, edit %d: from the beginning (-) and from memory (+) differ:\n%s\nthe text was\n%s\n\nand is\n%s", name, i, d, was, text)
			}
			if next.units != nil {
				looked, all = looked+next.Looked, all+len(next.units)
			}
			mem = next
			if len(want)+len(mistakes) > 12 || len(text) > 1<<16 {
				text, back = first, first // too broken to go on with
			}
		}
	}
	t.Logf("%d of %d statements looked at", looked, all)
}

// TestUnderstood wants no word of a text without mistakes of syntax to count as
// skipped.
func TestUnderstood(t *testing.T) {
	for name, text := range typed(t) {
		f, mistakes := syntax.Parse(diag.NewSource(name, text))
		if words := skippedWords(f); len(mistakes) == 0 && len(words) > 0 {
			t.Errorf("%s: %v count as skipped", name, slices.Sorted(maps.Keys(words)))
		}
	}
	_, diags := checkText("design \"d\"\nbody b = box(1m, 1m, 1m)\npanel p() {\n  face f on b.front { outline rect(1mm, 1mm) }\n  face g off f.top up // how far\n 9deg { outline strip(up) }\n}\n", nil)
	if len(diags) != 1 || diags[0].Code != "P2001" {
		t.Errorf("a name that is a word of the language: got %v", diags)
	}
}

// TestDiagnoseLooks wants an edit to lead only to the statements that it can matter
// to: the count of those looked at is the work done.
func TestDiagnoseLooks(t *testing.T) {
	const text = `design "d"
use corner_leg from std.stool
stock s = sheet(mild_steel, 2mm)
body b = box(1m, 1m, 1m)
param w: length in 1mm..90mm = 20mm "a width"
let half = w / 2
let twice(x: length) = x * 2
rule w > half
panel own(c: corner, x: length) { face web on c.left from c { outline rect(x, x) } }
part one of s = own(b.corners[1], x: half)
part two of s = corner_leg(b.corners[1], toe: twice(half))
join j = one.web to two.cheek by rivet(4mm, count: 2)
size low: w = 3mm
`
	for _, c := range []struct {
		was, is string
		looked  int
	}{
		{"\"a width\"", "\"how wide\"", 1},
		{"w / 2", "w / 3", 1},
		{"w / 2", "w / 2mm", 4},               // rule, parts
		{"in 1mm..90mm", "in 1mm..80mm", 4},   // let, rule, size
		{"x * 2", "x * 3", 1},                 // what it gives is the same
		{"rect(x, x)", "rect(x, x + 1mm)", 3}, // one, and the join
		{"count: 2", "count: 3", 1},
		{"w = 3mm", "w = 4mm", 1},
		{"sheet(mild_steel, 2mm)", "sheet(mild_steel, 3mm)", 1},
		{"design \"d\"", "design \"other\" // yes", 0},
	} {
		lib := newDesk(t)
		see := func(text string, before *Memory) *Memory {
			root, mistakes := syntax.Parse(diag.NewSource("design.perch", text))
			_, m := Diagnose(root, mistakes, lib, shop, before)
			return m
		}
		if !strings.Contains(text, c.was) {
			t.Fatalf("%q is not in the text", c.was)
		}
		m := see(strings.Replace(text, c.was, c.is, 1), see(text, nil))
		if m.Looked != c.looked {
			t.Errorf("%q for %q: %d statements are looked at, want %d", c.is, c.was, m.Looked, c.looked)
		}
	}
}
