// Package output puts a build into a folder: one folder a size with the blanks'
// drawings, the picture, the cut list and the record. Everything is staged
// beside its place first and moved there in one go, so that a build that fails
// leaves what was there before. It draws nothing itself and decides nothing.
package output

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"sync"

	"perch/parts/drawing"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record"
)

// Options of what is written. The record is in millimetres always.
type Options struct {
	Drawings measure.System // of the blanks' drawings for cutting
	Paper    measure.Paper  // of what people read: flats, pictures and the cut list
	Pictures bool           // of the assembled piece and of every flat
}

// Names of the files in a size's folder, beside each blank's own.
const (
	RecordFile  = "build.json"
	CutListFile = "cutlist.csv"
	PictureSVG  = "picture.svg"
	PicturePNG  = "picture.png"
	LabelsFile  = "labels.csv"  // of a nested sheet
	PiercesFile = "pierces.csv" // of a nested sheet
	RemnantFile = "remnant.dxf" // what is left of a nested sheet
	JobRecord   = "job.json"    // of nested sheets, beside their folders
	JobCutList  = "job.csv"     // beside them too
)

// Stage is a build on its way into a folder.
type Stage struct {
	dir     string   // where it goes
	tmp     string   // where it stands meanwhile
	made    []string // folders that were made for it, dir first
	retired []string // folders of an earlier build that this one has no more
	options Options
}

// NewStage prepares to write into dir, which is made where it isn't there.
func NewStage(dir string, opt Options) (*Stage, error) {
	s := &Stage{dir: dir, options: opt}
	for d := filepath.Clean(dir); d != "."; d = filepath.Dir(d) {
		if _, err := os.Stat(d); !errors.Is(err, fs.ErrNotExist) {
			break
		}
		s.made = append(s.made, d)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		s.Discard()
		return nil, fmt.Errorf("cannot make the output folder %s: %w", dir, bare(err))
	}
	tmp, err := os.MkdirTemp(dir, ".staged-")
	if err != nil {
		s.Discard()
		return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, bare(err))
	}
	s.tmp = tmp
	return s, nil
}

// Discard drops what is staged. The folder is as it was.
func (s *Stage) Discard() {
	if s.tmp != "" {
		os.RemoveAll(s.tmp)
	}
	for _, d := range s.made {
		os.Remove(d) // goes only when empty
	}
}

var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// Add stages one size. It may be called for several sizes at once.
func (s *Stage) Add(a *panel.Assembly) error {
	dir := filepath.Join(s.tmp, a.Size)
	if err := os.Mkdir(dir, 0o777); err != nil {
		return s.failed(err)
	}
	b := buffers.Get().(*bytes.Buffer) // one for all files: it keeps its room
	defer buffers.Put(b)
	write := func(name string, draw func(w io.Writer) error) error {
		b.Reset()
		if err := draw(b); err != nil {
			return fmt.Errorf("%s of size %s: %w", name, a.Size, err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o666); err != nil {
			return s.failed(err)
		}
		return nil
	}
	for _, b := range a.Blanks {
		if err := write(b.Name+".dxf", func(w io.Writer) error {
			return dxf.Write(w, b, dxf.Options{Unit: s.options.Drawings, Reader: s.options.Paper.System, Design: a.Design, Size: a.Size})
		}); err != nil {
			return err
		}
		if !s.options.Pictures {
			continue
		}
		if err := write(b.Name+".svg", func(w io.Writer) error {
			return drawing.FlatSVG(w, b, drawing.FlatOptions{Paper: s.options.Paper, Design: a.Design, Size: a.Size})
		}); err != nil {
			return err
		}
	}
	if err := write(CutListFile, func(w io.Writer) error { return record.CutList(w, a, s.options.Paper.System) }); err != nil {
		return err
	}
	if err := write(RecordFile, func(w io.Writer) error { return record.Write(w, a, record.Options{}) }); err != nil {
		return err
	}
	if !s.options.Pictures {
		return nil
	}
	return s.pictures(a, write)
}

// Put stages a folder of files that are already made, by name.
func (s *Stage) Put(folder string, files map[string][]byte) error {
	dir := filepath.Join(s.tmp, folder)
	if err := os.Mkdir(dir, 0o777); err != nil {
		return s.failed(err)
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			return s.failed(err)
		}
	}
	return nil
}

// PutFile stages a file beside the folders.
func (s *Stage) PutFile(name string, data []byte) error {
	if err := os.WriteFile(filepath.Join(s.tmp, name), data, 0o666); err != nil {
		return s.failed(err)
	}
	return nil
}

// Retire has Commit take away what a build made in a folder of that name, and the
// folder where nothing else is in it.
func (s *Stage) Retire(folder string) { s.retired = append(s.retired, folder) }

func (s *Stage) failed(err error) error {
	return fmt.Errorf("cannot write into the output folder %s: %w", s.dir, bare(err))
}

// Commit moves the staged sizes into place. Files in a size's folder that no
// build makes are kept. On an error everything is put back.
func (s *Stage) Commit() (err error) {
	entries, err := os.ReadDir(s.tmp)
	if err != nil {
		return s.failed(err)
	}
	old := filepath.Join(s.tmp, ".replaced")
	if err := os.Mkdir(old, 0o777); err != nil {
		return s.failed(err)
	}
	var undo []func()
	defer func() {
		if err != nil {
			for i := len(undo) - 1; i >= 0; i-- {
				undo[i]()
			}
			err = s.failed(err)
			return
		}
		err = os.RemoveAll(s.tmp)
	}()
	move := func(from, to string) error {
		if err := os.Rename(from, to); err != nil {
			return err
		}
		undo = append(undo, func() { os.Rename(to, from) })
		return nil
	}
	for _, e := range entries {
		place, staged := filepath.Join(s.dir, e.Name()), filepath.Join(s.tmp, e.Name())
		st, err := os.Lstat(place)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return err
		case st.IsDir() && !e.IsDir():
			return fmt.Errorf("%s is in the way: it is a folder", place)
		case !st.IsDir() && e.IsDir():
			return fmt.Errorf("%s is in the way: it is not a folder", place)
		case !e.IsDir():
			if err := move(place, filepath.Join(old, e.Name())); err != nil {
				return err
			}
		default:
			was := filepath.Join(old, e.Name())
			if err := move(place, was); err != nil {
				return err
			}
			foreign, err := foreignFiles(was)
			if err != nil {
				return err
			}
			for _, f := range foreign {
				if err := move(filepath.Join(was, f), filepath.Join(staged, f)); err != nil {
					return err
				}
			}
		}
		if err := move(staged, place); err != nil {
			return err
		}
	}
	return s.retire(old, move)
}

// retire moves the retired folders' own files into old.
func (s *Stage) retire(old string, move func(from, to string) error) error {
	for _, name := range s.retired {
		place, was := filepath.Join(s.dir, name), filepath.Join(old, name)
		if st, err := os.Lstat(place); err != nil || !st.IsDir() {
			continue
		}
		if err := move(place, was); err != nil {
			return err
		}
		foreign, err := foreignFiles(was)
		if err != nil {
			return err
		}
		if len(foreign) == 0 {
			continue
		}
		if err := os.Mkdir(place, 0o777); err != nil {
			return err
		}
		for _, f := range foreign {
			if err := move(filepath.Join(was, f), filepath.Join(place, f)); err != nil {
				return err
			}
		}
	}
	return nil
}

// fixedNames are what builds make, beside drawings named for blanks and sheets.
var fixedNames = []string{RecordFile, CutListFile, PicturePNG, LabelsFile, PiercesFile}

// foreignFiles lists what stands in a size's folder that no build makes.
func foreignFiles(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range entries {
		n := e.Name()
		ours := slices.Contains(fixedNames, n) || slices.Contains([]string{".nc", ".dxf", ".svg"}, filepath.Ext(n)) ||
			n == filepath.Base(dir)+".png" || n == filepath.Base(dir)+".pdf"
		if e.IsDir() || !ours {
			out = append(out, n)
		}
	}
	sort.Strings(out)
	return out, nil
}

// bare drops the operation and path from an error that is told with them.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
