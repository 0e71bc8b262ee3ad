package rules_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/parts/shop"
	"perch/solver"
)

// rulesOf reads a design of params and rules alone into a solver's system, as a
// build of its one size would.
func rulesOf(t *testing.T, file string) *solver.System {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource(filepath.Base(file), string(text)), load.Library(), shop)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range diags {
		t.Fatalf("%s: %s %s", file, d.Code, d.Summary)
	}
	sys, faults := rules.Read(prog, shop, nil, nil)
	if sys == nil || len(sys.Later) > 0 {
		t.Fatalf("%s: not all rules are arithmetic: %v", file, faults)
	}
	return sys.Solver
}

// TestPublishedSystems solves the systems of the folder that PERCH_SYSTEMS
// names: counts.csv there has how many solutions each was proved to have by an
// independent solver, and its seconds, which are printed beside ours.
func TestPublishedSystems(t *testing.T) {
	folder := os.Getenv("PERCH_SYSTEMS")
	if folder == "" {
		t.Skip("PERCH_SYSTEMS names no folder of systems")
	}
	f, err := os.Open(filepath.Join(folder, "counts.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(f)
	in.Comment = '#'
	table, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var ours, theirs float64
	for _, line := range table[1:] {
		name := line[0]
		want, err1 := strconv.Atoi(line[2])
		secs, err2 := strconv.ParseFloat(line[3], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("counts.csv: %v", line)
		}
		sys := rulesOf(t, filepath.Join(folder, name+".perch"))
		start := time.Now()
		r := sys.Solve()
		took := time.Since(start).Seconds()
		ours, theirs = ours+took, theirs+secs
		proved := r.Proof.Complete && (r.Proof.Exist || want == 0)
		t.Logf("%-20s %3s variables: %2d solutions of %2d, proved %t, %8.4f s, reference %8.4f s", name, line[1], len(r.Solutions), want, proved, took, secs)
		if !proved || len(r.Solutions) != want {
			t.Errorf("%s: %d solutions, %+v; %d are proved", name, len(r.Solutions), r.Proof, want)
		}
	}
	t.Logf("%-20s %38s %8.4f s, reference %8.4f s", "total", "", ours, theirs)
}
