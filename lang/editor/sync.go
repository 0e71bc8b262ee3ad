package editor

import (
	"context"
	"fmt"
	"time"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/rules"
	"perch/parts/measure"
	"perch/parts/panel"
)

// maxText is the length in bytes past which a text is not taken in.
const maxText = 64 << 20

func (s *server) DidOpen(_ context.Context, p *protocol.DidOpenTextDocumentParams) error {
	d := p.TextDocument
	if len(d.Text) > maxText {
		return fmt.Errorf("%s is longer than %d MB", d.URI, maxText>>20)
	}
	s.take(s.analyse(s.world.Load().texts(), d.URI, d.Version, newLineIndex(d.Text), nil, change{}))
	return nil
}

// DidChange analyses the new version before anything else is read: what is asked
// next is asked about it.
func (s *server) DidChange(_ context.Context, p *protocol.DidChangeTextDocumentParams) error {
	w := s.world.Load()
	old := w.docs[p.TextDocument.URI]
	if old == nil {
		return fmt.Errorf("%s changed but is not open", p.TextDocument.URI)
	}
	idx, ch := apply(old.idx, p.ContentChanges)
	if len(idx.text) > maxText {
		return fmt.Errorf("%s grew past %d MB", old.uri, maxText>>20)
	}
	s.take(s.analyse(w.texts(), old.uri, p.TextDocument.Version, idx, old, ch))
	return nil
}

func (s *server) DidClose(_ context.Context, p *protocol.DidCloseTextDocumentParams) error {
	s.drop(p.TextDocument.URI)
	return nil
}

// DidSave has nothing to do: the text is known already, and files that use it
// read it here.
func (s *server) DidSave(context.Context, *protocol.DidSaveTextDocumentParams) error { return nil }

// take makes snap the newest version of its text, tells what is wrong with it,
// and looks again at the texts that use it.
func (s *server) take(snap *snapshot) {
	s.replace(snap.uri, snap)
	s.publish(snap)
	s.refresh(func(o *snapshot) bool { return o.uri != snap.uri && o.uses(snap.src.Name) })
	s.later(snap)
}

// drop forgets an open text.
func (s *server) drop(u uri.URI) {
	old := s.world.Load().docs[u]
	if old == nil {
		return
	}
	s.replace(u, nil)
	s.mu.Lock()
	s.rest(u)
	delete(s.sizes, u)
	s.mu.Unlock()
	s.refresh(func(o *snapshot) bool { return o.uses(old.src.Name) })
	s.mu.Lock()
	defer s.mu.Unlock()
	s.tell(u)
	s.tellOthers(u, nil)
}

func (s *server) replace(u uri.URI, snap *snapshot) {
	s.mu.Lock()
	defer s.mu.Unlock()
	old := s.world.Load()
	s.world.Store(old.with(u, snap))
	if o := old.docs[u]; o != nil && o != snap {
		o.gone.Store(true)
	}
}

// refresh checks open texts again whose modules may have changed.
func (s *server) refresh(which func(*snapshot) bool) {
	for _, o := range s.world.Load().list() {
		if which(o) {
			fresh := o.again(s.world.Load().texts())
			s.replace(o.uri, fresh)
			s.publish(fresh)
			s.later(fresh)
		}
	}
}

// later builds the sizes of snap when nothing more was typed for a while.
func (s *server) later(snap *snapshot) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.rest(snap.uri)
	if s.shutDown.Load() {
		return
	}
	s.background.Add(1)
	s.timers[snap.uri] = time.AfterFunc(s.opts.Pause, func() {
		defer s.background.Done()
		s.build(snap)
		if s.opts.After != nil {
			s.opts.After(snap.uri, snap.version)
		}
	})
}

// rest stops a timer that has not fired; s.mu is held.
func (s *server) rest(u uri.URI) {
	if t := s.timers[u]; t != nil && t.Stop() {
		s.background.Done()
	}
	delete(s.timers, u)
}

// current says that snap is still the newest analysis of its text.
func (s *server) current(snap *snapshot) bool { return s.world.Load().docs[snap.uri] == snap }

// build finds what is wrong with the geometry of every size, unless the text has
// changed meanwhile.
func (s *server) build(snap *snapshot) {
	s.building.Lock()
	defer s.building.Unlock()
	defer s.rescue("building " + string(snap.uri))
	if !s.current(snap) || s.shutDown.Load() || diag.HasErrors(snap.diags) {
		return
	}
	if !snap.isDesign() {
		if notes := snap.notes(); len(notes) > 0 {
			snap.built.Store(&built{diags: notes})
			s.announce(snap)
		}
		return
	}
	results, found := s.results(snap)
	if snap.gone.Load() {
		return
	}
	b := &built{diags: append(snap.notes(), found...)}
	for _, r := range results {
		var vs map[string]panel.Value
		var made map[string][]measure.Text
		if r != nil {
			if r.Assembly != nil {
				made = madeOf(r)
			}
			sys, _ := rules.Read(snap.program(), s.opts.Shop, rules.FindSize(snap.program(), r.Size), nil)
			vs = valuesOf(r, sys)
		}
		b.values, b.made = append(b.values, vs), append(b.made, made)
	}
	snap.built.Store(b)
	s.announce(snap)
}

// notes are what there is to say of a text without mistakes that is no mistake: what
// nothing reads, and the units that were taken.
func (snap *snapshot) notes() []diag.Diagnostic {
	notes := snap.program().Unused()
	if note, ok := snap.program().Taken(); ok {
		notes = append(notes, note)
	}
	return notes
}

// announce tells what was found of a text in the background.
func (s *server) announce(snap *snapshot) {
	s.publish(snap)
	ctx, done := context.WithTimeout(s.ctx, patience)
	defer done()
	if s.can.pulls {
		s.client.DiagnosticRefresh(ctx)
	}
	if s.can.refreshesHints && snap.numbers().waiting() {
		s.client.InlayHintRefresh(ctx)
	}
}

// results builds every size, showing how far that has come.
func (s *server) results(snap *snapshot) ([]*build.Result, []diag.Diagnostic) {
	told := s.work(nil, "building "+shortName(snap.uri))
	defer told.end()
	return family.Job{Program: snap.program(), Shop: s.opts.Shop, Progress: told.sizes}.Results()
}

// built is what building the sizes of a text came to.
type built struct {
	diags  []diag.Diagnostic
	values []map[string]panel.Value    // by size and name; nil where the size has none
	made   []map[string][]measure.Text // by size and name: what parts and joins came to; nil where the size is not built
}

// patience is how long the client may take to say that it heard.
const patience = 2 * time.Second

// isDesign says that the text is one that can be built, not a module.
func (snap *snapshot) isDesign() bool { return snap.file.Design != nil }

// rescue logs a failure of background work, which must not end the service.
func (s *server) rescue(doing string) {
	if r := recover(); r != nil {
		s.opts.Log.Printf("%s: %v", doing, r)
	}
}
