package spelling

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestNearest holds the nearest name to what a reader would take for meant (own
// judgement, no source).
func TestNearest(t *testing.T) {
	for _, c := range []struct{ wrong, known, want string }{
		{"sine", "line sin tan mine", "sin"},
		{"cosine", "cos close sin", "cos"},
		{"tangent", "tan read_off", "tan"},
		{"rectangle", "rect circle slot", "rect"},
		{"ceiling", "ceil floor", "ceil"},
		{"maximum", "min max", "max"},
		{"steel", "mild_steel brass", "mild_steel"},
		{"stool", "std.plain std.stool", "std.stool"},
		{"std.stol", "std.plain std.stool", "std.stool"},
		{"thick", "thickness radius", "thickness"},
		{"widht", "width height depth", "width"},
		{"hight", "height high eight", "height"},
		{"roudn", "round sound", "round"},
		{"lip", "slip lips", "lips"},
		{"heigth", "height", "height"},
		{"ae", "ab ac", "ab"},
		{"x", "y", ""}, // no letter of it is left
		{"z", "x y", ""},
		{"ab", "abacus", ""}, // two letters stand for anything
		{"width", "depth", ""},
		{"height", "right", ""}, // another first letter, and two edits
		{"width", "width", ""},
		{"", "a", ""},
		{strings.Repeat("x", maxName+1), strings.Repeat("x", maxName), ""},
	} {
		known := strings.Fields(c.known)
		for range 2 { // in whatever order they come
			if got := Nearest(c.wrong, known); got != c.want {
				t.Errorf("of %q, %q is nearest to %q, want %q", known, got, c.wrong, c.want)
			}
			slices.Reverse(known)
		}
	}
}

func ExampleNearest() {
	fmt.Println(Nearest("widht", []string{"height", "width"}))
	// Output: width
}
