package output

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// files are what stands in folders, by path.
type files map[string]string

// tree reads all that stands below a folder; an empty folder ends in a slash.
func tree(t *testing.T, dir string) files {
	t.Helper()
	got := files{}
	err := filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(dir, p)
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			if in, _ := os.ReadDir(p); len(in) == 0 && rel != "." {
				got[rel+"/"] = ""
			}
			return nil
		}
		text, err := os.ReadFile(p)
		got[rel] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// plain is a tree without the lists.
func plain(t *testing.T, dir string) files {
	got := tree(t, dir)
	maps.DeleteFunc(got, func(name, _ string) bool { return filepath.Base(name) == ListFile })
	return got
}

func put(t *testing.T, dir string, now files) {
	t.Helper()
	for name, text := range now {
		p := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(p), 0o777), os.WriteFile(p, []byte(text), 0o666)); err != nil {
			t.Fatal(err)
		}
	}
}

// run stages files, of folders and beside them, retires folders and commits.
func run(dir string, now files, d disk, replace []string, retired ...string) (map[string]Change, error) {
	return runAs(Options{Replace: replace}, dir, now, d, retired...)
}

func runAs(opt Options, dir string, now files, d disk, retired ...string) (map[string]Change, error) {
	s, err := newStage(dir, opt, d)
	if err != nil {
		return nil, err
	}
	defer s.Discard()
	folders := map[string]map[string][]byte{}
	for _, name := range slices.Sorted(maps.Keys(now)) {
		folder, base, below := strings.Cut(name, "/")
		if !below {
			if err := s.PutFile(name, []byte(now[name])); err != nil {
				return nil, err
			}
			continue
		}
		if folders[folder] == nil {
			folders[folder] = map[string][]byte{}
		}
		folders[folder][base] = []byte(now[name])
	}
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		if err := s.Put(folder, folders[folder]); err != nil {
			return nil, err
		}
	}
	for _, r := range retired {
		s.Retire(r)
	}
	return s.Commit()
}

func mustRun(t *testing.T, dir string, now files, replace []string, retired ...string) map[string]Change {
	t.Helper()
	changed, err := run(dir, now, machine, replace, retired...)
	if err != nil {
		t.Fatal(err)
	}
	return changed
}

func same(t *testing.T, got, want files) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("there stands\n%v\nwant\n%v", got, want)
	}
}

func takenNames(t *testing.T, err error) []Taken {
	t.Helper()
	var taken *TakenError
	if !errors.As(err, &taken) {
		t.Fatalf("no file is in the way: %v", err)
	}
	return taken.Files
}

// A folder that has no list is never emptied, whatever its files are called.
func TestStrangersStay(t *testing.T) {
	dir := t.TempDir()
	mine := files{"mid/mine.dxf": "mine", "mid/a.svg": "mine", "mid/x.nc": "mine", "mid/mid.pdf": "mine", "mid/deep/leg.dxf": "mine", "mine.csv": "mine"}
	put(t, dir, mine)
	ours := files{"mid/leg.dxf": "leg", "mid/build.json": "{}", "job.csv": "job"}
	want := maps.Clone(mine)
	maps.Copy(want, ours)
	for range 2 {
		mustRun(t, dir, ours, nil)
		same(t, plain(t, dir), want)
	}
	mustRun(t, dir, nil, nil, "mid")
	delete(want, "mid/leg.dxf")
	delete(want, "mid/build.json")
	same(t, tree(t, dir), files{"mid/mine.dxf": "mine", "mid/a.svg": "mine", "mid/x.nc": "mine", "mid/mid.pdf": "mine", "mid/deep/leg.dxf": "mine",
		"mine.csv": "mine", "job.csv": "job", ListFile: tree(t, dir)[ListFile]})
}

// What an earlier run wrote and this one does not goes; a folder that is retired goes
// where nothing else is in it.
func TestStaleGoes(t *testing.T) {
	dir := t.TempDir()
	mustRun(t, dir, files{"mid/leg.dxf": "leg", "mid/cap.dxf": "cap", "old/leg.dxf": "leg", "low/leg.dxf": "low"}, nil)
	changed := mustRun(t, dir, files{"mid/leg.dxf": "leg", "mid/top.dxf": "top"}, nil, "old", "never")
	same(t, plain(t, dir), files{"mid/leg.dxf": "leg", "mid/top.dxf": "top", "low/leg.dxf": "low"})
	want := map[string]Change{"mid": {Written: []string{"top.dxf"}, Removed: []string{"cap.dxf"}}, "old": {Removed: []string{"leg.dxf"}, Retired: true}}
	if !reflect.DeepEqual(changed, want) {
		t.Errorf("told %v, want %v", changed, want)
	}
}

// What was changed since is in the way of a file of its name, and else kept.
func TestChangedSince(t *testing.T) {
	dir := t.TempDir()
	mustRun(t, dir, files{"mid/leg.dxf": "leg", "mid/cap.dxf": "cap"}, nil)
	put(t, dir, files{"mid/leg.dxf": "better", "mid/cap.dxf": "better"})
	before := tree(t, dir)
	_, err := run(dir, files{"mid/leg.dxf": "leg 2"}, machine, nil)
	if got := takenNames(t, err); !reflect.DeepEqual(got, []Taken{{Name: "mid/leg.dxf", Changed: true}}) {
		t.Errorf("in the way: %v", got)
	}
	same(t, tree(t, dir), before)
	changed := mustRun(t, dir, files{"mid/leg.dxf": "leg 2"}, []string{"mid/leg.dxf"})
	same(t, plain(t, dir), files{"mid/leg.dxf": "leg 2", "mid/cap.dxf": "better"})
	if got := changed["mid"].Kept; !slices.Equal(got, []string{"cap.dxf"}) {
		t.Errorf("kept %v", got)
	}
	if got := mustRun(t, dir, files{"mid/leg.dxf": "leg 3"}, nil)["mid"]; len(got.Kept) > 0 || len(got.Written) != 1 {
		t.Errorf("the list still names what it gave up: %v", got)
	}
}

// Files of others in the way are told all at once, and given up only by name or folder.
func TestTaken(t *testing.T) {
	mine := files{"mid/leg.dxf": "mine", "mid/cap.dxf": "mine", "job.csv": "mine", "low/" + ListFile: "mine"}
	ours := files{"mid/leg.dxf": "leg", "mid/cap.dxf": "cap", "mid/rung.dxf": "rung", "job.csv": "job", "low/leg.dxf": "leg"}
	for _, c := range []struct {
		replace string
		want    []string
	}{
		{"", []string{"job.csv", "low/" + ListFile, "mid/cap.dxf", "mid/leg.dxf"}},
		{"mid/leg.dxf", []string{"job.csv", "low/" + ListFile, "mid/cap.dxf"}},
		{"mid/", []string{"job.csv", "low/" + ListFile}},
		{"leg.dxf .", []string{"job.csv", "low/" + ListFile, "mid/cap.dxf", "mid/leg.dxf"}},
		{"mid low job.csv", nil},
	} {
		dir := t.TempDir()
		put(t, dir, mine)
		_, err := run(dir, ours, machine, strings.Fields(c.replace))
		if c.want == nil {
			if err != nil {
				t.Error(err)
			}
			same(t, plain(t, dir), ours)
			continue
		}
		var names []string
		for _, f := range takenNames(t, err) {
			if f.Changed {
				t.Errorf("%s was never ours", f.Name)
			}
			names = append(names, f.Name)
		}
		if !slices.Equal(names, c.want) {
			t.Errorf("--replace %s: in the way are %v, want %v", c.replace, names, c.want)
		}
		same(t, tree(t, dir), mine)
	}
}

// The same bytes are no loss, whoever wrote them, and are left alone.
func TestSameBytes(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, files{"mid/leg.dxf": "leg"})
	if got := mustRun(t, dir, files{"mid/leg.dxf": "leg"}, nil)["mid"]; len(got.Written)+len(got.Removed) > 0 {
		t.Errorf("moved: %v", got)
	}
	mustRun(t, dir, files{"mid/cap.dxf": "cap"}, nil)
	same(t, plain(t, dir), files{"mid/cap.dxf": "cap"})
}

// A link is not what a list names, even where it leads to the same bytes.
func TestLinksStay(t *testing.T) {
	dir := t.TempDir()
	mustRun(t, dir, files{"mid/leg.dxf": "leg"}, nil)
	put(t, dir, files{"kept.dxf": "leg"})
	leg := filepath.Join(dir, "mid/leg.dxf")
	if err := errors.Join(os.Remove(leg), os.Symlink(filepath.Join(dir, "kept.dxf"), leg)); err != nil {
		t.Skip("no links here:", err)
	}
	_, err := run(dir, files{"mid/leg.dxf": "leg 2"}, machine, nil)
	takenNames(t, err)
	mustRun(t, dir, files{"mid/leg.dxf": "leg 2"}, []string{"mid/leg.dxf"})
	same(t, plain(t, dir), files{"mid/leg.dxf": "leg 2", "kept.dxf": "leg"})
}

func TestListForm(t *testing.T) {
	l := list{"b.dxf": {{2}, {1}}, "a.svg": {{3}}}
	got, ok := parseList(string(l.text(owner{"a/b c.perch", "mid"}, papers{"b.dxf": {4}})))
	if !ok || got.owner != (owner{"a/b c.perch", "mid"}) || !got.has("b.dxf", hash{1}) || !got.has("b.dxf", hash{2}) || !got.has("a.svg", hash{3}) || len(got.list) != 2 || got.papers["b.dxf"] != (hash{4}) {
		t.Errorf("read back: %v %v", got, ok)
	}
	sum := strings.Repeat("0", 64)
	for _, bad := range []string{"", "x", listHead + "\n" + sum + "  ../a\n", listHead + "\n" + sum + "  ..\n", listHead + "\n" + sum + " a\n",
		listHead + "\n00  a\n", listHead + "\n" + sum + "  a\\b\n", sum + "  a\n"} {
		if l, ok := parseList(bad); ok {
			t.Errorf("%q is read as %v", bad, l)
		}
	}
}

var errFault = errors.New("fault")

// faulty counts changes and has the n-th fail; where dead is set all later ones fail too, as
// if the program had been killed there.
func faulty(n int, dead bool, count *int) disk {
	fails := func() error {
		*count++
		if *count == n || dead && *count > n {
			return errFault
		}
		return nil
	}
	d := machine
	one := func(f func(string) error) func(string) error {
		return func(name string) error {
			if err := fails(); err != nil {
				return err
			}
			return f(name)
		}
	}
	d.temp = func(dir, prefix string) (string, error) {
		if err := fails(); err != nil {
			return "", err
		}
		return machine.temp(dir, prefix)
	}
	d.mkdir, d.remove, d.clear = one(machine.mkdir), one(machine.remove), one(machine.clear)
	d.write = func(file string, data []byte) error {
		if err := fails(); err != nil {
			machine.write(file, data[:len(data)/2]) // as a full disk leaves it
			return err
		}
		return machine.write(file, data)
	}
	d.rename = func(from, to string) error {
		if err := fails(); err != nil {
			return err
		}
		return machine.rename(from, to)
	}
	return d
}

// scene is a folder with an earlier run, files of others, and a run that changes all.
func scene(t *testing.T) (dir string, now files, replace []string) {
	dir = t.TempDir()
	mustRun(t, dir, files{"mid/leg.dxf": "leg", "mid/cap.dxf": "cap", "mid/same.dxf": "same", "gone/leg.dxf": "leg", "left/leg.dxf": "leg", "job.csv": "job"}, nil)
	put(t, dir, files{"mid/mine.dxf": "mine", "mid/taken.dxf": "mine", "bare/mine.svg": "mine", "left/mine.nc": "mine", "mine.txt": "mine"})
	now, replace = change()
	return dir, now, replace
}

func change() (now files, replace []string) {
	return files{"mid/leg.dxf": "leg 2", "mid/same.dxf": "same", "mid/top.dxf": "top", "mid/taken.dxf": "ours", "bare/leg.dxf": "leg", "new/leg.dxf": "leg", "job.csv": "job 2"},
		[]string{"mid/taken.dxf"}
}

// Each change of the disk fails in turn: the old set stands or the new one, and nothing is
// left behind.
func TestFaults(t *testing.T) {
	dir, now, replace := scene(t)
	before := tree(t, dir)
	mustRun(t, dir, now, replace, "gone", "left")
	after := tree(t, dir)
	for n := 1; ; n++ {
		dir, now, replace := scene(t)
		count := 0
		_, err := run(dir, now, faulty(n, false, &count), replace, "gone", "left")
		if count < n {
			if n < 30 || err != nil {
				t.Errorf("only %d changes, %v", count, err)
			}
			return
		}
		if !errors.Is(err, errFault) {
			t.Fatalf("change %d failed, and nothing is said: %v", n, err)
		}
		if got := tree(t, dir); !reflect.DeepEqual(got, before) && !reflect.DeepEqual(got, after) {
			t.Fatalf("change %d failed: neither the old set nor the new one stands:\n%v", n, got)
		}
	}
}

// The lists of a folder are the same bytes for the same files, in whatever order they came.
func TestListsAreTheSame(t *testing.T) {
	now := files{}
	for i := range 20 {
		now[fmt.Sprintf("mid/%d.dxf", i)] = fmt.Sprint(i)
	}
	a, b := t.TempDir(), t.TempDir()
	mustRun(t, a, now, nil)
	mustRun(t, b, files{"mid/old.dxf": "old"}, nil)
	mustRun(t, b, now, nil)
	same(t, tree(t, a), tree(t, b))
}
