package editor

import (
	"context"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// Definition finds where the name at the cursor is declared, in whatever text.
func (s *server) Definition(ctx context.Context, p *protocol.DefinitionParams) (protocol.DefinitionResult, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	if u := snap.moduleAt(offset); u != "" {
		return &protocol.Location{URI: u}, nil
	}
	m := snap.markAt(offset)
	if m == nil || m.decl == nil {
		return protocol.LocationSlice{}, nil
	}
	places := protocol.LocationSlice{}
	for _, d := range m.decls() {
		if at, ok := snap.location(d.At); ok {
			places = append(places, at)
		}
	}
	if len(places) == 1 {
		return &places[0], nil
	}
	return places, nil
}

// TypeDefinition finds the panel or face that the value at the cursor is of.
func (s *server) TypeDefinition(ctx context.Context, p *protocol.TypeDefinitionParams) (protocol.DefinitionResult, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	if m := snap.markAt(offset); m != nil {
		t := m.typ
		if m.decl != nil && t.Kind == check.Invalid {
			t = m.decl.Type
		}
		for t.Elem != nil {
			t = *t.Elem
		}
		if t.Decl != nil {
			if at, ok := snap.location(t.Decl.At); ok {
				return &at, nil
			}
		}
	}
	return protocol.LocationSlice{}, nil
}

// moduleAt is the text that the use statement at offset takes names from, where
// offset is on its name; "" otherwise.
func (snap *snapshot) moduleAt(offset int) uri.URI {
	for _, st := range snap.file.Stmts {
		u, ok := st.(*syntax.Use)
		if !ok || offset < int(u.FromAt.Start) || offset > int(u.FromAt.End) {
			continue
		}
		if at := snap.moduleOf(u); at != "" {
			return at
		}
	}
	return ""
}

// use is a place where a declaration is named.
type use struct {
	loc  protocol.Location
	mark mark
	snap *snapshot // of the open text or file it was found through
	text string
}

// same says that two declarations, maybe of two analyses, are one: what is
// declared at one place of one text.
func same(a, b *check.Decl) bool {
	if a == b {
		return a != nil
	}
	return a != nil && b != nil && a.At.Source != nil && b.At.Source != nil &&
		a.At.Source.Name == b.At.Source.Name && a.At.Start == b.At.Start && a.Name == b.Name
}

// usesOf finds every place where one of ds, which share a name, is named: in its own
// text, in the texts of the program it was found in, in the open texts and the files
// of the workspace.
func (s *server) usesOf(ctx context.Context, snap *snapshot, ds []*check.Decl) []use {
	var out []use
	seen := map[protocol.Location]bool{}
	look := func(in *snapshot, m *check.Module) {
		marks := []mark(nil)
		if m == in.program().Root {
			marks = in.marks()
		} else {
			marks = marksOf(in.program(), m)
		}
		for _, k := range marks {
			if !k.means(ds) {
				continue
			}
			if at, ok := in.location(k.at); ok && !seen[at] {
				seen[at] = true
				out = append(out, use{at, k, in, k.at.Text()})
			}
		}
	}
	all := []*snapshot{snap}
	if ds[0].Kind != check.Constant {
		all = append(all, s.users(ctx, snap, ds, func(text string) bool { return strings.Contains(text, ds[0].Name) })...)
	}
	for _, in := range all {
		for _, m := range in.program().Modules {
			if m == in.program().Root || in == snap || declaredIn(ds, m.Source) {
				look(in, m)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i].loc, out[j].loc
		if a.URI != b.URI {
			return a.URI < b.URI
		}
		return before(a.Range.Start, b.Range.Start)
	})
	return out
}

func before(a, b protocol.Position) bool {
	return a.Line < b.Line || a.Line == b.Line && a.Character < b.Character
}

// declaredIn says that one of ds stands in a text.
func declaredIn(ds []*check.Decl, src *diag.Source) bool {
	return slices.ContainsFunc(ds, func(d *check.Decl) bool { return d.At.Source == src })
}

// users are the other texts that may use the ones that ds stand in, of those that are
// worth a look: the open ones, and the files of the workspace. A design is used by none,
// unless wrongly.
func (s *server) users(ctx context.Context, snap *snapshot, ds []*check.Decl, worth func(text string) bool) []*snapshot {
	looks := func(text string) bool {
		return worth(text) && slices.ContainsFunc(ds, func(d *check.Decl) bool {
			return d.Module == nil || d.Module.File.Design == nil || strings.Contains(text, path.Base(d.At.Source.Name))
		})
	}
	var out []*snapshot
	open := map[uri.URI]bool{snap.uri: true}
	for _, o := range s.asking(ctx).world.list() {
		if !open[o.uri] {
			open[o.uri] = true
			if looks(o.src.Text) {
				out = append(out, o)
			}
		}
	}
	for _, name := range s.workspaceFiles(ctx) {
		u := uri.File(name)
		if open[u] || ctx.Err() != nil {
			continue
		}
		src, err := s.store.file(filepath.Dir(name), filepath.Base(name))
		if err != nil || !looks(src.Text) {
			continue
		}
		if o := s.closed(ctx, u, name); o != nil {
			out = append(out, o)
		}
	}
	return out
}

// closed analyses a file that is not open, once for each request.
func (s *server) closed(ctx context.Context, u uri.URI, path string) *snapshot {
	a := s.asking(ctx)
	a.mu.Lock()
	o, done := a.closed[u]
	a.mu.Unlock()
	if !done {
		o = s.read(a.world, u, path)
		a.mu.Lock()
		defer a.mu.Unlock()
		if a.closed == nil {
			a.closed = map[uri.URI]*snapshot{}
		}
		a.closed[u] = o
	}
	return o
}

// read analyses a file among open texts; nil where it can't be had.
func (s *server) read(w *world, u uri.URI, path string) *snapshot {
	src, err := s.store.file(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return nil
	}
	o := &snapshot{text: &text{uri: u, idx: newLineIndex(src.Text), src: src}, texts: w.texts(), server: s}
	o.file, o.syntax = s.store.parse(src)
	o.check(nil)
	return o
}

// maxFiles caps how many files of a workspace are looked through.
const maxFiles = 2000

// workspaceFiles lists the designs and modules of the workspace, sorted. Folders
// whose name starts with a dot are left out.
func (s *server) workspaceFiles(ctx context.Context) []string {
	s.mu.Lock()
	folders := append([]string{}, s.folders...)
	s.mu.Unlock()
	var out []string
	seen, entries := map[string]bool{}, 0
	for _, folder := range folders {
		filepath.WalkDir(folder, func(path string, e os.DirEntry, err error) error {
			if entries++; ctx.Err() != nil || entries > 50*maxFiles || len(out) >= maxFiles {
				return fs.SkipAll
			}
			switch {
			case err != nil:
				return nil // what can't be read holds nothing for us
			case e.IsDir() && path != folder && strings.HasPrefix(e.Name(), "."):
				return fs.SkipDir
			case e.Type().IsRegular() && strings.HasSuffix(path, ".perch") && !seen[path]:
				seen[path] = true
				out = append(out, path)
			}
			return nil
		})
	}
	sort.Strings(out)
	return out
}

// References finds every place that names what is named at the cursor.
func (s *server) References(ctx context.Context, p *protocol.ReferenceParams) ([]protocol.Location, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	out := []protocol.Location{}
	m := snap.markAt(offset)
	if m == nil || m.decl == nil {
		return out, nil
	}
	for _, u := range s.usesOf(ctx, snap, m.decls()) {
		if u.mark.role != declares || p.Context.IncludeDeclaration {
			out = append(out, u.loc)
		}
	}
	return out, nil
}

// DocumentHighlight finds the places in the same text.
func (s *server) DocumentHighlight(ctx context.Context, p *protocol.DocumentHighlightParams) ([]protocol.DocumentHighlight, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	out := []protocol.DocumentHighlight{}
	m := snap.markAt(offset)
	if m == nil || m.decl == nil {
		return out, nil
	}
	for _, k := range snap.marks() {
		if k.means(m.decls()) {
			kind := protocol.DocumentHighlightKindRead
			if k.role == declares || k.role == states {
				kind = protocol.DocumentHighlightKindWrite
			}
			out = append(out, protocol.DocumentHighlight{Range: snap.rangeOf(k.at), Kind: kind})
		}
	}
	return out, nil
}
