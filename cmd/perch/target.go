package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"perch/lang/check"
	"perch/lang/diag"
)

// targets holds files that flags name to be written to what they would be written over:
// designs, and what the verb reads. Empty names are of flags that were not given.
func targets(read []string, write ...string) []diag.Diagnostic {
	var diags []diag.Diagnostic
	for i, w := range write {
		if w == "" {
			continue
		}
		if slices.Contains(write[:i], w) {
			diags = append(diags, overwritten(w, "two flags name it"))
			continue
		}
		leads, err := filepath.EvalSymlinks(w)
		if err != nil {
			leads = w
		}
		if isDesign(w) || isDesign(leads) {
			diags = append(diags, overwritten(w, "its name is a design's: it ends in .perch"))
			continue
		}
		for _, r := range read {
			if r != "" && sameFile(r, w) {
				diags = append(diags, overwritten(w, "it is read, as "+r))
				break
			}
		}
	}
	return diags
}

// sources are the files that a design was read from.
func sources(p *check.Program) []string {
	var files []string
	for _, m := range p.Modules {
		files = append(files, filepath.FromSlash(m.Source.Name))
	}
	return files
}

func isDesign(name string) bool { return strings.EqualFold(filepath.Ext(name), ".perch") }

func overwritten(name, why string) diag.Diagnostic {
	return diag.Diagnostic{Code: "P7004", Severity: diag.Error, Summary: name + " is not written over", Notes: []string{why, "write to a file of another name"}}
}

// sameFile tells whether two names are of one file that is there.
func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// putFile writes a text to a file that a flag or operand names. A file that is read-only
// stays; a link stays one, and what it leads to is written. What is no plain file, such as
// a device, is written into.
func putFile(name, text string) error {
	if err := put(name, text); err != nil {
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	return nil
}

func put(name, text string) error {
	st, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(name); err == nil {
			return errors.New("it is a link that leads nowhere")
		}
		return replace(name, text, 0)
	case err != nil:
		return err
	case st.IsDir():
		return errors.New("it is a folder")
	}
	f, err := os.OpenFile(name, os.O_WRONLY|syscall.O_NONBLOCK, 0) // a pipe that nobody reads is an error, not a wait
	if err != nil {
		return err
	}
	defer f.Close()
	if !st.Mode().IsRegular() {
		_, err := f.WriteString(text)
		return err
	}
	if st.Mode().Perm()&0o222 == 0 { // who may do all could open it
		return errors.New("it is read-only")
	}
	place, err := filepath.EvalSymlinks(name)
	if err != nil {
		return err
	}
	return replace(place, text, st.Mode().Perm())
}

// replace writes a text beside its place and moves it there, so that a full disk leaves the
// old one. The mode is the old one's, 0 for a new file.
func replace(place, text string, mode fs.FileMode) error {
	dir, err := os.MkdirTemp(filepath.Dir(place), ".perch-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	beside := filepath.Join(dir, filepath.Base(place))
	if err := os.WriteFile(beside, []byte(text), 0o666); err != nil {
		return err
	}
	if mode != 0 {
		if err := os.Chmod(beside, mode); err != nil {
			return err
		}
	}
	return os.Rename(beside, place)
}

// refuse tells what is wrong with the command line.
func (s *session) refuse(diags []diag.Diagnostic, json bool) error {
	if err := s.tell(diags, json); !errors.As(err, new(exit)) {
		return err
	}
	return exit(exitTrouble)
}
