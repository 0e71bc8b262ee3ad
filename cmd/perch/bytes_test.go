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
	name    string
	build   []string // environment of go build
	run     []string // what runs the program
	env     []string // environment of the run
	copied  bool     // run on a copy of the design in another folder
	outside bool     // takes a whole new build of everything: only where referees are required
}

// Every example's whole output is the same, byte for byte, from programs built
// for plain amd64, for amd64 with fused arithmetic and for arm64, on one and two
// processors, and called from different folders.
func TestSameBytesEverywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program three times")
	}
	dir := t.TempDir()
	machines := []machine{
		{name: "one processor", env: []string{"GOMAXPROCS=1"}},
		{name: "two processors, another folder", env: []string{"GOMAXPROCS=2", "LC_ALL=tr_TR.UTF-8", "TZ=Asia/Kolkata"}, copied: true},
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
			outputs[m.name] = m.everything(t, program, filepath.Join(dir, fmt.Sprint("out", i)))
		})
	}
	first := outputs[machines[0].name]
	if len(first) < 150 {
		t.Fatalf("only %d files", len(first))
	}
	for _, m := range machines[1:] {
		if got := outputs[m.name]; got != nil {
			compareFiles(t, m.name, got, first)
			t.Logf("%s: %d files as from %s", m.name, len(got), machines[0].name)
		}
	}
}

// everything builds all examples and returns the files by name.
func (m machine) everything(t *testing.T, program, out string) map[string][]byte {
	t.Helper()
	for _, f := range exampleFiles(t) {
		full, err := filepath.Abs(f)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(filepath.Base(f), ".perch")
		folder, file := filepath.Dir(full), filepath.Base(full)
		if m.copied { // places in the record are named as the user names the file
			folder = copyExample(t, full)
		}
		args := append(append([]string{}, m.run...), program, "build", file, "--out", filepath.Join(out, name))
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Dir, cmd.Env = folder, append(os.Environ(), m.env...)
		if text, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", f, err, text)
		}
	}
	return readTree(t, out)
}

// copyExample puts a design into another folder and returns that.
func copyExample(t *testing.T, file string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "a folder elsewhere")
	text, err := os.ReadFile(file)
	if err == nil {
		err = os.MkdirAll(dir, 0o777)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, filepath.Base(file)), text, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
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
