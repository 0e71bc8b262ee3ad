package reference

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// Library lists every panel of the standard library: all of them in short, then
// each with its picture and its parameters, read from the texts where they stand.
// The pictures stand beside the designs that show the panels, in stdlib/shown.
func Library() (string, error) {
	var index table
	index.head("panel", "of", "what it is")
	var all strings.Builder
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			return "", err
		}
		file, diags := syntax.Parse(diag.NewSource(name, text))
		if diag.HasErrors(diags) {
			return "", fmt.Errorf("library module %s has mistakes: %s", m, diags[0].Summary)
		}
		fmt.Fprintf(&all, "## [%s](%s)\n\n%s\n", m, name, opening(text))
		for _, s := range file.Stmts {
			if p, ok := s.(*syntax.Panel); ok {
				index.row("["+p.Name.Name+"](#"+p.Name.Name+")", code(m), p.Doc.Value)
				all.WriteString(panelDoc(p))
			}
		}
	}
	return index.b.String() + "\n" + all.String(), nil
}

// opening is the comment that a module begins with, as a line of prose.
func opening(text string) string {
	var out []string
	for _, line := range strings.Split(text, "\n") {
		says, ok := strings.CutPrefix(line, "// ")
		if !ok {
			break
		}
		out = append(out, says)
	}
	return strings.Join(out, "\n") + "\n"
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
	name := p.Name.Name
	return fmt.Sprintf("### %s\n\n%s Shown by [%s.perch](shown/%s.perch).\n\n![%s](shown/%s.png)\n\n%s\n%s\n",
		name, p.Doc.Value, name, name, strings.TrimSuffix(p.Doc.Value, "."), name, t.b.String(), facesOf(p))
}

// facesOf lists a panel's faces, families with their index and what it goes through:
// what a join, a cut from outside or another part calls them by.
func facesOf(p *syntax.Panel) string {
	var faces []string
	for _, s := range p.Body {
		f, ok := s.(*syntax.Face)
		if !ok {
			continue
		}
		var of []string
		for _, i := range f.Index {
			of = append(of, i.Name.Name+" in "+domain(i.Domain))
		}
		shown := f.Name.Name
		if len(of) > 0 {
			shown += "[" + strings.Join(of, ", ") + "]"
		}
		faces = append(faces, code(shown))
	}
	return "Faces: " + strings.Join(faces, ", ") + ".\n"
}

func domain(d *syntax.Domain) string {
	if d.Hi == nil {
		return syntax.Print(d.Lo)
	}
	return syntax.Print(d.Lo) + ".." + syntax.Print(d.Hi)
}
