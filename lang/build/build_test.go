package build_test

import (
	"os"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/bend"
)

func TestExamples(t *testing.T) {
	for _, name := range []string{"stool/stool", "tote/tote"} {
		shop := bend.Default()
		prog, diags, err := load.Design("../../examples/"+name+".perch", shop)
		if err != nil {
			t.Fatal(err)
		}
		diag.Render(os.Stderr, diags, diag.Style{})
		if diag.HasErrors(diags) {
			t.FailNow()
		}
		for _, size := range build.Sizes(prog) {
			res, diags := build.Size(prog, size, shop, nil)
			diag.Render(os.Stderr, diags, diag.Style{})
			if res.Assembly == nil {
				t.Errorf("%s %s: not built", name, size)
			}
			t.Log(res.Values)
		}
	}
}
