package examples

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/format"
	"perch/lang/load"
	"perch/parts/measure"
	"perch/parts/shop"
)

// Every text that a new design can start from builds at every size, uses no file
// beside it, and the starter is in canonical form and draws no complaint.
func TestEveryStartBuilds(t *testing.T) {
	texts := map[string]string{"starter": Starter(measure.Millimetres), "starter in inches": Starter(measure.Inches)}
	for _, n := range Names() {
		text, ok := Text(n)
		if !ok {
			t.Fatalf("%s is listed and not there", n)
		}
		texts[n] = text
	}
	for name, text := range texts {
		src := diag.NewSource(name, text)
		p, ds, err := load.Source(src, load.Library(), shop.Default())
		if err != nil || diag.HasErrors(ds) {
			t.Errorf("%s: %v %v", name, err, ds)
			continue
		}
		for _, s := range build.Sizes(p) {
			if r, ds := build.Size(p, s, shop.Default(), nil); r.Assembly == nil || diag.HasErrors(ds) {
				t.Errorf("%s at %s: %v", name, s, ds)
			}
		}
		if _, ok := p.Taken(); ok {
			t.Errorf("%s does not say which units it is in", name)
		}
		if strings.HasPrefix(name, "starter") {
			if canon, _ := format.Source(src); canon != text || len(ds) > 0 {
				t.Errorf("%s is not in canonical form, or has warnings: %v", name, ds)
			}
		}
	}
}

func TestNames(t *testing.T) {
	names := Names()
	if !slices.IsSorted(names) || !slices.Contains(names, "stool") || !slices.Contains(names, "bench") {
		t.Errorf("names: %v", names)
	}
	for _, bad := range []string{"", "../stool", "tutorial/1_plate", "chair", "stool.perch"} {
		if _, ok := Text(bad); ok {
			t.Errorf("there is a text for %q", bad)
		}
	}
}

func ExampleText() {
	text, ok := Text("wall_hook")
	fmt.Println(ok, strings.Contains(text, `design "Wheel hook"`))
	// Output: true true
}
