package output

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Recovery says what a run that was killed had left in an output folder.
type Recovery struct {
	Undone bool     // files were being moved: they were put back
	Left   []string // that could not be put back, since others stand there by now: below the folder
	In     string   // where those are
}

// recoverStages puts in order what runs left that were killed: stages that nobody holds. Those
// that still stand are known by their lock, not by their age; where nothing can be locked
// none is touched. The caller has its turn in the folder.
func recoverStages(dir string, d disk) (Recovery, error) {
	var all Recovery
	entries, err := os.ReadDir(dir)
	if err != nil {
		return all, err
	}
	for _, e := range entries {
		if !e.IsDir() || !strings.HasPrefix(e.Name(), stagePrefix) {
			continue
		}
		tmp := filepath.Join(dir, e.Name())
		held, err := tryLock(tmp)
		if err != nil {
			continue
		}
		err = recoverStage(dir, tmp, d, &all)
		held.release()
		if err != nil {
			return all, err
		}
	}
	return all, nil
}

func recoverStage(dir, tmp string, d disk, all *Recovery) error {
	text, err := os.ReadFile(filepath.Join(tmp, journalFile))
	if errors.Is(err, fs.ErrNotExist) {
		return d.clear(tmp)
	}
	if err != nil {
		return err
	}
	var moves []move
	if err := json.Unmarshal(text, &moves); err != nil || slices.ContainsFunc(moves, move.strange) {
		return nil // none that a run of perch wrote
	}
	left, err := undo(dir, tmp, moves, d)
	if err != nil {
		return err
	}
	all.Undone = true
	if len(left) > 0 {
		all.Left, all.In = append(all.Left, left...), tmp
		return nil
	}
	return d.clear(tmp)
}

// strange tells of a move whose names lead elsewhere than into one folder.
func (m move) strange() bool {
	for _, name := range slices.Concat(m.Written, m.Removed) {
		if !plainName(name) {
			return true
		}
	}
	return m.Folder != "" && !plainName(m.Folder)
}
