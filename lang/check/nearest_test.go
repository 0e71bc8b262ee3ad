package check

import (
	"fmt"
	"testing"
)

// TestSuggestsWhatFits wants a name of the kind that the place takes.
func TestSuggestsWhatFits(t *testing.T) {
	const text = `design "d"
stock shell = sheet(mild_steel, 2mm)
body frame = box(1m, 1m, 1m)
param wide: length = 30mm
let widen(x: length) = x * 2
let wider = 3mm
panel corner(x: length) { face web on level(0mm) { outline rect(x, x) } }
size wide_one: wide = 3mm
%s
`
	for _, c := range []struct{ line, want string }{
		{"let a = sine(30deg)", "sin"},
		{"let a = widem(3mm)", "widen"},
		{"let a = widen_(3mm)", "widen"},
		{"let a = wideX + 1mm", "wide"},
		{"let a = widen2 + 1mm", "wide"},  // a function is no value
		{"let a = wide_on + 1mm", "wide"}, // nor is a size
		{"part p of shell = corned(3mm)", "corner"},
		{"part p of shell = corned", "corner"},
		{"part p of shell = corner(widr)", "wide"},
		{"part p of shell = corner(wideen(3mm))", "widen"},
		{"part p of shel = corner(3mm)", "shell"},
		{"part p of shell = widem(3mm)", ""}, // no function makes a part
		{"let a = corned(3mm)", ""},          // no panel is called
		{"let a = sheet(steel, 1mm)", "mild_steel"},
	} {
		_, diags := checkText(fmt.Sprintf(text, c.line), nil)
		got := ""
		for _, d := range diags {
			if d.Code == "P2001" && d.Fix != nil {
				got = d.Fix.Edits[0].Text
			}
		}
		if got != c.want {
			t.Errorf("%s: %q is offered, want %q: %v", c.line, got, c.want, diags)
		}
	}
}

// TestSuggestsModule wants the nearest library module to be offered as a fix.
func TestSuggestsModule(t *testing.T) {
	for from, want := range map[string]string{"std.stol": "std.stool", "stool": "std.stool", "std.plane": "std.plain", "other.thing": ""} {
		_, diags := checkText("design \"d\"\nuse a from "+from+"\n", lister{newDesk(t)})
		if len(diags) != 1 || diags[0].Code != "P2006" {
			t.Fatalf("%s: %v", from, diags)
		}
		got := ""
		if f := diags[0].Fix; f != nil {
			got = f.Edits[0].Text
			if f.Edits[0].Span.Text() != from {
				t.Errorf("%s: the fix puts %s for %q", from, got, f.Edits[0].Span.Text())
			}
		}
		if got != want {
			t.Errorf("%s: %q is offered, want %q", from, got, want)
		}
	}
}

// lister is a desk that can tell what lies on it.
type lister struct{ *desk }

func (l lister) Modules() []string { return []string{"std.plain", "std.stool"} }
