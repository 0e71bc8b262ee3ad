package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5"
	"github.com/go-git/go-git/v5/plumbing/object"

	"perch/lang/compare"
)

// perchIn runs the command line in a folder.
func perchIn(t testing.TB, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(args, &o, &e)
	return code, o.String(), e.String()
}

// stoolHistory is a repository with the example stool as it is, one commit
// further with a deeper flap, and the same again in the working tree with its
// statements written otherwise. The test's folder is its root from then on.
func stoolHistory(t testing.TB) (dir string) {
	t.Helper()
	t.Setenv("GIT_INDEX_FILE", "") // put back at the end: the tests may be run by a hook
	os.Unsetenv("GIT_INDEX_FILE")
	b, err := os.ReadFile(examplesFolder + "/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	deeper := strings.Replace(text, "= 70mm ", "= 75mm ", 1)
	if deeper == text {
		t.Fatal("the stool's flap is not 70mm any more")
	}
	dir = t.TempDir()
	r, err := git.PlainInit(dir, false)
	if err != nil {
		t.Fatal(err)
	}
	w, err := r.Worktree()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []string{text, deeper} {
		save(t, filepath.Join(dir, "shop", "stool.perch"), x)
		if _, err := w.Add("shop/stool.perch"); err != nil {
			t.Fatal(err)
		}
		who := &object.Signature{Name: "Maker", Email: "maker@example.org", When: time.Unix(1700000000, 0)}
		if _, err := w.Commit("stool", &git.CommitOptions{Author: who}); err != nil {
			t.Fatal(err)
		}
	}
	save(t, filepath.Join(dir, "shop", "stool.perch"), strings.Replace(deeper, "2 * height * tan(splay)", "tan(splay) * (height * 2)", 1))
	return dir
}

func save(t testing.TB, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestDiffExitCodes(t *testing.T) {
	dir := stoolHistory(t)
	t.Chdir(filepath.Join(dir, "shop"))
	save(t, "broken.perch", "design \"Bicycle-shop stool\"\npart")
	save(t, "other.perch", "design \"Shelf\"\n")
	save(t, "unsolved.perch", "design \"Bicycle-shop stool\"\nparam a: length\n")
	empty := t.TempDir()
	if _, err := git.PlainInit(empty, false); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		code int
		says string
	}{
		{"HEAD~1:shop/stool.perch HEAD~1:./stool.perch", 0, "no difference"},
		{"HEAD:./stool.perch HEAD~1:./stool.perch", 1, "cap at low, mid, bar: flat"},
		{"HEAD:./stool.perch stool.perch", 1, "no part changed"},
		{":./stool.perch stool.perch", 1, "no part changed"},
		{"--check-parts HEAD:./stool.perch stool.perch", 0, "no part changed"},
		{"--check-parts HEAD~1:./stool.perch stool.perch", 1, "the revision is still A"},
		{"--size mid HEAD~1:./stool.perch stool.perch", 1, "in all\n  mid"},
		{"--size huge HEAD~1:./stool.perch stool.perch", 2, "neither side has a size huge"},
		{"HEAD~7:./stool.perch stool.perch", 2, "there is no revision HEAD~7"},
		{"HEAD:stool.perch stool.perch", 2, "write HEAD:./stool.perch"},
		{"none.perch stool.perch", 2, "none.perch"},
		{"stool.perch broken.perch", 2, "the new design, broken.perch, has mistakes:\nerror[P1"},
		{"unsolved.perch stool.perch", 2, "the old design, unsolved.perch, has mistakes:\nerror[P3"},
		{"stool.perch other.perch", 2, "these are two designs"},
		{"--any-name stool.perch other.perch", 1, "Bicycle-shop stool → Shelf"},
		{"stool.perch", 2, "expected"},
		{"--shop none.toml stool.perch stool.perch", 2, "shop file"},
	} {
		code, out, errs := perchIn(t, append([]string{"diff"}, strings.Fields(c.args)...)...)
		if code != c.code || !strings.Contains(out+errs, c.says) {
			t.Errorf("diff %s: exit %d, wanted %d and %q\n%s%s", c.args, code, c.code, c.says, out, errs)
		}
	}
	t.Chdir(empty)
	if code, _, errs := perchIn(t, "diff", "HEAD:a.perch", "HEAD:a.perch"); code != 2 || !strings.Contains(errs, "no commits yet") {
		t.Errorf("a repository without commits: exit %d, %s", code, errs)
	}
	t.Chdir(t.TempDir())
	if code, _, errs := perchIn(t, "diff", "HEAD:a.perch", "HEAD:a.perch"); code != 2 || !strings.Contains(errs, "is in no git repository") {
		t.Errorf("no repository: exit %d, %s", code, errs)
	}
}

func TestDiffWritesItsForms(t *testing.T) {
	t.Chdir(stoolHistory(t))
	code, out, errs := perchIn(t, "diff", "--json", "--html", "d.html", "--svg", "d.svg", "HEAD~1:shop/stool.perch", "HEAD:shop/stool.perch")
	var d compare.Difference
	if err := json.Unmarshal([]byte(out), &d); code != 1 || err != nil || d.Same || d.PartsSame || len(d.Sizes) != 3 {
		t.Fatalf("exit %d, %v, %s", code, err, errs)
	}
	for name, start := range map[string]string{"d.html": "<!DOCTYPE html>", "d.svg": "<svg "} {
		if b, err := os.ReadFile(name); err != nil || !strings.HasPrefix(string(b), start) || !strings.Contains(string(b), "cap at low") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if code, _, _ := perchIn(t, "diff", "--svg", "none/d.svg", "shop/stool.perch", "shop/stool.perch"); code != 2 {
		t.Errorf("a file that can't be written: exit %d", code)
	}
}

// TestDiffSheets counts sheets and their cost by hand: of a sheet of 300 × 200 mm,
// 8 mm kept free along its edges and 6 mm between blanks, 284 × 184 mm hold two by
// two plates of 120 × 80 mm.
func TestDiffSheets(t *testing.T) {
	t.Chdir(t.TempDir())
	sized := ""
	plates := func(n int, wide string) string {
		return fmt.Sprintf("design \"Plates\"\nstock s = sheet(mild_steel, 2mm"+sized+")\npanel plate(i: count) {\n  face f on level(10mm * i) { outline rect(%s, 80mm) }\n}\npart p[i in 1..%d] of s = plate(i)\n", wide, n)
	}
	save(t, "four.perch", plates(4, "120mm"))
	save(t, "five.perch", plates(5, "120mm"))
	save(t, "long.perch", plates(4, "320mm"))
	sized = ", size: (300mm, 200mm)"
	save(t, "sized4.perch", plates(4, "120mm"))
	save(t, "sized5.perch", plates(5, "120mm"))
	save(t, "free.toml", "[[sheet]]\nmaterial = \"mild_steel\"\nthickness = 2\nwidth = 200\nlength = 300\n")
	save(t, "shop.toml", "currency = \"EUR\"\n[[sheet]]\nmaterial = \"mild_steel\"\nthickness = 2\nwidth = 200\nlength = 300\nprice = 10\n")
	for _, c := range []struct{ args, says, not string }{
		{"--shop shop.toml four.perch five.perch", "metal by area 6.40 → 8.00 EUR", "sheets"},
		{"--shop shop.toml --sheets four.perch five.perch", "sheets of mild_steel 2mm 1 → 2, their cost 10.00 → 20.00 EUR", "by area"},
		{"--shop free.toml --sheets four.perch five.perch", "sheets of mild_steel 2mm 1 → 2", "cost"},
		{"--shop shop.toml --sheets four.perch long.perch", "sheets of mild_steel 2mm 1 → ? (a blank is larger than every sheet)", "by area"},
		{"--sheets four.perch five.perch", "sheets of mild_steel 2mm 1 as before", "cost"},
		{"--sheets sized4.perch sized5.perch", "300mm × 200mm sheets of mild_steel 2mm 1 → 2", "cost"},
		{"--shop shop.toml --sheets sized4.perch sized5.perch", "sheets of mild_steel 2mm 1 → 2, their cost 10.00 → 20.00 EUR", "by area"},
		{"--sheets --json sized4.perch sized5.perch", `"length_mm": 300,`, ""},
		{"--shop shop.toml --sheets --json four.perch five.perch", `"sheets": 2,`, ""},
		{"--shop shop.toml --sheets four.perch four.perch", "no difference", "sheets"},
	} {
		code, out, errs := perchIn(t, append([]string{"diff"}, strings.Fields(c.args)...)...)
		if code > 1 || !strings.Contains(out, c.says) || c.not != "" && strings.Contains(out, c.not) {
			t.Errorf("diff %s: exit %d, want %q\n%s%s", c.args, code, c.says, out, errs)
		}
	}
}

// Two revisions of the stool, objects in the machine's cache.
func BenchmarkDiffOfRevisions(b *testing.B) {
	b.Chdir(stoolHistory(b))
	for b.Loop() {
		if code, _, errs := perchIn(b, "diff", "HEAD~1:shop/stool.perch", "HEAD:shop/stool.perch"); code != 1 {
			b.Fatal(errs)
		}
	}
}

// What moved to a file of its own is told as moved, with what was changed on the way.
func TestDiffOfAMovedPanel(t *testing.T) {
	t.Chdir(t.TempDir())
	const panel = "panel plate(w: length = 80mm) {\n  face f on level(0mm) { outline rect(w, 60mm) }\n}\n"
	const rest = "stock s = sheet(mild_steel, 2mm)\npart p of s = plate()\n"
	save(t, "one.perch", "design \"Plate\" in millimetres\n"+rest+panel)
	save(t, "plates.perch", strings.Replace(panel, "80mm", "90mm", 1))
	save(t, "two.perch", "design \"Plate\" in millimetres\nuse plate from \"plates.perch\"\n"+rest)
	code, out, errs := perchIn(t, "diff", "--json", "one.perch", "two.perch")
	var d compare.Difference
	if err := json.Unmarshal([]byte(out), &d); err != nil || code != 1 {
		t.Fatalf("exit %d, %v\n%s", code, err, errs)
	}
	var told []string
	for _, s := range d.Statements {
		told = append(told, fmt.Sprint(s.Module, " ", s.Change, " ", s.Name, " ", s.From))
	}
	want := []string{" added use plate ", "plates.perch added file plates.perch ", "plates.perch moved panel plate one.perch", "plates.perch changed panel plate / param w "}
	if !slices.Equal(told, want) {
		t.Errorf("moved and altered:\n%s", strings.Join(told, "\n"))
	}
}
