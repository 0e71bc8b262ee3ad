package reference

import (
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
)

// Functions lists every operator, and every function under its heading: how it is written, what it
// gives and what each argument is.
func Functions() string {
	var out strings.Builder
	out.WriteString("\n**Operators**\n\n")
	var signs table
	signs.head("sign", "as in", "what it is")
	for _, o := range builtin.Operators {
		signs.row(code(o.Sign), code(o.Example), sentence(o.Doc))
	}
	out.WriteString(signs.b.String())
	for _, g := range builtin.Groups {
		out.WriteString("\n**" + g.Title + "**\n\n")
		var t table
		t.head("written", "gives", "what it is")
		for i := range g.Functions {
			f := &g.Functions[i]
			t.row(code(signature(f.Name, f.Params)), f.Gives(), described(f.Doc, f.Params))
		}
		out.WriteString(t.b.String())
	}
	out.WriteString("\n")
	out.WriteString("Values known by name: ")
	for i, c := range check.Constants {
		if i > 0 {
			out.WriteString(", ")
		}
		out.WriteString(code(c.Name) + " (" + c.Doc + ")")
	}
	out.WriteString("; and the materials of the shop file, such as `mild_steel`.\n")
	return out.String()
}

// signature is how a call is written: what may be left out in square brackets.
func signature(name string, params []builtin.Parameter) string {
	parts := make([]string, len(params))
	for i, p := range params {
		parts[i] = p.Name
		if p.Labelled {
			parts[i] += ": …"
		}
		if p.Many {
			parts[i] += ", …"
		}
		if p.Optional {
			parts[i] = "[" + parts[i] + "]"
		}
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}

// described is a sentence on the whole and one on each argument.
func described(doc string, params []builtin.Parameter) string {
	var out []string
	if doc != "" {
		out = append(out, sentence(doc))
	}
	for _, p := range params {
		s := code(p.Name) + ": " + p.Wants()
		if p.Families {
			s += ", one or a family"
		}
		if p.Doc != "" {
			s += ", " + p.Doc
		}
		if p.Default != "" {
			s += "; left out: " + p.Default
		}
		out = append(out, s+".")
	}
	return strings.Join(out, " ")
}

// sentence is the text with a capital and a full stop; a letter that stands for
// a number stays small.
func sentence(s string) string {
	if len(s) > 1 && s[1] == ' ' && s[0] != 'a' {
		return s + "."
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// Members lists what can be read after a dot, by what it is read of.
func Members() string {
	var t table
	t.head("of", "written", "gives", "what it is")
	for _, m := range builtin.Members {
		written := "." + m.Name
		if m.Method {
			written = "." + signature(m.Name, m.Params)
		}
		doc := described(m.Doc, m.Params)
		t.row(builtin.Type{Kind: m.Of}.String(), code(written), m.Result.String(), doc)
	}
	return t.b.String()
}
