package editor

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// typing is what stands before the cursor.
type typing struct {
	snap    *snapshot
	offset  int
	tokens  []token // without comments, that start before the cursor and the word at it
	all     []token
	word    string // what is written of the word at the cursor
	at      int    // where it starts
	comment bool   // the cursor is in a comment or a quoted text
}

func (snap *snapshot) typing(offset int) typing {
	t := typing{snap: snap, offset: offset, at: offset, all: snap.tokens()}
	for _, k := range t.all {
		if k.start >= offset {
			break
		}
		inside := k.end > offset || k.end == offset && (k.kind == syntax.CommentToken || k.kind == syntax.TextToken && !closed(k.text))
		switch {
		case inside && (k.kind == syntax.CommentToken || k.kind == syntax.TextToken):
			t.comment = true
		case k.kind == syntax.CommentToken:
		case k.end >= offset && (k.kind == syntax.WordToken || k.kind == syntax.StartToken || k.kind == syntax.KeyToken || k.kind == syntax.NumberToken):
			t.word, t.at = k.text[:offset-k.start], k.start
		default:
			t.tokens = append(t.tokens, k)
		}
	}
	return t
}

func closed(text string) bool { return len(text) > 1 && strings.HasSuffix(text, `"`) }

// back is the n-th token before the word at the cursor, 1 the nearest.
func (t *typing) back(n int) token {
	if i := len(t.tokens) - n; i >= 0 {
		return t.tokens[i]
	}
	return token{}
}

// statement is the word that starts the statement at the cursor, and how many
// tokens of it stand there.
func (t *typing) statement() (word string, n int) {
	for n = 1; n <= len(t.tokens); n++ {
		switch k := t.back(n); {
		case k.kind == syntax.StartToken:
			return k.text, n
		case k.text == "}", k.text == "{":
			return "", n - 1
		}
	}
	return "", n - 1
}

// Completion proposes what can be written at the cursor.
func (s *server) Completion(ctx context.Context, p *protocol.CompletionParams) (protocol.CompletionResult, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	t := snap.typing(offset)
	items := t.propose()
	if items == nil {
		items = []protocol.CompletionItem{}
	}
	for i := range items {
		items[i].SortText = protocol.NewOptional(fmt.Sprintf("%04d", i))
		if items[i].TextEdit == nil {
			text := items[i].Label
			if v, ok := items[i].InsertText.Get(); ok {
				text = v
			}
			items[i].InsertText.Clear()
			items[i].TextEdit = &protocol.TextEdit{Range: snap.idx.rangeOf(t.at, t.offset), NewText: text}
		}
	}
	return &protocol.CompletionList{Items: items}, nil
}

func (t *typing) propose() []protocol.CompletionItem {
	before := t.back(1)
	word, n := t.statement()
	switch {
	case t.comment:
		return nil
	case t.word != "" && t.word[0] >= '0' && t.word[0] <= '9':
		return t.units()
	case before.text == "." && word == "use":
		return t.modules(true)
	case before.text == ".":
		return t.membersHere()
	case word == "use":
		return t.uses(before)
	case n == 0 || word == "":
		return t.starts()
	case t.fresh(n):
		return append(t.starts(), keywords(t.wordsAfter(word))...)
	case n == 1 && (word == "param" || word == "let" || word == "size" || word == "body" || word == "part" || word == "join" || word == "panel" || word == "face" || word == "cut" || word == "mark" || word == "stock"):
		return nil // a new name
	case before.text == "edge" && t.back(2).kind != syntax.PunctToken || before.text == "edge" && t.back(2).text == ")":
		return nil // and an edge's
	case before.text == ":" && t.declares(word):
		return t.types()
	case word == "size":
		return t.states(before)
	case before.text == "of" && word == "part":
		return t.names(func(d *check.Decl) bool { return d.Kind == check.Stock })
	case before.text == "=" && word == "part":
		return t.panels()
	}
	return t.values(word)
}

// fresh says that the cursor is at the start of a line behind a statement that
// could end there; n is how many tokens it has.
func (t *typing) fresh(n int) bool {
	line := t.snap.idx.text[:t.at]
	line = line[strings.LastIndexAny(line, "\r\n")+1:]
	if strings.TrimSpace(line) != "" || n < 2 {
		return false
	}
	depth := 0
	for i := 1; i <= n; i++ {
		switch t.back(i).text {
		case "(", "[":
			depth++
		case ")", "]":
			depth--
		}
	}
	k := t.back(1)
	return depth == 0 && k.ends()
}

// ends says that a value may end in a token.
func (t token) ends() bool {
	return t.kind == syntax.WordToken && !clauseWords[t.text] || t.kind == syntax.NumberToken || t.kind == syntax.TextToken || t.text == ")" || t.text == "]"
}

// declares says whether a colon here stands before a type, not after a label.
func (t *typing) declares(word string) bool {
	switch word {
	case "param", "panel":
		return true
	case "let": // before its `=`
		for i := 1; i <= len(t.tokens); i++ {
			switch k := t.back(i); {
			case k.text == "=":
				return false
			case k.kind == syntax.StartToken:
				return true
			}
		}
	}
	return false
}

// starts proposes the statements that may stand here.
func (t *typing) starts() []protocol.CompletionItem {
	here := atTop
	if d := t.snap.enclosing(t.offset); d != nil && d.Kind == check.Panel {
		here = inPanel
	} else if d != nil && (d.Kind == check.Face || d.Owner != nil && d.Owner.Kind == check.Face) {
		here = inFace
	}
	return statements(here, t.snap.program().Units)
}

func statements(here place, units quantity.System) []protocol.CompletionItem {
	var out []protocol.CompletionItem
	for _, f := range forms {
		if f.places&here != 0 {
			out = append(out, protocol.CompletionItem{
				Label: f.word, Kind: protocol.CompletionItemKindKeyword, Detail: protocol.NewOptional(f.reads),
				Documentation: protocol.String(f.doc), InsertText: protocol.NewOptional(f.written(units)), InsertTextFormat: protocol.InsertTextFormatSnippet})
		}
	}
	return out
}

func (t *typing) types() []protocol.CompletionItem {
	var out []protocol.CompletionItem
	for _, w := range check.TypeWords {
		out = append(out, protocol.CompletionItem{
			Label: w.Word, Kind: protocol.CompletionItemKindStruct, Documentation: protocol.String(w.Doc)})
	}
	return append(out, t.names(func(d *check.Decl) bool { return d.Kind == check.Panel })...)
}

// states proposes params in a size row, sizes after like, and values after =.
func (t *typing) states(before token) []protocol.CompletionItem {
	switch before.text {
	case ":", ",":
		return t.names(func(d *check.Decl) bool { return d.Kind == check.Param })
	case "like":
		return t.names(func(d *check.Decl) bool { return d.Kind == check.Size })
	case "=", "about":
		return t.values("size")
	}
	words := []string{"about", "free", "largest", "smallest"}
	if !t.since("size", ":") {
		words = []string{"like"}
	}
	return keywords(words)
}

// since says whether a token stands between the cursor and the start of its statement.
func (t *typing) since(start, text string) bool {
	for n := 1; n <= len(t.tokens) && t.back(n).text != start; n++ {
		if t.back(n).text == text {
			return true
		}
	}
	return false
}

// inList says that the cursor is in a list of the statement that word starts.
func (t *typing) inList(word string) bool {
	depth := 0
	for n := 1; n <= len(t.tokens) && t.back(n).text != word; n++ {
		switch t.back(n).text {
		case "]", ")":
			depth++
		case "[", "(":
			if depth--; depth < 0 {
				return t.back(n).text == "["
			}
		}
	}
	return false
}

// values proposes what a value can be made of: the names in scope and the functions of
// the language, those that are of a type that the place takes before others. In a call
// the labels of its arguments come first, but where it takes a thing, not a number: there
// are fewer of those, and one is meant more often than another argument.
func (t *typing) values(word string) []protocol.CompletionItem {
	if t.back(1).ends() {
		return keywords(t.wordsAfter(word))
	}
	var out, labels, rest []protocol.CompletionItem
	if c := callAt(t.all, t.offset); c != nil {
		var only bool
		if labels, only = t.arguments(c); only {
			return labels
		}
	}
	wants := t.wants()
	things := len(wants) > 0 && !slices.ContainsFunc(wants, func(w check.Type) bool { return !isThing[w.Kind] })
	seen, hidden := map[string]bool{}, map[string]bool{} // functions, and values
	var lead []protocol.CompletionItem                   // what a thing may be read of
	add := func(it protocol.CompletionItem, of check.Type, declared bool) {
		switch {
		case fits(of, wants):
			out = append(out, it)
		case things && declared && leads(of):
			lead = append(lead, it)
		default:
			rest = append(rest, it)
		}
	}
	t.each(func(d *check.Decl) bool {
		return d.Space() == check.Values || d.IsFunc()
	}, func(name string, d *check.Decl) {
		of := d.Type
		if d.IsFunc() {
			of = d.Result
			seen[name] = true // where the language has a function of that name, this one is meant
		} else {
			hidden[name] = true
		}
		add(declItem(name, d), of, true)
	})
	for _, k := range t.snap.server.constants {
		if !hidden[k.Name] {
			add(protocol.CompletionItem{
				Label: k.Name, Kind: protocol.CompletionItemKindConstant, Detail: protocol.NewOptional(k.Type.String()), Documentation: protocol.String(k.Doc)}, k.Type, false)
		}
	}
	for _, f := range builtin.Functions {
		if seen[f.Name] {
			continue
		}
		seen[f.Name] = true
		label, _ := signature(f.Name, check.Parameters(f))
		add(protocol.CompletionItem{
			Label: f.Name, Kind: protocol.CompletionItemKindFunction, Detail: protocol.NewOptional(label), Documentation: protocol.String(f.Doc),
			InsertText: protocol.NewOptional(f.Name + "($1)"), InsertTextFormat: protocol.InsertTextFormatSnippet}, check.Result(f), false)
	}
	if things {
		out = append(append(out, lead...), labels...)
	} else {
		out = append(labels, out...)
	}
	return append(append(out, rest...), keywords([]string{"if", "not"})...)
}

// fits says whether a value of a type, or one of its items, is one of those wanted.
func fits(of check.Type, wants []check.Type) bool {
	if of.Kind == check.ListKind && of.Elem != nil && of.Elem.Fits(wants...) {
		return true
	}
	return of.Fits(wants...)
}

// leads says whether planes, edges, corners or faces are read of a value of a type.
func leads(of check.Type) bool {
	for of.Kind == check.FamilyKind && of.Elem != nil {
		of = *of.Elem
	}
	return of.Kind == check.BodyKind || of.Kind == check.PartKind || of.Kind == check.FaceKind || of.Kind == check.SideKind
}

// isThing are the kinds of what is no number.
var isThing = map[check.Kind]bool{check.MaterialKind: true, check.StockKind: true, check.BodyKind: true, check.PlaneKind: true,
	check.SideKind: true, check.CornerKind: true, check.FaceKind: true, check.EdgeKind: true, check.PartKind: true}

func keywords(words []string) []protocol.CompletionItem {
	var out []protocol.CompletionItem
	for _, w := range words {
		out = append(out, protocol.CompletionItem{Label: w, Kind: protocol.CompletionItemKindKeyword})
	}
	return out
}

// wordsAfter are the clause words that go on a statement after a value.
func (t *typing) wordsAfter(word string) []string {
	if t.back(1).text == ")" && t.inList(word) {
		return []string{"round", "chamfer", "arc", "edge", "at"}
	}
	switch word {
	case "part":
		return []string{"of", "loose", "if"}
	case "join":
		return []string{"to", "at", "by", "if"}
	case "fold", "seam":
		return []string{"to", "by"}
	case "face":
		return []string{"on", "off", "from", "up", "down", "if"}
	case "param", "panel":
		return []string{"in", "about"}
	case "outline":
		return []string{"at", "then", "else"}
	case "cut", "mark":
		return []string{"in", "through", "at", "if"}
	}
	return []string{"then", "else", "and", "or", "in"}
}

// arguments proposes the labels, or the words, of the argument at the cursor; only
// says that nothing else fits.
func (t *typing) arguments(c *call) (out []protocol.CompletionItem, only bool) {
	for _, one := range t.snap.callables(c) {
		for i, p := range one.params {
			if c.label == p.Name && len(p.Words) > 0 {
				for _, w := range p.Words {
					out = append(out, protocol.CompletionItem{Label: w, Kind: protocol.CompletionItemKindEnumMember, Documentation: protocol.String(p.Doc)})
				}
				return out, true
			}
			if !c.first || c.label != "" || slices.Contains(c.given, p.Name) || i < c.arg && len(c.given) == 0 {
				continue
			}
			detail := takes(p)
			if p.Default != "" {
				detail += " = " + p.Default
			}
			out = append(out, protocol.CompletionItem{
				Label: p.Name + ":", Kind: protocol.CompletionItemKindProperty, Detail: protocol.NewOptional(detail),
				Documentation: protocol.String(p.Doc), FilterText: protocol.NewOptional(p.Name), InsertText: protocol.NewOptional(p.Name + ": ")})
		}
	}
	return out, false
}

// names proposes the names in scope that fit.
func (t *typing) names(fits func(*check.Decl) bool) []protocol.CompletionItem {
	var out []protocol.CompletionItem
	t.each(fits, func(name string, d *check.Decl) { out = append(out, declItem(name, d)) })
	return out
}

// each goes through the names in scope that fit, and what they stand for.
func (t *typing) each(fits func(*check.Decl) bool, do func(name string, d *check.Decl)) {
	for _, d := range t.snap.site(t.offset).InScope() {
		if fits(d) {
			do(t.snap.program().Root.NameOf(d), d)
		}
	}
}

var declKinds = map[check.DeclKind]protocol.CompletionItemKind{
	check.Param: protocol.CompletionItemKindVariable, check.Let: protocol.CompletionItemKindVariable,
	check.PanelParam: protocol.CompletionItemKindVariable, check.LetParam: protocol.CompletionItemKindVariable,
	check.Index: protocol.CompletionItemKindVariable, check.Panel: protocol.CompletionItemKindClass,
	check.Stock: protocol.CompletionItemKindConstant, check.OwnStock: protocol.CompletionItemKindConstant,
	check.Body: protocol.CompletionItemKindModule, check.Part: protocol.CompletionItemKindField,
	check.Face: protocol.CompletionItemKindField, check.Cut: protocol.CompletionItemKindField, check.Mark: protocol.CompletionItemKindField,
	check.Constant: protocol.CompletionItemKindEnumMember,
}

func declItem(name string, d *check.Decl) protocol.CompletionItem {
	it := protocol.CompletionItem{
		Label: name, Kind: declKinds[d.Kind], Detail: protocol.NewOptional(declaration(d)), Documentation: protocol.String(d.Doc())}
	if d.IsFunc() {
		it.Kind = protocol.CompletionItemKindFunction
		it.InsertText, it.InsertTextFormat = protocol.NewOptional(name+"($1)"), protocol.InsertTextFormatSnippet
	}
	return it
}
