package editor

import (
	"context"
	"fmt"
	"hash/fnv"

	"go.lsp.dev/protocol"
)

// Diagnostic is what is wrong with a text, for a client that asks for it. The answer's
// name is made of what it says: a client that has it already is told so. What the sizes'
// geometry adds comes with the next answer; the client is told to ask when it is there.
func (s *server) Diagnostic(ctx context.Context, p *protocol.DocumentDiagnosticParams) (protocol.DocumentDiagnosticReport, error) {
	snap, err := s.openOrRead(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	items := s.diagnosticsOf(s.asking(ctx).world, snap.uri, snap)
	text, err := protocol.Marshal(items)
	if err != nil {
		return nil, err
	}
	sum := fnv.New64a()
	sum.Write(text)
	id := fmt.Sprintf("%016x", sum.Sum64())
	if p.PreviousResultID != nil && *p.PreviousResultID == id {
		same := &protocol.RelatedUnchangedDocumentDiagnosticReport{}
		same.Kind, same.ResultID = "unchanged", id
		return same, nil
	}
	full := &protocol.RelatedFullDocumentDiagnosticReport{}
	full.Kind, full.ResultID, full.Items = "full", &id, items
	return full, nil
}
