package editor_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/format"
)

// serveVar, set in the environment, makes the test binary a server on its
// standard streams: what an editor starts.
const serveVar = "PERCH_TEST_SERVE"

func TestMain(m *testing.M) {
	if os.Getenv(serveVar) != "" {
		if err := editor.Serve(context.Background(), os.Stdin, os.Stdout, editor.Options{}); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// TestNeovim has Neovim, without a screen, open an example, edit it, and use the
// service: its script, testdata/drive.lua, writes what it got, a line each.
func TestNeovim(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, neovim: PERCH_REFEREES=require asks for it")
	}
	nvim, err := exec.LookPath("nvim")
	if err != nil {
		t.Fatal("nvim is not installed: apt-get install neovim")
	}
	dir := t.TempDir()
	text := example(t, "stool")
	file := filepath.Join(dir, "stool.perch")
	write(t, file, text)
	script, err := filepath.Abs("testdata/drive.lua")
	if err != nil {
		t.Fatal(err)
	}
	plugin, err := filepath.Abs("grammar/vim")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, nvim, "--headless", "--clean", "-n", "--cmd", "set runtimepath^="+plugin, "-c", "luafile "+script)
	cmd.Env = append(os.Environ(), serveVar+"=1", "PERCH_SERVER="+os.Args[0], "PERCH_FILE="+file,
		"PERCH_OUT="+filepath.Join(dir, "out.txt"), "HOME="+dir, "XDG_STATE_HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CONFIG_HOME="+dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		said, _ := os.ReadFile(filepath.Join(dir, "out.txt")) // it need not have come so far
		t.Fatalf("nvim: %v\n%s\n%s", err, out, said)
	}
	b, err := os.ReadFile(filepath.Join(dir, "out.txt"))
	if err != nil {
		t.Fatal(err)
	}
	got := string(b)
	for _, want := range []string{
		"start: 0 mistakes",
		"edited: 1 mistakes: 15:13 nothing here is named seet",
		"mended: 0 mistakes",
		"hover: param foot: length in 240mm..650mm",
		"hover: | mid | ", "| solved from the rules |",
		"complete: toe:", "complete: waist:",
		"renamed: param tall: length",
		"definition: perch-lib:///std/stool.perch 4",
		"link: perch-lib:///std/stool.perch",
		"made of it: part cap",
		"grows: 4 then 9",
		"action: make 68mm a param: toe", "action: make 68mm a let: toe", "action: write 68mm as 2.6772in, rounded",
		"gone to: perch-lib:///std/stool.perch 4 panel seat_cap( perch",
		"kept: modifiable false, modified false",
		"in the library: ```perch panel corner_leg(",
		"done",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the editor did not get %q", want)
		}
	}
	formatted, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, bad := format.Source(diag.NewSource("stool.perch", renamed(spoilt(text))))
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	if string(formatted) != want {
		t.Errorf("the editor's buffer is not what the formatter gives:\n%s", formatted)
	}
	if t.Failed() {
		t.Logf("the editor wrote:\n%s", got)
	}
}

// spoilt is the text as the script leaves it before it formats.
func spoilt(text string) string {
	return strings.Replace(text, "size mid\n", "size    mid\n\n\n\n", 1)
}

// renamed is the text with its param height called tall; the label of frustum is
// another name.
func renamed(text string) string {
	return strings.Replace(strings.ReplaceAll(text, "height", "tall"), "tall: tall)", "height: tall)", 1)
}
