package reference_test

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/reference"
	"perch/parts/shopcheck"
)

// perch builds the command once and returns its path.
func perch(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command to build perch with")
	}
	bin := filepath.Join(t.TempDir(), "perch")
	if out, err := exec.Command("go", "build", "-o", bin, "perch/cmd/perch").CombinedOutput(); err != nil {
		t.Fatalf("building perch: %v\n%s", err, out)
	}
	return bin
}

// TestConsole runs every command that a guide shows, in order, in a folder that
// holds the examples and the files shown so far, and holds what is printed to what
// the guide says.
func TestConsole(t *testing.T) {
	bin, ran := perch(t), 0
	for _, name := range guides(t) {
		ran += consoles(t, bin, name)
	}
	if ran == 0 {
		t.Fatal("no guide shows a console")
	}
}

// consoles runs the console blocks of one guide and says how many there are.
func consoles(t *testing.T, bin, name string) (ran int) {
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "examples"), os.DirFS(root+"/examples")); err != nil {
		t.Fatal(err)
	}
	is := guide(t, name)
	out := is
	for _, b := range reference.Blocks(is) {
		if file, ok := writes(b); ok {
			if err := os.WriteFile(filepath.Join(dir, file), []byte(b.Text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if b.Lang != "console" {
			continue
		}
		ran++
		printed := console(t, bin, dir, b)
		if printed == b.Text {
			continue
		}
		if !updating() {
			t.Errorf("%s:%d: the console block is stale; run %s=1 go test ./lang/reference\nit prints\n%s", name, b.Line, update, printed)
			continue
		}
		out = strings.Replace(out, "```console\n"+b.Text+"```", "```console\n"+printed+"```", 1)
	}
	if out != is && !t.Failed() {
		if err := os.WriteFile(filepath.Join(root, name), []byte(out), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return ran
}

// writes says under what name a block is a file for the console blocks that follow it.
func writes(b reference.Block) (name string, ok bool) {
	if len(b.Words) == 2 && b.Words[0] == "mistake" {
		return b.Words[1], true
	}
	_, named, ok := strings.Cut(b.Part, " as ")
	return named, ok && strings.HasPrefix(b.Part, "file ")
}

// console runs the commands of a block: lines that begin with a dollar sign.
func console(t *testing.T, bin, dir string, b reference.Block) string {
	var out strings.Builder
	for _, line := range strings.Split(b.Text, "\n") {
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		out.WriteString(line + "\n")
		args := strings.Fields(strings.Replace(command, "go run ./cmd/perch", "perch", 1))
		var cmd *exec.Cmd
		switch args[0] {
		case "perch":
			cmd = exec.Command(bin, args[1:]...)
		case "cat", "ls":
			out.WriteString(look(t, dir, args))
			continue
		default:
			t.Fatalf("line %d: a console block can't run %s", b.Line, args[0])
		}
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), "NO_COLOR=1")
		printed, _ := cmd.CombinedOutput() // a mistake's exit code is part of the show
		out.Write(printed)
	}
	return out.String()
}

// look does what cat and ls do with one file or folder.
func look(t *testing.T, dir string, args []string) string {
	if len(args) != 2 {
		t.Fatalf("a console block shows one file or folder, not %v", args)
	}
	path := filepath.Join(dir, args[1])
	if args[0] == "cat" {
		return strings.ReplaceAll(text(t, path), "\r\n", "\n") // tables end their lines as RFC 4180 asks
	}
	entries, err := os.ReadDir(path)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	slices.Sort(names)
	return strings.Join(names, "  ") + "\n"
}

// TestPictures builds the tutorial's files and those that show the library's
// panels, without a word, and holds the picture beside each to what is drawn.
func TestPictures(t *testing.T) {
	bin := perch(t)
	var files []string
	for _, folder := range []string{"/examples/tutorial", "/stdlib/shown"} {
		found, err := filepath.Glob(root + folder + "/*.perch")
		if err != nil || len(found) == 0 {
			t.Fatal("no designs found in", folder, err)
		}
		files = append(files, found...)
	}
	for i, f := range files {
		if testing.Short() && i%3 > 0 {
			continue
		}
		out := t.TempDir()
		var told strings.Builder
		build := exec.Command(bin, "build", f, "--out", out)
		build.Stderr = &told
		printed, err := build.Output()
		// Two of the library's panels are bent by hand in places: stdlib says which and why.
		unbendable := "warning[" + shopcheck.Unbendable.Code + "]"
		if err != nil || strings.Count(string(printed), "\n") != 2 || told.Len() > 0 && !(strings.Contains(f, "/stdlib/") && strings.HasPrefix(told.String(), unbendable) && strings.Count(told.String(), "warning[") == 1) {
			t.Errorf("%s: %v\n%s%s", f, err, printed, told.String())
			continue
		}
		pictures, err := filepath.Glob(out + "/*/*/picture.png")
		if err != nil || len(pictures) == 0 {
			t.Fatal("no pictures were drawn", err)
		}
		stands := strings.TrimSuffix(f, ".perch") + ".png"
		drawn := []byte(text(t, pictures[0]))
		if _, err := os.Stat(stands); updating() && (err != nil || !samePicture(t, []byte(text(t, stands)), drawn)) {
			if err := os.WriteFile(stands, drawn, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if !samePicture(t, []byte(text(t, stands)), drawn) {
			t.Errorf("%s is stale; run %s=1 go test ./lang/reference", stands, update)
		}
	}
}

// samePicture compares pixels: how they are compressed is not ours.
func samePicture(t *testing.T, a, b []byte) bool {
	decode := func(p []byte) image.Image {
		m, err := png.Decode(bytes.NewReader(p))
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	x, y := decode(a), decode(b)
	if x.Bounds() != y.Bounds() {
		return false
	}
	for v := x.Bounds().Min.Y; v < x.Bounds().Max.Y; v++ {
		for u := x.Bounds().Min.X; u < x.Bounds().Max.X; u++ {
			r, g, bl, al := x.At(u, v).RGBA()
			r2, g2, b2, a2 := y.At(u, v).RGBA()
			if r != r2 || g != g2 || bl != b2 || al != a2 {
				return false
			}
		}
	}
	return true
}
