package explain

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/format"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// unshown are the codes whose page has no example, and why.
var unshown = map[string]string{
	"P1001": "it would take a file of megabytes",
	"P1002": "a page is UTF-8",
	"P1003": "what can't be seen can't be shown",
	"P1203": "it would take 200 brackets",
	"P1204": "it would take 1,000 operations",
	"P2045": "it would take thousands of names",
	"P2060": "circles in a text are all found by the checker first, as P2004 and P2005",
	"P3004": "what can be solved, or proved to have no solution, changes with the solver",
	"P3009": "the command line asks for the size",
	"P6057": "it would take 600 fasteners, a sheet of metres",
	"P4005": "in a text the checker says P2039 first",
	"P4009": "in a text the checker says P2033 first",
	"P8001": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8002": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8003": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8004": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8005": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8006": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8007": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8008": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8009": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8010": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8011": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8012": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P8014": "it is a matter of what stands in the folder",
	"P8013": "it is a matter of sheets and cuts, asked for by the verb nest",
	"P7001": "the verb build says it, when the folder is written",
	"P7002": "it is a matter of what stands in the folder",
	"P7003": "it is a matter of what stands in the folder",
	"P7004": "it is a matter of the command line",
	"P7005": "it is a matter of what stands in the folder",
	"P7006": "it is a matter of what stands in the folder",
	"P7009": "it is a matter of what stands in the folder",
	"P7020": "the verb coupon says it, of what was measured",
	"P7010": "the verb mockup says it, of the scale that is asked for",
	"P7011": "it is a matter of the command line",
	"P9010": "the verb strength says it, of what the joins hold",
	"P9011": "the verb strength says it, of what it can compute",
	"P9012": "the verb strength says it, of a design that names no load",
	"P7007": "it is a matter of what stands in the folder",
	"P6012": "the shop that perch comes with has a leaf brake, no V die",
	"P4020": "what a text can state is refused face by face, fold by fold or seam by seam",
}

// also are the codes that a wrong example gives beside its own, since two rooms
// see the same mistake.
var also = map[string]string{"P1206": "P2031"}

// loader finds the library, and an example's own modules.
type loader struct {
	check.Loader
	files map[string]string
}

func (l loader) File(_ *diag.Source, p string) (*diag.Source, error) {
	text, ok := l.files[p]
	if !ok {
		return nil, fmt.Errorf("there is no file %s", p)
	}
	return diag.NewSource(p, text), nil
}

// Modules lists the library's.
func (l loader) Modules() []string { return l.Loader.(check.Lister).Modules() }

// compile takes an example through every room: text, meaning, values, panels,
// joins and the shop's rules.
func compile(t *testing.T, e *Example) []diag.Diagnostic {
	t.Helper()
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("example.perch", e.Text), loader{load.Library(), e.Files}, shop)
	if err != nil {
		t.Fatal(err)
	}
	if diag.HasErrors(diags) {
		return diags
	}
	return append(diags, family.Job{Program: prog, Shop: shop}.Check()...)
}

// noted are the codes of notes, which the verbs give that report on a design.
var noted = map[string]bool{"P2049": true, "P2070": true, "P6050": true}

// notes are a design's notes of one code.
func notes(t *testing.T, code string, e *Example) []diag.Diagnostic {
	prog, _, err := load.Source(diag.NewSource("example.perch", e.Text), loader{load.Library(), e.Files}, shop.Default())
	if err != nil {
		t.Fatal(err)
	}
	all := prog.Unused()
	if note, ok := prog.Taken(); ok {
		all = append(all, note)
	}
	_, more := family.Job{Program: prog, Shop: shop.Default()}.Inspect()
	all = append(all, more...)
	return slices.DeleteFunc(all, func(d diag.Diagnostic) bool { return d.Code != code })
}

func render(ds []diag.Diagnostic) string {
	var b strings.Builder
	diag.Render(&b, ds, diag.Style{})
	return b.String()
}

// TestExamples: every wrong example gives its code and no other error, every
// right one gives no diagnostic at all.
func TestExamples(t *testing.T) {
	for _, code := range Codes() {
		p, _ := Get(code)
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			if (p.Wrong == nil) != (p.Right == nil) {
				t.Fatal("one of the two examples is missing")
			}
			why, none := unshown[code]
			if none != (p.Wrong == nil) {
				t.Fatalf("example %v, and in the list of those without: %q", p.Wrong != nil, why)
			}
			if none {
				return
			}
			got := compile(t, p.Wrong)
			if noted[code] {
				got = append(got, notes(t, code, p.Wrong)...)
				if ds := notes(t, code, p.Right); len(ds) > 0 {
					t.Errorf("the right example gives\n%s", render(ds))
				}
			}
			found := false
			for _, d := range got {
				found = found || d.Code == code
				if d.Code != code && d.Code != also[code] && d.Severity == diag.Error {
					found = false
					break
				}
			}
			if !found {
				t.Errorf("the wrong example should give %s alone, it gives\n%s", code, render(got))
			}
			if got := compile(t, p.Right); len(got) > 0 {
				t.Errorf("the right example gives\n%s", render(got))
			}
		})
	}
}

// TestEveryCodeHasItsPage: the codes registered, the codes with a page and the
// codes in the program's text are the same.
func TestEveryCodeHasItsPage(t *testing.T) {
	var registered []string
	for _, c := range diag.Codes {
		registered = append(registered, c.Code)
	}
	for _, c := range shopcheck.Codes {
		registered = append(registered, c.Code)
	}
	for _, c := range registered {
		if p, ok := Get(c); !ok || p.Title == "" || p.Means == "" || p.Mend == "" {
			t.Errorf("%s has no whole page", c)
		}
	}
	for _, c := range Codes() {
		if !slices.Contains(registered, c) {
			t.Errorf("there is a page for %s, which is not registered", c)
		}
	}
	for c, where := range written(t) {
		if !slices.Contains(registered, c) {
			t.Errorf("%s is given in %s and is not registered", c, where)
		}
	}
}

// written are the codes that stand in the program's text, and where.
func written(t *testing.T) map[string]string {
	literal := regexp.MustCompile(`"(P[0-9]{4})"`)
	out := map[string]string{}
	for _, root := range []string{"../../lang", "../../parts", "../../cmd"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			b, err := os.ReadFile(path)
			for _, m := range literal.FindAllStringSubmatch(string(b), -1) {
				out[m[1]] = path
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// TestPagesReadWell: prose fits 80 columns, and right examples, which readers
// copy, stand in canonical form.
func TestPagesReadWell(t *testing.T) {
	for _, code := range Codes() {
		p, _ := Get(code)
		for line := range strings.Lines(p.Means + "\n" + p.Mend) {
			if n := len([]rune(strings.TrimRight(line, "\n"))); n > 80 {
				t.Errorf("%s: a line of %d columns: %s", code, n, line)
			}
		}
		if p.Right == nil {
			continue
		}
		texts := map[string]string{"right": p.Right.Text}
		for path, text := range p.Right.Files {
			texts[path] = text
		}
		for name, text := range texts {
			got, diags := format.Source(diag.NewSource(name, text))
			if len(diags) > 0 || got != text {
				t.Errorf("%s: the right example is not in canonical form:\n%s", code, format.Diff(name, text, got))
			}
		}
	}
}

func TestGet(t *testing.T) {
	for _, c := range []string{"P2001", "p2001", "2001", " P2001 "} {
		if p, ok := Get(c); !ok || p.Code != "P2001" {
			t.Errorf("%q finds %q", c, p.Code)
		}
	}
	for _, c := range []string{"", "P", "P9999", "perch", "P2001 wrong"} {
		if p, ok := Get(c); ok {
			t.Errorf("%q finds %q", c, p.Code)
		}
	}
}

func ExampleGet() {
	page, _ := Get("P2018")
	fmt.Print(page)
	// Output:
	// P2018: an unknown type
	//
	// The word after `:` names no type.
	//
	// Wrong:
	//
	//     design "Tray"
	//     param rim: lenght = 12mm
	//
	// Right:
	//
	//     design "Tray"
	//     param rim: length = 12mm
	//
	// Types are length angle count number area mass force money time text flag gauge,
	// face side corner plane body edge stock point, and the names of panels. A list of
	// them is written [side].
}
