package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestCompletions(t *testing.T) {
	stool, err := os.ReadFile(examplesFolder + "/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	save(t, "stool.perch", string(stool))
	save(t, "parts/pan.perch", "panel pan() {}")
	save(t, "shop.toml", "")
	save(t, "rest.dxf", "")
	save(t, ".hidden.perch", "")
	for _, c := range []struct {
		words []string
		want  string // all of it, or with + what is among it
	}{
		{nil, "+build"},
		{[]string{"wa"}, "watch"},
		{[]string{"nothing", "x"}, ""},
		{[]string{"build", ""}, "parts/ stool.perch"},
		{[]string{"build", "parts/"}, "parts/pan.perch"},
		{[]string{"build", "--un"}, "--unit"},
		{[]string{"build", "--no"}, "--no-pictures"},
		{[]string{"build", "--unit", ""}, "design mm in"},
		{[]string{"build", "--unit=i"}, "--unit=in"},
		{[]string{"build", "stool.perch", "--size", ""}, "low mid bar"},
		{[]string{"build", "stool.perch", "-s", "m"}, "mid"},
		{[]string{"build", "stool.perch", "--set", "h"}, "height="},
		{[]string{"build", "--shop", "s"}, "stool.perch shop.toml"},
		{[]string{"build", "--out", ""}, "parts/"},
		{[]string{"build", "stool.perch", ""}, ""},
		{[]string{"build", "none.perch", "--size", ""}, ""},
		{[]string{"show", "stool.perch", "--part", ""}, "cap leg rung gusset"},
		{[]string{"nest", "s"}, "stool.perch"},
		{[]string{"nest", "stool.perch:"}, "stool.perch:low stool.perch:mid stool.perch:bar"},
		{[]string{"nest", "stool.perch:mid*4", "--only", "l"}, "leg"},
		{[]string{"nest", "stool.perch*4", "--place", "l"}, "leg@"},
		{[]string{"nest", "--price", ""}, "area sheets"},
		{[]string{"nest", "--remnant", ""}, "parts/ rest.dxf"},
		{[]string{"diff", "stool.perch", "s"}, "stool.perch"},
		{[]string{"fmt", "stool.perch", "s"}, "stool.perch"},
		{[]string{"new", "x", "--like", "st"}, "stool"},
		{[]string{"explain", "P100"}, "+P1001"},
		{[]string{"library", "std.st"}, "std.stool"},
		{[]string{"complete", ""}, "bash zsh fish"},
		{[]string{"version", ""}, ""},
	} {
		got := completions(c.words)
		if among, ok := strings.CutPrefix(c.want, "+"); ok {
			if !slices.Contains(got, among) {
				t.Errorf("%q: %v has no %s", c.words, got, among)
			}
			continue
		}
		want := strings.Fields(c.want)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%q: %v, wanted %v", c.words, got, want)
		}
	}
}

// The shells themselves: each asks its script as a user's key
// would.
func TestShellsComplete(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, bash, zsh and fish: PERCH_REFEREES=require asks for it")
	}
	stool, err := os.ReadFile(examplesFolder + "/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	// this binary is perch when it is called so
	if err := os.Symlink(exe, filepath.Join(bin, "perch")); err != nil {
		t.Skip("no links here:", err)
	}
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	t.Chdir(t.TempDir())
	save(t, "stool.perch", string(stool))
	for shell, script := range map[string]string{
		"bash": bashScript + `
COMP_WORDS=(perch build stool.perch --size "") COMP_CWORD=4
_perch; printf '%s\n' "${COMPREPLY[@]}"
COMP_WORDS=(perch wa) COMP_CWORD=1
_perch; printf '%s\n' "${COMPREPLY[@]}"`,
		"zsh": `compdef() { : }; compadd() { [[ $1 == -S ]] && shift 2; shift; print -l -- "$@" }
` + zshScript + `
words=(perch build stool.perch --size "") CURRENT=5; _perch
words=(perch wa) CURRENT=2; _perch`,
		"fish": fishScript + `
complete -C 'perch build stool.perch --size '
complete -C 'perch wa'`,
	} {
		if _, err := exec.LookPath(shell); err != nil {
			t.Errorf("no %s here", shell)
			continue
		}
		out, err := exec.Command(shell, "-c", script).CombinedOutput()
		got := strings.Fields(string(out))
		slices.Sort(got) // fish sorts
		if err != nil || !slices.Equal(got, []string{"bar", "low", "mid", "watch"}) {
			t.Errorf("%s: %v, %q", shell, err, out)
		}
	}
}
