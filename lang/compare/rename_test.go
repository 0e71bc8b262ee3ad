package compare

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// word replaces a whole word.
func word(text, old, new string) string {
	return regexp.MustCompile(`\b`+old+`\b`).ReplaceAllString(text, new)
}

func diffOf(t *testing.T, old, new string) *Difference {
	t.Helper()
	d, _, ok := compared(t, old, new)
	if !ok {
		t.Fatalf("a side does not build:\n%s", new)
	}
	return d
}

// A new name is told once, not again wherever it is used, and its values are the old
// name's.
func TestRenamedNames(t *testing.T) {
	stool := example(t, "stool")
	for _, x := range []struct {
		what     string
		old, new string
		want     []Statement
	}{
		{"a param", stool, strings.Replace(strings.Replace(stool, "param flap:", "param skirt:", 1), "drop: flap", "drop: skirt", 1),
			[]Statement{{Change: Renamed, Name: "param skirt", Was: "param flap"}}},
		{"a param that sizes and rules name", stool, strings.Replace(word(stool, "height", "tall"), "tall: tall", "height: tall", 1),
			[]Statement{{Change: Renamed, Name: "param tall", Was: "param height"}}},
		{"two at once", plate + "let a = wide + at\n", word(word(plate, "wide", "long"), "at: length", "off: length") + "let a = long + off\n",
			[]Statement{{Change: Renamed, Name: "param long", Was: "param wide"}, {Change: Renamed, Name: "param off", Was: "param at"}}},
		{"a body", stool, word(stool, "inner", "within"), []Statement{{Change: Renamed, Name: "body within", Was: "body inner"}}},
		{"a join", stool, strings.Replace(stool, "join head", "join top_row", 1), []Statement{{Change: Renamed, Name: "join top_row", Was: "join head"}}},
		{"a size", stool, word(stool, "size mid", "size medium"), []Statement{{Change: Renamed, Name: "size medium", Was: "size mid"}}},
		{"a face", plate, word(plate, "base", "bed"), []Statement{{Change: Renamed, Name: "panel angle / face bed", Was: "panel angle / face base"}}},
		{"a panel's parameter", plate, word(plate, "w", "across"), []Statement{{Change: Renamed, Name: "panel angle / param across", Was: "panel angle / param w"}}},
	} {
		d := diffOf(t, x.old, x.new)
		if len(d.Statements) != len(x.want) || !d.PartsSame {
			t.Errorf("%s renamed:\n%s", x.what, textOf(t, d))
			continue
		}
		for i, s := range d.Statements {
			if w := x.want[i]; s.Change != w.Change || s.Name != w.Name || s.Was != w.Was {
				t.Errorf("%s renamed is told as %+v", x.what, s)
			}
		}
		for _, s := range d.Sizes {
			if len(s.Values)+len(s.Joins) > 0 {
				t.Errorf("%s renamed changed at %s: %+v %+v", x.what, s.Name, s.Values, s.Joins)
			}
		}
	}
}

// What was renamed and changed is one statement and one value, seen by its uses.
func TestRenamedAndChanged(t *testing.T) {
	d := diffOf(t, plate, strings.Replace(word(plate, "wide", "long"), "= 200mm", "= 210mm", 1))
	if s := d.Statements; len(s) != 1 || s[0].Change != Changed || s[0].Was != "param wide" || s[0].Name != "param long" {
		t.Errorf("statements: %+v", s)
	}
	if v := d.Sizes[0].Values; len(v) != 1 || v[0].Name != "long" || v[0].Was != "wide" || *v[0].Old != 200 || *v[0].New != 210 {
		t.Errorf("values: %+v", v)
	}
	if text := textOf(t, d); !strings.Contains(text, "param wide  renamed to long, ") {
		t.Errorf("the text says:\n%s", text)
	}
}

// A name that went and another that came for another purpose are no rename.
func TestNotRenamed(t *testing.T) {
	d := diffOf(t, plate, strings.Replace(plate, `param at: length = 40mm`, `param turn: angle = 90deg`, 1))
	if s := d.Statements; len(s) != 2 || s[0].Change != Added || s[1].Change != Removed {
		t.Errorf("a length became an angle: %+v", s)
	}
}

// Nor are two that say the same and are used for different things; two that are used for
// one thing by sizes alone are.
func TestSeenByTheirUses(t *testing.T) {
	d := changedText(t, plate, "param at: length = 40mm\n", "param dot: length = 10mm\nparam at: length = 40mm\n", "circle(10mm)", "circle(dot)")
	if s := d.Statements; len(s) != 2 {
		t.Fatalf("a param for a number: %+v", s)
	}
	old := strings.NewReplacer("param at: length = 40mm\n", "param dot: length = 10mm\nparam at: length = 40mm\n", "circle(10mm)", "circle(dot)").Replace(plate)
	new := strings.NewReplacer("let at_of", "let here = 1\nparam deep: length = 10mm\nlet at_of", "slot(40mm, 8mm)", "slot(40mm, deep)").Replace(plate)
	for _, s := range diffOf(t, old, new).Statements {
		if s.Was != "" {
			t.Errorf("a hole's width went, a slot's came: %+v", s)
		}
	}
	d = diffOf(t, strings.Replace(plate, "size large: wide = 300mm", "size large: wide = 300mm, at = 50mm", 1),
		strings.NewReplacer("param at: length = 40mm", "param off: length = 44mm", "size large: wide = 300mm", "size large: wide = 300mm, off = 50mm").Replace(plate))
	if s := d.Statements; len(s) != 1 || s[0].Was != "param at" || s[0].Name != "param off" {
		t.Errorf("stated by one size alike: %+v", s)
	}
}

// The same lengths in other units are the same; that the design is in another system is
// told, for its papers follow.
func TestOtherUnits(t *testing.T) {
	if d := diffOf(t, plate, strings.Replace(strings.Replace(plate, `"Plate"`, `"Plate" in millimetres`, 1), "circle(10mm)", "circle(1cm)", 1)); !d.Same {
		t.Errorf("1 cm for 10 mm:\n%s", textOf(t, d))
	}
	d := diffOf(t, plate, strings.Replace(strings.ReplaceAll(plate, "50mm..500mm = 200mm", "50mm..500mm = 7.874015748031496in"), `"Plate"`, `"Plate" in inches`, 1))
	if s := d.Statements; len(s) != 1 || s[0].Name != "design" || s[0].Old != "in millimetres" || s[0].New != "in inches" || !d.PartsSame {
		t.Errorf("millimetres became inches:\n%s", textOf(t, d))
	}
}

// libraryPanel is the text of one panel of the stool's library.
func libraryPanel(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile("../../stdlib/std/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	text = text[strings.Index(text, "panel "+name+"("):]
	if i := strings.Index(text, "\n}\n"); i >= 0 {
		text = text[:i+3]
	}
	return text
}

// A library panel that was copied into the design is held to the library's: what was
// changed in the copy is told, and nothing else.
func TestCopiedLibraryPanel(t *testing.T) {
	stool := example(t, "stool")
	without := strings.Replace(stool, "corner_leg, cross_rung,", "corner_leg,", 1)
	if without == stool {
		t.Fatal("the stool's imports are other ones")
	}
	own := libraryPanel(t, "cross_rung")
	altered := strings.Replace(own, "lap: length in 15mm..120mm = 30mm", "lap: length in 15mm..120mm = 34mm", 1)
	if altered == own {
		t.Fatal("the library's rung is another one")
	}
	d := diffOf(t, stool, without+"\n"+own)
	if s := d.Statements; len(s) != 1 || s[0].Change != Moved || s[0].Name != "panel cross_rung" || s[0].From != "std.stool" || !d.PartsSame {
		t.Errorf("copied as it is: %+v", s)
	}
	for name, text := range map[string]string{
		"cross_rung": without + "\n" + altered,
		"step":       word(without, "cross_rung", "step") + "\n" + word(altered, "cross_rung", "step"),
	} {
		d = diffOf(t, stool, text)
		if s := d.Statements; len(s) != 2 || s[0].Change != Moved || s[0].Name != "panel "+name ||
			s[1].Change != Changed || s[1].Name != "panel "+name+" / param lap" || !strings.Contains(s[1].Old, "30mm") || !strings.Contains(s[1].New, "34mm") {
			t.Errorf("copied and altered as %s:\n%s", name, textOf(t, d))
		}
		if d.PartsSame {
			t.Error("a longer lap makes another rung")
		}
	}
}

// A face and a cut that were renamed are compared with what they were, in the flats too,
// and so are those of a copied panel.
func TestRenamedFacesOfFlats(t *testing.T) {
	d := changedText(t, plate, "40mm * i", "43mm * i", "cut hole", "cut eye", "face base", "face bed", "base.left", "bed.left")
	p := d.Sizes[0].Parts[0]
	if f := p.Flat; f == nil || len(f.Cuts) != 1 || f.Cuts[0].Name != "bed.eye" || f.Cuts[0].Change != Changed || f.Cuts[0].Moved != 3 || len(f.Folds)+len(f.Marks) > 0 {
		t.Errorf("a renamed hole moved 3 mm in a renamed face: %+v", f)
	}
	stool := example(t, "stool")
	own := strings.Replace(stool, "corner_leg, cross_rung,", "corner_leg,", 1) + "\n" + libraryPanel(t, "cross_rung")
	other := strings.ReplaceAll(word(own, "web", "plate_face"), "lap: length in 15mm..120mm = 30mm", "lap: length in 15mm..120mm = 34mm")
	d = diffOf(t, stool, other)
	var told []string
	for _, s := range d.Statements {
		told = append(told, string(s.Change)+" "+s.Name)
	}
	if len(told) != 4 || told[0] != "moved panel cross_rung" || !strings.Contains(textOf(t, d), "~ panel cross_rung / face web ") || !strings.Contains(textOf(t, d), "renamed to plate_face\n") {
		t.Errorf("copied, altered and a face renamed:\n%s", textOf(t, d))
	}
	for _, s := range d.Sizes {
		for _, p := range s.Parts {
			for _, f := range p.Flat.Folds {
				if f.Change != Changed {
					t.Errorf("%s at %s: fold %s is %s", p.Name, s.Name, f.Name, f.Change)
				}
			}
		}
	}
}

// A copy that is thrown away for the library's is held to that.
func TestBackToTheLibrary(t *testing.T) {
	stool := example(t, "stool")
	own := libraryPanel(t, "cross_rung")
	altered := strings.Replace(own, "lap: length in 15mm..120mm = 30mm", "lap: length in 15mm..120mm = 34mm", 1)
	d := diffOf(t, strings.Replace(stool, "corner_leg, cross_rung,", "corner_leg,", 1)+"\n"+altered, stool)
	s := d.Statements
	if len(s) != 2 || s[0].Change != Moved || s[0].Module != "std.stool" || s[0].From != "old.perch" || s[1].Name != "panel cross_rung / param lap" || !strings.Contains(s[1].New, "30mm") {
		t.Errorf("back to the library:\n%s", textOf(t, d))
	}
}
