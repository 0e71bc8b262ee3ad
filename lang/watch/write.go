package watch

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"perch/lang/build"
	"perch/parts/output"
	"perch/parts/record"
)

// write brings the output folder up to date. A size whose record is as it was
// when last written is not drawn again, and a file whose bytes are the same is
// left alone, with its time.
func (w *watcher) write(results []*build.Result, opt output.Options) ([]Size, error) {
	var sizes []Size
	records := map[string]string{}
	for _, r := range results {
		s := Size{Name: r.Size, Blanks: len(r.Assembly.Blanks)}
		for _, b := range r.Assembly.Blanks {
			s.Pieces += b.Count
		}
		sizes = append(sizes, s)
		var b bytes.Buffer
		if err := record.Write(&b, r.Assembly, record.Options{}); err != nil {
			return nil, err
		}
		records[r.Size] = fmt.Sprint(opt) + b.String() // the record is the same in any units
	}
	if w.job.Out == "" {
		return sizes, nil
	}
	if err := os.MkdirAll(w.job.Out, 0o777); err != nil {
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	tmp, err := os.MkdirTemp(w.job.Out, ".watched-")
	if err != nil {
		return nil, fmt.Errorf("cannot write into the output folder: %w", err)
	}
	defer os.RemoveAll(tmp)
	stage, err := output.NewStage(tmp, opt)
	if err != nil {
		return nil, err
	}
	defer stage.Discard()
	for _, r := range results {
		if w.stands(r.Size, records[r.Size]) {
			continue
		}
		if err := stage.Add(r.Assembly); err != nil {
			return nil, err
		}
	}
	if err := stage.Commit(); err != nil {
		return nil, err
	}
	for i := range sizes {
		s := &sizes[i]
		from := filepath.Join(tmp, s.Name)
		if _, err := os.Stat(from); err != nil {
			continue // it stands
		}
		delete(w.sizes, s.Name)
		if err := s.replace(from, filepath.Join(w.job.Out, s.Name)); err != nil {
			return nil, fmt.Errorf("cannot write size %s: %w", s.Name, err)
		}
		w.sizes[s.Name] = records[s.Name]
	}
	return sizes, nil
}

// stands tells whether a size was written like this and is still there.
func (w *watcher) stands(size, rec string) bool {
	if w.sizes[size] != rec {
		return false
	}
	b, err := os.ReadFile(filepath.Join(w.job.Out, size, output.RecordFile))
	return err == nil && string(b) == rec
}

// replace moves the files that differ from one folder to the other, and takes
// away the drawings of blanks that are no more.
func (s *Size) replace(from, to string) error {
	if err := os.MkdirAll(to, 0o777); err != nil {
		return err
	}
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	made := map[string]bool{}
	for _, e := range entries {
		made[e.Name()] = true
		is, err := os.ReadFile(filepath.Join(from, e.Name()))
		if err != nil {
			return err
		}
		was, err := os.ReadFile(filepath.Join(to, e.Name()))
		if err == nil && bytes.Equal(was, is) {
			continue
		}
		if err := os.Rename(filepath.Join(from, e.Name()), filepath.Join(to, e.Name())); err != nil {
			return err
		}
		s.Written = append(s.Written, e.Name())
	}
	entries, err = os.ReadDir(to)
	if err != nil {
		return err
	}
	for _, e := range entries {
		n := e.Name()
		drawing := strings.HasSuffix(n, ".dxf") || strings.HasSuffix(n, ".svg") || n == output.PicturePNG
		if made[n] || e.IsDir() || !drawing {
			continue
		}
		if err := os.Remove(filepath.Join(to, n)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		s.Removed = append(s.Removed, n)
	}
	return nil
}
