package output

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// move is what a commit does to one folder. As the stage's journal it stands on the disk from
// before the first file is moved until after the last: who finds it there undoes it. What
// was done of it shows in the stage, where nobody else has a hand: a file that is to be moved
// in is not there any more, and one that is to be moved away is.
type move struct {
	Folder  string
	Fresh   bool     `json:",omitempty"` // it moves into place as a whole
	Retired bool     `json:",omitempty"` // its list goes, and the folder where nothing is left in it
	Written []string `json:",omitempty"` // moved in, what stands there moved away
	Removed []string `json:",omitempty"` // moved away
}

func (p plan) move() move {
	m := move{p.folder, p.fresh, p.Retired, p.Written, p.Removed}
	if p.fresh {
		m.Written = nil
	}
	return m
}

// idle says that nothing of a folder changes, not even its list.
func (s *Stage) idle(p plan) bool {
	if p.fresh {
		return false
	}
	if p.Retired {
		return p.was.text == nil
	}
	return len(p.Written)+len(p.Removed) == 0 && string(p.was.text) == string(p.now.text(s.owner(p.folder), p.papers))
}

// carry does what is planned, or nothing.
func (s *Stage) carry(plans []plan) error {
	plans = slices.DeleteFunc(slices.Clone(plans), s.idle)
	if len(plans) == 0 {
		return nil
	}
	var moves []move
	for _, p := range plans {
		moves = append(moves, p.move())
		if err := s.prepare(p); err != nil {
			return err
		}
	}
	text, err := json.Marshal(moves)
	if err != nil {
		return err
	}
	beside := filepath.Join(s.tmp, ".next")
	if err := s.disk.write(beside, text); err != nil {
		return err
	}
	if err = s.disk.rename(beside, filepath.Join(s.tmp, journalFile)); err == nil {
		if err = s.carryAll(plans); err == nil {
			return nil
		}
	}
	if left, undone := undo(s.dir, s.tmp, moves, s.disk); undone != nil {
		return fmt.Errorf("%w; what stood there waits in %s, and the next run puts it back", err, s.tmp)
	} else if len(left) > 0 {
		return fmt.Errorf("%w; somebody else wrote there too: what stood there is in %s", err, s.tmp)
	}
	return err
}

// prepare keeps the list of a folder in the stage, where an undo finds it.
func (s *Stage) prepare(p plan) error {
	if p.fresh {
		return nil
	}
	old := filepath.Join(s.tmp, oldFolder, p.folder)
	if err := s.disk.mkdir(old); err != nil {
		return err
	}
	if p.folder == "" { // the others have theirs
		if err := s.disk.write(filepath.Join(s.tmp, ListFile), p.now.text(s.owner(""), p.papers)); err != nil {
			return err
		}
	}
	if p.was.text == nil {
		return nil
	}
	return s.disk.write(filepath.Join(old, oldList), p.was.text)
}

// carryAll moves, and ends by removing the journal: from then on the new files stand.
func (s *Stage) carryAll(plans []plan) error {
	for _, p := range plans {
		if err := s.carryOne(p); err != nil {
			return err
		}
	}
	return s.disk.remove(filepath.Join(s.tmp, journalFile))
}

// carryOne brings one folder to its new state, file by file: what is not ours is not
// touched. While it is under way the list names old and new files, so that even where the
// stage is lost then nothing is taken for somebody else's work.
func (s *Stage) carryOne(p plan) error {
	place, staged, old := filepath.Join(s.dir, p.folder), filepath.Join(s.tmp, p.folder), filepath.Join(s.tmp, oldFolder, p.folder)
	if p.fresh {
		return s.disk.rename(staged, place)
	}
	if err := s.list(p, p.was.with(p.now)); err != nil {
		return err
	}
	for _, name := range p.Removed {
		if err := s.disk.rename(filepath.Join(place, name), filepath.Join(old, name)); err != nil {
			return err
		}
	}
	for _, name := range p.Written {
		err := s.disk.rename(filepath.Join(place, name), filepath.Join(old, name))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if err := s.disk.rename(filepath.Join(staged, name), filepath.Join(place, name)); err != nil {
			return err
		}
	}
	if !p.Retired {
		return s.list(p, p.now)
	}
	if err := s.disk.remove(filepath.Join(place, ListFile)); err != nil {
		return err
	}
	if in, err := os.ReadDir(place); err != nil || len(in) > 0 {
		return err
	}
	return s.disk.remove(place)
}

// list replaces a folder's list in one step.
func (s *Stage) list(p plan, l list) error {
	return s.disk.replace(s.tmp, filepath.Join(s.dir, p.folder, ListFile), l.text(s.owner(p.folder), p.papers))
}

// replace writes a file in one step, by way of the stage.
func (d disk) replace(tmp, file string, text []byte) error {
	beside := filepath.Join(tmp, ".next")
	if err := d.write(beside, text); err != nil {
		return err
	}
	return d.rename(beside, file)
}

// undo puts back what a commit moved, and removes its journal. Files that it moved in are
// taken out only while they are as it brought them, and no file is put back where another
// stands by now: left names those, by their path below dir, and the journal stays for them.
func undo(dir, tmp string, moves []move, d disk) (left []string, err error) {
	for _, m := range slices.Backward(moves) {
		names, err := undoOne(dir, tmp, m, d)
		if err != nil {
			return nil, err
		}
		left = append(left, names...)
	}
	slices.Sort(left)
	if len(left) > 0 {
		return left, nil
	}
	if err := d.remove(filepath.Join(tmp, journalFile)); !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return nil, nil
}

func undoOne(dir, tmp string, m move, d disk) (left []string, err error) {
	place, staged, old := filepath.Join(dir, m.Folder), filepath.Join(tmp, m.Folder), filepath.Join(tmp, oldFolder, m.Folder)
	if m.Fresh {
		return nil, takeOut(place, staged, d)
	}
	if m.Retired {
		if err := d.mkdir(place); err != nil {
			return nil, err
		}
	}
	fresh, err := readList(filepath.Join(staged, ListFile))
	if err != nil && !m.Retired {
		return nil, err
	}
	for _, name := range m.Written {
		if err := takeBack(filepath.Join(place, name), filepath.Join(staged, name), fresh.list[name], d); err != nil {
			return nil, err
		}
	}
	for _, name := range slices.Concat(m.Written, m.Removed) {
		switch {
		case !exists(filepath.Join(old, name)):
		case exists(filepath.Join(place, name)):
			left = append(left, path.Join(m.Folder, name))
		default:
			if err := d.rename(filepath.Join(old, name), filepath.Join(place, name)); err != nil {
				return nil, err
			}
		}
	}
	return left, undoList(place, old, tmp, d)
}

// takeBack moves a file that was moved in back into the stage, while it holds what it held.
func takeBack(placed, staged string, was []hash, d disk) error {
	if exists(staged) || !exists(placed) {
		return nil // it was not moved in, or is away
	}
	if st, err := os.Lstat(placed); err != nil || !st.Mode().IsRegular() {
		return err
	}
	h, err := hashOf(placed)
	if err != nil || !slices.Contains(was, h) {
		return err
	}
	return d.rename(placed, staged)
}

// undoList has a folder's list be what it was.
func undoList(place, old, tmp string, d disk) error {
	list := filepath.Join(place, ListFile)
	is, err := readList(list)
	if err != nil && !errors.Is(err, errNoList) {
		return err
	}
	was, err := os.ReadFile(filepath.Join(old, oldList))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if is.text == nil || is.list == nil {
			return nil // there was none and is none of ours
		}
		return d.remove(list)
	case err != nil:
		return err
	case string(is.text) == string(was):
		return nil
	}
	return d.replace(tmp, list, was)
}

// takeOut moves a folder that was moved in as a whole back into the stage; what somebody put
// there since, or changed, stays.
func takeOut(place, staged string, d disk) error {
	if exists(staged) || !exists(place) {
		return nil
	}
	fresh, err := readList(filepath.Join(place, ListFile))
	if err != nil {
		return nil // it is not as it was brought
	}
	entries, err := os.ReadDir(place)
	if err != nil {
		return err
	}
	whole := true
	for _, e := range entries {
		if e.Name() != ListFile {
			h, err := hashOf(filepath.Join(place, e.Name()))
			whole = whole && err == nil && e.Type().IsRegular() && slices.Contains(fresh.list[e.Name()], h)
		}
	}
	if whole {
		return d.rename(place, staged)
	}
	aside := staged + ".out"
	if err := d.mkdir(aside); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(fresh.list)) {
		if err := takeBack(filepath.Join(place, name), filepath.Join(aside, name), fresh.list[name], d); err != nil {
			return err
		}
	}
	return d.remove(filepath.Join(place, ListFile))
}
