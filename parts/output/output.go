// Package output puts a build into a folder: one folder a size with the blanks'
// drawings, the picture, the cut list and the record. Everything is staged
// beside its place first and moved there in one go, so that a build that fails
// leaves what was there before. A list in each folder names what was written there;
// only that, and only unchanged, is ever replaced or removed. It draws nothing itself
// and decides nothing.
package output

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"perch/parts/blankpage"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record"
	"perch/parts/shop"
)

// Options of what is written. The record is in millimetres always.
type Options struct {
	Drawings measure.System // of the blanks' drawings for cutting
	Paper    measure.Paper  // of what people read: flats, pictures and the cut list
	Pictures bool           // of the assembled piece, and a page of every blank
	Also     []shop.Kind    // what is written beside the usual files
	Shop     *shop.Shop     // whose pages they are; nil: nobody's
	// Design is the path by which the design whose sizes are written is known, of one line;
	// "" where a folder belongs to none. What another design's lists name is not touched.
	Design string
	// Sizes are all that the design has, built or not. Folders of sizes that its lists name
	// and it has no more are retired; nil: none.
	Sizes []string
	// Reads are files that what is written was made from. None of them is replaced or removed.
	Reads []string
	// Replace names what is to be replaced even if no earlier run wrote it, or if it was
	// changed since: files below the output folder, slash separated, or a folder for all
	// that stands in the way there. The output folder's own name takes it over from
	// another design.
	Replace []string
}

// Names of the files in a size's folder, beside each blank's own.
const (
	RecordFile   = "build.json"
	CutListFile  = "cutlist.csv"
	HardwareFile = "hardware.csv"
	PictureSVG   = "picture.svg"
	PicturePNG   = "picture.png"
	BehindSVG    = "behind.svg"
	LabelsFile   = "labels.csv"  // of a nested sheet
	PiercesFile  = "pierces.csv" // of a nested sheet
	RemnantFile  = "remnant.dxf" // what is left of a nested sheet
	JobRecord    = "job.json"    // of nested sheets, beside their folders
	JobCutList   = "job.csv"     // beside them too
)

// Add stages one size. It may be called for several sizes at once.
func (s *Stage) Add(a *panel.Assembly) error {
	f, err := s.folder(a.Size)
	if err != nil {
		return err
	}
	b := s.buffer() // one for all files: it keeps its room
	defer s.release(b)
	write := func(name string, draw func(w io.Writer) error) error {
		b.Reset()
		if err := draw(b); err != nil {
			return fmt.Errorf("%s of size %s: %w", name, a.Size, err)
		}
		return f.put(name, b.Bytes())
	}
	if err := s.draw(a, write); err != nil {
		return err
	}
	return f.close()
}

// buffer is one that no other size is written in now.
func (s *Stage) buffer() *bytes.Buffer {
	s.mu.Lock()
	defer s.mu.Unlock()
	last := len(s.spare) - 1
	if last < 0 {
		return new(bytes.Buffer)
	}
	b := s.spare[last]
	s.spare = s.spare[:last]
	return b
}

func (s *Stage) release(b *bytes.Buffer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.spare = append(s.spare, b)
}

// draw writes every file of a size.
func (s *Stage) draw(a *panel.Assembly, write func(string, func(io.Writer) error) error) error {
	pages := s.pages(a)
	for i, b := range a.Blanks {
		if err := write(b.Name+".dxf", func(w io.Writer) error {
			return dxf.Write(w, b, dxf.Options{Unit: s.options.Drawings, Reader: s.options.Paper.System, Design: a.Design, Size: a.Size, Revision: a.Revision})
		}); err != nil {
			return err
		}
		if !s.options.Pictures {
			continue
		}
		if err := write(b.Name+".svg", func(w io.Writer) error {
			doc := &paper.Document{}
			if err := pages.Add(doc, i); err != nil {
				return err
			}
			return doc.SVG(w)
		}); err != nil {
			return err
		}
	}
	if err := write(CutListFile, func(w io.Writer) error { return record.CutList(w, a, s.options.Paper.System) }); err != nil {
		return err
	}
	if len(record.Hardware(a)) > 0 {
		if err := write(HardwareFile, func(w io.Writer) error { return record.HardwareList(w, a, s.options.Paper.System) }); err != nil {
			return err
		}
	}
	if err := write(RecordFile, func(w io.Writer) error { return record.Write(w, a, record.Options{}) }); err != nil {
		return err
	}
	if err := s.also(a, write); err != nil {
		return err
	}
	if !s.options.Pictures {
		return nil
	}
	return s.pictures(a, write)
}

// pages is what the blanks' pages have in common.
func (s *Stage) pages(a *panel.Assembly) *blankpage.Job {
	j := &blankpage.Job{Assembly: a, Names: naming.Of(a), Paper: s.options.Paper, Shop: s.options.Shop, Sheet: paper.A4, Projection: paper.FirstAngle}
	if j.Shop != nil {
		j.Printed()
	}
	return j
}

// Put stages a folder of files that are already made, by name.
func (s *Stage) Put(name string, files map[string][]byte) error {
	f, err := s.folder(name)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := f.put(name, files[name]); err != nil {
			return err
		}
	}
	return f.close()
}

// PutFile stages a file beside the folders.
func (s *Stage) PutFile(name string, data []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.written[""] == nil {
		s.written[""] = list{}
	}
	return folder{stage: s, list: s.written[""]}.put(name, data)
}

// Papers stages files that were made of a size and are to stand beside its build, whether it
// stands there already or not. Nothing else in that folder is touched. A build of the
// same record leaves them there; one of another takes them away, for they are not of what is
// cut then. A size is staged by Add or by Papers, not by both.
func (s *Stage) Papers(a *panel.Assembly, files map[string][]byte) error {
	h := sha256.New()
	if err := record.Write(h, a, record.Options{}); err != nil {
		return fmt.Errorf("the record of size %s: %w", a.Size, err)
	}
	f, err := s.folder(a.Size)
	if err != nil {
		return err
	}
	f.papers = papers{}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f.papers[name] = hash(h.Sum(nil))
		if err := f.put(name, files[name]); err != nil {
			return err
		}
	}
	return f.close()
}

// folder is one on its way into the stage.
type folder struct {
	stage  *Stage
	name   string
	list   list
	papers papers // nil: a build
}

func (s *Stage) folder(name string) (folder, error) {
	s.gate.RLock()
	defer s.gate.RUnlock()
	if s.state != staging {
		return folder{}, errEnded
	}
	if err := s.disk.mkdir(filepath.Join(s.tmp, name)); err != nil {
		return folder{}, s.failed(err)
	}
	return folder{stage: s, name: name, list: list{}}, nil
}

// put writes a file and notes its hash.
func (f folder) put(name string, data []byte) error {
	f.list[name] = []hash{sha256.Sum256(data)}
	return f.stage.write(filepath.Join(f.name, name), data)
}

// close writes the folder's list: what moves into place as a whole has it.
func (f folder) close() error {
	if err := f.stage.write(filepath.Join(f.name, ListFile), f.list.text(f.stage.owner(f.name), f.papers)); err != nil {
		return err
	}
	f.stage.mu.Lock()
	defer f.stage.mu.Unlock()
	f.stage.written[f.name] = f.list
	if f.papers != nil {
		f.stage.papers[f.name] = f.papers
	}
	return nil
}

// Retire has Commit take away what the list of a folder of that name tells, and the
// folder where nothing else is in it.
func (s *Stage) Retire(folder string) { s.retired = append(s.retired, folder) }

// owner is whose a folder of this stage is.
func (s *Stage) owner(folder string) owner {
	if s.options.Design == "" {
		return owner{}
	}
	return owner{s.options.Design, folder}
}

func (s *Stage) failed(err error) error {
	return fmt.Errorf("cannot write into the output folder %s: %w", s.dir, bare(err))
}

// bare drops the operation and path from an error that is told with them.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}
