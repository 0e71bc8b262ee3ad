package family_test

import (
	"slices"
	"strings"
	"testing"

	"perch/lang/family"
	"perch/parts/output"
	"perch/parts/shop"
)

// What a flag asks for comes beside what the shop has written anyway, each once; a misspelt
// kind is told with the one that was meant.
func TestAlso(t *testing.T) {
	facts, err := shop.Load("[build]\nalso = [\"step\", \"step\"]\n")
	if err != nil {
		t.Fatal(err)
	}
	opt := output.Options{Also: facts.Written.Also}
	if ds := family.Also(&opt, []string{"STEP"}); ds != nil || !slices.Equal(opt.Also, []shop.Kind{shop.STEP}) {
		t.Errorf("%v, %v", opt.Also, ds)
	}
	for asked, note := range map[string]string{"stp": "write --also step", "dwg": "the kinds are step, glb, pdf"} {
		ds := family.Also(&opt, []string{asked})
		if len(ds) != 1 || ds[0].Code != "P7011" || !strings.Contains(strings.Join(ds[0].Notes, "\n"), note) {
			t.Errorf("%s: %+v", asked, ds)
		}
	}
	for _, wrong := range []string{`also = "step"`, `also = ["stp"]`, `also = [1]`} {
		if _, err := shop.Load("[build]\n" + wrong + "\n"); err == nil || !strings.Contains(err.Error(), "build.also") {
			t.Errorf("%s: %v", wrong, err)
		}
	}
}
