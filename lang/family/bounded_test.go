package family_test

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/output"
	"perch/parts/shop"
)

// ended builds a design and answers with what was told of it; it fails where that does
// not end in a time that a hundred times the work would need, or takes more memory in all than
// so many megabytes.
func ended(t *testing.T, text string, megabytes uint64) []diag.Diagnostic {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	done := make(chan []diag.Diagnostic, 1)
	go func() {
		s := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("many.perch", text), load.Library(), s)
		if err == nil && !diag.HasErrors(diags) {
			var more []diag.Diagnostic
			more, err = family.Job{Program: prog, Shop: s}.Build(t.TempDir(), output.Options{})
			diags = append(diags, more...)
		}
		if err != nil {
			t.Error(err)
		}
		done <- diags
	}()
	select {
	case diags := <-done:
		runtime.ReadMemStats(&after)
		if got := (after.TotalAlloc - before.TotalAlloc) >> 20; got > megabytes {
			t.Errorf("%d MB were taken in all, more than %d", got, megabytes)
		}
		return diags
	case <-time.After(3 * time.Minute):
		t.Fatal("this does not end")
		return nil
	}
}

// TestManyHoles: ten thousand holes, as a family of cuts and as one cut at many places,
// cost what a few seconds do.
func TestManyHoles(t *testing.T) {
	n := 100
	if testing.Short() {
		n = 40
	}
	for name, cuts := range map[string]string{
		"family": fmt.Sprintf("cut h[i in 1..%d, j in 1..%d] = circle(6mm) at (10mm * i, 10mm * j)", n, n),
		"places": "cut h = circle(6mm) at places",
	} {
		diags := ended(t, fmt.Sprintf(`
design "Sieve" in millimetres
stock steel = sheet(mild_steel, 1mm)
let places[i in 1..%d, j in 1..%d] = (10mm * i, 10mm * j)
panel sieve() { face web on level(0mm) { outline rect(%dmm, %dmm) at (%dmm, %dmm)
  %s
} }
part sieve of steel = sieve()`, n, n, 10*n+20, 10*n+20, 5*n, 5*n, cuts), uint64(n*n/20))
		if len(diags) > 0 {
			t.Errorf("%s: %v", name, diags)
		}
	}
}
