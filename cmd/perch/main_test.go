package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	// The scripts run this test binary under the name perch.
	testscript.Main(cleanup{m}, map[string]func(){"perch": main})
}

// cleanup removes what the tests of this package share after they have run.
type cleanup struct{ m *testing.M }

func (c cleanup) Run() int {
	code := c.m.Run()
	for _, dir := range []string{shared.dir, unmarked.dir} {
		if dir != "" {
			os.RemoveAll(dir)
		}
	}
	return code
}

const examplesFolder = "../../examples"

// exampleFiles are the designs that a person would build.
func exampleFiles(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob(examplesFolder + "/*/*.perch")
	if err != nil || len(names) < 6 {
		t.Fatalf("the examples are not where they should be: %v %v", names, err)
	}
	return names
}

// builds are all examples as the command line builds them, built once, each from a copy beside
// its output: the lists name it from there.
type builds struct {
	once sync.Once
	dir  string
	err  error
}

// shared are built for the shop that perch comes with, unmarked for one that marks no folds:
// their outlines are the record's.
var shared, unmarked builds

// built returns the folders of all sizes of all examples: build.json, drawings
// and cut list. With -short those of one size are enough, but for the golden one's.
func built(t testing.TB) []string { return shared.all(t) }

// builtUnmarked is built without nicks, and with the files for other programs of geometry.
func builtUnmarked(t testing.TB) []string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "unmarked.toml")
	save(t, file, "[brake]\nfold_marks = \"none\"\n")
	return unmarked.all(t, "--shop", file, "--no-pictures", "--also", "step,glb")
}

func (shared *builds) all(t testing.TB, flags ...string) []string {
	t.Helper()
	shared.once.Do(func() {
		if shared.dir, shared.err = os.MkdirTemp("", "perch-test-"); shared.err != nil {
			return
		}
		for _, f := range append(exampleFiles(t), "../../lang/eval/testdata/cabinet.perch") {
			copied := filepath.Join(shared.dir, filepath.Base(f))
			text, err := os.ReadFile(f)
			if shared.err = errors.Join(err, os.WriteFile(copied, text, 0o666)); shared.err != nil {
				return
			}
			args := append([]string{"build", copied, "--out", shared.dir}, flags...)
			if size := shownSizes[strings.TrimSuffix(filepath.Base(f), ".perch")]; testing.Short() && size != "" && filepath.Base(f) != "tote.perch" {
				args = append(args, "--size", size)
			}
			var out, errs bytes.Buffer
			if code := run(args, &out, &errs); code != exitDone {
				shared.err = fmt.Errorf("building %s: exit %d\n%s", f, code, errs.String())
				return
			}
		}
	})
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	dirs, err := filepath.Glob(shared.dir + "/*/*")
	if err != nil || len(dirs) < 15 {
		t.Fatalf("only %d sizes were built: %v", len(dirs), err)
	}
	return dirs
}

// sizeName is the example and size of a built folder, for messages.
func sizeName(dir string) string {
	return filepath.Base(filepath.Dir(dir)) + " " + filepath.Base(dir)
}

// require skips a test that asks an outside referee, installed or not, unless
// PERCH_REFEREES asks for it; then it fails where the referee is missing.
func require(t testing.TB, package_ string, probe ...string) {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skipf("an outside referee, %s: PERCH_REFEREES=require asks for it", package_)
	}
	if out, err := exec.Command(probe[0], probe[1:]...).CombinedOutput(); err != nil {
		t.Fatalf("the referee is missing: %s (Debian's %s): %v\n%s", strings.Join(probe, " "), package_, err, out)
	}
}

const python = "/usr/bin/python3" // Debian's own, for which its packages are installed
