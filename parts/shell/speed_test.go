package shell

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"perch/parts/solid"
)

// BenchmarkCalculix times a clamped plate of so many nodes, its factors and three loads by
// small movements, and CalculiX with as many nodes of S8R, in one run: the processor's time of
// each, their ratio, and the memory. It skips where ccx is not installed.
func BenchmarkCalculix(b *testing.B) {
	if _, err := exec.LookPath("ccx"); err != nil {
		b.Skip("calculix-ccx is not installed")
	}
	for _, c := range []struct{ ours, theirs int }{{70, 40}, {140, 81}} {
		s := newSheet(c.ours, c.ours, 1, Material{E: 200000, Nu: 0.3}, true, func(u, v float64) solid.Vec { return vec(400*u, 400*v, 0) })
		s.edges(func(k int32, _, _ int) { s.hold(k, MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ) })
		b.Run(fmt.Sprint(len(s.Nodes)), func(b *testing.B) {
			for b.Loop() {
				from := spent()
				st, err := New(&s.Model, Limits{})
				if err != nil {
					b.Fatal(err)
				}
				for k := range 3 {
					n := s.node(c.ours/2, c.ours/4*(k+1))
					_, err := st.Linear(b.Context(), []Load{{Node: n, Force: vec(0, 0, -1)}})
					if err != nil {
						b.Fatal(err)
					}
				}
				ours := spent() - from
				theirs, memory := plateOf(b, c.theirs)
				b.ReportMetric(ours.Seconds(), "s")
				b.ReportMetric(theirs.Seconds(), "s-ccx")
				b.ReportMetric(ours.Seconds()/theirs.Seconds(), "of-ccx")
				b.ReportMetric(float64(st.Bytes())/1e6, "MB-factors")
				b.ReportMetric(float64(memory)/1e3, "MB-ccx")
			}
		})
	}
}

// spent is the processor's time of this process.
func spent() time.Duration {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

// plateOf has CalculiX load the plate three times, by n·n elements: the processor's time and
// the most memory, kB.
func plateOf(b *testing.B, n int) (time.Duration, int64) {
	b.Helper()
	var deck, elements, edge strings.Builder
	number := func(i, j int) int { return j*(2*n+1) + i + 1 }
	deck.WriteString("*NODE, NSET=ALL\n")
	for j := range 2*n + 1 {
		for i := range 2*n + 1 {
			if i%2 == 1 && j%2 == 1 {
				continue
			}
			fmt.Fprintf(&deck, "%d, %g, %g, 0.\n", number(i, j), 200*float64(i)/float64(n), 200*float64(j)/float64(n))
			if i == 0 || j == 0 || i == 2*n || j == 2*n {
				fmt.Fprintf(&edge, "%d, 1, 6\n", number(i, j))
			}
		}
	}
	for j := range n {
		for i := range n {
			x, y := 2*i, 2*j
			fmt.Fprintf(&elements, "%d, %d, %d, %d, %d, %d, %d, %d, %d\n", j*n+i+1, number(x, y), number(x+2, y), number(x+2, y+2), number(x, y+2),
				number(x+1, y), number(x+2, y+1), number(x+1, y+2), number(x, y+1))
		}
	}
	fmt.Fprintf(&deck, "*ELEMENT, TYPE=S8R, ELSET=P\n%s*MATERIAL, NAME=M\n*ELASTIC\n200000., 0.3\n*SHELL SECTION, ELSET=P, MATERIAL=M\n1.\n*BOUNDARY\n%s", elements.String(), edge.String())
	for k := range 3 {
		fmt.Fprintf(&deck, "*STEP\n*STATIC\n*CLOAD, OP=NEW\n%d, 3, -1.\n*NODE PRINT, NSET=ALL\nU\n*END STEP\n", number(n/2*2, n/4*2*(k+1)))
	}
	folder := b.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "plate.inp"), []byte(deck.String()), 0o600); err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command("ccx", "plate")
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1")
	if out, err := cmd.CombinedOutput(); err != nil {
		b.Fatalf("ccx: %v\n%s", err, out)
	}
	used := cmd.ProcessState
	return used.UserTime() + used.SystemTime(), used.SysUsage().(*syscall.Rusage).Maxrss
}
