package reference

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// Library lists every panel of the standard library with its parameters, from
// the texts where they stand.
func Library() (string, error) {
	var out strings.Builder
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			return "", err
		}
		file, diags := syntax.Parse(diag.NewSource(name, text))
		if diag.HasErrors(diags) {
			return "", fmt.Errorf("library module %s has mistakes: %s", m, diags[0].Summary)
		}
		fmt.Fprintf(&out, "### `%s`\n\n", m)
		for _, s := range file.Stmts {
			if p, ok := s.(*syntax.Panel); ok {
				out.WriteString(panelDoc(p))
			}
		}
	}
	return out.String(), nil
}

func panelDoc(p *syntax.Panel) string {
	var t table
	t.head("parameter", "takes", "left out", "what it is")
	for _, d := range p.Params {
		takes, standard, doc := d.Type.Name, "needed", ""
		if d.List {
			takes = "[" + takes + "]"
		}
		if d.Domain != nil {
			takes += " in " + domain(d.Domain)
		}
		if d.Default != nil {
			standard = code(syntax.Print(d.Default))
		}
		if d.Doc != nil {
			doc = d.Doc.Value
		}
		t.row(code(d.Name.Name), takes, standard, doc)
	}
	doc := ""
	if p.Doc != nil {
		doc = " — " + p.Doc.Value
	}
	return fmt.Sprintf("**`%s`**%s\n\n%s\n", p.Name.Name, doc, t.b.String())
}

func domain(d *syntax.Domain) string {
	if d.Hi == nil {
		return syntax.Print(d.Lo)
	}
	return syntax.Print(d.Lo) + ".." + syntax.Print(d.Hi)
}
