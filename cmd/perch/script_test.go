package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/rogpeppe/go-internal/testscript"
)

// TestScripts runs the command line by the scripts in testdata/script. The
// expected answers in them are written anew where PERCH_UPDATE is 1.
func TestScripts(t *testing.T) {
	examples, err := filepath.Abs(examplesFolder)
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       os.Getenv("PERCH_UPDATE") == "1",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", examples)
			e.Setenv("HOME", e.WorkDir)
			return nil
		},
		Condition: func(name string) (bool, error) {
			if name == "mounts" {
				return canMount(t), nil
			}
			return false, errors.New("unknown condition " + name)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "repeated": repeated, "bytes": rawBytes, "foreach": foreach, "tmpfs": tmpfs,
		},
	})
}

// headline is what of a diagnostic the scripts compare: its first line, the
// place in the second, and the known name nearest to an unknown one.
var headline = regexp.MustCompile(`(?m)^ *= note: did you mean .*$|^(error|warning)\[P\d+\]: .*\n *--> .*$|^(error|warning)\[P\d+\]: .*$|^perch: .*$`)

// exits runs a program that must end with a certain code: exits CODE PROGRAM ARGS.
// What it says on standard error goes to the file said, of diagnostics the head.
// Whatever the outcome, no stack may be shown.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGS")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	code := 0
	var status *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &status) {
		code = status.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	errs := ts.ReadFile("stderr")
	if strings.Contains(errs, "goroutine ") || strings.Contains(errs, "panic:") {
		ts.Fatalf("it panics")
	}
	var heads strings.Builder
	for _, h := range headline.FindAllString(errs, -1) {
		h = regexp.MustCompile(`\n *--> `).ReplaceAllString(h, "\n  at ")
		heads.WriteString(regexp.MustCompile(`^ *= note: `).ReplaceAllString(h, "  ") + "\n")
	}
	ts.Check(os.WriteFile(ts.MkAbs("said"), []byte(heads.String()), 0o666))
	if code != want {
		ts.Fatalf("%s ends with %d, want %d", args[1], code, want)
	}
}

// foreach runs exits for every file of a list, in order, and gathers what is said
// under the files' names: foreach CODE FILE… -- PROGRAM ARGS; FILE stands in for $.
func foreach(ts *testscript.TestScript, neg bool, args []string) {
	split := 0
	for i, a := range args {
		if a == "--" {
			split = i
		}
	}
	if neg || split < 2 {
		ts.Fatalf("usage: foreach CODE FILE... -- PROGRAM ARGS")
	}
	var all strings.Builder
	for _, f := range args[1:split] {
		call := []string{args[0]}
		for _, a := range args[split+1:] {
			call = append(call, strings.ReplaceAll(a, "$", f))
		}
		exits(ts, false, call)
		all.WriteString("# " + f + "\n" + ts.ReadFile("said"))
	}
	ts.Check(os.WriteFile(ts.MkAbs("said"), []byte(all.String()), 0o666))
}

// repeated writes a file that no archive should hold: repeated FILE HEAD TEXT COUNT.
func repeated(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: repeated FILE HEAD TEXT COUNT")
	}
	n, err := strconv.Atoi(args[3])
	ts.Check(err)
	rawBytes(ts, false, []string{args[0], args[1] + strings.Repeat(args[2], n)})
}

// rawBytes writes a text with Go's escapes to a file: bytes FILE TEXT.
func rawBytes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: bytes FILE TEXT")
	}
	text, err := strconv.Unquote(`"` + strings.ReplaceAll(args[1], `"`, `\"`) + `"`)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}

// canMount tells whether file systems can be mounted here, as root can outside of
// most containers.
func canMount(t *testing.T) bool {
	dir := t.TempDir()
	if exec.Command("mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", dir).Run() != nil {
		return false
	}
	return exec.Command("umount", dir).Run() == nil
}

// tmpfs mounts a small file system: tmpfs FOLDER SIZE.
func tmpfs(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tmpfs FOLDER SIZE")
	}
	dir := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(dir, 0o777))
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+args[1], "tmpfs", dir).CombinedOutput(); err != nil {
		ts.Fatalf("%v %s", err, out)
	}
	ts.Defer(func() { exec.Command("umount", dir).Run() })
}

func TestEveryVerbHasHelp(t *testing.T) {
	var c cli
	parser, err := kong.New(&c, kong.Name("perch"))
	if err != nil {
		t.Fatal(err)
	}
	verbs := parser.Model.Leaves(false)
	if len(verbs) < 4 {
		t.Fatalf("only %d verbs", len(verbs))
	}
	for _, v := range verbs {
		var out, errs bytes.Buffer
		if code := run([]string{v.Name, "--help"}, &out, &errs); code != exitDone || errs.Len() > 0 {
			t.Errorf("%s --help ends with %d: %s", v.Name, code, errs.String())
		}
		if !strings.HasPrefix(out.String(), "Usage: perch "+v.Name) || v.Help == "" || !strings.Contains(out.String(), strings.Fields(v.Help)[0]) {
			t.Errorf("%s --help says\n%s", v.Name, out.String())
		}
		for _, f := range v.Flags {
			if f.Help == "" && !f.Hidden {
				t.Errorf("%s: the flag %s has no help", v.Name, f.Name)
			}
		}
	}
}
