package grammar

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestVimOnExamples lets the editor itself colour the examples, and asks it for
// the group of every token's first and last byte. Then it has the editor indent
// their lines, all of which were put to the margin.
func TestVimOnExamples(t *testing.T) {
	for _, editor := range []string{"nvim", "vim"} {
		t.Run(editor, func(t *testing.T) { vimOnExamples(t, editor) })
	}
}

func vimOnExamples(t *testing.T, editor string) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skipf("an outside referee, %s: PERCH_REFEREES=require asks for it", editor)
	}
	if _, err := exec.LookPath(editor); err != nil {
		t.Fatalf("%s is not installed", editor)
	}
	folder, err := filepath.Abs("vim")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	type ask struct {
		name string
		piece
		last  bool // of the piece's bytes
		lines bool // those that are indented otherwise
	}
	var asks []ask
	var script strings.Builder
	script.WriteString("filetype plugin indent on\nsyntax on\nlet out = []\n")
	i := 0
	for name, text := range examples(t) {
		file := filepath.Join(dir, fmt.Sprintf("e%d.perch", i))
		i++
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&script, "edit! %s\ncall add(out, &filetype . ' ' . &shiftwidth)\n", file)
		asks = append(asks, ask{name: name})
		script.WriteString("let was = getline(1, '$')\nsilent! %s/^ *//\nsilent normal! gg=G\n")
		script.WriteString("call add(out, join(filter(range(1, line('$')), 'getline(v:val) !=# was[v:val - 1]')))\n")
		asks = append(asks, ask{name: name, lines: true})
		script.WriteString("call setline(1, was)\n")
		for _, p := range pieces(text) {
			for _, at := range []int{p.column + 1, p.column + len(p.text)} {
				fmt.Fprintf(&script, "call add(out, synIDattr(synID(%d, %d, 1), 'name'))\n", p.line+1, at)
				asks = append(asks, ask{name: name, piece: p, last: at > p.column+1})
			}
		}
	}
	result := filepath.Join(dir, "out.txt")
	fmt.Fprintf(&script, "call writefile(out, '%s')\nqall!\n", result)
	path := filepath.Join(dir, "ask.vim")
	if err := os.WriteFile(path, []byte(script.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	quiet := "--headless"
	if editor == "vim" {
		quiet = "-es"
	}
	cmd := exec.Command(editor, "--clean", quiet, "--cmd", "set nocompatible runtimepath^="+strings.ReplaceAll(folder, " ", `\ `), "-S", path)
	cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_STATE_HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CACHE_HOME="+dir, "XDG_CONFIG_HOME="+dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	b, err := os.ReadFile(result)
	if err != nil {
		t.Fatal(err)
	}
	groups := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
	if len(groups) != len(asks) {
		t.Fatalf("%d answers to %d questions", len(groups), len(asks))
	}
	for i, a := range asks {
		got := strings.TrimPrefix(groups[i], "perch")
		if a.lines {
			if groups[i] != "" {
				t.Errorf("%s: the lines %s are indented otherwise", a.name, groups[i])
			}
			continue
		}
		if a.text == "" {
			if groups[i] != "perch 2" {
				t.Errorf("%s: file type and shift are %q", a.name, groups[i])
			}
			continue
		}
		if !slices.Contains(strings.Split(a.vim, "|"), got) {
			t.Errorf("%s:%d:%d: %q (its end: %v) is in group %q, not %s", a.name, a.line+1, a.column+1, a.text, a.last, got, a.vim)
		}
	}
}
