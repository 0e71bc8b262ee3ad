package history

import (
	"os"
	"path"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// Design opens and checks a design by what a user wrote for it: a file, or
// REV:path in the git repository around folder, as Split tells them apart.
// Its modules come from the same place as the design, below its folder there.
// The error is one of finding or reading the design; every mistake in the text
// is a diagnostic.
func Design(arg, folder string, shop *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	rev, file, ok := Split(arg)
	if !ok {
		return load.Design(arg, shop)
	}
	repo, err := Open(folder)
	if err != nil {
		return nil, nil, err
	}
	snap, err := repo.At(rev)
	if err != nil {
		return nil, nil, err
	}
	return snap.Design(file, shop)
}

// Split takes REV:path apart; ok is false for what names a file: it has no
// colon outside braces, or there is a file of that very name.
func Split(arg string) (rev, file string, ok bool) {
	depth := 0
	for i := range len(arg) {
		switch arg[i] {
		case '{':
			depth++
		case '}':
			depth--
		case ':':
			if depth > 0 {
				continue
			}
			if _, err := os.Lstat(arg); err == nil {
				return "", "", false
			}
			if stage, file, _ := strings.Cut(arg[i+1:], ":"); i == 0 {
				if _, ok := stageNumber(":" + stage); ok {
					return ":" + stage, file, true // one side of a merge
				}
			}
			return arg[:i], arg[i+1:], true
		}
	}
	return "", "", false
}

// Design opens and checks the design at a path, taken as Read takes it.
func (s *Snapshot) Design(file string, shop *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
	text, from, err := s.Read(strings.ReplaceAll(file, `\`, "/"))
	if err != nil {
		return nil, nil, err
	}
	modules := load.Stored(func(p string) (string, string, error) {
		p = path.Join(path.Dir(from), p)
		text, _, err := s.Read(p)
		return s.name + ":" + p, text, err
	})
	return load.Source(diag.NewSource(s.name+":"+from, text), modules, shop)
}
