package editor

import (
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/bend"
	"perch/parts/shop"
)

// text is one version of a text, parsed. It is never written to.
type text struct {
	uri     uri.URI
	version int32
	idx     *lineIndex
	src     *diag.Source
	file    *syntax.File
	syntax  []diag.Diagnostic
}

// texts are the open texts among which a text finds its modules.
type texts map[uri.URI]*text

// snapshot is one version of a text and what is known of it. It is never written
// to, but for what is worked out when it is first asked for.
type snapshot struct {
	*text
	diags  []diag.Diagnostic // of syntax and check
	memory *check.Memory     // of that check, for the next version's
	texts  texts             // among which its modules were found
	server *server

	provedOnce sync.Once
	proved     []diag.Diagnostic // those of syntax

	progOnce sync.Once
	prog     *check.Program

	marksOnce sync.Once
	marksMade []mark
	numsOnce  sync.Once
	nums      *numbers
	fullOnce  sync.Once
	full      *numbers
	built     atomic.Pointer[built] // the sizes, once that is done
	gone      atomic.Bool           // there is a newer version, or the text was closed: work on it stops
}

// sourceName is what a text is called in diagnostics: a file's path, another
// text's URI.
func sourceName(u uri.URI) string {
	if u.IsFile() {
		return filepath.ToSlash(u.FsPath())
	}
	return u.String()
}

func builtins(shop *shop.Shop) check.Builtins {
	var b check.Builtins
	for _, m := range shop.Materials {
		b.Materials = append(b.Materials, m.Name)
	}
	for _, m := range bend.Methods {
		b.Methods = append(b.Methods, string(m))
	}
	return b
}

// analyse parses and checks a text. Where prev is an earlier version of it, ch is
// what changed since.
func (s *server) analyse(w texts, u uri.URI, version int32, idx *lineIndex, prev *snapshot, ch change) *snapshot {
	snap := &snapshot{text: &text{uri: u, version: version, idx: idx}, texts: w, server: s}
	if src := s.store.libraryAt(u); src != nil && src.Text == idx.text {
		snap.src = src
		snap.file, snap.syntax = s.store.parse(src)
	} else {
		snap.src = diag.NewSource(sourceName(u), idx.text)
		snap.file, snap.syntax = parse(snap.src, prev, ch)
	}
	snap.check(prev)
	return snap
}

// parse makes the tree of a text, from that of an earlier version where there is one.
func parse(src *diag.Source, prev *snapshot, ch change) (*syntax.File, []diag.Diagnostic) {
	if prev == nil {
		return syntax.Parse(src)
	}
	return syntax.Reparse(prev.file, prev.syntax, src, syntax.Change{Start: ch.start, End: ch.end, Fresh: ch.fresh})
}

// again is the snapshot among other texts: its modules may have changed.
func (snap *snapshot) again(w texts) *snapshot {
	fresh := &snapshot{text: snap.text, texts: w, server: snap.server}
	fresh.check(snap)
	return fresh
}

func (snap *snapshot) loader() loader {
	l := loader{store: snap.server.store, texts: snap.texts}
	if snap.uri.IsFile() {
		l.folder = filepath.Dir(snap.uri.FsPath())
	}
	return l
}

// check finds what is wrong with the text, by what was found of a version before
// where there is one.
func (snap *snapshot) check(prev *snapshot) {
	var before *check.Memory
	if prev != nil {
		before = prev.memory
	}
	var more []diag.Diagnostic
	more, snap.memory = check.Diagnose(snap.file, snap.syntax, snap.loader(), builtins(snap.server.opts.Shop), before)
	snap.diags = append(append([]diag.Diagnostic{}, snap.syntax...), more...)
}

// program is the text's program, made when it is first asked for: to tell what is
// wrong takes less.
func (snap *snapshot) program() *check.Program {
	snap.progOnce.Do(func() {
		snap.prog, _ = check.Check(snap.file, snap.loader(), builtins(snap.server.opts.Shop))
		snap.prog.Stopped = func() bool { return snap.gone.Load() || snap.server.shutDown.Load() }
	})
	return snap.prog
}

// uses says whether the text uses the one of that name.
func (snap *snapshot) uses(name string) bool {
	return snap.memory.Uses(name)
}

// all are the diagnostics of the text, with the geometry's where it is built.
func (snap *snapshot) all() []diag.Diagnostic {
	if b := snap.built.Load(); b != nil {
		return append(append([]diag.Diagnostic{}, snap.diags...), b.diags...)
	}
	return snap.diags
}

// mended are all diagnostics with the fixes that are offered: those of mistakes of syntax
// were tried out, which costs as much as several edits and waits until somebody asks.
func (snap *snapshot) mended() []diag.Diagnostic {
	snap.provedOnce.Do(func() { snap.proved = syntax.Proved(snap.file, snap.syntax) })
	all := snap.all()
	return append(slices.Clone(snap.proved), all[len(snap.syntax):]...)
}

// rangeOf is a span of this text as the protocol has it.
func (x *text) rangeOf(sp diag.Span) protocol.Range {
	return x.idx.rangeOf(int(sp.Start), int(sp.End))
}

// location is a span of any text that the program reads.
func (snap *snapshot) location(sp diag.Span) (protocol.Location, bool) {
	switch {
	case sp.Source == nil:
		return protocol.Location{}, false
	case sp.Source == snap.src:
		return protocol.Location{URI: snap.uri, Range: snap.rangeOf(sp)}, true
	}
	for _, open := range snap.texts {
		if open.src == sp.Source {
			return protocol.Location{URI: open.uri, Range: open.rangeOf(sp)}, true
		}
	}
	u := snap.server.store.uriOf(sp.Source)
	return protocol.Location{URI: u, Range: newLineIndex(sp.Source.Text).rangeOf(int(sp.Start), int(sp.End))}, true
}

// uriOf names a text of the store.
func (st *store) uriOf(src *diag.Source) uri.URI {
	st.mu.Lock()
	defer st.mu.Unlock()
	for _, lib := range st.lib {
		if lib == src {
			return libraryURI(src)
		}
	}
	return uri.File(filepath.FromSlash(src.Name))
}
