package editor

import (
	"context"
	"maps"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
)

// server answers one client.
type server struct {
	protocol.UnimplementedServer
	opts   Options
	client protocol.Client
	ctx    context.Context
	stop   func()
	store  *store
	// constants are the values that the language and the shop name.
	constants []check.ConstantName

	world    atomic.Pointer[world]
	started  atomic.Bool
	shutDown atomic.Bool

	can abilities // of the client; not written to once it is initialized

	tokens     atomic.Int64 // of work that is shown unasked
	running    running
	background sync.WaitGroup
	building   sync.Mutex // one build at a time
	mu         sync.Mutex // of what follows, and of replacing world
	timers     map[uri.URI]*time.Timer
	folders    []string              // of the workspace
	sizes      map[uri.URI]string    // whose values alone are shown between the lines
	others     map[uri.URI][]uri.URI // texts that an open one has something to say about
	pushed     map[uri.URI]bool      // texts of which the client was told that something is wrong
}

// world is the open texts at one moment. It is never written to.
type world struct{ docs map[uri.URI]*snapshot }

func newServer(opts Options, client protocol.Client) *server {
	s := &server{
		opts: opts, client: client, store: newStore(), ctx: context.Background(), stop: func() {},
		running: running{cancel: map[jsonrpc2.ID]context.CancelFunc{}},
		timers:  map[uri.URI]*time.Timer{}, sizes: map[uri.URI]string{}, others: map[uri.URI][]uri.URI{},
		pushed: map[uri.URI]bool{}, constants: slices.Clone(check.Constants),
	}
	for _, m := range opts.Shop.Materials {
		s.constants = append(s.constants, check.ConstantName{Name: m.Name, Type: check.Type{Kind: check.MaterialKind}, Doc: "a material of the shop"})
	}
	s.world.Store(&world{docs: map[uri.URI]*snapshot{}})
	return s
}

// with is the world with one text more or another, or without it where snap is nil.
func (w *world) with(u uri.URI, snap *snapshot) *world {
	docs := maps.Clone(w.docs)
	if snap == nil {
		delete(docs, u)
	} else {
		docs[u] = snap
	}
	return &world{docs: docs}
}

// texts are the texts alone: an analysis that kept the analyses of others, which
// keep those before them, would never be let go.
func (w *world) texts() texts {
	out := make(texts, len(w.docs))
	for u, snap := range w.docs {
		out[u] = snap.text
	}
	return out
}

// list gives the open texts in order of their names.
func (w *world) list() []*snapshot {
	return slices.SortedFunc(maps.Values(w.docs), func(a, b *snapshot) int {
		if a.uri < b.uri {
			return -1
		}
		return 1
	})
}

// asking is what the request of ctx is answered from.
func (s *server) asking(ctx context.Context) *asked {
	if a, ok := ctx.Value(askedKey{}).(*asked); ok {
		return a
	}
	return &asked{world: s.world.Load()}
}

// snap finds the text that a request is about; library texts are always there.
func (s *server) snap(ctx context.Context, u uri.URI) (*snapshot, error) {
	if err := ctx.Err(); err != nil {
		return nil, protocol.ErrRequestCancelled
	}
	a := s.asking(ctx)
	if snap := a.world.docs[u]; snap != nil {
		a.mu.Lock()
		a.used = append(a.used, snap)
		a.mu.Unlock()
		return snap, nil
	}
	if src := s.store.libraryAt(u); src != nil {
		return s.analyse(a.world.texts(), u, 0, newLineIndex(src.Text), nil, change{}), nil
	}
	return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%s is not open", u)
}

// at finds the text of a request and the byte that it points to.
func (s *server) at(ctx context.Context, p protocol.TextDocumentPositionParams) (*snapshot, int, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, 0, err
	}
	return snap, snap.idx.offset(p.Position), nil
}

func ptr[T any](v T) *T { return &v }

func (s *server) Initialize(_ context.Context, p *protocol.InitializeParams) (*protocol.InitializeResult, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.started.Store(true)
	s.folders = nil
	folders, _ := p.WorkspaceFolders.Get()
	for _, f := range folders {
		s.addFolder(f.URI)
	}
	if root := rootOf(p); len(s.folders) == 0 && root != nil {
		s.addFolder(*root)
	}
	s.can = abilitiesOf(&p.Capabilities)
	res := &protocol.InitializeResult{Capabilities: capabilities(s.can), ServerInfo: protocol.ServerInfo{Name: "perch"}}
	if s.opts.Version != "" {
		res.ServerInfo.Version = protocol.NewOptional(s.opts.Version)
	}
	return res, nil
}

// rootOf is the one folder that a client from before workspace folders names, or nil.
func rootOf(p *protocol.InitializeParams) *uri.URI {
	//lint:ignore SA1019 such clients name it so and no other way
	return p.RootURI
}

func (s *server) addFolder(u uri.URI) {
	if u.IsFile() {
		s.folders = append(s.folders, filepath.Clean(u.FsPath()))
	}
}

func (s *server) Initialized(context.Context, *protocol.InitializedParams) error       { return nil }
func (s *server) SetTrace(context.Context, *protocol.SetTraceParams) error             { return nil }
func (s *server) WillSave(context.Context, *protocol.WillSaveTextDocumentParams) error { return nil }
func (s *server) DidChangeConfiguration(context.Context, *protocol.DidChangeConfigurationParams) error {
	return nil
}

func (s *server) DidChangeWorkspaceFolders(_ context.Context, p *protocol.DidChangeWorkspaceFoldersParams) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, f := range p.Event.Removed {
		gone := filepath.Clean(f.URI.FsPath())
		s.folders = slices.DeleteFunc(s.folders, func(have string) bool { return have == gone })
	}
	for _, f := range p.Event.Added {
		s.addFolder(f.URI)
	}
	return nil
}

// Shutdown stops the background work.
func (s *server) Shutdown(context.Context) error {
	s.halt()
	return nil
}

// halt has no more background work begin.
func (s *server) halt() {
	s.shutDown.Store(true)
	s.mu.Lock()
	defer s.mu.Unlock()
	for u := range s.timers {
		s.rest(u)
	}
}

// Exit ends Serve.
func (s *server) Exit(context.Context) error {
	s.stop()
	return nil
}

// capabilities is what the service can do for a client that can do so much.
func capabilities(can abilities) protocol.ServerCapabilities {
	yes := protocol.Boolean(true)
	perchFiles := protocol.FileOperationRegistrationOptions{Filters: []protocol.FileOperationFilter{{
		Scheme: ptr("file"), Pattern: protocol.FileOperationPattern{Glob: "**/*"}}}}
	all := protocol.ServerCapabilities{
		PositionEncoding: protocol.PositionEncodingKindUTF16,
		TextDocumentSync: &protocol.TextDocumentSyncOptions{
			OpenClose: ptr(true), Change: ptr(protocol.TextDocumentSyncKindIncremental), Save: &protocol.SaveOptions{IncludeText: ptr(false)}},
		CompletionProvider:        &protocol.CompletionOptions{TriggerCharacters: []string{".", "(", ",", " ", "=", "[", ":"}},
		HoverProvider:             yes,
		SignatureHelpProvider:     &protocol.SignatureHelpOptions{TriggerCharacters: []string{"(", ","}, RetriggerCharacters: []string{":", ")"}},
		DefinitionProvider:        yes,
		TypeDefinitionProvider:    yes,
		ReferencesProvider:        yes,
		DocumentHighlightProvider: yes,
		DocumentSymbolProvider:    yes,
		WorkspaceSymbolProvider:   yes,
		CodeActionProvider: &protocol.CodeActionOptions{CodeActionKinds: []protocol.CodeActionKind{
			protocol.CodeActionKindQuickFix, protocol.CodeActionKindSourceFixAll, protocol.CodeActionKindRefactorExtract,
			protocol.CodeActionKindRefactorInline, protocol.CodeActionKindRefactorRewrite}},
		CodeLensProvider:                &protocol.CodeLensOptions{},
		DocumentFormattingProvider:      yes,
		DocumentRangeFormattingProvider: yes,
		RenameProvider:                  &protocol.RenameOptions{PrepareProvider: ptr(true)},
		FoldingRangeProvider:            yes,
		SelectionRangeProvider:          yes,
		DocumentLinkProvider:            &protocol.DocumentLinkOptions{},
		CallHierarchyProvider:           yes,
		InlayHintProvider:               yes,
		SemanticTokensProvider: &protocol.SemanticTokensOptions{
			Legend: legend(), Full: yes, Range: yes},
		ExecuteCommandProvider: protocol.ExecuteCommandOptions{
			WorkDoneProgressOptions: protocol.WorkDoneProgressOptions{WorkDoneProgress: ptr(true)},
			Commands:                []string{CommandBuild, CommandPicture, CommandSize}},
		Workspace: &protocol.WorkspaceOptions{
			WorkspaceFolders: &protocol.WorkspaceFoldersServerCapabilities{Supported: ptr(true), ChangeNotifications: yes},
			FileOperations: &protocol.FileOperationOptions{
				DidRename: perchFiles, DidDelete: perchFiles, WillRename: perchFiles},
			TextDocumentContent: &protocol.TextDocumentContentOptions{Schemes: []string{LibraryScheme}},
		},
	}
	if can.pulls {
		all.DiagnosticProvider = &protocol.DiagnosticOptions{InterFileDependencies: true}
	}
	return all
}
