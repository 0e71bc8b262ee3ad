package solver

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// bitsFile holds a hash of every bit of the results over the catalogue. It is
// written anew with PERCH_UPDATE=1.
const bitsFile = "testdata/bits.txt"

// TestBits holds results to their last bit: the file was written on amd64, and any
// processor has to come to the same.
func TestBits(t *testing.T) {
	var b strings.Builder
	b.WriteString("# SHA-256, cut short, of the bits of solutions, ranges proved, slopes and extremes\n")
	for _, c := range catalogue {
		h := sha256.New()
		s := begin(t)
		c.make(s)
		writeResult(h, s.Solve())
		fmt.Fprintf(&b, "%x %s\n", h.Sum(nil)[:8], c.name)
	}
	h := sha256.New()
	writeExtremes(h, t)
	fmt.Fprintf(&b, "%x %s\n", h.Sum(nil)[:8], "extremes and slopes")
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(bitsFile, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(bitsFile)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(b.String(), "\n")
	for i, line := range strings.Split(string(want), "\n") {
		if i >= len(got) || got[i] != line {
			t.Errorf("%s %s: want %q, got %q; a change of the method is written down with PERCH_UPDATE=1", runtime.GOOS, runtime.GOARCH, line, got[min(i, len(got)-1)])
		}
	}
}

func writeFloats(h hash.Hash, xs ...float64) {
	for _, x := range xs {
		binary.Write(h, binary.LittleEndian, math.Float64bits(x)) // a hash takes everything
	}
}

func writeResult(h hash.Hash, r Result) {
	fmt.Fprintln(h, r.Status, r.Proof, r.Conflict, r.Range, r.FreeSets, r.GaveWay, r.Competing)
	for _, o := range r.Origins {
		fmt.Fprintln(h, o.By)
	}
	writeFloats(h, r.Values...)
	for _, x := range r.Solutions {
		writeFloats(h, x...)
	}
	for _, n := range r.Nearest {
		writeFloats(h, n.Need)
	}
}

// writeExtremes works out extremes of a system with an open name, and slopes at them.
func writeExtremes(h hash.Hash, t *testing.T) {
	for k := range 3 {
		b := begin(t)
		x := b.names(4, 0, 10+float64(k))
		b.rule(Sum(sqr(x[0]), sqr(x[1])), num(20+float64(k)))
		b.rule(x[2], Product(x[0], Exp(multiple(-0.1, x[1]))))
		b.rule(x[3], Sum(Sin(x[2]), Atan(Quotient(x[0], Sum(num(1), x[1])))))
		for _, sense := range []Sense{Largest, Smallest} {
			o := b.Extremum(x[3], sense)
			writeResult(h, o.Result)
			writeFloats(h, o.Value, o.Bound)
			for _, row := range b.Sensitivity(o.Values, []Var{0}) {
				writeFloats(h, row...)
			}
		}
	}
}

// TestBitsElsewhere runs TestBits as built for plain amd64, for amd64 with fused
// arithmetic and for arm64.
func TestBitsElsewhere(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("three builds of the tests: PERCH_REFEREES=require asks for them")
	}
	for _, m := range []struct {
		name string
		env  []string
		run  []string
	}{
		{"amd64 v1", []string{"GOARCH=amd64", "GOAMD64=v1"}, nil},
		{"amd64 v3", []string{"GOARCH=amd64", "GOAMD64=v3"}, nil},
		{"arm64", []string{"GOARCH=arm64"}, []string{"qemu-aarch64"}},
	} {
		t.Run(m.name, func(t *testing.T) {
			program := filepath.Join(t.TempDir(), "bits.test")
			build := exec.Command("go", "test", "-c", "-o", program, ".")
			build.Env = append(append(os.Environ(), "GOOS=linux", "CGO_ENABLED=0"), m.env...)
			if out, err := build.CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			call := append(m.run, program, "-test.run=^TestBits$", "-test.v")
			run := exec.Command(call[0], call[1:]...)
			run.Env = append(os.Environ(), "PERCH_UPDATE=")
			out, err := run.CombinedOutput()
			if err != nil || !strings.Contains(string(out), "--- PASS: TestBits") {
				t.Errorf("%v\n%s", err, out)
			}
		})
	}
}
