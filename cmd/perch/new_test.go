package main

import (
	"os"
	"strings"
	"testing"
)

func TestNew(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, c := range []struct{ args, file, title string }{
		{"work_stool", "work_stool.perch", `design "Work stool" in millimetres revision "A"`},
		{"hocker-2.perch", "hocker-2.perch", `design "Hocker 2" in millimetres revision "A"`},
		{"Bank --like bench", "Bank.perch", `design "Bank" in millimetres revision "A"`},
		{"hook --like wall_hook", "hook.perch", `design "Hook" in millimetres revision "A"`},
		{"größe", "größe.perch", `design "Größe" in millimetres revision "A"`},
		{"perch_in --unit in", "perch_in.perch", `design "Perch in" in inches revision "A"`},
		{"perch_mm --unit mm", "perch_mm.perch", `design "Perch mm" in millimetres revision "A"`},
		{"fitting --like inch_stool", "fitting.perch", `design "Fitting" in inches revision "A"`},
		{"post --like bench --unit in", "post.perch", `design "Post" in inches revision "A"`},
	} {
		code, out, errs := perchIn(t, append([]string{"new"}, strings.Fields(c.args)...)...)
		b, err := os.ReadFile(c.file)
		if code != 0 || err != nil || !strings.Contains(string(b), c.title) || !strings.Contains(out, "perch build "+c.file) {
			t.Errorf("new %s: exit %d, %v\n%s%s", c.args, code, err, out, errs)
			continue
		}
		if code, _, errs := perchIn(t, "check", c.file); code != 0 {
			t.Errorf("new %s: it does not build:\n%s", c.args, errs)
		}
	}
	save(t, "mine.perch", "mine")
	for _, c := range []struct{ args, says string }{
		{"mine", "is there already"},
		{"a/b", "is a path"},
		{`a\b`, "is a path"},
		{"..", "is no name"},
		{".perch", "a design has a name"},
		{"2nd", "starts with a letter"},
		{"a:b", "is no name"},
		{"con", "device"},
		{"lpt1", "device"},
		{strings.Repeat("a", 101), "101 bytes"},
		{"a\xffb", "is no name"},
		{"chair --like chair", "there is no example chair; there are bench"},
		{"chair --unit ft", "--unit must be one of"},
		{"chair --like ../stool", "there is no example"},
	} {
		if code, _, errs := perchIn(t, append([]string{"new"}, strings.Fields(c.args)...)...); code != exitTrouble || !strings.Contains(errs, c.says) {
			t.Errorf("new %s: exit %d, %s", c.args, code, errs)
		}
	}
	if b, _ := os.ReadFile("mine.perch"); string(b) != "mine" {
		t.Error("a file was overwritten")
	}
	if n, _ := os.ReadDir("."); len(n) != 10 {
		t.Errorf("%d files were made", len(n))
	}
}
