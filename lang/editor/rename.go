package editor

import (
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

func refused(format string, args ...any) error {
	return jsonrpc2.Errorf(requestFailed, format, args...)
}

// requestFailed is the protocol's code for a request that is right and can't be done.
const requestFailed jsonrpc2.Code = -32803

// PrepareRename tells what would be renamed.
func (s *server) PrepareRename(ctx context.Context, p *protocol.PrepareRenameParams) (protocol.PrepareRenameResult, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	m, err := snap.renamed(offset)
	if err != nil {
		return nil, err
	}
	return &protocol.PrepareRenamePlaceholder{Range: snap.rangeOf(m.at), Placeholder: m.at.Text()}, nil
}

// renamed is the name at offset that can be renamed, or why it can't.
func (snap *snapshot) renamed(offset int) (*mark, error) {
	m := snap.markAt(offset)
	switch {
	case m == nil:
		return nil, refused("there is no name here")
	case m.edge():
		if err := snap.renamedEdge(m); err != nil {
			return nil, err
		}
		return m, nil
	case m.decl == nil || m.decl.Kind == check.Constant:
		return nil, refused("%s is a name of the language", m.at.Text())
	case snap.isLibrary(m.decl.At.Source) && m.at.Text() == m.decl.Name:
		return nil, refused("%s is declared in the library, which is read only; give it another name with `as` in the use statement", m.decl.Name)
	case snap.uri.Scheme() == LibraryScheme:
		return nil, refused("the library is read only")
	}
	return m, nil
}

func (snap *snapshot) isLibrary(src *diag.Source) bool {
	return snap.server.store.uriOf(src).Scheme() == LibraryScheme
}

// Rename gives a name another one everywhere, unless that would change what any
// text means.
func (s *server) Rename(ctx context.Context, p *protocol.RenameParams) (*protocol.WorkspaceEdit, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	m, err := snap.renamed(offset)
	if err != nil {
		return nil, err
	}
	if err := aName(p.NewName); err != nil {
		return nil, err
	}
	old := m.at.Text()
	uses, err := s.renames(ctx, snap, m, p.NewName)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	if p.NewName != old {
		if err := s.clash(ctx, uses, old, p.NewName); err != nil {
			return nil, err
		}
	}
	edit := &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{}}
	for _, u := range uses {
		edit.Changes[u.loc.URI] = append(edit.Changes[u.loc.URI], protocol.TextEdit{Range: u.loc.Range, NewText: p.NewName})
	}
	return edit, nil
}

// renames finds the places to change for what m names to have another name.
func (s *server) renames(ctx context.Context, snap *snapshot, m *mark, name string) ([]use, error) {
	if m.edge() {
		return s.edgeUses(ctx, snap, m, name)
	}
	if d := m.decl; d.Kind == check.Cut || d.Kind == check.Mark {
		of := d.Owner
		if of == nil {
			of = d.Into // the file makes it
		}
		if of != nil && slices.ContainsFunc(of.Edges(), func(e *check.Decl) bool { return e.Name == name }) {
			return nil, refused("%s is an edge of the face %s already", name, of.Name)
		}
	}
	alias := m.at.Text() != m.decl.Name // the name that one text gave it
	var uses []use
	for _, u := range s.usesOf(ctx, snap, m.decls()) {
		if u.text == m.at.Text() && (!alias || u.loc.URI == snap.uri) {
			uses = append(uses, u)
		}
	}
	return uses, nil
}

// aName refuses what can't be a name.
func aName(name string) error {
	ts := tokensOf(name)
	switch {
	case syntax.IsReserved(name):
		return refused("%s is a reserved word", name)
	case len(ts) != 1 || ts[0].kind != syntax.WordToken || ts[0].text != name:
		return refused("%q can't be a name: a name is letters, digits and _, and starts with no digit", name)
	}
	return nil
}

// clash makes the change on the side and checks every text it touches: it must
// give no new mistake, and every name of it must still mean the same.
func (s *server) clash(ctx context.Context, uses []use, old, name string) error {
	was := map[uri.URI]*snapshot{}
	for _, u := range uses {
		if was[u.loc.URI] == nil {
			was[u.loc.URI] = s.textOf(ctx, u)
		}
	}
	moves := shifts{len(name) - len(old), map[string][]int{}}
	fresh := s.asking(ctx).world.texts()
	changed := map[uri.URI]*snapshot{}
	for u, o := range was {
		if o == nil {
			return refused("%s can't be read", u)
		}
		var at []int
		for _, x := range uses {
			if x.loc.URI == u {
				at = append(at, int(x.mark.at.Start))
			}
		}
		sort.Ints(at)
		moves.behind[o.src.Name] = at
		var b strings.Builder
		from := 0
		for _, k := range at {
			b.WriteString(o.idx.text[from:k] + name)
			from = k + len(old)
		}
		b.WriteString(o.idx.text[from:])
		c := &snapshot{text: &text{uri: u, idx: newLineIndex(b.String())}, server: s, texts: fresh}
		c.src = diag.NewSource(o.src.Name, c.idx.text)
		c.file, c.syntax = syntax.Parse(c.src)
		fresh[u], changed[u] = c.text, c
	}
	for _, u := range sortedKeys(was) {
		c := changed[u]
		c.check(nil)
		if err := worse(was[u], c); err != nil {
			return err
		}
		if err := captured(was[u], c, moves); err != nil {
			return err
		}
	}
	return nil
}

// shifts tells how far the places of texts were moved, by the texts' names: by so
// many bytes behind each of the places that were changed.
type shifts struct {
	by     int
	behind map[string][]int
}

// of is where a place of a text went.
func (s shifts) of(at diag.Span) diag.Span {
	if at.Source == nil {
		return at
	}
	n, _ := slices.BinarySearch(s.behind[at.Source.Name], int(at.Start))
	at.Start += int32(n * s.by)
	return at
}

// captured refuses a change after which a name of a text means something else.
func captured(was, is *snapshot, moves shifts) error {
	before, after := was.marks(), is.marks()
	if len(before) != len(after) {
		return refused("%s would be read in another way", shortName(is.uri))
	}
	for i := range before {
		a, b := &before[i], &after[i]
		if a.meaning(moves) == b.meaning(shifts{}) {
			continue
		}
		return refused("%s in %s line %d would mean %s", b.at.Text(), shortName(is.uri), b.at.Position().Line, b.meant())
	}
	return nil
}

// meaning tells what a name means from what other names do, wherever that moved to.
func (m *mark) meaning(moves shifts) string {
	at := moves.of(m.at)
	text := fmt.Sprintf("%d %d", at.Start, m.role)
	for _, d := range append([]*check.Decl{m.decl}, m.edges...) {
		switch {
		case d == nil:
		case d.At.Source == nil:
			text += " " + d.Name
		default:
			text += fmt.Sprintf(" %s:%d", d.At.Source.Name, moves.of(d.At).Start)
		}
	}
	if m.of != nil {
		text += " ." + m.of.Name
	}
	return text + " " + m.fun
}

// meant says what a name means, in a sentence, with where.
func (m *mark) meant() string {
	switch d := m.decl; {
	case d != nil && d.At.Source != nil:
		return fmt.Sprintf("the %s of %s line %d", d.Kind, d.At.Source.Name, d.At.Position().Line)
	case d != nil, m.fun != "", m.of != nil:
		return "what the language calls so"
	case m.role == word:
		return "a word"
	}
	return "nothing"
}

func sortedKeys[V any](m map[uri.URI]V) []uri.URI {
	var out []uri.URI
	for u := range m {
		out = append(out, u)
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}

// textOf is the analysis of the text that a use stands in.
func (s *server) textOf(ctx context.Context, u use) *snapshot {
	if u.snap.uri == u.loc.URI {
		return u.snap
	}
	if o := s.asking(ctx).world.docs[u.loc.URI]; o != nil {
		return o
	}
	if u.loc.URI.IsFile() {
		return s.closed(ctx, u.loc.URI, u.loc.URI.FsPath())
	}
	return nil
}

// worse refuses a change that gives a text a mistake that it did not have.
func worse(was, is *snapshot) error {
	had := map[string]int{}
	for _, d := range was.diags {
		had[d.Code]++
	}
	for _, d := range is.diags {
		if had[d.Code]--; had[d.Code] < 0 && d.Severity == diag.Error {
			p := d.Span.Position()
			return refused("%s (%s line %d)", d.Summary, shortName(is.uri), p.Line)
		}
	}
	return nil
}

func shortName(u uri.URI) string {
	p := u.Path()
	return p[strings.LastIndexByte(p, '/')+1:]
}
