package main

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The validator of those who publish glTF has nothing to say of any example at any size, not
// even a hint.
func TestGLBByItsValidator(t *testing.T) {
	const script = "testdata/validate_glb.js"
	require(t, "nodejs, and npm ci in .ci", "node", script)
	var files []string
	for _, dir := range builtUnmarked(t) {
		files = append(files, filepath.Join(dir, "piece.glb"))
	}
	out, err := exec.Command("node", append([]string{script}, files...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	var found []struct {
		File                          string
		Issues, Triangles, Animations int
		Messages                      []string
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	if len(found) != len(files) {
		t.Errorf("%d answers on %d files", len(found), len(files))
	}
	folding := 0
	for _, f := range found {
		if f.Issues > 0 || f.Triangles < 12 {
			t.Errorf("%s: %d triangles, %d issues: %s", sizeName(filepath.Dir(f.File)), f.Triangles, f.Issues, strings.Join(f.Messages, "; "))
		}
		folding += f.Animations
	}
	if folding < len(found)*9/10 {
		t.Errorf("only %d of %d pieces fold up", folding, len(found))
	}
}
