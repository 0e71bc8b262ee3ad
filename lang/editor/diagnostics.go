package editor

import (
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// publish tells the client what is wrong with a text, and what that says of the
// texts it uses, unless it has changed.
func (s *server) publish(snap *snapshot) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.current(snap) {
		s.tell(snap.uri)
		s.tellOthers(snap.uri, snap.others())
	}
}

// tellOthers tells what is wrong with the texts that an open text has something to
// say about, and with those that it had; s.mu is held.
func (s *server) tellOthers(u uri.URI, others []uri.URI) {
	all := append(slices.Clone(s.others[u]), others...)
	delete(s.others, u)
	if len(others) > 0 {
		s.others[u] = others
	}
	slices.Sort(all)
	for _, o := range slices.Compact(all) {
		s.tell(o)
	}
}

// tell tells the client what is wrong with the text of a URI, but for an open text
// that the client asks about itself; s.mu is held.
func (s *server) tell(u uri.URI) {
	p := &protocol.PublishDiagnosticsParams{URI: u, Diagnostics: []protocol.Diagnostic{}}
	w := s.world.Load()
	switch own := w.docs[u]; {
	case own == nil:
		p.Diagnostics = s.diagnosticsOf(w, u, nil)
	case s.can.pulls && !s.pushed[u]:
		return
	case !s.can.pulls:
		p.Version, p.Diagnostics = protocol.NewOptional(own.version), s.diagnosticsOf(w, u, own)
	}
	s.pushed[u] = len(p.Diagnostics) > 0
	s.send(p)
}

// diagnosticsOf is what is wrong with the text of a URI in a world: what its own
// analysis says where there is one, and what is found in it by the open designs that
// use it.
func (s *server) diagnosticsOf(w *world, u uri.URI, own *snapshot) []protocol.Diagnostic {
	out := []protocol.Diagnostic{}
	type said struct {
		code, summary string
		start, end    int32
	}
	twice := map[said]bool{}
	if own != nil {
		for _, d := range diag.Sorted(own.all()) {
			out = append(out, own.diagnostic(d))
			if d.Span.Source == own.src {
				twice[said{d.Code, d.Summary, d.Span.Start, d.Span.End}] = true
			}
		}
	}
	for _, o := range w.list() {
		if o == own {
			continue
		}
		for _, d := range o.all() {
			if d.Span.Source == o.src || own != nil && d.Span.Source != own.src {
				continue // what is said of an older version is said anew
			}
			key := said{d.Code, d.Summary, d.Span.Start, d.Span.End}
			if at, ok := o.location(d.Span); ok && at.URI == u && !twice[key] {
				twice[key] = true
				out = append(out, o.foreign(d, at))
			}
		}
	}
	return out
}

// others are the other texts that something is found in, in order.
func (snap *snapshot) others() []uri.URI {
	var out []uri.URI
	for _, d := range snap.all() {
		if d.Span.Source == nil || d.Span.Source == snap.src {
			continue
		}
		if at, ok := snap.location(d.Span); ok && at.URI != snap.uri {
			out = append(out, at.URI)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// foreign is d in the text it is found in, with the statement that uses that text.
func (snap *snapshot) foreign(d diag.Diagnostic, at protocol.Location) protocol.Diagnostic {
	out := snap.plainly(d, at.Range)
	out.RelatedInformation = append(out.RelatedInformation, protocol.DiagnosticRelatedInformation{
		Location: protocol.Location{URI: snap.uri, Range: snap.rangeOf(snap.own(d.Span))}, Message: "used here"})
	return out
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

// diagnostic is d as the protocol has it. One of another text stands at the
// statement that uses that text.
func (snap *snapshot) diagnostic(d diag.Diagnostic) protocol.Diagnostic {
	out := snap.plainly(d, snap.rangeOf(snap.own(d.Span)))
	if d.Span.Source != snap.src {
		out.RelatedInformation = append(snap.related(nil, d.Span, "here"), out.RelatedInformation...)
	}
	return out
}

// plainly is d at a place, with the other places that it names.
func (snap *snapshot) plainly(d diag.Diagnostic, at protocol.Range) protocol.Diagnostic {
	out := protocol.Diagnostic{
		Range: at, Severity: severities[d.Severity],
		Code: protocol.String(d.Code), Source: protocol.NewOptional("perch"), Message: protocol.String(message(d)),
	}
	for _, r := range d.Related {
		out.RelatedInformation = snap.related(out.RelatedInformation, r.Span, r.Message)
	}
	if d.Mark&diag.Unused != 0 {
		if d.Severity == diag.Note {
			out.Severity = protocol.DiagnosticSeverityHint
		}
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
