package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"
)

// machine is a way to build and run the command line.
type machine struct {
	name      string
	build     []string // environment of go build
	run       []string // what runs the program
	env       []string // environment of the run
	elsewhere bool     // started in another folder than by the others
	outside   bool     // takes a whole new build of everything: only where referees are required
}

// Every example's whole output is the same, byte for byte, from programs built
// for plain amd64, for amd64 with fused arithmetic and for arm64, on one and two
// processors, and called from different folders. Where a processor is emulated it is one size
// of each.
func TestSameBytesEverywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program three times")
	}
	dir := t.TempDir()
	machines := []machine{
		{name: "one processor", env: []string{"GOMAXPROCS=1"}},
		{name: "two processors, another folder", env: []string{"GOMAXPROCS=2", "LC_ALL=tr_TR.UTF-8", "TZ=Asia/Kolkata"}, elsewhere: true},
		{name: "amd64 v1", build: []string{"GOARCH=amd64", "GOAMD64=v1"}, outside: true},
		{name: "amd64 v3", build: []string{"GOARCH=amd64", "GOAMD64=v3"}, outside: true},
		{name: "arm64", build: []string{"GOARCH=arm64", "CGO_ENABLED=0"}, run: []string{"qemu-aarch64"}, outside: true},
	}
	outputs := map[string]map[string][]byte{}
	for i, m := range machines {
		t.Run(m.name, func(t *testing.T) {
			if m.outside && os.Getenv("PERCH_REFEREES") != "require" {
				t.Skip("a build of everything anew: PERCH_REFEREES=require asks for it")
			}
			if m.run != nil {
				require(t, "qemu-user", m.run[0], "-version")
			}
			program := filepath.Join(dir, fmt.Sprint("perch", i))
			build := exec.Command("go", "build", "-ldflags=-s -w", "-o", program, ".")
			build.Env = append(os.Environ(), m.build...)
			if out, err := build.CombinedOutput(); err != nil {
				t.Fatalf("building for %s: %v\n%s", m.name, err, out)
			}
			var sizes map[string]string
			if m.run != nil {
				sizes = oneSize(outputs[machines[0].name])
			}
			outputs[m.name] = m.everything(t, program, filepath.Join(dir, fmt.Sprint("machine ", i)), sizes)
		})
	}
	first := outputs[machines[0].name]
	if len(first) < 150 {
		t.Fatalf("only %d files", len(first))
	}
	for _, m := range machines[1:] {
		if got := outputs[m.name]; got != nil {
			want := first
			if m.run != nil {
				got, want = within(got, oneSize(first)), within(first, oneSize(first))
			}
			compareFiles(t, m.name, got, want)
			t.Logf("%s: %d files as from %s", m.name, len(got), machines[0].name)
		}
	}
}

// oneSize is the first size of each design, by name, of files below an output folder.
func oneSize(files map[string][]byte) map[string]string {
	sizes := map[string]string{}
	for name := range files {
		parts := strings.Split(name, "/")
		if old, ok := sizes[parts[0]]; len(parts) > 2 && (!ok || parts[1] < old) {
			sizes[parts[0]] = parts[1]
		}
	}
	return sizes
}

// within are the files of one size of each design.
func within(files map[string][]byte, sizes map[string]string) map[string][]byte {
	of := map[string][]byte{}
	for name, text := range files {
		if parts := strings.Split(name, "/"); len(parts) > 2 && sizes[parts[0]] == parts[1] {
			of[name] = text
		}
	}
	return of
}

// everything builds all examples, and makes the pages and estimates the strength of some, below
// a folder that there is not yet, and returns the files by name; of one size of each design where
// sizes say so.
func (m machine) everything(t *testing.T, program, top string, sizes map[string]string) map[string][]byte {
	t.Helper()
	designs, start := filepath.Join(top, "designs"), top
	if m.elsewhere { // than where the others start perch
		start = designs
	}
	if err := os.MkdirAll(designs, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, f := range exampleFiles(t) {
		text, err := os.ReadFile(f)
		file, out := filepath.Join(designs, filepath.Base(f)), filepath.Join(top, "out")
		if err == nil {
			err = os.WriteFile(file, text, 0o666)
		}
		if err != nil {
			t.Fatal(err)
		}
		if file, err = filepath.Rel(start, file); err == nil {
			out, err = filepath.Rel(start, out)
		}
		if err != nil {
			t.Fatal(err)
		}
		verbs := [][]string{{"build", file, "--out", out, "--also", "step,glb,pdf"}}
		if b := filepath.Base(f); b == "stool.perch" || b == "wall_hook.perch" {
			verbs = append(verbs, []string{"packet", file, "--out", out})
		}
		if filepath.Base(f) == "plant_stand.perch" { // factors, contact and friction
			verbs = append(verbs, []string{"strength", file, "--size", "counter", "--out", out})
		}
		for _, v := range verbs {
			if size := sizes[strings.TrimSuffix(filepath.Base(f), ".perch")]; size != "" && size != "only" && v[0] != "strength" {
				v = append(v, "--size", size)
			}
			args := append(append([]string{}, m.run...), append([]string{program}, v...)...)
			cmd := exec.Command(args[0], args[1:]...)
			cmd.Dir, cmd.Env = start, append(os.Environ(), m.env...)
			if text, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%s: %v\n%s", f, err, text)
			}
		}
	}
	return readTree(t, filepath.Join(top, "out"))
}

// readTree reads all files below a folder, by slash-separated path.
func readTree(t testing.TB, root string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		rel, _ := filepath.Rel(root, path)
		files[filepath.ToSlash(rel)] = text
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// compareFiles tells each file that differs, with its first different line.
func compareFiles(t *testing.T, what string, got, want map[string][]byte) {
	t.Helper()
	names := map[string]bool{}
	for n := range got {
		names[n] = true
	}
	for n := range want {
		names[n] = true
	}
	var sorted []string
	for n := range names {
		sorted = append(sorted, n)
	}
	sort.Strings(sorted)
	for _, n := range sorted {
		g, inGot := got[n]
		w, inWant := want[n]
		switch {
		case !inGot:
			t.Errorf("%s: %s is missing", what, n)
		case !inWant:
			t.Errorf("%s: %s is one too many", what, n)
		case !bytes.Equal(g, w):
			t.Errorf("%s: %s differs: %s", what, n, firstDifference(g, w))
		}
	}
}

func firstDifference(got, want []byte) string {
	if bytes.ContainsRune(want, 0) {
		return fmt.Sprintf("%d bytes, want %d", len(got), len(want))
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d is\n%.300s\nwant\n%.300s", i+1, g[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(g), len(w))
}
