package editor

import (
	"context"
	"encoding/json"
	"path/filepath"
	"strings"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/syntax"
)

// MethodLibraryText reads a library text for clients that do not know
// workspace/textDocumentContent: {"uri": "perch-lib:///std/stool.perch"} gives
// {"text": "…"}.
const MethodLibraryText = "perch/libraryText"

// TextDocumentContent is the text of a library module.
func (s *server) TextDocumentContent(ctx context.Context, p *protocol.TextDocumentContentParams) (*protocol.TextDocumentContentResult, error) {
	src := s.store.libraryAt(p.URI)
	if src == nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "the library has no text %s", p.URI)
	}
	return &protocol.TextDocumentContentResult{Text: src.Text}, nil
}

// Request answers what is not of the protocol.
func (s *server) Request(ctx context.Context, method string, params any) (any, error) {
	if method != MethodLibraryText {
		return nil, jsonrpc2.ErrMethodNotFound
	}
	raw, _ := params.(protocol.LSPAny)
	var p struct {
		URI string `json:"uri"`
	}
	if err := json.Unmarshal(raw, &p); err != nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%s takes {\"uri\": …}: %v", method, err)
	}
	u, err := uri.Parse(p.URI)
	if err != nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%q is no URI: %v", p.URI, err)
	}
	return s.TextDocumentContent(ctx, &protocol.TextDocumentContentParams{URI: u})
}

// DidChangeWatchedFiles looks again at the texts that use other files.
func (s *server) DidChangeWatchedFiles(context.Context, *protocol.DidChangeWatchedFilesParams) error {
	s.refreshFiles()
	return nil
}

func (s *server) refreshFiles() {
	s.refresh(func(o *snapshot) bool {
		for _, st := range o.file.Stmts {
			if u, ok := st.(*syntax.Use); ok && u.Path != "" {
				return true
			}
		}
		return false
	})
}

// DidDeleteFiles keeps open texts whose file is gone: the editor still has them.
func (s *server) DidDeleteFiles(context.Context, *protocol.DeleteFilesParams) error {
	s.refreshFiles()
	return nil
}

// DidRenameFiles gives open texts their new names. A client that closes the old
// name and opens the new one is served as well.
func (s *server) DidRenameFiles(_ context.Context, p *protocol.RenameFilesParams) error {
	for _, f := range p.Files {
		for _, o := range s.world.Load().list() {
			if u, ok := moved(o.uri, f); ok {
				version, idx := o.version, o.idx
				s.drop(o.uri)
				s.take(s.analyse(s.world.Load().texts(), u, version, idx, nil, change{}))
			}
		}
	}
	s.refreshFiles()
	return nil
}

// moved is the new name of a text when a file, or a folder around it, is renamed.
func moved(u uri.URI, f protocol.FileRename) (uri.URI, bool) {
	from, err := uri.Parse(f.OldURI)
	if err != nil {
		return "", false
	}
	to, err := uri.Parse(f.NewURI)
	if err != nil {
		return "", false
	}
	rest, ok := strings.CutPrefix(string(u), strings.TrimSuffix(string(from), "/"))
	if !ok || rest != "" && rest[0] != '/' {
		return "", false
	}
	return uri.URI(strings.TrimSuffix(string(to), "/") + rest), true
}

// WillRenameFiles writes the new path into the designs that use a renamed file.
func (s *server) WillRenameFiles(ctx context.Context, p *protocol.RenameFilesParams) (*protocol.WorkspaceEdit, error) {
	edit := &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{}}
	for _, path := range s.workspaceFiles(ctx) {
		u := uri.File(path)
		snap := s.asking(ctx).world.docs[u]
		if snap == nil {
			snap = s.closed(ctx, u, path)
		}
		if snap == nil {
			continue
		}
		for _, st := range snap.file.Stmts {
			if x, ok := st.(*syntax.Use); ok && x.Path != "" {
				if text, ok := s.repath(snap, x, p.Files); ok {
					edit.Changes[u] = append(edit.Changes[u], protocol.TextEdit{Range: snap.rangeOf(x.FromAt), NewText: syntax.Quote(text)})
				}
			}
		}
	}
	if len(edit.Changes) == 0 {
		return nil, ctx.Err()
	}
	return edit, ctx.Err()
}

// repath is how a use statement names its file once files are renamed; ok is
// false where that stays, or leaves the design's folder.
func (s *server) repath(snap *snapshot, x *syntax.Use, files []protocol.FileRename) (string, bool) {
	folder := filepath.Dir(snap.uri.FsPath())
	target := uri.File(filepath.Join(folder, filepath.FromSlash(x.Path)))
	for _, f := range files {
		to, ok := moved(target, f)
		if !ok {
			continue
		}
		rel, err := filepath.Rel(folder, to.FsPath())
		rel = filepath.ToSlash(rel)
		return rel, err == nil && !strings.HasPrefix(rel, "../")
	}
	return "", false
}
