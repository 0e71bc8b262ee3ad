package load

import (
	"fmt"

	"perch/lang/check"
	"perch/lang/diag"
)

// Stored finds the modules of a design that is kept somewhere else than in a
// folder: the library's as always, and files by read, which is given their
// path from the design's own folder, clean and slash separated, and answers
// with the name to show for the file and its text.
func Stored(read func(path string) (name, text string, err error)) check.Loader {
	return stored{read: read}
}

type stored struct {
	modules
	read func(path string) (name, text string, err error)
}

// File finds a module by the path that a text uses.
func (s stored) File(_ *diag.Source, p string) (*diag.Source, error) {
	clean, err := below(p)
	if err != nil {
		return nil, err
	}
	name, text, err := s.read(clean)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", p, err)
	}
	return diag.NewSource(name, text), nil
}
