package editor

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"go.lsp.dev/uri"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// LibraryScheme is the scheme of the library's texts, which are not files:
// perch-lib:///std/stool.perch. The empty authority keeps editors from taking the address
// for a path; some leave it out when they ask, which means the same. A client reads them by the standard request
// workspace/textDocumentContent, or by perch/libraryText with {"uri": …}.
const LibraryScheme = "perch-lib"

// maxBytes is the size of the largest file that is read.
const maxBytes = 16 << 20

// store keeps the texts that are not open, parsed: the library's modules and
// files that designs use.
type store struct {
	mu    sync.Mutex
	lib   map[string]*diag.Source // by dotted name
	files map[string]*stored      // by path
	trees map[*diag.Source]tree
}

type stored struct {
	src  *diag.Source
	when time.Time
	size int64
}

type tree struct {
	file  *syntax.File
	diags []diag.Diagnostic
}

func newStore() *store {
	return &store{lib: map[string]*diag.Source{}, files: map[string]*stored{}, trees: map[*diag.Source]tree{}}
}

// module is a library module by its dotted name.
func (st *store) module(dotted string) (*diag.Source, error) {
	st.mu.Lock()
	defer st.mu.Unlock()
	if src := st.lib[dotted]; src != nil {
		return src, nil
	}
	name, text, err := stdlib.Module(dotted)
	if err != nil {
		return nil, err
	}
	src := diag.NewSource(name, text)
	st.lib[dotted] = src
	return src, nil
}

// libraryURI names a library text, whose name is made of plain letters.
func libraryURI(src *diag.Source) uri.URI { return uri.URI(LibraryScheme + ":///" + src.Name) }

// libraryAt is the library text of a URI, or nil.
func (st *store) libraryAt(u uri.URI) *diag.Source {
	if u.Scheme() != LibraryScheme {
		return nil
	}
	dotted := strings.ReplaceAll(strings.TrimSuffix(strings.Trim(u.Path(), "/"), ".perch"), "/", ".")
	src, err := st.module(dotted)
	if err != nil {
		return nil
	}
	return src
}

// parse is the tree of a source, kept.
func (st *store) parse(src *diag.Source) (*syntax.File, []diag.Diagnostic) {
	st.mu.Lock()
	defer st.mu.Unlock()
	t, ok := st.trees[src]
	if !ok {
		t.file, t.diags = syntax.Parse(src)
		st.trees[src] = t
	}
	return t.file, t.diags
}

// file is the text of a file below a folder, read again when it has changed.
func (st *store) file(folder, name string) (*diag.Source, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, bare(err)
	}
	defer root.Close()
	info, err := root.Stat(filepath.FromSlash(name))
	switch {
	case err != nil:
		return nil, bare(err)
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not a plain file")
	case info.Size() > maxBytes:
		return nil, fmt.Errorf("it is larger than %d MB", maxBytes>>20)
	}
	full := path.Join(filepath.ToSlash(folder), name)
	st.mu.Lock()
	defer st.mu.Unlock()
	if have := st.files[full]; have != nil && have.when.Equal(info.ModTime()) && have.size == info.Size() {
		return have.src, nil
	}
	f, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, bare(err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxBytes))
	if err != nil {
		return nil, bare(err)
	}
	if old := st.files[full]; old != nil {
		delete(st.trees, old.src)
	}
	src := diag.NewSource(full, string(text))
	st.files[full] = &stored{src: src, when: info.ModTime(), size: info.Size()}
	return src, nil
}

func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// loader finds what a design uses: open texts first, then files below the
// design's folder, and the library. It keeps the trees of all of them.
type loader struct {
	store  *store
	texts  texts
	folder string // "" where the design is not a file
}

var (
	_ check.Parser = loader{}
	_ check.Lister = loader{}
)

func (l loader) Module(dotted string) (*diag.Source, error) { return l.store.module(dotted) }

// Modules are those of the library.
func (l loader) Modules() []string { return stdlib.Modules() }

func (l loader) File(_ *diag.Source, p string) (*diag.Source, error) {
	if l.folder == "" {
		return nil, errors.New("a design that is not a file uses no files")
	}
	clean := path.Clean(p)
	if path.IsAbs(p) || strings.Contains(p, `\`) || strings.Contains(p, ":") || clean == ".." || strings.HasPrefix(clean, "../") {
		return nil, fmt.Errorf("%s leads out of the design's folder", p)
	}
	if open := l.texts[uri.File(filepath.Join(l.folder, filepath.FromSlash(clean)))]; open != nil {
		return open.src, nil
	}
	src, err := l.store.file(l.folder, clean)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", p, err)
	}
	return src, nil
}

func (l loader) Parse(src *diag.Source) (*syntax.File, []diag.Diagnostic) {
	for _, open := range l.texts {
		if open.src == src {
			return open.file, open.syntax
		}
	}
	return l.store.parse(src)
}
