package editor

import (
	"context"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/stdlib"
)

var symbolKinds = map[check.DeclKind]protocol.SymbolKind{
	check.Stock: protocol.SymbolKindConstant, check.Param: protocol.SymbolKindVariable, check.Let: protocol.SymbolKindVariable,
	check.Body: protocol.SymbolKindNamespace, check.Part: protocol.SymbolKindObject, check.Join: protocol.SymbolKindEvent,
	check.Panel: protocol.SymbolKindClass, check.Size: protocol.SymbolKindEnumMember, check.PanelParam: protocol.SymbolKindProperty,
	check.Face: protocol.SymbolKindField, check.Cut: protocol.SymbolKindField, check.Mark: protocol.SymbolKindField,
	check.OwnStock: protocol.SymbolKindConstant,
}

func symbolKind(d *check.Decl) protocol.SymbolKind {
	if d.IsFunc() {
		return protocol.SymbolKindFunction
	}
	return symbolKinds[d.Kind]
}

// DocumentSymbol is the outline of a text: what it declares, panels and faces
// with what they declare.
func (s *server) DocumentSymbol(ctx context.Context, p *protocol.DocumentSymbolParams) (protocol.DocumentSymbolResult, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return protocol.DocumentSymbolSlice(snap.outline(snap.program().Root.Order)), nil
}

func (snap *snapshot) outline(ds []*check.Decl) []protocol.DocumentSymbol {
	out := []protocol.DocumentSymbol{}
	for _, d := range ds {
		if d.Name == "" {
			continue
		}
		whole := d.Node.Span()
		switch {
		case d.Param != nil:
			whole = d.Param.At
		case d.Kind == check.OwnStock:
			whole = d.At
		}
		sym := protocol.DocumentSymbol{
			Name: d.Name, Kind: symbolKind(d), Range: snap.rangeOf(diag.Cover(whole, d.At)), SelectionRange: snap.rangeOf(d.At),
			Children: snap.outline(d.Members)}
		if t := d.Type.String(); d.Kind != check.Panel && d.Type.Kind != check.Invalid {
			sym.Detail = &t
		}
		out = append(out, sym)
	}
	return out
}

// maxSymbols is how many symbols of a workspace are listed.
const maxSymbols = 1000

// Symbols finds what the texts of the workspace, the open ones and the library
// declare under a name that holds the letters of the query in their order.
func (s *server) Symbols(ctx context.Context, p *protocol.WorkspaceSymbolParams) (protocol.WorkspaceSymbolResult, error) {
	out := protocol.SymbolInformationSlice{}
	seen := map[uri.URI]bool{}
	add := func(snap *snapshot) {
		if seen[snap.uri] {
			return
		}
		seen[snap.uri] = true
		out = snap.matching(out, snap.program().Root.Order, p.Query)
	}
	for _, snap := range s.asking(ctx).world.list() {
		add(snap)
	}
	for _, path := range s.workspaceFiles(ctx) {
		if u := uri.File(path); !seen[u] && ctx.Err() == nil {
			if snap := s.closed(ctx, u, path); snap != nil {
				add(snap)
			}
		}
	}
	for _, dotted := range stdlib.Modules() {
		if src, err := s.store.module(dotted); err == nil {
			if snap, err := s.snap(ctx, libraryURI(src)); err == nil {
				add(snap)
			}
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

func (snap *snapshot) matching(out protocol.SymbolInformationSlice, ds []*check.Decl, query string) protocol.SymbolInformationSlice {
	for _, d := range ds {
		if len(out) >= maxSymbols {
			return out
		}
		if matches(d.Name, query) {
			if at, ok := snap.location(d.At); ok {
				sym := protocol.SymbolInformation{Location: at}
				sym.Name, sym.Kind = d.Name, symbolKind(d)
				if d.Owner != nil {
					sym.ContainerName = &d.Owner.Name
				}
				out = append(out, sym)
			}
		}
		if d.Kind == check.Panel {
			for _, m := range d.Members {
				if m.Kind == check.Face {
					out = snap.matching(out, []*check.Decl{m}, query)
				}
			}
		}
	}
	return out
}

// matches says that name holds the letters of query in order.
func matches(name, query string) bool {
	name, query = strings.ToLower(name), strings.ToLower(query)
	for _, r := range query {
		k := strings.IndexRune(name, r)
		if k < 0 {
			return false
		}
		name = name[k+len(string(r)):]
	}
	return true
}
