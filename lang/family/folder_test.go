package family

import (
	"os"
	"path/filepath"
	"testing"
)

func TestFolder(t *testing.T) {
	for file, want := range map[string]string{
		"stool.perch": "out/stool", "a/b/stool.perch": "out/stool", "-": "out/stdin", "stool": "out/stool", "stool.v2.perch": "out/stool.v2",
		".perch": "out/design", "..perch": "out/design", "a..perch": "out/a", "CON.perch": "out/CON_", "lpt1.x.perch": "out/lpt1.x_",
	} {
		if got := filepath.ToSlash(Folder("out", file)); got != want {
			t.Errorf("%s is built into %s, want %s", file, got, want)
		}
	}
}

// A design is known by its path in the repository that holds it and the output folder, else
// from that folder, however perch is told of either.
func TestKnown(t *testing.T) {
	top := t.TempDir()
	for _, d := range []string{"repo/.git", "repo/designs", "other/.git", "plain/deep"} {
		if err := os.MkdirAll(filepath.Join(top, d), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(top, "plain"), filepath.Join(top, "link")); err != nil {
		t.Skip("no links here:", err)
	}
	for _, c := range []struct{ start, out, file, want string }{
		{"plain", "out", "stool.perch", "../stool.perch"},
		{"plain/deep", "../out", "../stool.perch", "../stool.perch"},
		{"link", "out", "stool.perch", "../stool.perch"},
		{"plain", "../link/out", "../link/stool.perch", "../stool.perch"},
		{"plain", "out/not/there", "stool.perch", "../../../stool.perch"},
		{"repo/designs", "out", "stool.perch", "designs/stool.perch"},
		{"repo", "out/deep/er", "designs/stool.perch", "designs/stool.perch"},
		{"repo", "../other/out", "designs/stool.perch", "../../repo/designs/stool.perch"},
		{"repo", "../plain", "designs/stool.perch", "../repo/designs/stool.perch"},
		{"repo", "out", "../other/stool.perch", "../../other/stool.perch"},
		{"plain", "out", "a\nb.perch", `"../a\nb.perch"`},
		{"plain", "out", "-", "stdin"},
	} {
		t.Chdir(filepath.Join(top, c.start))
		if got := known(c.out, c.file); got != c.want {
			t.Errorf("in %s, %s built into %s is known as %s, want %s", c.start, c.file, c.out, got, c.want)
		}
	}
}
