package family

import (
	"fmt"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/output"
)

// sizeNames tells which sizes of the design can't be folders beside each other.
func (j Job) sizeNames() []diag.Diagnostic {
	var diags []diag.Diagnostic
	for _, b := range output.BadNames(build.Sizes(j.Program)) {
		d := badName("size", b)
		for _, s := range j.Program.Root.File.Stmts {
			if x, ok := s.(*syntax.Size); ok && x.Name.Name == b.Name {
				d.Span = x.Name.At
			}
		}
		diags = append(diags, d)
	}
	return diags
}

// blankNames tells which blanks of a size can't be files beside each other.
func blankNames(r *build.Result) []diag.Diagnostic {
	var names []string
	for _, b := range r.Assembly.Blanks {
		names = append(names, b.Name)
	}
	var diags []diag.Diagnostic
	for _, b := range output.BadBlanks(names) {
		d := badName("part", b)
		d.Span = r.Place(b.Name)
		diags = append(diags, d)
	}
	return diags
}

func badName(what string, b output.BadName) diag.Diagnostic {
	name := b.Name
	if len(name) > 60 {
		name = strings.ToValidUTF8(name[:60], "") + "…"
	}
	return diag.Diagnostic{Code: "P7008", Severity: diag.Error, Summary: fmt.Sprintf("the %s %s can't be written under its name: %s", what, name, b.Why),
		Notes: []string{"give it another name"}}
}
