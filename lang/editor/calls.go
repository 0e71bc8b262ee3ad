package editor

import (
	"context"
	"path/filepath"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
)

// The call hierarchy of a design: a panel is called by the parts that are made of it, a
// part by the joins that fasten it and by the cuts and marks that work on it, a function
// by what reckons with it; and the other way round.

// called are the kinds of things that stand in the hierarchy.
var called = map[check.DeclKind]bool{check.Panel: true, check.Part: true, check.Join: true, check.Cut: true, check.Mark: true}

func inHierarchy(d *check.Decl) bool {
	return d != nil && d.Module != nil && d.Owner == nil && d.Name != "" && (called[d.Kind] || d.IsFunc())
}

// PrepareCallHierarchy finds what the name at the cursor means, of such things.
func (s *server) PrepareCallHierarchy(ctx context.Context, p *protocol.CallHierarchyPrepareParams) ([]protocol.CallHierarchyItem, error) {
	snap, offset, err := s.at(ctx, p.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	if m := snap.markAt(offset); m != nil && inHierarchy(m.decl) {
		if it, ok := snap.callItem(m.decl); ok {
			return []protocol.CallHierarchyItem{it}, nil
		}
	}
	return nil, nil
}

// callItem is a declaration as the hierarchy shows it.
func (snap *snapshot) callItem(d *check.Decl) (protocol.CallHierarchyItem, bool) {
	name, ok := snap.location(d.At)
	if !ok {
		return protocol.CallHierarchyItem{}, false
	}
	whole, _ := snap.location(d.Node.Span())
	kind := d.Kind.String()
	if d.IsFunc() {
		kind = "function"
	}
	return protocol.CallHierarchyItem{Name: d.Name, Kind: symbolKind(d), Detail: &kind, URI: name.URI, Range: whole.Range, SelectionRange: name.Range}, true
}

// itemAt is the declaration that an item of the hierarchy was made of.
func (s *server) itemAt(ctx context.Context, it protocol.CallHierarchyItem) (*snapshot, *check.Decl, error) {
	snap, err := s.openOrRead(ctx, it.URI)
	if err != nil {
		return nil, nil, err
	}
	if m := snap.markAt(snap.idx.offset(it.SelectionRange.Start)); m != nil && inHierarchy(m.decl) && m.decl.Name == it.Name {
		return snap, m.decl, nil
	}
	return nil, nil, protocol.ErrContentModified
}

// openOrRead is a text that is open, the library's or a file.
func (s *server) openOrRead(ctx context.Context, u uri.URI) (*snapshot, error) {
	snap, err := s.snap(ctx, u)
	if err == nil || !u.IsFile() || ctx.Err() != nil {
		return snap, err
	}
	if snap = s.closed(ctx, u, filepath.Clean(u.FsPath())); snap == nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%s can't be read", u)
	}
	return snap, nil
}

// IncomingCalls are the statements that name a thing, in all texts that use its own.
func (s *server) IncomingCalls(ctx context.Context, p *protocol.CallHierarchyIncomingCallsParams) ([]protocol.CallHierarchyIncomingCall, error) {
	snap, d, err := s.itemAt(ctx, p.Item)
	if err != nil {
		return nil, err
	}
	out := []protocol.CallHierarchyIncomingCall{}
	at := map[protocol.Location]int{}
	for _, u := range s.usesOf(ctx, snap, []*check.Decl{d}) {
		if u.mark.role == declares || u.mark.role == imports || u.mark.role == labels {
			continue
		}
		from := u.snap.statementAt(u.mark.at)
		if !inHierarchy(from) {
			continue
		}
		it, ok := u.snap.callItem(from)
		if !ok {
			continue
		}
		key := protocol.Location{URI: it.URI, Range: it.SelectionRange}
		i, had := at[key]
		if !had {
			i, at[key] = len(out), len(out)
			out = append(out, protocol.CallHierarchyIncomingCall{From: it})
		}
		out[i].FromRanges = append(out[i].FromRanges, u.loc.Range)
	}
	return out, ctx.Err()
}

// statementAt is the declaration at the top of a text whose statement holds sp, or nil.
func (snap *snapshot) statementAt(sp diag.Span) *check.Decl {
	for _, m := range snap.program().Modules {
		if m.Source != sp.Source {
			continue
		}
		for _, d := range m.Order {
			if at := d.Node.Span(); at.Start <= sp.Start && sp.End <= at.End {
				return d
			}
		}
	}
	return nil
}

// OutgoingCalls are the things that a statement names: a part's panel, a join's parts.
func (s *server) OutgoingCalls(ctx context.Context, p *protocol.CallHierarchyOutgoingCallsParams) ([]protocol.CallHierarchyOutgoingCall, error) {
	snap, d, err := s.itemAt(ctx, p.Item)
	if err != nil {
		return nil, err
	}
	out := []protocol.CallHierarchyOutgoingCall{}
	at := map[*check.Decl]int{}
	for _, m := range snap.marks() {
		sp := d.Node.Span()
		if m.at.Start < sp.Start || m.at.End > sp.End || m.role == declares || m.role == labels || !inHierarchy(m.decl) {
			continue
		}
		i, had := at[m.decl]
		if !had {
			it, ok := snap.callItem(m.decl)
			if !ok {
				continue
			}
			i, at[m.decl] = len(out), len(out)
			out = append(out, protocol.CallHierarchyOutgoingCall{To: it})
		}
		out[i].FromRanges = append(out[i].FromRanges, snap.rangeOf(m.at))
	}
	return out, nil
}
