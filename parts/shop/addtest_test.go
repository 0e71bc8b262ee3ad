package shop

import (
	"math"
	"strings"
	"testing"
)

// One more test bend leaves every other byte of a shop file where it is, whatever its lines
// end with, and it is the one that is taken afterwards.
func TestAddMeasured(t *testing.T) {
	m := Measured{Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Angle: math.Pi / 2, K: 0.3456789}
	const older = "# an older one\n[[test_bend]] # by hand\nmaterial = \"mild_steel\"\nthickness = 1.5\nradius = 1.5\nangle = 90\nk = 0.4\n"
	for _, c := range []struct {
		what, text string
		line       int
	}{
		{"an empty file", "", 2},
		{"a comment", "# my shop\n", 4},
		{"no end of line", "name = \"mine\"", 4},
		{"keys behind", "name = \"mine\"\n\n" + older + "\n[drill]\nmax = 10 # chuck\n", 4},
		{"the lines of another system", strings.ReplaceAll("name = \"mine\"\n\n"+older, "\n", "\r\n"), 4},
		{"the template", Template, 2 + strings.Count(Template, "\n") + 1},
	} {
		got, line, err := AddMeasured(c.text, m, "Test bend of 3 strips.")
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if line != c.line || !strings.HasPrefix(strings.Split(got, "\n")[line-1], "[[test_bend]]") {
			t.Errorf("%s: at line %d, want %d:\n%s", c.what, line, c.line, got)
		}
		s, err := Load(got)
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if k, ok := s.MeasuredFor("mild_steel", 1.5, 1.5, math.Pi/2); !ok || k.K != 0.346 {
			t.Errorf("%s: K %v is taken", c.what, k.K)
		}
		if strings.Contains(c.text, "\r\n") && strings.Count(got, "\r\n") != strings.Count(got, "\n") {
			t.Errorf("%s: lines end in two ways", c.what)
		}
		// What was added is one stretch: before and after it the file is what it was.
		k := 0
		for k < len(c.text) && c.text[k] == got[k] {
			k++
		}
		if tail := c.text[k:]; !strings.HasSuffix(got, tail) {
			t.Errorf("%s: the rest of the file changed:\n%s", c.what, got)
		}
	}
	inches, _, err := AddMeasured("unit = \"in\"\n", m, "")
	if err != nil || !strings.Contains(inches, "thickness = 0.059055\n") {
		t.Errorf("in inches: %v\n%s", err, inches)
	}
	for what, text := range map[string]string{
		"test bends in one line": "test_bend = [{thickness = 1.5, radius = 1.5, angle = 90, k = 0.4}]\n",
		"a file with a mistake":  "[drill]\nmax = \"no\"\n",
	} {
		if out, _, err := AddMeasured(text, m, ""); err == nil {
			t.Errorf("%s: it is written:\n%s", what, out)
		}
	}
}
