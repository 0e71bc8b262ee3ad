package output

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// Change is what a commit did to one folder: names of files there, sorted. The folder's
// list is not among them.
type Change struct {
	Written []string // whose bytes are new; those that stood there with the same bytes were left alone
	Removed []string // of an earlier run, which this one has no more
	Kept    []string // of an earlier run, which this one has no more, but changed since
	Retired bool     // the folder is of a size or sheet that there is no more
	// Outdated are papers among Removed that were made of another record than this build's; or,
	// where papers were written, the record that stands there and is another than theirs.
	Outdated []string
}

// Taken is a name that something stands at which an earlier run did not write, or which was
// changed since.
type Taken struct {
	Name    string // below the output folder, slash separated
	Changed bool   // an earlier run wrote it
	Read    bool   // it was read for what is to be written
}

// TakenError says that a build would lose files that are not its own. Nothing was written.
type TakenError struct {
	Dir   string
	Files []Taken // sorted by name
}

func (e *TakenError) Error() string {
	return fmt.Sprintf("%s in the output folder %s stands in the way", e.Files[0].Name, e.Dir)
}

// plan is what is to be done to one folder.
type plan struct {
	folder string // "" is the output folder itself
	fresh  bool   // it is not there: it moves into place as a whole
	was    listed // what stands there
	now    list   // what this build wrote, and what it leaves there
	papers papers // among them
	left   list   // what it leaves there: made by another command, of the same record
	Change
}

// Commit moves what is staged into place and tells by folder what changed. It replaces and
// removes only what the folder's list names, and only as the list tells it; everything else
// is kept where it is. A name that is taken otherwise is a *TakenError, unless the options
// say that it is to be replaced. On an error everything is put back.
func (s *Stage) Commit() (map[string]Change, error) {
	s.gate.Lock()
	defer s.gate.Unlock()
	if s.state != staging {
		return nil, errEnded
	}
	turn, err := takeTurn(s.dir)
	if err != nil {
		return nil, s.failed(err)
	}
	defer turn.release()
	plans, err := s.plans()
	if err != nil {
		return nil, err
	}
	if err := s.carry(plans); err != nil {
		return nil, s.failed(err)
	}
	s.state = moved
	live.note()
	done := map[string]Change{}
	for _, p := range plans {
		done[p.folder] = p.Change
	}
	if err := s.disk.clear(s.tmp); err != nil {
		return done, s.failed(err)
	}
	return done, nil
}

// plans looks at every folder before any is touched.
func (s *Stage) plans() ([]plan, error) {
	for _, r := range s.options.Reads {
		if st, err := os.Stat(r); err == nil {
			s.reads = append(s.reads, st)
		}
	}
	if err := s.survey(); err != nil {
		return nil, err
	}
	var plans []plan
	var taken []Taken
	for _, folder := range slices.Sorted(maps.Keys(s.written)) {
		p := plan{folder: folder, now: s.written[folder], papers: s.papers[folder]}
		t, err := s.look(&p)
		if err != nil {
			return nil, s.failed(err)
		}
		plans, taken = append(plans, p), append(taken, t...)
	}
	for _, folder := range s.retired {
		if st, err := os.Lstat(filepath.Join(s.dir, folder)); err != nil || !st.IsDir() {
			continue
		}
		p := plan{folder: folder, now: list{}, Change: Change{Retired: true}}
		if _, err := s.look(&p); err != nil {
			return nil, s.failed(err)
		}
		plans = append(plans, p)
	}
	if len(taken) > 0 {
		return nil, &TakenError{s.dir, taken}
	}
	return plans, nil
}

// look compares what is staged for a folder with what stands there.
func (s *Stage) look(p *plan) ([]Taken, error) {
	place := filepath.Join(s.dir, p.folder)
	if p.folder != "" {
		switch st, err := os.Lstat(place); {
		case errors.Is(err, fs.ErrNotExist):
			p.fresh, p.Written = true, p.now.names()
			return nil, nil
		case err != nil:
			return nil, err
		case !st.IsDir():
			return nil, fmt.Errorf("%s is in the way: it is not a folder", place)
		}
	}
	was, err := s.standing(p.folder)
	var taken []Taken
	if errors.Is(err, errNoList) {
		if p.Retired {
			p.now, p.Retired = nil, false // it holds nothing that is known to be ours
			return nil, nil
		}
		if !s.replaces(p.folder, ListFile) {
			taken = append(taken, Taken{Name: path.Join(p.folder, ListFile)})
		}
	} else if err != nil {
		return nil, err
	}
	p.was = was
	s.beside(p)
	for _, name := range p.now.with(p.was.list).names() {
		t, err := s.compare(p, name)
		if err != nil {
			return nil, err
		}
		if t != nil {
			taken = append(taken, *t)
		}
	}
	p.Outdated = slices.DeleteFunc(p.Outdated, func(name string) bool { return slices.Contains(p.Kept, name) })
	return taken, nil
}

// beside sorts out what stands in a folder beside what is staged for it: papers leave all
// else alone, and a build the papers that were made of the same record.
func (s *Stage) beside(p *plan) {
	record := p.now[RecordFile]
	build, there := p.was.list[RecordFile]
	p.left = list{}
	for name, hashes := range p.was.list {
		if _, mine := p.now[name]; mine {
			continue
		}
		of, paper := p.was.papers[name]
		switch {
		case s.papers[p.folder] != nil, paper && slices.Contains(record, of):
			p.left[name] = hashes
		case paper && len(record) > 0:
			p.Outdated = append(p.Outdated, name)
		}
	}
	slices.Sort(p.Outdated)
	if p.papers = maps.Clone(p.papers); p.papers == nil {
		p.papers = papers{}
	}
	for name, of := range s.papers[p.folder] {
		if there && !slices.Contains(build, of) {
			p.Outdated = []string{RecordFile}
		}
		p.papers[name] = of
	}
	for name, of := range p.was.papers {
		if _, left := p.left[name]; left {
			p.papers[name] = of
		}
	}
	p.now = p.now.with(p.left)
}

// compare sorts one name of a folder into what is to be written, removed or kept.
func (s *Stage) compare(p *plan, name string) (*Taken, error) {
	file := filepath.Join(s.dir, p.folder, name)
	if _, left := p.left[name]; left {
		return nil, nil
	}
	fresh, wanted := p.now[name]
	st, err := os.Lstat(file)
	if errors.Is(err, fs.ErrNotExist) {
		if wanted {
			p.Written = append(p.Written, name)
		}
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	if st.IsDir() {
		if wanted {
			return nil, fmt.Errorf("%s is in the way: it is a folder", file)
		}
		return nil, nil
	}
	ours := s.replaces(p.folder, name)
	if st.Mode().IsRegular() {
		h, err := hashOf(file)
		if err != nil {
			return nil, err
		}
		if wanted && slices.Contains(fresh, h) {
			return nil, nil // it stands there already
		}
		ours = ours || p.was.has(name, h)
	}
	if ours && slices.ContainsFunc(s.reads, func(r os.FileInfo) bool { return os.SameFile(r, st) }) {
		return &Taken{Name: path.Join(p.folder, name), Read: true}, nil
	}
	switch {
	case wanted && ours:
		p.Written = append(p.Written, name)
	case wanted:
		_, changed := p.was.list[name]
		return &Taken{Name: path.Join(p.folder, name), Changed: changed}, nil
	case ours:
		p.Removed = append(p.Removed, name)
	default:
		p.Kept = append(p.Kept, name)
	}
	return nil, nil
}

// replaces tells whether the options say that a name is to be replaced, whoever wrote it:
// by itself, or all names of its folder.
func (s *Stage) replaces(folder, name string) bool {
	for _, r := range s.options.Replace {
		r = path.Clean(filepath.ToSlash(r))
		if r == path.Join(folder, name) || folder != "" && r == folder {
			return true
		}
	}
	return false
}
