// Package load opens a design: it reads the file, everything it uses and
// nothing else, and hands back the checked program. A design's modules come from
// the embedded library or from files below the design's own folder; it never
// reads outside that folder, and never writes.
package load

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/bend"
	"perch/parts/shop"
	"perch/stdlib"
)

// maxBytes is the size, in bytes, above which a file is not read; the parser has
// its own, lower limit.
const maxBytes = 16 << 20

// Design opens the design at the path and checks it. The error is one of reading
// the file itself; every mistake in the text is a diagnostic.
func Design(name string, shop *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	folder, _ := filepath.Split(name)
	if folder == "" {
		folder = "."
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, nil, fmt.Errorf("cannot open %s: %w", name, bare(err))
	}
	defer root.Close()
	text, err := Plain(name) // which may be a link to anywhere, as a module may not
	if errors.Is(err, fs.ErrNotExist) {
		switch _, other := os.Stat(name + ".perch"); {
		case name == "-":
			err = errors.New("only build, check, show, why and sweep read a design from standard input")
		case other == nil:
			err = fmt.Errorf("%w; there is %s.perch", err, name)
		}
	}
	if err != nil {
		return nil, nil, fmt.Errorf("cannot read %s: %w", name, bare(err))
	}
	src := diag.NewSource(filepath.ToSlash(name), text)
	return Source(src, modules{root: root, folder: filepath.ToSlash(folder)}, shop)
}

// Stdin is the design's name where it is read from standard input.
const Stdin = "standard input"

// From reads a design that is not a file and checks it; what it uses is found below the
// folder that perch was started in.
func From(r io.Reader, shop *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	text, err := limited(r)
	if err != nil {
		return nil, nil, fmt.Errorf("cannot read %s: %w", Stdin, bare(err))
	}
	root, err := os.OpenRoot(".")
	if err != nil {
		return nil, nil, fmt.Errorf("cannot open this folder: %w", bare(err))
	}
	defer root.Close()
	return Source(diag.NewSource(Stdin, text), modules{root: root, folder: "."}, shop)
}

// Source checks a text that is already read; l finds what it uses.
func Source(src *diag.Source, l check.Loader, shop *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	file, diags := syntax.Parse(src)
	var materials, methods []string
	for _, m := range shop.Materials {
		materials = append(materials, m.Name)
	}
	for _, m := range bend.Methods {
		methods = append(methods, string(m))
	}
	prog, more := check.Check(file, l, check.Builtins{Materials: materials, Methods: methods})
	return prog, append(syntax.Proved(file, diags), more...), nil
}

// Library finds modules of the embedded library only: designs that are not
// files have no folder.
func Library() check.Loader { return modules{} }

// modules finds what a design uses.
type modules struct {
	root   *os.Root // of the design's folder; nil where it has none
	folder string
}

// Module finds a library module by its dotted name.
func (m modules) Module(dotted string) (*diag.Source, error) {
	name, text, err := stdlib.Module(dotted)
	if err != nil {
		return nil, err
	}
	return diag.NewSource(name, text), nil
}

// Modules lists the library's modules, for one that is misspelt.
func (m modules) Modules() []string { return stdlib.Modules() }

// File finds a module by the path that a text uses, below the design's folder.
func (m modules) File(from *diag.Source, p string) (*diag.Source, error) {
	if m.root == nil {
		return nil, errors.New("a design that is not a file uses no files")
	}
	clean, err := below(p)
	if err != nil {
		return nil, err
	}
	text, err := read(m.root, clean)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", p, bare(err))
	}
	name := clean
	if m.folder != "." && m.folder != "./" {
		name = path.Join(m.folder, clean)
	}
	return diag.NewSource(name, text), nil
}

// below cleans the path of a module, which may not leave the design's folder.
func below(p string) (string, error) {
	clean := path.Clean(p)
	if path.IsAbs(p) || strings.Contains(p, `\`) || strings.Contains(p, ":") || clean == ".." || strings.HasPrefix(clean, "../") {
		return "", fmt.Errorf("%s leads out of the design's folder", p)
	}
	return clean, nil
}

// read reads a plain file; os.Root keeps links inside the folder.
func read(root *os.Root, name string) (string, error) {
	st, err := root.Stat(name)
	if err == nil {
		err = plain(st) // before it is opened: to open a pipe is to wait
	}
	if err != nil {
		return "", err
	}
	f, err := root.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return limited(f)
}

// limited reads all, and refuses what is too large.
func limited(r io.Reader) (string, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return "", err
	}
	if len(b) > maxBytes {
		return "", fmt.Errorf("it is larger than %d MB", maxBytes>>20)
	}
	return string(b), nil
}

// bare drops the operation and path from an error that is told with them.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
