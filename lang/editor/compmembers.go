package editor

import (
	"fmt"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/stdlib"
)

// membersHere proposes what can be read of the value before the point, what the place
// takes before the rest.
func (t *typing) membersHere() []protocol.CompletionItem {
	var out, rest []protocol.CompletionItem
	wants := t.wantsOfChain()
	for _, p := range membersOf(t.snap.receiver(t.at)) {
		if fits(p.of, wants) {
			out = append(out, p.item)
		} else {
			rest = append(rest, p.item)
		}
	}
	return append(out, rest...)
}

// wantsOfChain are the types that a value may have where the one stands whose member is
// typed.
func (t *typing) wantsOfChain() []check.Type {
	from, to := receiverOf(t.snap.before(t.at))
	if from == to {
		return nil
	}
	start := t.snap.typing(from)
	return start.wants()
}

// proposal is an item with the type of what it stands for.
type proposal struct {
	item protocol.CompletionItem
	of   check.Type
}

// membersOf proposes what can be read of a value of a type: what its panel
// declares and what the language gives it.
func membersOf(x check.Type) []proposal {
	for x.Kind == check.FamilyKind && x.Elem != nil {
		x = *x.Elem
	}
	var out []proposal
	if x.Decl != nil && (x.Kind == check.PartKind || x.Kind == check.FaceKind) {
		for _, d := range x.Decl.Members {
			if d.Name != "" {
				out = append(out, proposal{declItem(d.Name, d), d.Type})
			}
		}
		had := map[string]bool{}
		for _, e := range x.Decl.Edges() {
			if !had[e.Name] {
				had[e.Name] = true
				out = append(out, proposal{protocol.CompletionItem{Label: e.Name, Kind: protocol.CompletionItemKindField, Detail: protocol.NewOptional("edge")}, e.Type})
			}
		}
	}
	kind := x.Kind
	if kind == check.ListKind && x.Elem != nil && x.Elem.Kind == check.PointKind {
		kind = check.ShapeKind
	}
	for _, m := range builtin.MembersOf(kind) {
		it := protocol.CompletionItem{
			Label: m.Name, Kind: protocol.CompletionItemKindProperty, Detail: protocol.NewOptional(m.Result.String()), Documentation: protocol.String(m.Doc)}
		if m.Method {
			label, _ := signature(m.Name, check.Parameters(&m.Function))
			it.Kind, it.Detail = protocol.CompletionItemKindMethod, protocol.NewOptional(label+" : "+m.Result.String())
			it.InsertText, it.InsertTextFormat = protocol.NewOptional(m.Name+"($1)"), protocol.InsertTextFormatSnippet
			if len(m.Params) == 0 {
				it.InsertText = protocol.NewOptional(m.Name + "()")
			}
		}
		out = append(out, proposal{it, check.Result(&m.Function)})
	}
	return out
}

// panels proposes calls of the panels in scope, their needed arguments to be
// filled in, then those of the library, which bring their import along.
func (t *typing) panels() []protocol.CompletionItem {
	var out []protocol.CompletionItem
	known := map[*check.Decl]bool{}
	root := t.snap.program().Root
	for _, d := range root.InScope(nil) {
		if d.Kind == check.Panel {
			known[d] = true
			out = append(out, panelItem(root.NameOf(d), d))
		}
	}
	for _, dotted := range stdlib.Modules() {
		m := t.snap.server.library(dotted)
		if m == nil {
			continue
		}
		for _, d := range m.Order {
			if d.Kind != check.Panel || root.Find(check.Calls, d.Name) != nil {
				continue
			}
			it := panelItem(d.Name, d)
			it.LabelDetails = &protocol.CompletionItemLabelDetails{Description: ptr(dotted)}
			it.AdditionalTextEdits = []protocol.TextEdit{t.snap.importing(dotted, d.Name)}
			out = append(out, it)
		}
	}
	return out
}

func panelItem(name string, d *check.Decl) protocol.CompletionItem {
	it := declItem(name, d)
	it.Kind = protocol.CompletionItemKindSnippet
	var args []string
	for _, p := range paramsOf(d) {
		if p.Param.Default != nil {
			continue
		}
		hole := fmt.Sprintf("${%d:%s}", len(args)+1, p.Name)
		if len(args) > 0 {
			hole = p.Name + ": " + hole
		}
		args = append(args, hole)
	}
	it.InsertText = protocol.NewOptional(name + "(" + strings.Join(args, ", ") + ")$0")
	it.InsertTextFormat = protocol.InsertTextFormatSnippet
	return it
}

// importing is the edit that takes one more name from a module.
func (snap *snapshot) importing(dotted, name string) protocol.TextEdit {
	e := check.Importing(snap.file, dotted, name)
	return protocol.TextEdit{Range: snap.rangeOf(e.Span), NewText: e.Text}
}

// library is a checked module of the library.
func (s *server) library(dotted string) *check.Module {
	src, err := s.store.module(dotted)
	if err != nil {
		return nil
	}
	file, _ := s.store.parse(src)
	p, _ := check.Check(file, loader{store: s.store, texts: s.world.Load().texts()}, builtins(s.opts.Shop))
	return p.Root
}

// uses proposes in a use statement: the modules after from, else what the module
// named further on gives.
func (t *typing) uses(before token) []protocol.CompletionItem {
	if before.text == "from" {
		return t.modules(false)
	}
	if before.text != "," && before.text != "use" {
		return []protocol.CompletionItem{{Label: "from", Kind: protocol.CompletionItemKindKeyword}, {Label: "as", Kind: protocol.CompletionItemKindKeyword}}
	}
	dotted := t.moduleAhead()
	var out []protocol.CompletionItem
	for _, name := range stdlib.Modules() {
		if dotted != "" && dotted != name {
			continue
		}
		m := t.snap.server.library(name)
		if m == nil {
			continue
		}
		for _, d := range m.Order {
			if t.snap.program().Root.Find(d.Space(), d.Name) != nil {
				continue
			}
			it := declItem(d.Name, d)
			it.InsertText.Clear()
			it.InsertTextFormat = protocol.InsertTextFormatPlainText
			if dotted == "" {
				it.InsertText = protocol.NewOptional(d.Name + " from " + name)
			}
			out = append(out, it)
		}
	}
	return out
}

// moduleAhead is the module that the use statement at the cursor names.
func (t *typing) moduleAhead() string {
	name, in := "", false
	for _, k := range t.all {
		switch {
		case k.start < t.offset || k.kind == syntax.CommentToken:
		case k.kind == syntax.StartToken:
			return name
		case k.text == "from":
			in = true
		case in && (k.kind == syntax.WordToken || k.text == "."):
			name += k.text
		case in:
			return name
		}
	}
	return name
}

// modules proposes library modules; in the middle of a dotted name its next part.
func (t *typing) modules(dotted bool) []protocol.CompletionItem {
	begun := ""
	for n := 1; dotted && n <= len(t.tokens); n++ {
		if k := t.back(n); k.text == "." || k.kind == syntax.WordToken && k.text != "from" {
			begun = k.text + begun
		} else {
			break
		}
	}
	var out []protocol.CompletionItem
	for _, m := range stdlib.Modules() {
		rest, ok := strings.CutPrefix(m, begun)
		if ok && !slices.ContainsFunc(out, func(i protocol.CompletionItem) bool { return i.Label == rest }) {
			out = append(out, protocol.CompletionItem{Label: rest, Kind: protocol.CompletionItemKindModule, Documentation: protocol.String(firstComment(t.snap.server.store, m))})
		}
	}
	return out
}

// firstComment is what a module says of itself at its head.
func firstComment(st *store, dotted string) string {
	src, err := st.module(dotted)
	if err != nil {
		return ""
	}
	var lines []string
	for n := 1; n <= src.LineCount(); n++ {
		text, ok := strings.CutPrefix(src.Line(n), "//")
		if !ok {
			break
		}
		lines = append(lines, strings.TrimSpace(text))
	}
	return strings.Join(lines, "\n")
}
