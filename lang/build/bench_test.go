package build_test

import (
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// BenchmarkSolve solves the rules of the three sizes of the flagship; ns/size is
// the time of one.
func BenchmarkSolve(b *testing.B) {
	shop := shop.Default()
	prog, diags, err := load.Design("../../examples/stool/stool.perch", shop)
	if err != nil || diag.HasErrors(diags) {
		b.Fatal(err, diags)
	}
	sizes := build.Sizes(prog)
	for b.Loop() {
		for _, s := range sizes {
			if r, ds := build.Solve(prog, s, shop, nil); !r.Stands() {
				b.Fatal(ds)
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(sizes)), "ns/size")
}
