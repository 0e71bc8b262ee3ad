package parts

import (
	"bufio"
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestNoFusedInstructions compiles every room here for processors with fused
// multiply-add, and reads the listing: the same design must give the same bytes
// there. A fusion that the source asks for by name, as an exact product does, is meant.
func TestNoFusedInstructions(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles every room twice")
	}
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go tool on this machine")
	}
	fused := regexp.MustCompile(`\(([^()\s]+\.go):(\d+)\)\t(FN?M(ADD|SUB)[SD]?|VFN?M(ADD|SUB)\S*)\t`)
	for _, env := range [][]string{{"GOARCH=arm64"}, {"GOARCH=amd64", "GOAMD64=v3"}} {
		cmd := exec.Command(tool, "build", "-gcflags=-S", "./...")
		cmd.Env = append(append(os.Environ(), "GOOS=linux", "CGO_ENABLED=0", "GOFLAGS=-trimpath"), env...)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v\n%s", env, err, out)
		}
		rooms, told := 0, map[string]bool{}
		lines := bufio.NewScanner(bytes.NewReader(out))
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			if strings.HasPrefix(lines.Text(), "# perch/parts/") {
				rooms++
			}
			m := fused.FindStringSubmatch(lines.Text())
			if m == nil || told[m[1]+m[2]] || meant(t, m[1], m[2]) {
				continue
			}
			told[m[1]+m[2]] = true
			t.Errorf("%v: %s:%s holds %s", env, m[1], m[2], m[3])
		}
		if err := lines.Err(); err != nil || rooms < 15 {
			t.Errorf("%v: a listing of %d rooms, %v", env, rooms, err)
		}
	}
}

// meant tells whether the source line asks for the fused product by name.
func meant(t *testing.T, file, line string) bool {
	t.Helper()
	rel, ok := strings.CutPrefix(file, "perch/parts/")
	if !ok {
		return false
	}
	text, err := os.ReadFile(filepath.FromSlash(rel))
	if err != nil {
		t.Fatal(err)
	}
	n, _ := strconv.Atoi(line)
	lines := strings.Split(string(text), "\n")
	return n > 0 && n <= len(lines) && strings.Contains(lines[n-1], "math.FMA(")
}
