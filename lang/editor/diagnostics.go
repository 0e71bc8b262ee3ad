package editor

import (
	"strings"

	"go.lsp.dev/protocol"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// publish tells the client what is wrong with a text, unless it has changed.
func (s *server) publish(snap *snapshot) {
	p := &protocol.PublishDiagnosticsParams{
		URI: snap.uri, Version: protocol.NewOptional(snap.version), Diagnostics: []protocol.Diagnostic{}}
	for _, d := range diag.Sorted(snap.all()) {
		p.Diagnostics = append(p.Diagnostics, snap.diagnostic(d))
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.current(snap) {
		s.send(p)
	}
}

func (s *server) send(p *protocol.PublishDiagnosticsParams) {
	if s.client == nil {
		return
	}
	if err := s.client.PublishDiagnostics(s.ctx, p); err != nil {
		s.opts.Log.Printf("sending diagnostics: %v", err)
	}
}

var severities = map[diag.Severity]protocol.DiagnosticSeverity{
	diag.Error: protocol.DiagnosticSeverityError, diag.Warning: protocol.DiagnosticSeverityWarning,
	diag.Note: protocol.DiagnosticSeverityInformation,
}

// unused is the code of an import that nothing refers to.
const unused = "P2019"

// diagnostic is d as the protocol has it. One of another text stands at the
// statement that uses that text.
func (snap *snapshot) diagnostic(d diag.Diagnostic) protocol.Diagnostic {
	out := protocol.Diagnostic{
		Range: snap.rangeOf(snap.own(d.Span)), Severity: severities[d.Severity],
		Code: protocol.String(d.Code), Source: protocol.NewOptional("perch"), Message: protocol.String(message(d)),
	}
	if d.Span.Source != snap.src {
		out.RelatedInformation = snap.related(out.RelatedInformation, d.Span, "here")
	}
	for _, r := range d.Related {
		out.RelatedInformation = snap.related(out.RelatedInformation, r.Span, r.Message)
	}
	if d.Code == unused {
		out.Tags = protocol.NewDiagnosticTags(protocol.DiagnosticTagUnnecessary)
	}
	return out
}

func (snap *snapshot) related(to []protocol.DiagnosticRelatedInformation, sp diag.Span, message string) []protocol.DiagnosticRelatedInformation {
	if at, ok := snap.location(sp); ok {
		to = append(to, protocol.DiagnosticRelatedInformation{Location: at, Message: message})
	}
	return to
}

// message is all that a diagnostic says beside its places; its fix is offered as
// a code action.
func message(d diag.Diagnostic) string {
	lines := []string{d.Summary}
	if d.Label != "" {
		lines[0] += ": " + d.Label
	}
	if d.Part != "" {
		lines = append(lines, "part: "+d.Part)
	}
	lines = append(lines, d.Notes...)
	return strings.Join(lines, "\n")
}

// own is where something about sp is said in this text: at sp, at the use of
// the text that sp is in, else at the design line.
func (snap *snapshot) own(sp diag.Span) diag.Span {
	if sp.Source == snap.src {
		return sp
	}
	if sp.Source != nil {
		for _, st := range snap.file.Stmts {
			if u, ok := st.(*syntax.Use); ok && snap.leads(u, sp.Source) {
				return u.FromAt
			}
		}
	}
	if snap.file.Design != nil {
		return snap.file.Design.At
	}
	return diag.Span{Source: snap.src}
}

// leads says whether a use statement names a module of that source.
func (snap *snapshot) leads(u *syntax.Use, src *diag.Source) bool {
	l := snap.loader()
	if u.Module != "" {
		got, _ := l.Module(u.Module)
		return got == src
	}
	got, _ := l.File(snap.src, u.Path)
	return got == src
}
