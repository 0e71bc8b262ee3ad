package stdlib_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// TestDocumented asks that every panel of the library, and every parameter of
// every panel, says what it is where it stands.
func TestDocumented(t *testing.T) {
	panels := 0
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			t.Fatal(err)
		}
		file, diags := syntax.Parse(diag.NewSource(name, text))
		if diag.HasErrors(diags) {
			t.Errorf("%s does not parse: %v", name, diags)
		}
		if !strings.HasPrefix(text, "// ") {
			t.Errorf("%s does not begin with what it is for", name)
		}
		for _, s := range file.Stmts {
			p, ok := s.(*syntax.Panel)
			if !ok {
				continue
			}
			panels++
			if p.Doc == nil || !strings.HasSuffix(p.Doc.Value, ".") {
				t.Errorf("%s: panel %s has no sentence that says what it is", name, p.Name.Name)
			}
			for _, d := range p.Params {
				if d.Doc == nil || strings.TrimSpace(d.Doc.Value) == "" {
					t.Errorf("%s: panel %s, parameter %s has no word on what it is", name, p.Name.Name, d.Name.Name)
				}
			}
		}
	}
	if panels == 0 {
		t.Fatal("the library has no panels")
	}
}

// TestUnknownModule asks that a module that isn't there is told with those that are.
func TestUnknownModule(t *testing.T) {
	_, _, err := stdlib.Module("std.chair")
	if err == nil {
		t.Fatal("there is no std.chair, and no error")
	}
	for _, m := range stdlib.Modules() {
		if !strings.Contains(err.Error(), m) {
			t.Errorf("the error does not name %s: %v", m, err)
		}
	}
}
