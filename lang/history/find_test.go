package history

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"perch/parts/shop"
)

// bareOf makes a bare repository of one with a working tree.
func bareOf(t *testing.T, dir string) string {
	t.Helper()
	bare := filepath.Join(t.TempDir(), "shop.git")
	if err := os.CopyFS(bare, os.DirFS(filepath.Join(dir, ".git"))); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(bare, "index")); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(bare, "config"), "[core]\n\trepositoryformatversion = 0\n\tbare = true\n")
	return bare
}

// sharing makes a repository that has the branch of another and borrows all objects from a
// place, as git clone --shared does.
func sharing(t *testing.T, other, place string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "clone")
	if _, err := git.PlainInit(dir, false); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, ".git/refs/heads"), os.DirFS(filepath.Join(other, "refs/heads"))); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, ".git/objects/info/alternates"), place+"\n")
	return dir
}

// reads tells whether the two revisions' designs are read from a folder, named by the start
// of a hash too.
func reads(t *testing.T, what, folder string, first plumbing.Hash) {
	t.Helper()
	for rev, want := range map[string]string{"HEAD": "210mm", "HEAD~1": "200mm", first.String()[:8]: "200mm"} {
		p, ds, err := Design(rev+":shop/tray.perch", folder, shop.Default())
		if err != nil || len(ds) > 0 || !strings.Contains(p.Root.Source.Text, want) {
			t.Errorf("%s: %s: %v %v", what, rev, err, ds)
		}
	}
}

func refuses(t *testing.T, arg, folder, want string) {
	t.Helper()
	if _, _, err := Design(arg, folder, shop.Default()); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%s in %s: %v, wanted %q", arg, folder, err, want)
	}
}

func TestBareRepository(t *testing.T) {
	t.Setenv("GIT_INDEX_FILE", "") // the tests may be run by a hook
	dir, first := twoRevisions(t)
	bare := bareOf(t, dir)
	reads(t, "bare", bare, first)
	reads(t, "in a folder of a bare one", filepath.Join(bare, "refs"), first)
	reads(t, "in .git", filepath.Join(dir, ".git/objects"), first)
	refuses(t, ":shop/tray.perch", bare, "nothing is staged in a bare repository")
}

func TestBorrowedObjects(t *testing.T) {
	dir, first := twoRevisions(t)
	bare := bareOf(t, dir)
	one := sharing(t, bare, filepath.Join(bare, "objects"))
	reads(t, "shared", one, first)
	reads(t, "shared by a shared one", sharing(t, bare, filepath.Join(one, ".git/objects")), first)
	rel, err := filepath.Rel(filepath.Join(one, ".git/objects"), filepath.Join(bare, "objects"))
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(one, ".git/objects/info/alternates"), "# from there\n"+rel+"\n"+filepath.Join(one, ".git/objects")+"\n")
	reads(t, "by a relative path, and from itself", one, first)
	gone := filepath.Join(t.TempDir(), "gone/objects")
	refuses(t, "HEAD:shop/tray.perch", sharing(t, bare, gone), "it borrows objects from "+gone+", which is not there")
	other := filepath.Join(t.TempDir(), "store")
	if err := os.Mkdir(other, 0o777); err != nil {
		t.Fatal(err)
	}
	refuses(t, "HEAD:shop/tray.perch", sharing(t, bare, other), "only from a folder called objects")
}

// A linked working tree of a repository that borrows finds what that one borrows.
func TestLinkedWorkingTree(t *testing.T) {
	dir, first := twoRevisions(t)
	bare := bareOf(t, dir)
	one := sharing(t, bare, filepath.Join(bare, "objects"))
	linked, admin := t.TempDir(), filepath.Join(one, ".git/worktrees/linked")
	write(t, filepath.Join(linked, ".git"), "gitdir: "+admin+"\n")
	write(t, filepath.Join(admin, "HEAD"), first.String()+"\n")
	write(t, filepath.Join(admin, "commondir"), "../..\n")
	p, _, err := Design("HEAD:shop/tray.perch", linked, shop.Default())
	if err != nil || !strings.Contains(p.Root.Source.Text, "200mm") {
		t.Errorf("HEAD of the linked tree: %v", err)
	}
}

// Of a file in conflict each side is read by its number, and its modules with it; without a
// number the conflict is told.
func TestConflict(t *testing.T) {
	t.Setenv("GIT_INDEX_FILE", "") // the tests may be run by a hook
	dir, _ := twoRevisions(t)
	r, err := git.PlainOpen(dir)
	if err != nil {
		t.Fatal(err)
	}
	idx, err := r.Storer.Index()
	if err != nil {
		t.Fatal(err)
	}
	blob := func(text string) plumbing.Hash {
		o := r.Storer.NewEncodedObject()
		o.SetType(plumbing.BlobObject)
		w, err := o.Writer()
		if err == nil {
			_, err = w.Write([]byte(text))
			err = errors.Join(err, w.Close())
		}
		h, stored := r.Storer.SetEncodedObject(o)
		if err = errors.Join(err, stored); err != nil {
			t.Fatal(err)
		}
		return h
	}
	var entries []*index.Entry
	for _, e := range idx.Entries {
		if e.Name != "shop/tray.perch" {
			entries = append(entries, e)
			continue
		}
		for stage, long := range map[index.Stage]string{1: "201mm", 2: "202mm", 3: "203mm"} {
			side := *e
			side.Stage, side.Hash = stage, blob(strings.Replace(tray, "200mm", long, 1))
			entries = append(entries, &side)
		}
	}
	idx.Entries = entries
	if err := r.Storer.SetIndex(idx); err != nil {
		t.Fatal(err)
	}
	for stage, long := range map[string]string{":1": "201mm", ":2": "202mm", ":3": "203mm"} {
		p, ds, err := Design(stage+":shop/tray.perch", dir, shop.Default())
		if err != nil || len(ds) > 0 || !strings.Contains(p.Root.Source.Text, long) || p.Root.Source.Name != stage+":shop/tray.perch" {
			t.Errorf("%s: %v %v", stage, err, ds)
		}
	}
	for _, arg := range []string{":shop/tray.perch", ":0:shop/tray.perch"} {
		refuses(t, arg, dir, "a merge left shop/tray.perch in conflict: write :2:shop/tray.perch for ours")
	}
	refuses(t, ":3:shop/table.perch", dir, "there is no shop/table.perch in what is staged as :3")
}

func TestFormsThatAreNotRead(t *testing.T) {
	dir, _ := twoRevisions(t)
	write(t, filepath.Join(dir, ".git/shallow"), strings.Repeat("0", 40)+"\n")
	refuses(t, "HEAD~9:shop/tray.perch", dir, "a shallow clone")
	write(t, filepath.Join(dir, ".git/config"), "[core]\n\trepositoryformatversion = 1\n[extensions]\n\tobjectformat = sha256\n")
	refuses(t, "HEAD:shop/tray.perch", dir, "a form that perch does not read (unknown extension: objectformat)")
}
