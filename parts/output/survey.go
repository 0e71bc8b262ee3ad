package output

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// OwnerError says that a folder is of another design than the one that is built into it.
// Nothing was written.
type OwnerError struct {
	Dir    string
	Theirs string // the path of the design that was built there; "" of sheets of no one design
	Ours   string
}

func (e *OwnerError) Error() string {
	return fmt.Sprintf("the output folder %s is of %s, not of %s", e.Dir, e.Theirs, e.Ours)
}

// survey reads the lists that stand in the output folder: those of the folders that are to
// be written, and where a design is built those of all. What another design wrote is an
// *OwnerError, unless the options take it over; sizes that the design has no more are
// retired.
func (s *Stage) survey() error {
	s.stands = map[string]listed{}
	folders := []string{""}
	if s.options.Design != "" {
		entries, err := os.ReadDir(s.dir)
		if err != nil {
			return s.failed(err)
		}
		for _, e := range entries {
			if e.IsDir() {
				folders = append(folders, e.Name())
			}
		}
	} else {
		for folder := range s.written {
			folders = append(folders, folder)
		}
		folders = append(folders, s.retired...)
	}
	slices.Sort(folders)
	for _, folder := range slices.Compact(folders) {
		l, err := readList(filepath.Join(s.dir, folder, ListFile))
		_, touched := s.written[folder]
		switch {
		case err != nil:
			continue
		case l.text == nil: // there is none
		case l.design != s.options.Design && (touched || l.design != "") && !s.takesOver():
			return &OwnerError{s.dir, l.design, s.options.Design}
		case l.size == folder && folder != "" && s.options.Sizes != nil && !slices.Contains(s.options.Sizes, folder):
			s.Retire(folder)
		}
		s.stands[folder] = l
	}
	return nil
}

// standing is the list of a folder. One that was made for another folder, and came here as
// a copy, tells nothing of this one: it is errNoList, as every other file of its name.
func (s *Stage) standing(folder string) (listed, error) {
	l, known := s.stands[folder]
	var err error
	if !known {
		l, err = readList(filepath.Join(s.dir, folder, ListFile))
	}
	if err == nil && l.text != nil && l.design != "" && l.size != folder {
		return listed{list: list{}, text: l.text}, errNoList
	}
	return l, err
}

// takesOver tells whether the options give up what another design has in the output folder.
func (s *Stage) takesOver() bool {
	return slices.ContainsFunc(s.options.Replace, func(r string) bool {
		return path.Clean(filepath.ToSlash(r)) == filepath.Base(s.dir)
	})
}
