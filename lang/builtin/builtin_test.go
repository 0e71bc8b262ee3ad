package builtin

import (
	"fmt"
	"testing"

	"perch/lang/value"
)

func Example() {
	for _, f := range Forms("box") {
		fmt.Println(f.Signature(), "gives a", f.Gives())
	}
	fmt.Println(".up of a side:", MemberOf(SideKind, "up").Doc)
	// Output:
	// box(x, y, height) gives a body
	// box(size:, height:) gives a body
	// .up of a side: a height above the floor as a v on it
}

// TestRows holds every row to what the checker and the editor rely on.
func TestRows(t *testing.T) {
	hold := func(f *Function) {
		optional := false
		for i, p := range f.Params {
			switch {
			case p.Many && i != len(f.Params)-1:
				t.Errorf("%s: %s is repeated, but not last", f.Name, p.Name)
			case Named(f.Params, p.Name) != i:
				t.Errorf("%s has two parameters %s", f.Name, p.Name)
			case p.Without != "" && Named(f.Params, p.Without) < 0:
				t.Errorf("%s: there is no %s that %s could not be given beside", f.Name, p.Without, p.Name)
			case !p.TakesWord() && !p.Same && len(p.Types) == 0:
				t.Errorf("%s: nothing tells what %s takes", f.Name, p.Name)
			case optional && !p.Optional && !p.Labelled:
				t.Errorf("%s: %s is needed, but stands behind what can be left out", f.Name, p.Name)
			}
			optional = optional || p.Optional
		}
		if (f.Result.Kind == Invalid) != (f.Follows != nil) {
			t.Errorf("%s: what it gives is said twice or not at all", f.Name)
		}
	}
	for _, f := range Functions {
		hold(f)
		if f.Doc == "" {
			t.Errorf("%s is told nothing of", f.Name)
		}
	}
	for i := range Members {
		hold(&Members[i].Function)
	}
}

// TestStandards: a default that is written as a literal has its value in the table.
func TestStandards(t *testing.T) {
	ends := Forms("strip")[0].Params[1]
	if ends.Value != value.Length(0) {
		t.Errorf("strip's ends are %v left out, want 0mm", ends.Value)
	}
	if l := Forms("tack")[0].Params[0]; l.Value != value.Length(5) {
		t.Errorf("a tack is %v long left out, want 5mm", l.Value)
	}
	if r := Forms("bend")[0].Params[0]; r.Value != nil || r.Default == "" {
		t.Errorf("a bend's radius left out is told as %q, and can't be a number of the table: %v", r.Default, r.Value)
	}
}
