package editor

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// DocumentLink leads from every use statement to the text that it takes names from: a
// file beside the design, or a text of the library.
func (s *server) DocumentLink(ctx context.Context, p *protocol.DocumentLinkParams) ([]protocol.DocumentLink, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	out := []protocol.DocumentLink{}
	for _, st := range snap.file.Stmts {
		x, ok := st.(*syntax.Use)
		if !ok {
			continue
		}
		if target := snap.moduleOf(x); target != "" {
			out = append(out, protocol.DocumentLink{Range: snap.rangeOf(x.FromAt), Target: &target})
		}
	}
	return out, nil
}

// moduleOf is the text that a use statement takes names from; "" where it can't be had.
func (snap *snapshot) moduleOf(x *syntax.Use) uri.URI {
	for _, m := range snap.program().Modules[1:] {
		if snap.leads(x, m.Source) {
			if at, ok := snap.location(diag.Span{Source: m.Source}); ok {
				return at.URI
			}
		}
	}
	return ""
}
