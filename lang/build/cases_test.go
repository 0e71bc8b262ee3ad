package build_test

import (
	"strings"
	"testing"

	"perch/examples"
	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestLinesToPaste: the line by which a design without a load would state the one that is
// assumed, or one where none can be, is the language's, and the load that it states is where
// the assumed one was: of every example.
func TestLinesToPaste(t *testing.T) {
	sh := shop.Default()
	assumed, asked := 0, 0
	for _, name := range examples.Names() {
		text, _ := examples.Text(name)
		p, told, err := load.Source(diag.NewSource(name+".perch", text), load.Library(), sh)
		if err != nil || diag.HasErrors(told) {
			t.Fatal(name, err, told)
		}
		size := build.Sizes(p)[0]
		r, told := build.Size(p, size, sh, nil)
		if r.Assembly == nil {
			t.Fatal(name, told)
		}
		line, cases := r.Asking(), r.Cases()
		if len(cases) > 0 && !cases[0].Assumed {
			continue
		}
		if len(cases) > 0 {
			line = cases[0].Line
			assumed++
		} else {
			asked++
		}
		if line == "" {
			t.Logf("%s: no line", name)
			continue
		}
		p, told, err = load.Source(diag.NewSource(name+".perch", text+"\n"+line+"\n"), load.Library(), sh)
		if err != nil || diag.HasErrors(told) {
			t.Errorf("%s: %s: %v %v", name, line, err, told)
			continue
		}
		with, told := build.Size(p, size, sh, nil)
		if with.Assembly == nil {
			t.Errorf("%s: %s: %v", name, line, told)
			continue
		}
		stated := with.Cases()
		if len(stated) != 1 || stated[0].Assumed || !strings.HasPrefix(line, "let "+stated[0].Name+" = ") {
			t.Errorf("%s: %s: %+v", name, line, stated)
			continue
		}
		if len(cases) > 0 && (stated[0].On[0] != cases[0].On[0] || stated[0].Loads[0].Force != cases[0].Loads[0].Force) {
			t.Errorf("%s: %s loads part %d by %v, not %d by %v", name, line, stated[0].On[0], stated[0].Loads[0].Force, cases[0].On[0], cases[0].Loads[0].Force)
		}
	}
	if assumed < 5 || asked < 5 {
		t.Errorf("%d examples are sat on, %d asked", assumed, asked)
	}
}
