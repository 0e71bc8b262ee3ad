package nest

import (
	"os"
	"os/exec"
	"regexp"
	"testing"
)

// TestNoFusedInstructions compiles for processors with fused multiply-add: the same
// input must give the same sheet there.
func TestNoFusedInstructions(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go tool on this machine")
	}
	fused := regexp.MustCompile(`\t(FN?M(ADD|SUB)[SD]?|VFN?M(ADD|SUB)\S*)\t`)
	for _, env := range [][]string{{"GOARCH=arm64"}, {"GOARCH=amd64", "GOAMD64=v3"}} {
		cmd := exec.Command(tool, "build", "-gcflags=-S", "-o", os.DevNull, ".")
		cmd.Env = append(append(os.Environ(), "GOOS=linux", "CGO_ENABLED=0"), env...)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v\n%s", env, err, out)
		}
		if len(out) < 1000 {
			t.Fatalf("%v: no listing", env)
		}
		if m := fused.Find(out); m != nil {
			t.Errorf("%v: the listing holds %q", env, m)
		}
	}
}
