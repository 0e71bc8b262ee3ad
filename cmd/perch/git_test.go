package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// git itself, set up as the files in testdata/git say.
func TestGitSetUp(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, git: PERCH_REFEREES=require asks for it")
	}
	if _, err := exec.LookPath("git"); err != nil {
		t.Fatal("git is not here")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	setUp, err := filepath.Abs("testdata/git")
	if err != nil {
		t.Fatal(err)
	}
	read := func(name string) string {
		b, err := os.ReadFile(filepath.Join(setUp, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	dir := stoolHistory(t)
	bin := t.TempDir()
	if err := os.Symlink(exe, filepath.Join(bin, "perch")); err != nil {
		t.Skip("no links here:", err)
	}
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	t.Setenv("HOME", bin)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	save(t, filepath.Join(bin, ".gitconfig"), read("gitconfig")+"[user]\n\tname = Maker\n\temail = maker@example.org\n")
	save(t, filepath.Join(dir, ".gitattributes"), read("gitattributes"))
	hook := filepath.Join(dir, ".git", "hooks", "pre-commit")
	save(t, hook, read("pre-commit"))
	if err := os.Chmod(hook, 0o777); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	git := func(args ...string) (string, error) {
		out, err := exec.Command("git", args...).CombinedOutput()
		return string(out), err
	}
	out, err := git("--no-pager", "diff", "HEAD~1", "HEAD", "--", "shop/stool.perch")
	for _, want := range []string{"-param flap: length in 30mm..120mm = 70mm ", "+param flap: length in 30mm..120mm = 75mm ", "-flap    70mm ", "+flap    75mm "} {
		if err != nil || !strings.Contains(out, "\n"+want) {
			t.Errorf("git diff: %v, no line %q in\n%s", err, want, out)
		}
	}
	out, err = git("difftool", "-y", "-t", "perch", "HEAD~1", "HEAD", "--", "shop/stool.perch")
	if err != nil || !strings.Contains(out, "cap at low, mid, bar: flat") {
		t.Errorf("git difftool: %v\n%s", err, out)
	}
	// no part changes: the hook lets it pass
	if out, err := git("commit", "-qam", "written otherwise"); err != nil {
		t.Errorf("a refactor was refused: %v\n%s", err, out)
	}
	text, err := os.ReadFile("shop/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	narrower := strings.Replace(string(text), "toe: 68mm", "toe: 66mm", 1)
	if narrower == string(text) {
		t.Fatal("the stool's legs have other toes")
	}
	save(t, "shop/stool.perch", narrower)
	if out, err := git("commit", "-qam", "narrower toes"); err == nil || !strings.Contains(out, "the revision is still A\n  leg") {
		t.Errorf("a part changed in secret and was let pass: %v\n%s", err, out)
	}
	save(t, "shop/stool.perch", strings.Replace(narrower, `revision "A"`, `revision "B"`, 1))
	if out, err := git("commit", "-qam", "narrower toes"); err != nil {
		t.Errorf("a new revision was refused: %v\n%s", err, out)
	}
}
