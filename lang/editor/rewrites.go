package editor

import (
	"fmt"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// rewrite is a change that its maker may want at a place where nothing need be wrong.
type rewrite struct {
	title string
	edits []diag.Edit // of this text
}

// rewriters are all that propose rewrites for the bytes from one offset to another, with
// the kind of what they propose. One that is sound on a text without mistakes leaves it so:
// what does not is not proposed.
var rewriters = []struct {
	kind  protocol.CodeActionKind
	make  func(snap *snapshot, from, to int) []rewrite
	sound bool
}{
	{protocol.CodeActionKindQuickFix, (*snapshot).fillCall, false},
	{protocol.CodeActionKindQuickFix, (*snapshot).fillSize, true},
	{protocol.CodeActionKindRefactorExtract, (*snapshot).extract, true},
	{protocol.CodeActionKindRefactorInline, (*snapshot).inline, true},
	{protocol.CodeActionKindRefactorRewrite, (*snapshot).convert, true},
	{protocol.CodeActionKindRefactorRewrite, (*snapshot).copyPanel, true},
}

// rewrites are the code actions of all that is proposed for some bytes, of the kinds
// that are wanted.
func (snap *snapshot) rewrites(from, to int, wants func(protocol.CodeActionKind) bool) []protocol.CommandOrCodeAction {
	var out []protocol.CommandOrCodeAction
	for _, r := range rewriters {
		if !wants(r.kind) || r.sound && diag.HasErrors(snap.diags) {
			continue
		}
		for _, one := range r.make(snap, from, to) {
			if r.sound && !snap.soundWith(one.edits) {
				continue
			}
			var edits []protocol.TextEdit
			for _, e := range one.edits {
				edits = append(edits, protocol.TextEdit{Range: snap.rangeOf(e.Span), NewText: e.Text})
			}
			out = append(out, &protocol.CodeAction{
				Title: one.title, Kind: ptr(r.kind), Edit: &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{snap.uri: edits}}})
		}
	}
	return out
}

// soundWith says that the text has no mistake with edits made either.
func (snap *snapshot) soundWith(edits []diag.Edit) bool {
	src := diag.NewSource(snap.src.Name, (&diag.Fix{Edits: edits}).Apply(snap.src.Text))
	file, diags := syntax.Parse(src)
	if diag.HasErrors(diags) {
		return false
	}
	_, diags = check.Check(file, snap.loader(), builtins(snap.server.opts.Shop))
	return !diag.HasErrors(diags)
}

// under says whether a kind of code action is one of another, as refactor.inline is of
// refactor.
func under(kind, of protocol.CodeActionKind) bool {
	return kind == of || strings.HasPrefix(string(kind), string(of)+".")
}

// span is a stretch of this text.
func (snap *snapshot) span(start, end int) diag.Span {
	return diag.Span{Source: snap.src, Start: int32(start), End: int32(end)}
}

// nodesAround gives the nodes of the tree that hold the bytes from one offset to another,
// outermost first.
func (snap *snapshot) nodesAround(from, to int) []syntax.Node {
	var out []syntax.Node
	syntax.InspectFile(snap.file, func(n syntax.Node) bool {
		sp := n.Span()
		holds := int(sp.Start) <= from && to <= int(sp.End)
		if holds {
			out = append(out, n)
		}
		return holds
	})
	return out
}

// freeName is a name like one that nothing in the text has, and nothing in the language.
func (snap *snapshot) freeName(like string) string {
	taken := map[string]bool{}
	for _, m := range snap.marks() {
		if m.role != labels {
			taken[m.at.Text()] = true
		}
	}
	for _, k := range snap.server.constants {
		taken[k.Name] = true
	}
	for n := 1; ; n++ {
		name := like
		if n > 1 {
			name = fmt.Sprintf("%s_%d", like, n)
		}
		if !taken[name] && !syntax.IsReserved(name) && !isLanguageName(name) {
			return name
		}
	}
}
