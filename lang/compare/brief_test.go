package compare

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// shelf is a rack of eight rungs that grow longer upwards.
const shelf = `design "Rack" in millimetres revision "A"

stock s = sheet(mild_steel, 2mm, radius: 2mm, k: 0.4)
param off: length = 30mm
param step: length = 10mm

panel bar(long: length) {
  face web on level(0mm) {
    outline rect(long, 40mm)
    cut hole = circle(8mm) at (-off, 0mm)
  }
  face lip off web.top up 90deg { outline strip(20mm) }
}

size small
size mid: step = 12mm
size large: step = 14mm

part rung[i in 1..8] of s = bar(200mm + step * i)
part foot of s = bar(500mm)
`

func rowsOf(t *testing.T, d *Difference, title string) []string {
	t.Helper()
	_, rest, found := strings.Cut(textOf(t, d), "\n"+title+"\n")
	if !found {
		t.Fatalf("no section %s in\n%s", title, textOf(t, d))
	}
	section, _, _ := strings.Cut(rest, "\n\n")
	return strings.Split(strings.TrimRight(section, "\n"), "\n")
}

// Verdict and totals come first; copies and sizes that change alike are one line.
func TestBriefIsBrief(t *testing.T) {
	d := changedText(t, shelf, "off: length = 30mm", "off: length = 34mm")
	if got, want := rowsOf(t, d, "parts"), []string{"  rung.1 to rung.8, foot at small, mid, large: the flat's size stays; moved: cut web.hole 4mm"}; !slices.Equal(got, want) {
		t.Errorf("nine bars at three sizes with a hole moved:\n%s", strings.Join(got, "\n"))
	}
	text := textOf(t, d)
	if !strings.HasPrefix(text, "Rack\nall 9 parts changed, and the revision is still A\n") {
		t.Errorf("the verdict is not first:\n%s", text)
	}

	d = changedText(t, shelf, "rect(long, 40mm)", "rect(long + 6mm, 40mm)", `revision "A"`, `revision "B"`)
	text = textOf(t, d)
	if got := rowsOf(t, d, "parts"); len(got) > 3 || !strings.HasPrefix(got[0], "  rung.1 to rung.8") || !strings.Contains(got[0], "flat +6mm × 0") {
		t.Errorf("eight bars of eight lengths grow by 6 mm:\n%s", text)
	}
	order := []string{"all 9 parts changed, revision A → B\n", "\nin all\n", "\nstated\n", "\nparts\n"}
	at := -1
	for _, w := range order {
		i := strings.Index(text, w)
		if i <= at {
			t.Errorf("%q is not in its place:\n%s", w, text)
		}
		at = i
	}
	var all strings.Builder
	if err := d.All().Text(&all); err != nil {
		t.Fatal(err)
	}
	for i := 1; i <= 8; i++ {
		if !strings.Contains(all.String(), fmt.Sprintf("rung.%d at small:", i)) {
			t.Errorf("all does not tell of rung.%d at small:\n%s", i, all.String())
		}
	}
	if strings.Count(all.String(), "\n") < 2*strings.Count(text, "\n") {
		t.Errorf("the brief report is no shorter than all:\n%s", text)
	}
}

// Where numbers differ, alike changes are told with their range.
func TestRangesOfNumbers(t *testing.T) {
	d := changedText(t, shelf, "at (-off, 0mm)", "at (-off - step / 2, 0mm)")
	got := strings.Join(rowsOf(t, d, "parts"), "\n")
	if !regexp.MustCompile(`^  rung\.1 to rung\.8, foot at small, mid, large: .*cut web\.hole 5mm to 7mm$`).MatchString(got) {
		t.Errorf("a hole that moved by half a step of 10, 12 and 14 mm:\n%s", got)
	}
}

// A part that changes at some sizes only says at which; one more copy is told by count.
func TestBriefTellsWhere(t *testing.T) {
	d := changedText(t, shelf, "size mid: step = 12mm", "size mid: step = 13mm")
	if text := textOf(t, d); !strings.Contains(text, "\n8 of 9 parts changed at mid, and the revision is still A\n") {
		t.Errorf("a step of one size:\n%s", text)
	}
	d = changedText(t, shelf, "1..8", "1..9")
	if text := textOf(t, d); !strings.Contains(text, "1 part new, and the revision") || !strings.Contains(text, "rung.9 at small, mid, large: new, 1 piece of mild_steel 2mm, flat ") {
		t.Errorf("a rung more:\n%s", text)
	}
	d = changedText(t, shelf, "part foot of", "part foot[i in 1..2] of")
	if got := rowsOf(t, d, "parts"); !slices.Equal(got, []string{"  foot at small, mid, large: 1 → 2 pieces"}) {
		t.Errorf("two feet for one:\n%s", strings.Join(got, "\n"))
	}
}

func TestCompressedNames(t *testing.T) {
	for _, x := range []struct{ names, want string }{
		{"a", "a"},
		{"a.1 a.2", "a.1, a.2"},
		{"a.1 a.2 a.3", "a.1 to a.3"},
		{"a.3 a.1 a.2 a.5 b", "a.1 to a.3, a.5, b"},
		{"top/flap.1 top/flap.2 top/flap.3", "top/flap.1 to top/flap.3"},
		{"a.1.1 a.1.2 a.1.3 a.2.1", "a.1.1 to a.1.3, a.2.1"},
		{"a.01 a.2", "a.01, a.2"},
	} {
		if got := strings.Join(compressed(strings.Fields(x.names)), ", "); got != x.want {
			t.Errorf("%s is told as %s, not %s", x.names, got, x.want)
		}
	}
}

// A design rewritten in inches says so once: its statements by their number, what differs
// by the last digit not at all by its numbers.
func TestRewrittenInInches(t *testing.T) {
	old := strings.Replace(plate, `"Plate"`, `"Plate" in millimetres`, 1)
	inches := regexp.MustCompile(`\b(\d+)mm\b`).ReplaceAllStringFunc(strings.Replace(old, "in millimetres", "in inches", 1), func(mm string) string {
		var n float64
		fmt.Sscanf(mm, "%fmm", &n)
		return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.4f", n/25.4), "0"), ".") + "in"
	})
	d := diffOf(t, old, inches)
	text := textOf(t, d)
	for _, want := range []string{
		"\nits one part changed by less than 0.001in, and", "\n  ~ design ", "in millimetres → in inches\n",
		" statements  say the same in other units\n", "\n  bracket at small, large: differs by less than 0.001in\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if strings.Contains(text, "\nvalues\n") {
		t.Errorf("values that are written alike are told:\n%s", text)
	}
	for _, s := range d.Statements[1:] {
		if s.Change != Restated {
			t.Errorf("%s is %s: %s, %s", s.Name, s.Change, s.Old, s.New)
		}
	}
	// Another length in another unit, and a little more in the same, are changes.
	for _, hole := range []string{"circle(0.4in)", "circle(10.01mm)"} {
		if s := changedText(t, plate, "circle(10mm)", hole).Statements; len(s) != 1 || s[0].Change != Changed {
			t.Errorf("%s for 10 mm: %+v", hole, s)
		}
	}
}

// Texts are told by their words, joins that changed alike in one row, and statements too.
func TestBriefWords(t *testing.T) {
	d := changedText(t, plate, `"UP"`, `"TOP"`)
	if got := rowsOf(t, d, "parts"); !slices.Equal(got, []string{`  bracket at small, large: the flat's size stays; mark base.note: "UP" → "TOP"`}) {
		t.Errorf("another text:\n%s", strings.Join(got, "\n"))
	}
	stool := example(t, "stool")
	d = diffOf(t, stool, strings.ReplaceAll(stool, "by rivet(4.8mm, count: 2)", "by rivet(4mm, count: 2)"))
	text := textOf(t, d)
	for _, want := range []string{"\n  ~ join bear and 2 more", "\n  gusset at low, mid, bar: the flat's size stays\n    4 holes of brace moved, drilled in place 4.9mm → drilled in place 4.1mm\n", " 16 holes of bear, turn and brace moved, drill 4.9mm → drill 4.1mm\n", "\n  joins bear, turn at low, mid, bar: 16 rivet 4.8 → 16 rivet 4\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// The guard names parts that changed at the same sizes in one line.
func TestGuardIsBrief(t *testing.T) {
	var b strings.Builder
	if err := changedText(t, shelf, "size mid: step = 12mm", "size mid: step = 13mm").Guard(&b); err != nil {
		t.Fatal(err)
	}
	if want := "Rack: 8 parts changed, and the revision is still A\n  rung.1 to rung.8 at mid\n"; b.String() != want {
		t.Errorf("the guard says %q", b.String())
	}
}

// The first sizes that a design gets are held to what it was without.
func TestFirstSizes(t *testing.T) {
	sizeless := strings.Replace(plate, "size small\nsize large: wide = 300mm\n", "", 1)
	sized := strings.Replace(plate, "size small\nsize large", "size large: wide = 300mm\nsize usual\nsize long", 1)
	d := diffOf(t, sizeless, strings.Replace(sized, "40mm * i", "43mm * i", 1))
	text := textOf(t, d)
	if !strings.HasPrefix(text, "Plate\nits one part changed, 2 sizes new, and the revision is still A\n") ||
		!strings.Contains(text, "\n  ~ only   is usual now\n") || !strings.Contains(text, "bracket at usual: the flat's size stays; moved: cut base.hole 3mm\n") {
		t.Errorf("a hole moved and three sizes came:\n%s", text)
	}
	if d = diffOf(t, sized, sizeless); d.Sizes[0].Was != "usual" || d.Sizes[0].Change != Renamed || len(d.Sizes) != 3 || !d.PartsSame {
		t.Errorf("the sizes went:\n%s", textOf(t, d))
	}
}

// A sieve's thousands of holes are one row, and are paired without asking every one of each
// other: all of each other, with their pictures, took minutes.
func TestThousandsOfHoles(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 30
	}
	sieve := fmt.Sprintf(`design "Sieve" in millimetres
stock s = sheet(mild_steel, 1mm)
param n: count = %d
panel sieve() {
  face f on level(0mm) {
    outline rect(1000mm, 1000mm)
    cut hole[i in 1..n, k in 1..n] = circle(6mm) at (16mm * i - 490mm, 16mm * k - 490mm)
  }
}
part sieve of s = sieve()
`, n)
	for _, x := range []struct{ old, new, want string }{
		{"circle(6mm)", "circle(5mm)", fmt.Sprintf("cuts f.hole (%d): edge moved by up to 0.5mm", n*n)},
		{"16mm * k - 490mm", "16mm * k - 489mm", fmt.Sprintf("moved: cuts f.hole (%d) 1mm", n*n)},
		{"i in 1..n,", "i in 2..n,", fmt.Sprintf("cuts f.hole.1.1 to f.hole.1.%d removed", n)},
	} {
		d := changedText(t, sieve, x.old, x.new)
		if got := rowsOf(t, d, "parts"); !slices.Equal(got, []string{"  sieve: the flat's size stays; " + x.want}) {
			t.Errorf("%s for %s:\n%s", x.new, x.old, strings.Join(got, "\n"))
		}
		if page := pageOf(t, d); !strings.Contains(page, "<figure>") {
			t.Error("no picture")
		}
	}
}
