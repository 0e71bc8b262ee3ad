package editor

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// extract makes a number of the text a let, or a param of the design.
func (snap *snapshot) extract(from, to int) []rewrite {
	nodes := snap.nodesAround(from, to)
	if len(nodes) < 2 {
		return nil
	}
	lit, ok := nodes[len(nodes)-1].(*syntax.Literal)
	if !ok {
		return nil
	}
	switch x := nodes[0].(type) {
	case *syntax.Param, *syntax.Size, *syntax.Design:
		return nil // what these state is what a param is made of
	case *syntax.Let:
		if x.Value == syntax.Expr(lit) {
			return nil // it has a name
		}
	}
	typ := snap.program().TypeOf(lit).String()
	if !slices.ContainsFunc(check.TypeWords, func(w check.TypeWord) bool { return w.Word == typ }) {
		return nil
	}
	name := snap.freeName(snap.nameFor(nodes, typ))
	use := diag.Edit{Span: lit.At, Text: name}
	at, indent := snap.lineOf(nodes)
	out := []rewrite{{fmt.Sprintf("make %s a let: %s", lit.At.Text(), name), []diag.Edit{
		{Span: snap.span(at, at), Text: fmt.Sprintf("%slet %s = %s\n", indent, name, lit.At.Text())}, use}}}
	if snap.isDesign() {
		out = append(out, rewrite{fmt.Sprintf("make %s a param: %s", lit.At.Text(), name), []diag.Edit{
			snap.declaring(fmt.Sprintf("param %s: %s = %s", name, typ, lit.At.Text())), use}})
	}
	return out
}

// nameFor is what a number could be called: as the argument that it is, else by its type.
func (snap *snapshot) nameFor(nodes []syntax.Node, typ string) string {
	lit := nodes[len(nodes)-1].Span()
	for _, n := range slices.Backward(nodes) {
		call, ok := n.(*syntax.Call)
		if !ok {
			continue
		}
		for i := range call.Args {
			a := &call.Args[i]
			if a.Value.Span() != lit {
				continue
			}
			if a.Label != nil {
				return a.Label.Name
			}
			if c := callAt(snap.tokens(), int(lit.Start)+1); c != nil {
				for _, one := range snap.callables(c) {
					if i < len(one.params) && one.params[i].Name != "" {
						return one.params[i].Name
					}
				}
			}
		}
		break
	}
	return typ + "_1"
}

// lineOf is where the innermost statement around nodes begins that begins a line, and how
// far that is set in.
func (snap *snapshot) lineOf(nodes []syntax.Node) (at int, indent string) {
	for _, n := range slices.Backward(nodes) {
		if _, is := n.(syntax.Stmt); !is {
			continue
		}
		start := int(n.Span().Start)
		line := strings.LastIndexByte(snap.src.Text[:start], '\n') + 1
		if indent = snap.src.Text[line:start]; strings.TrimLeft(indent, " \t") == "" {
			return line, indent
		}
	}
	return int(nodes[0].Span().Start), ""
}

// declaring is the edit that puts a param behind the last one of the design, or behind
// what it uses and is made of.
func (snap *snapshot) declaring(text string) diag.Edit {
	after := snap.file.Design.At
	gap := "\n\n"
	for _, st := range snap.file.Stmts {
		switch st.(type) {
		case *syntax.Param:
			after, gap = st.Span(), "\n"
		case *syntax.Use, *syntax.Stock:
			if gap == "\n\n" {
				after = st.Span()
			}
		}
	}
	line := snap.src.Text[after.End:]
	if rest, _, _ := strings.Cut(line, "\n"); strings.HasPrefix(strings.TrimLeft(rest, " \t"), "//") { // a remark stays behind it
		after.End += int32(len(strings.TrimRight(rest, "\r")))
	}
	return diag.Edit{Span: after.After(), Text: gap + text}
}

// isLanguageName says whether the language itself has a name.
func isLanguageName(name string) bool {
	return builtin.IsFunction(name) || builtin.IsWord(name) || slices.ContainsFunc(check.TypeWords, func(w check.TypeWord) bool { return w.Word == name })
}
