package check

import (
	"fmt"
	"strings"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// Unused tells of the design's params, lets, stocks and bodies that nothing reads, and of
// its panels' parameters and lets, as notes: nothing is wrong, but something was left
// over or is still to come. What a module holds may be read by another text, but for the
// parameters of its panels. The program is to be free of mistakes: one can hide a use.
func (p *Program) Unused() []diag.Diagnostic {
	read := map[*Decl]bool{}
	stated := map[string]bool{}
	syntax.InspectFile(p.Root.File, func(n syntax.Node) bool {
		switch x := n.(type) {
		case *syntax.Name, *syntax.Member:
			if d := p.DeclOf(x); d != nil {
				read[d] = true
			}
		case *syntax.Size:
			for i := range x.States {
				stated[x.States[i].Name.Name] = true
			}
		}
		return true
	})
	var out []diag.Diagnostic
	design := p.Root.File.Design != nil
	var tell func(ds []*Decl)
	tell = func(ds []*Decl) {
		for _, d := range ds {
			if !read[d] && d.Name != "" && (d.Kind == PanelParam || design && leftOver[d.Kind] && !d.names(builtin.LoadKind) && !d.names(builtin.SupportKind)) {
				out = append(out, unusedNote(d, d.Kind != PanelParam && !(d.Kind == Param && stated[d.Name])))
			}
			if d.Kind == Panel || d.Kind == Face {
				tell(d.Members)
			}
		}
	}
	tell(p.Root.Order)
	return out
}

// names tells whether a declaration of a file names a thing of a kind, or a list of such: loads
// are named for whoever asks what they do to the piece.
func (d *Decl) names(k builtin.Kind) bool {
	t := d.Type
	for t.Elem != nil && (t.Kind == builtin.ListKind || t.Kind == builtin.FamilyKind) {
		t = *t.Elem
	}
	return d.Owner == nil && !d.IsFunc() && t.Kind == k
}

// leftOver are the kinds of names that are there to be read.
var leftOver = map[DeclKind]bool{Param: true, Let: true, Stock: true, Body: true}

// unusedNote tells of one; with a fix where its statement can go without another.
func unusedNote(d *Decl, alone bool) diag.Diagnostic {
	kind := d.Kind.String()
	if d.IsFunc() {
		kind = "function"
	}
	out := diag.Diagnostic{Code: "P2049", Severity: diag.Note, Mark: diag.Unused, Span: d.At,
		Summary: fmt.Sprintf("nothing reads the %s %s", kind, d.Name)}
	if alone {
		fix(&out, "leave it out", diag.Edit{Span: WholeLines(d.Node.Span())})
	}
	return out
}

// WholeLines is sp with the rest of its lines, where nothing but space and a comment
// stands beside it.
func WholeLines(sp diag.Span) diag.Span {
	text := sp.Source.Text
	start, end := int(sp.Start), int(sp.End)
	line := strings.LastIndexByte(text[:start], '\n') + 1
	rest, _, _ := strings.Cut(text[end:], "\n")
	if beside := strings.TrimSpace(rest); strings.TrimSpace(text[line:start]) != "" || beside != "" && !strings.HasPrefix(beside, "//") {
		return sp
	}
	sp.Start, sp.End = int32(line), int32(min(end+len(rest)+1, len(text)))
	return sp
}
