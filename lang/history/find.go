package history

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/storage/filesystem"
)

// top is the folder that a repository is opened at: the nearest upward that holds .git, a
// folder or the file of a linked working tree, or that is a bare repository itself; "" for
// none.
func top(folder string) string {
	for {
		if _, err := os.Stat(filepath.Join(folder, git.GitDirName)); err == nil {
			return folder
		}
		if filepath.Base(folder) != git.GitDirName && isBare(folder) {
			return folder
		}
		up := filepath.Dir(folder)
		if up == folder {
			return ""
		}
		folder = up
	}
}

// isBare tells a bare repository by what every one holds.
func isBare(folder string) bool {
	head, err := os.Stat(filepath.Join(folder, "HEAD"))
	if err != nil || !head.Mode().IsRegular() {
		return false
	}
	for _, name := range []string{objectsFolder, "refs"} {
		if st, err := os.Stat(filepath.Join(folder, name)); err != nil || !st.IsDir() {
			return false
		}
	}
	return true
}

// borrowing is a repository's storage that finds objects in other places too, as one does
// that was cloned to share another's. The library looks one place far, and not along paths
// that lead out of the repository.
type borrowing struct {
	*filesystem.Storage
	from []*filesystem.Storage
}

const objectsFolder = "objects"

// maxBorrowed bounds how many places are looked in, a chain of clones of clones.
const maxBorrowed = 20

// borrow adds the places that a repository's objects/info/alternates names, and those that they
// name.
func borrow(own *filesystem.Storage, folder string) (*borrowing, error) {
	objects, err := objectsOf(folder)
	if err != nil {
		return nil, err
	}
	b := &borrowing{Storage: own}
	seen := map[string]bool{objects: true}
	next := alternates(objects)
	for len(next) > 0 {
		place := filepath.Clean(next[0])
		if next = next[1:]; seen[place] {
			continue
		}
		if seen[place] = true; len(b.from) == maxBorrowed {
			return nil, fmt.Errorf("its objects lie in more than %d places", maxBorrowed)
		}
		if st, err := os.Stat(place); err != nil || !st.IsDir() {
			return nil, fmt.Errorf("it borrows objects from %s, which is not there", place)
		}
		if filepath.Base(place) != objectsFolder {
			return nil, fmt.Errorf("it borrows objects from %s, which perch does not read: only from a folder called %s", place, objectsFolder)
		}
		b.from = append(b.from, filesystem.NewStorage(osfs.New(filepath.Dir(place)), cache.NewObjectLRUDefault()))
		next = append(next, alternates(place)...)
	}
	return b, nil
}

// alternates are the places that a folder of objects names, absolute or from it.
func alternates(objects string) []string {
	text, err := os.ReadFile(filepath.Join(objects, "info", "alternates"))
	if err != nil {
		return nil
	}
	var out []string
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\r\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if !filepath.IsAbs(line) {
			line = filepath.Join(objects, line)
		}
		out = append(out, line)
	}
	return out
}

// objectsOf is the folder of a repository's own objects.
func objectsOf(folder string) (string, error) {
	dir := filepath.Join(folder, git.GitDirName)
	switch st, err := os.Stat(dir); {
	case err != nil:
		dir = folder // bare
	case !st.IsDir():
		text, err := os.ReadFile(dir)
		if err != nil {
			return "", err
		}
		dir = from(folder, strings.TrimPrefix(strings.TrimSpace(string(text)), "gitdir: "))
	}
	if text, err := os.ReadFile(filepath.Join(dir, "commondir")); err == nil {
		dir = from(dir, strings.TrimSpace(string(text)))
	}
	return filepath.Join(dir, objectsFolder), nil
}

func from(folder, name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(folder, name)
}

// HasEncodedObject looks in all places.
func (b *borrowing) HasEncodedObject(h plumbing.Hash) error {
	err := b.Storage.HasEncodedObject(h)
	for i := 0; err != nil && i < len(b.from); i++ {
		err = b.from[i].HasEncodedObject(h)
	}
	return err
}

// EncodedObject looks in all places.
func (b *borrowing) EncodedObject(t plumbing.ObjectType, h plumbing.Hash) (plumbing.EncodedObject, error) {
	o, err := b.Storage.EncodedObject(t, h)
	for i := 0; errors.Is(err, plumbing.ErrObjectNotFound) && i < len(b.from); i++ {
		o, err = b.from[i].EncodedObject(t, h)
	}
	return o, err
}

// EncodedObjectSize looks in all places.
func (b *borrowing) EncodedObjectSize(h plumbing.Hash) (int64, error) {
	n, err := b.Storage.EncodedObjectSize(h)
	for i := 0; errors.Is(err, plumbing.ErrObjectNotFound) && i < len(b.from); i++ {
		n, err = b.from[i].EncodedObjectSize(h)
	}
	return n, err
}

// HashesWithPrefix looks in all places.
func (b *borrowing) HashesWithPrefix(prefix []byte) ([]plumbing.Hash, error) {
	var all []plumbing.Hash
	for _, s := range append([]*filesystem.Storage{b.Storage}, b.from...) {
		some, err := s.HashesWithPrefix(prefix)
		if err != nil {
			return nil, err
		}
		for _, h := range some {
			if !slices.Contains(all, h) { // it may lie in several
				all = append(all, h)
			}
		}
	}
	return all, nil
}
