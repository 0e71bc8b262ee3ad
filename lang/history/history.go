// Package history reads designs as they were: files of a git repository at a
// revision, straight from its objects. It checks nothing out, writes nothing,
// runs no program and never looks at a remote; of a repository it opens only
// what leads to the files asked for.
package history

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/go-git/go-git/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"
	"github.com/go-git/go-git/v5/plumbing/object"
	"github.com/go-git/go-git/v5/storage/filesystem"
)

// maxBytes is the size, in bytes, above which a file is not read.
const maxBytes = 16 << 20

// Repository is a git repository found around a folder.
type Repository struct {
	git  *git.Repository
	here string // the folder, slash separated, from the repository's root; "" for the root itself
}

// Open finds the repository that the folder stands in: one with a working tree, a linked
// one too, or a bare one.
func Open(folder string) (*Repository, error) {
	abs, err := filepath.Abs(folder)
	if err != nil {
		return nil, err
	}
	at := top(abs)
	if at == "" {
		return nil, fmt.Errorf("%s is in no git repository", folder)
	}
	failed := func(err error) error {
		return fmt.Errorf("cannot open the git repository around %s: %w", folder, err)
	}
	r, err := git.PlainOpenWithOptions(at, &git.PlainOpenOptions{EnableDotGitCommonDir: true})
	switch {
	case errors.Is(err, git.ErrUnknownExtension):
		return nil, failed(fmt.Errorf("it is of a form that perch does not read (%w)", err))
	case err != nil:
		return nil, failed(err)
	}
	if own, ok := r.Storer.(*filesystem.Storage); ok {
		if r.Storer, err = borrow(own, at); err != nil {
			return nil, failed(err)
		}
	}
	return &Repository{git: r, here: hereIn(r, abs)}, nil
}

// hereIn is the folder's path from the repository's root; "" where there is no
// working tree.
func hereIn(r *git.Repository, abs string) string {
	tree, err := r.Worktree()
	if err != nil {
		return ""
	}
	root := tree.Filesystem.Root()
	for _, p := range []*string{&root, &abs} { // the root may be reached by links
		if real, err := filepath.EvalSymlinks(*p); err == nil {
			*p = real
		}
	}
	rel, err := filepath.Rel(root, abs)
	if err != nil || rel == "." || strings.HasPrefix(rel, "..") {
		return ""
	}
	return filepath.ToSlash(rel)
}

// Snapshot is the files of one revision, or those staged for the next commit.
type Snapshot struct {
	repo *Repository
	name string // the revision as it was asked for; "" for what is staged
	tree *object.Tree
	// staged are the blobs by path, where the snapshot is of what is staged
	staged map[string]stages
	stage  index.Stage // the side of a merge that is asked for
}

// stages are the blobs of one path in the index: one, or where a merge ended in a conflict
// those of what both sides began from, of ours and of theirs.
type stages map[index.Stage]object.TreeEntry

// settled is the stage of a path that is in no conflict.
const settled index.Stage = 0

// At is the revision's snapshot: a branch, a tag, HEAD~2, a commit's hash or the
// start of one. The empty revision is what is staged for the next commit; where a merge ended
// in a conflict ":1" is what both sides began from, ":2" ours and ":3" theirs.
func (r *Repository) At(rev string) (*Snapshot, error) {
	if stage, ok := stageNumber(rev); ok || rev == "" {
		return r.stagedFiles(rev, stage)
	}
	hash, err := r.resolve(rev)
	if err != nil {
		return nil, err
	}
	commit, err := r.git.CommitObject(hash)
	if err != nil {
		return nil, fmt.Errorf("the revision %s is not in this repository: %w", rev, err)
	}
	tree, err := commit.Tree()
	if err != nil {
		return nil, fmt.Errorf("the files of revision %s are not in this repository: %w", rev, err)
	}
	return &Snapshot{repo: r, name: rev, tree: tree}, nil
}

// resolve finds a revision's commit. The library may panic on odd expressions;
// that is a revision that can't be read, too.
func (r *Repository) resolve(rev string) (hash plumbing.Hash, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%q cannot be read as a revision", rev)
		}
	}()
	h, err := r.git.ResolveRevision(plumbing.Revision(rev))
	if err == nil {
		return *h, nil
	}
	if _, headless := r.git.Head(); errors.Is(headless, plumbing.ErrReferenceNotFound) && r.empty() {
		return plumbing.ZeroHash, fmt.Errorf("there is no revision %s: the repository has no commits yet", rev)
	}
	if shallow, err := r.git.Storer.Shallow(); err == nil && len(shallow) > 0 {
		return plumbing.ZeroHash, fmt.Errorf("there is no revision %s here: of older commits this repository holds none, as a shallow clone; git fetch --unshallow gets them", rev)
	}
	return plumbing.ZeroHash, fmt.Errorf("there is no revision %s", rev)
}

// empty tells whether no branch and no tag leads to a commit.
func (r *Repository) empty() bool {
	refs, err := r.git.References()
	if err != nil {
		return false
	}
	defer refs.Close()
	for {
		ref, err := refs.Next()
		if err != nil {
			return true
		}
		if ref.Type() == plumbing.HashReference {
			return false
		}
	}
}

// stageNumber reads the stage that a revision names: :0 to :3.
func stageNumber(rev string) (index.Stage, bool) {
	if len(rev) == 2 && rev[0] == ':' && rev[1] >= '0' && rev[1] <= '3' {
		return index.Stage(rev[1] - '0'), true
	}
	return 0, false
}

func (r *Repository) stagedFiles(rev string, stage index.Stage) (*Snapshot, error) {
	if _, err := r.git.Worktree(); errors.Is(err, git.ErrIsBareRepository) && os.Getenv("GIT_INDEX_FILE") == "" {
		return nil, errors.New("nothing is staged in a bare repository: name a revision, as in HEAD:stool.perch")
	}
	idx, err := r.index()
	switch {
	case errors.Is(err, index.ErrUnknownExtension), errors.Is(err, index.ErrUnsupportedVersion):
		return nil, fmt.Errorf("cannot read what is staged: git keeps it in a form that perch does not read, such as a split index, which git update-index --no-split-index makes a plain one (%w)", err)
	case err != nil:
		return nil, fmt.Errorf("cannot read what is staged: %w", err)
	}
	s := &Snapshot{repo: r, name: rev, stage: stage, staged: make(map[string]stages, len(idx.Entries))}
	for _, e := range idx.Entries {
		if s.staged[e.Name] == nil {
			s.staged[e.Name] = stages{}
		}
		s.staged[e.Name][e.Stage] = object.TreeEntry{Name: e.Name, Mode: e.Mode, Hash: e.Hash}
	}
	return s, nil
}

// index is what is staged. While git runs a hook it may keep the index of the
// commit under way in another file, which it names in the environment.
func (r *Repository) index() (*index.Index, error) {
	name := os.Getenv("GIT_INDEX_FILE")
	if name == "" {
		return r.git.Storer.Index()
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	idx := &index.Index{}
	return idx, index.NewDecoder(f).Decode(idx)
}

// Read is the text of the file at a path from the repository's root, or, where
// the path starts with ./ or ../, from the folder that the repository was found
// around. It also returns the path from the root.
func (s *Snapshot) Read(file string) (text, from string, err error) {
	from = path.Clean(file)
	if dotted(file) {
		from = path.Join(s.repo.here, file)
	}
	if from == ".." || strings.HasPrefix(from, "../") || path.IsAbs(from) {
		return "", "", fmt.Errorf("%s leads out of the repository", file)
	}
	entry, err := s.entry(from)
	var conflict *conflictError
	if errors.As(err, &conflict) {
		return "", "", err
	}
	if err != nil {
		return "", "", s.missing(file, from)
	}
	switch entry.Mode {
	case filemode.Regular, filemode.Executable, filemode.Deprecated:
	default:
		return "", "", fmt.Errorf("%s in %s is not a plain file", from, s)
	}
	text, err = s.blob(entry.Hash)
	if err != nil {
		return "", "", fmt.Errorf("cannot read %s in %s: %w", from, s, err)
	}
	return text, from, nil
}

func dotted(file string) bool { return strings.HasPrefix(file, "./") || strings.HasPrefix(file, "../") }

func (s *Snapshot) entry(from string) (object.TreeEntry, error) {
	if s.tree == nil {
		return s.stagedEntry(from)
	}
	e, err := s.tree.FindEntry(from)
	if err != nil {
		return object.TreeEntry{}, err
	}
	return *e, nil
}

// conflictError says that a merge left several texts of a file.
type conflictError struct{ file string }

func (e *conflictError) Error() string {
	return fmt.Sprintf("a merge left %[1]s in conflict: write :2:%[1]s for ours, :3:%[1]s for theirs, :1:%[1]s for what both began from, or settle it and git add it", e.file)
}

// stagedEntry is a path's blob: of the side of a merge that is asked for, where it is in
// conflict, else the only one.
func (s *Snapshot) stagedEntry(from string) (object.TreeEntry, error) {
	of := s.staged[from]
	if e, ok := of[settled]; ok {
		return e, nil
	}
	if e, ok := of[s.stage]; ok {
		return e, nil
	}
	if len(of) > 0 && s.stage == settled {
		return object.TreeEntry{}, &conflictError{from}
	}
	return object.TreeEntry{}, object.ErrEntryNotFound
}

// missing says that a file is not there, and where it is if it was meant from
// the current folder.
func (s *Snapshot) missing(file, from string) error {
	if s.repo.here != "" && !dotted(file) {
		if _, err := s.entry(path.Join(s.repo.here, file)); err == nil {
			return fmt.Errorf("there is no %s in %s; paths start at the repository's root: write %s:./%s for the one in this folder",
				from, s, s.name, file)
		}
	}
	return fmt.Errorf("there is no %s in %s", from, s)
}

func (s *Snapshot) blob(hash plumbing.Hash) (string, error) {
	b, err := s.repo.git.BlobObject(hash)
	if err != nil {
		return "", err
	}
	if b.Size > maxBytes {
		return "", fmt.Errorf("it is larger than %d MB", maxBytes>>20)
	}
	r, err := b.Reader()
	if err != nil {
		return "", err
	}
	defer r.Close()
	text, err := io.ReadAll(io.LimitReader(r, maxBytes))
	return string(text), err
}

// String names the snapshot as messages do.
func (s *Snapshot) String() string {
	switch {
	case s.tree == nil && s.stage == settled:
		return "what is staged"
	case s.tree == nil:
		return "what is staged as " + s.name
	}
	return "revision " + s.name
}
