package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// fused is a multiply-add in a listing, with the place it was made from.
var fused = regexp.MustCompile(`\(([^()\s]+\.go):(\d+)\)\t(FN?M(?:ADD|SUB)[SD]?|VFN?M(?:ADD|SUB)\S*)\t`)

// TestNoFusedInstructions compiles every room of the module for processors with fused
// multiply-add and reads the listing: such an instruction rounds once where others round
// twice, and the same design would come to other bytes there. What the source asks for by
// name, as an exact product does, is meant. The compiler takes long over it: everyday it is
// arm64 alone, whose compiler fuses most; the other machine comes with the referees.
func TestNoFusedInstructions(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles every room for another machine")
	}
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("no go tool on this machine")
	}
	rooms := computing(t)
	machines := [][]string{{"GOARCH=arm64"}}
	if os.Getenv("PERCH_REFEREES") == "require" {
		machines = append(machines, []string{"GOARCH=amd64", "GOAMD64=v3"})
	}
	for _, env := range machines {
		seen, told := map[string]bool{}, map[string]bool{}
		listing(t, env, func(line string) {
			if room, ok := strings.CutPrefix(line, "# "); ok {
				seen[room] = true
			}
			m := fused.FindStringSubmatch(line)
			if m == nil || told[m[1]+":"+m[2]] || askedFor(t, m[1], m[2]) {
				return
			}
			told[m[1]+":"+m[2]] = true
			t.Errorf("%v: %s:%s holds %s: round the product, float64(x*y) + z", env, m[1], m[2], m[3])
		})
		for _, r := range rooms {
			if !seen[r] {
				t.Errorf("%v: no listing of %s", env, r)
			}
		}
	}
}

// computing lists the rooms with source of their own.
func computing(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", "{{if .GoFiles}}{{.ImportPath}}{{end}}", "perch/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	rooms := strings.Fields(string(out))
	if len(rooms) < 40 {
		t.Fatalf("only %d rooms", len(rooms))
	}
	return rooms
}

// listing compiles all rooms with the environment and hands over every line of what the
// compiler lists.
func listing(t *testing.T, env []string, each func(line string)) {
	t.Helper()
	cmd := exec.Command("go", "build", "-gcflags=-S", "perch/...")
	cmd.Env = append(append(os.Environ(), "GOOS=linux", "CGO_ENABLED=0", "GOFLAGS=-trimpath"), env...)
	pipe, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(pipe)
	lines.Buffer(nil, 1<<24)
	last := ""
	for lines.Scan() {
		last = lines.Text()
		each(last)
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %v\n%s", env, err, last)
	}
}

// askedFor tells whether a line of the module's source asks for the fused product by name.
func askedFor(t *testing.T, file, line string) bool {
	t.Helper()
	rel, ok := strings.CutPrefix(file, "perch/")
	if !ok {
		return false
	}
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(rel)))
	if err != nil {
		t.Fatal(err)
	}
	n, err := strconv.Atoi(line)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	return n <= len(lines) && strings.Contains(lines[n-1], "math.FMA(")
}
