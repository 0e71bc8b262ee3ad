package syntax

import (
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestFixesMend slips once in a design, at every kind of token, and applies each fix that
// is offered, by itself: fewer mistakes of syntax are left.
func TestFixesMend(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	rnd := rand.New(rand.NewSource(2))
	offered, every := 0, 24
	if testing.Short() {
		every = 120
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		source := string(b)
		for _, tok := range tokensOf(source) {
			for _, slip := range sortedKeys(slips) {
				if rnd.Intn(every) > 0 {
					continue
				}
				a, z := int(tok.Start), int(tok.End)
				wrong := slips[slip](source[a:z])
				if wrong == "" {
					continue
				}
				text := source[:a] + wrong + source[z:]
				f, got := Parse(diag.NewSource(name, text))
				for _, d := range Proved(f, got) {
					if d.Fix == nil {
						continue
					}
					offered++
					mended := d.Fix.Apply(text)
					if _, left := Parse(diag.NewSource(name, mended)); len(left) >= len(got) {
						t.Errorf("%s: `%s` %s: %d mistakes, and %d with the fix\n%s\nthen\n%s", name, tok.Value, slip, len(got), len(left), d, left[0])
					}
				}
			}
		}
	}
	t.Logf("%d fixes were tried", offered)
	if offered < 200 {
		t.Error("too few slips have a fix")
	}
}

// TestSlipsOfMakersMended gives slips that makers make and what the fix makes of them: a
// text without a mistake of syntax. No fix is offered where it would leave the text broken.
func TestSlipsOfMakersMended(t *testing.T) {
	for _, c := range []struct{ text, want string }{ // want is "" where there is no fix
		{"design \"Tray\n", "design \"Tray\"\n"},
		{"let a = \"rack\\shelf\"\n", "let a = \"rack\\\\shelf\"\n"},
		{"let part = 3mm\n", "let part_1 = 3mm\n"},
		{"// words\nlet w = 2mm\ndesign \"d\" in inches // more\nlet v = 2mm\n", "design \"d\" in inches // more\n// words\nlet w = 2mm\nlet v = 2mm\n"},
		{"design \"d\"\ndesign \"e\"\n", "design \"d\"\n"},
		{"let a = b.corners[]\n", "let a = b.corners\n"},
		{"let rest = 200mm -\nlet b = 3\n", "let rest = 200mm\nlet b = 3\n"},
		{"let rest = (200mm * )\n", "let rest = (200mm )\n"},
		{"rule 1mm < wide <= 3 * gap\n", "rule 1mm < wide and wide <= 3 * gap\n"},
		{"let a = (1, 2, 3, 4)\n", "let a = [1, 2, 3, 4]\n"},
		{"param a: length = 2 height\n", "param a: length = 2 * height\n"},
		{"let a = rect(80mm, 2 height)\n", "let a = rect(80mm, 2 * height)\n"},
		{"let a = [2 height, 3mm]\n", "let a = [2 * height, 3mm]\n"},
		{"let a = round(80 step: 3)\n", "let a = round(80, step: 3)\n"},
		{"let a = rect(80mm height)\n", "let a = rect(80mm, height)\n"},
		{"let a = 200milli\n", "let a = 200mm\n"},
		{"let a = (3 4)\n", "let a = (3, 4)\n"},
		{"let a = = 3mm\n", "let a =  3mm\n"},
		{"let a a = 3mm\n", "let a  = 3mm\n"},
		{"use a 3mm from std.m\n", ""},
	} {
		f, got := Parse(diag.NewSource("x", c.text))
		got = Proved(f, got)
		if len(got) != 1 {
			t.Errorf("%q: %d mistakes: %v", c.text, len(got), got)
			continue
		}
		mended := ""
		if got[0].Fix != nil {
			mended = got[0].Fix.Apply(c.text)
		}
		if mended != c.want {
			t.Errorf("%q is mended to %q, want %q: %s", c.text, mended, c.want, got[0])
		}
		if _, left := Parse(diag.NewSource("x", mended)); len(left) > 0 {
			t.Errorf("%q is mended to %q, which has a mistake: %s", c.text, mended, left[0])
		}
	}
}

// TestManyMistakesAreNotProved: past a bound on the work fixes are left out.
func TestManyMistakesAreNotProved(t *testing.T) {
	text := strings.Repeat("stock a sheet(mild_steel, 1mm)\n", 3*maxProved)
	f, got := Parse(diag.NewSource("x", text))
	fixes := 0
	for _, d := range Proved(f, got) {
		if d.Fix != nil {
			fixes++
		}
	}
	if fixes == 0 || fixes > maxProved {
		t.Errorf("%d mistakes have a fix", fixes)
	}
}
