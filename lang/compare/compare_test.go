package compare

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// plate is a bent plate with holes; its numbers follow from the text alone.
const plate = `design "Plate" revision "A"

stock s = sheet(mild_steel, 2mm, radius: 2mm, k: 0.4)

param wide: length in 50mm..500mm = 200mm  "of the plate"
param at: length = 40mm

panel angle(w: length) {
  face base on level(0mm) {
    outline rect(w, 100mm)
    cut hole = circle(10mm) at (at_of(1), 0mm)
    cut slot_1 = slot(40mm, 8mm) at (-30mm, 20mm)
    mark note = text("UP", height: 5mm)
  }
  face leg off base.left up 90deg { outline strip(50mm) }
}

let at_of(i: count) = 40mm * i

size small
size large: wide = 300mm

part bracket of s = angle(wide)
`

func changedText(t *testing.T, old string, pairs ...string) *Difference {
	t.Helper()
	text := old
	for i := 0; i+1 < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("no %q in the text", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	d, _, ok := compared(t, old, text)
	if !ok {
		for _, x := range []string{old, text} {
			p, ds, _ := load.Source(diag.NewSource("x", x), load.Library(), shop.Default())
			t.Log(p != nil, ds)
		}
		t.Fatal("a side does not build")
	}
	return d
}

func textOf(t *testing.T, d *Difference) string {
	t.Helper()
	var b strings.Builder
	if err := d.Brief().Text(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTheSameText(t *testing.T) {
	d := changedText(t, plate)
	if !d.Same || !d.PartsSame || !strings.Contains(textOf(t, d), "no difference") {
		t.Errorf("the same text differs:\n%s", textOf(t, d))
	}
}

// Formatting, comments, order and brackets that change nothing are no difference.
func TestWritingIsNoDifference(t *testing.T) {
	d := changedText(t, plate, "40mm * i", "((40mm) * i)", "param at: length = 40mm\n", "", "size small\n", "// sizes\nparam   at: length = 40mm\n\nsize small\n")
	if !d.Same {
		t.Errorf("writing otherwise is a difference:\n%s", textOf(t, d))
	}
}

// A refactor that changes no part says so.
func TestRefactor(t *testing.T) {
	for name, pairs := range map[string][]string{
		"a let in place of a number": {"slot(40mm, 8mm)", "slot(long, 8mm)", "let at_of", "let long = 40mm\n\nlet at_of"},
		"a part's stock renamed":     {"stock s =", "stock steel =", "of s =", "of steel ="},
		"a name of the panel":        {"panel angle(", "panel corner(", "= angle(", "= corner("},
		"a point on a straight edge": {"rect(w, 100mm)", "[(-w / 2, -50mm), (0mm, -50mm), (w / 2, -50mm), (w / 2, 50mm), (-w / 2, 50mm) edge left]"},
	} {
		d := changedText(t, plate, pairs...)
		if text := textOf(t, d); d.Same || !d.PartsSame || !strings.Contains(text, "no part changed") {
			t.Errorf("%s: a part changed:\n%s", name, text)
		}
	}
}

func TestRenamedPart(t *testing.T) {
	d := changedText(t, plate, "part bracket", "part corner")
	p := d.Sizes[0].Parts
	if len(p) != 1 || p[0].Change != Renamed || p[0].Was != "bracket" || p[0].Name != "corner" || !d.PartsSame {
		t.Errorf("a renamed part is told as %+v", p)
	}
	if s := d.Statements; len(s) != 1 || s[0].Change != Renamed || s[0].Was != "part bracket" {
		t.Errorf("a renamed statement is told as %+v", s)
	}
}

// Holes, folds and sizes by the numbers that the text says.
func TestWhatMoved(t *testing.T) {
	only := func(t *testing.T, d *Difference) *Flat {
		t.Helper()
		if len(d.Sizes) != 2 || len(d.Sizes[0].Parts) != 1 || d.Sizes[0].Parts[0].Flat == nil {
			t.Fatalf("not one part with another flat:\n%s", textOf(t, d))
		}
		return d.Sizes[0].Parts[0].Flat
	}
	t.Run("hole", func(t *testing.T) {
		f := only(t, changedText(t, plate, "40mm * i", "43mm * i"))
		if len(f.Cuts) != 1 || f.Cuts[0].Name != "base.hole" || f.Cuts[0].Moved != 3 || f.Cuts[0].Edge != 0 || f.Outline != 0 || len(f.Folds) != 0 {
			t.Errorf("a hole that moved 3 mm: %+v", f)
		}
	})
	t.Run("hole's size", func(t *testing.T) {
		f := only(t, changedText(t, plate, "circle(10mm)", "circle(12mm)"))
		if len(f.Cuts) != 1 || f.Cuts[0].Moved != 0 || f.Cuts[0].Edge != 1 {
			t.Errorf("a hole of 10 mm made 12 mm: %+v", f.Cuts)
		}
	})
	t.Run("hole gone", func(t *testing.T) {
		f := only(t, changedText(t, plate, "    cut slot_1 = slot(40mm, 8mm) at (-30mm, 20mm)\n", ""))
		if len(f.Cuts) != 1 || f.Cuts[0].Change != Removed || f.Cuts[0].Name != "base.slot_1" {
			t.Errorf("a slot taken out: %+v", f.Cuts)
		}
	})
	t.Run("fold's angle", func(t *testing.T) {
		f := only(t, changedText(t, plate, "up 90deg", "up 80deg"))
		if len(f.Folds) != 1 || f.Folds[0].OldAngle != 90 || f.Folds[0].NewAngle != 80 {
			t.Errorf("a fold of 90° made 80°: %+v", f.Folds)
		}
	})
	t.Run("fold's way", func(t *testing.T) {
		f := only(t, changedText(t, plate, "up 90deg", "down 90deg"))
		if len(f.Folds) != 1 || f.Folds[0].OldDown || !f.Folds[0].NewDown {
			t.Errorf("a fold turned over: %+v", f.Folds)
		}
	})
	t.Run("width", func(t *testing.T) {
		d := changedText(t, plate, "= 200mm", "= 210mm")
		f := only(t, d)
		if w := f.New.Width - f.Old.Width; w < 9.999999 || w > 10.000001 {
			t.Errorf("10 mm wider: the flat is %g mm wider", w)
		}
		if v := d.Sizes[0].Values; len(v) != 1 || v[0].Name != "wide" || *v[0].Old != 200 || *v[0].New != 210 || v[0].NewFrom != "default" {
			t.Errorf("values: %+v", v)
		}
		if d.Sizes[1].Change != Same {
			t.Errorf("size large states its own width: %+v", d.Sizes[1])
		}
	})
	t.Run("mark", func(t *testing.T) {
		f := only(t, changedText(t, plate, `"UP"`, `"TOP"`))
		if len(f.Marks) != 1 || f.Marks[0].Name != "base.note" || f.Marks[0].Change != Changed || f.Outline != 0 {
			t.Errorf("another text: %+v", f)
		}
	})
	t.Run("stock", func(t *testing.T) {
		d := changedText(t, plate, "2mm, radius", "1.5mm, radius")
		p := d.Sizes[0].Parts
		if len(p) != 1 || p[0].OldStock != "mild_steel 2mm" || p[0].NewStock != "mild_steel 1.5mm" {
			t.Errorf("a thinner sheet: %+v", p)
		}
	})
}

func TestPartsAddedAndRemoved(t *testing.T) {
	two := plate + "part second of s = angle(wide - 20mm)\n"
	d, _, ok := compared(t, plate, two)
	if !ok || len(d.Sizes[0].Parts) != 1 || d.Sizes[0].Parts[0].Change != Added || d.Sizes[0].New.Pieces != 2 {
		t.Fatalf("a part added: %+v", d)
	}
	d, _, _ = compared(t, two, plate)
	if p := d.Sizes[0].Parts; len(p) != 1 || p[0].Change != Removed || p[0].Name != "second" {
		t.Errorf("a part removed: %+v", p)
	}
}

// More copies of one blank, and one blank that becomes two.
func TestCountsAndSplits(t *testing.T) {
	four := strings.Replace(plate, "part bracket of s = angle(wide)", "part bracket[i in 1..4] of s = angle(wide)", 1)
	d := changedText(t, four, "1..4", "1..6")
	if p := d.Sizes[0].Parts; len(p) != 1 || p[0].OldCount != 4 || p[0].NewCount != 6 || p[0].Flat != nil {
		t.Errorf("two more: %+v", p)
	}
	d = changedText(t, four, "angle(wide)\n", "angle(if even(i) then wide else wide + 10mm)\n")
	text := textOf(t, d)
	p := d.Sizes[0].Parts
	if len(p) != 2 || p[0].Was != "bracket" || p[1].Was != "bracket" || p[0].NewCount != 2 || p[1].NewCount != 2 {
		t.Errorf("one blank became two:\n%s", text)
	}
	d = changedText(t, strings.Replace(four, "angle(wide)\n", "angle(if even(i) then wide else wide + 10mm)\n", 1), "if even(i) then wide else wide + 10mm", "wide")
	if p := d.Sizes[0].Parts; len(p) == 0 || d.PartsSame {
		t.Errorf("two blanks became one:\n%s", textOf(t, d))
	}
}

// A part bent the other way is another part, though its flat is cut alike.
func TestBentTheOtherWay(t *testing.T) {
	d := changedText(t, plate, "(at_of(1), 0mm)", "(-at_of(1), 0mm)", "(-30mm, 20mm)", "(30mm, 20mm)", "base.left", "base.right",
		`    mark note = text("UP", height: 5mm)`+"\n", "")
	if d.PartsSame {
		t.Errorf("mirrored and said to be the same:\n%s", textOf(t, d))
	}
	bare := strings.Replace(plate, `    mark note = text("UP", height: 5mm)`+"\n", "", 1)
	d = changedText(t, bare, "(at_of(1), 0mm)", "(-at_of(1), 0mm)", "(-30mm, 20mm)", "(30mm, 20mm)", "base.left", "base.right")
	p := d.Sizes[0].Parts
	if len(p) != 1 || !p[0].Turned || p[0].Change != Changed || p[0].Flat != nil || !strings.Contains(textOf(t, d), "bent the other way") {
		t.Errorf("bent the other way: %+v\n%s", p, textOf(t, d))
	}
}

func TestSizesAddedAndRemoved(t *testing.T) {
	d := changedText(t, plate, "size small\n", "size tiny: wide = 120mm\n")
	if len(d.Sizes) != 3 || d.Sizes[0].Change != Added || d.Sizes[2].Change != Removed || d.Sizes[2].Name != "small" {
		t.Errorf("sizes: %+v", d.Sizes)
	}
	if !d.PartsSame || d.Unannounced() {
		t.Error("a size more or less changes no part of the others")
	}
}

func TestGuard(t *testing.T) {
	d := changedText(t, plate, "40mm * i", "43mm * i")
	var b strings.Builder
	d.Guard(&b)
	if !d.Unannounced() || !strings.Contains(b.String(), "the revision is still A\n  bracket") {
		t.Errorf("a part changed in secret: %s", &b)
	}
	if d := changedText(t, plate, "40mm * i", "43mm * i", `revision "A"`, `revision "B"`); d.Unannounced() || d.Same {
		t.Error("the revision says that a part changed")
	}
	if d := changedText(t, plate, `revision "A"`, `revision "B"`); d.Same || !d.PartsSame {
		t.Error("a new revision alone is a difference that changes no part")
	}
}

func TestTwoDesigns(t *testing.T) {
	a, _ := opened("a.perch", plate)
	b, _ := opened("b.perch", strings.Replace(plate, `"Plate"`, `"Dish"`, 1))
	a, b, _, err := Build(a, b, shop.Default(), nil)
	if err != nil {
		t.Fatal(err)
	}
	d, err := Compare(a, b)
	var names *NamesError
	if !errors.As(err, &names) || d == nil || d.Same {
		t.Errorf("two designs: %v", err)
	}
	if _, _, _, err := Build(a, b, shop.Default(), []string{"huge"}); err == nil {
		t.Error("a size that neither has is no error")
	}
}

// JSON, SVG and HTML are well formed and need nothing beside them.
func TestForms(t *testing.T) {
	d := changedText(t, strings.Replace(plate, `"Plate"`, `"A & B <plate>"`, 1), "40mm * i", "43mm * i", "= 200mm", "= 210mm")
	b, err := json.Marshal(d)
	var back Difference
	if err != nil || json.Unmarshal(b, &back) != nil || back.Sizes[1].Parts[0].Flat.Cuts[0].Moved != 3 {
		t.Errorf("JSON: %v", err)
	}
	if strings.Contains(string(b), "null") {
		t.Errorf("JSON has null where a list is meant: %s", b)
	}
	for name, draw := range map[string]func(io.Writer) error{"SVG": d.SVG, "HTML": d.Brief().HTML} {
		var out bytes.Buffer
		if err := draw(&out); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		rest := strings.ReplaceAll(text, "http://www.w3.org/2000/svg", "")
		for _, bad := range []string{"http:", "https:", "url(", "<script", "<link", "NaN", "Inf", "B <plate>"} {
			if strings.Contains(rest, bad) {
				t.Errorf("%s contains %q", name, bad)
			}
		}
		for _, class := range []string{`class="old"`, `class="new"`, `class="both fold"`} {
			if !strings.Contains(text, class) {
				t.Errorf("%s has no %s", name, class)
			}
		}
		if name == "SVG" {
			for dec := xml.NewDecoder(&out); ; {
				if _, err := dec.Token(); err == io.EOF {
					break
				} else if err != nil {
					t.Fatalf("SVG: %v", err)
				}
			}
		}
	}
}

// An inch design is told in inches.
func TestMakersUnits(t *testing.T) {
	d := changedText(t, example(t, "inch_stool"), "12-1/2in ", "12-3/4in ")
	if text := textOf(t, d); !strings.Contains(text, "seat  12-1/2in → 12-3/4in  default") || strings.Contains(text, "mm ") && !strings.Contains(text, "in") {
		t.Errorf("inches:\n%s", text)
	}
}

func ExampleReport_Text() {
	side := func(text string) Side {
		p, _, _ := load.Source(diag.NewSource("plate.perch", text), load.Library(), shop.Default())
		return Side{Name: "plate.perch", Program: p}
	}
	old, new, _, _ := Build(side(plate), side(strings.Replace(plate, "40mm * i", "43mm * i", 1)), shop.Default(), nil)
	d, _ := Compare(old, new)
	var b strings.Builder
	d.Brief().Text(&b)
	fmt.Print(b.String())
	// Output:
	// Plate
	// its one part changed, and the revision is still A
	//
	// stated
	//   ~ let at_of  (i: count) = 40mm * i → (i: count) = 43mm * i
	//
	// parts
	//   bracket at small, large: the flat's size stays; moved: cut base.hole 3mm
	//
	// --all tells more
}
