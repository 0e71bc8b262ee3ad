package main

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// The whole program is killed at each of its calls that change the disk, or has that call
// fail, as strace injects it. The files of others stand where they stood, the next run goes
// through, and it leaves what an undisturbed one does.
func TestDisturbedAnywhere(t *testing.T) {
	require(t, "strace", "strace", "-V")
	program := filepath.Join(t.TempDir(), "perch")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	const cleats = `design "Cleats" in millimetres
stock tin = sheet(mild_steel, 1.5mm)
param wide: length = 60mm
size small: wide = 50mm
size regular: wide = 80mm
panel angle() {
  face base on level(0mm) { outline rect(wide, 40mm) }
  face leg off base.top up 90deg { outline strip(30mm) }
}
part bin of tin = angle() loose
`
	changed := strings.NewReplacer("size small", "size tiny", "part bin ", "part tub ").Replace(cleats)
	for name, c := range map[string]struct {
		first, then []string
		mine        string // in a folder that the first run wrote to
	}{
		"build": {[]string{"build", "cleats.perch", "--no-pictures", "--out", "out"}, []string{"build", "cleats.perch", "--no-pictures", "--out", "out"}, "out/cleats/regular"},
		"nest": {[]string{"nest", "cleats.perch:regular*3", "--effort", "0.01", "--no-pictures", "--out", "out"},
			[]string{"nest", "cleats.perch:regular*2", "--spacing", "20", "--effort", "0.01", "--no-pictures", "--out", "out"}, "out/sheet-1"},
	} {
		// scene is a folder with a first run's files, files of others, and a design that has
		// changed since.
		scene := func() string {
			dir := t.TempDir()
			save(t, filepath.Join(dir, "cleats.perch"), cleats)
			if out, err := command(dir, program, c.first...).CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			if err := os.Mkdir(filepath.Join(dir, "out/mine"), 0o777); err != nil {
				t.Fatal(err)
			}
			for _, f := range []string{c.mine + "/mine.dxf", "out/mine/bin.dxf", "out/mine.txt"} {
				save(t, filepath.Join(dir, f), "mine")
			}
			save(t, filepath.Join(dir, "cleats.perch"), changed)
			return dir
		}
		undisturbed := scene()
		if out, err := command(undisturbed, program, c.then...).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		want := readTree(t, undisturbed)
		for _, call := range []string{"renameat", "unlinkat", "mkdirat", "write"} {
			for _, how := range []string{"signal=KILL", "error=EIO"} {
				runs := 0
				for n := 1; ; n++ {
					dir, trace := scene(), filepath.Join(t.TempDir(), "trace")
					strace := []string{"-f", "-qq", "-o", trace, "-e", "trace=" + call, "-e", fmt.Sprintf("inject=%s:%s:when=%d", call, how, n), program}
					command(dir, "strace", append(strace, c.then...)...).Run()
					if calls, err := os.ReadFile(trace); err != nil || !strings.Contains(string(calls), "(INJECTED)") && !strings.Contains(string(calls), "killed by SIGKILL") {
						break // there are no more
					}
					runs++
					what := fmt.Sprintf("%s, %s at %s %d", name, how, call, n)
					for _, f := range []string{c.mine + "/mine.dxf", "out/mine/bin.dxf", "out/mine.txt"} {
						if text, err := os.ReadFile(filepath.Join(dir, f)); err != nil || string(text) != "mine" {
							t.Fatalf("%s: %s is %q, %v", what, f, text, err)
						}
					}
					if out, err := command(dir, program, c.then...).CombinedOutput(); err != nil {
						t.Fatalf("%s: the next run says %v\n%s", what, err, out)
					}
					if got := readTree(t, dir); !reflect.DeepEqual(got, want) {
						t.Fatalf("%s: the next run leaves %v, want %v", what, sortedNames(got), sortedNames(want))
					}
				}
				if runs < 2 {
					t.Errorf("%s: only %d of %s, %s", name, runs, call, how)
				}
				t.Logf("%s: %d of %s, %s", name, runs, call, how)
			}
		}
	}
}

func command(dir, program string, args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Dir = dir
	return cmd
}

func sortedNames(files map[string][]byte) []string {
	return slices.Sorted(maps.Keys(files))
}
