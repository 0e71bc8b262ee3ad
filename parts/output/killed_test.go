package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// deadly has the program killed at the n-th change of the disk; a file that was to be written
// then is there by half.
func deadly(n int) disk {
	count := 0
	at := func() bool { count++; return count == n }
	die := func() {
		p, _ := os.FindProcess(os.Getpid())
		p.Kill()
		select {}
	}
	one := func(f func(string) error) func(string) error {
		return func(name string) error {
			if at() {
				die()
			}
			return f(name)
		}
	}
	return disk{
		temp: func(dir, prefix string) (string, error) {
			if at() {
				die()
			}
			return machine.temp(dir, prefix)
		},
		mkdir: one(machine.mkdir), remove: one(machine.remove),
		clear: func(dir string) error {
			if !at() {
				return machine.clear(dir)
			}
			entries, _ := os.ReadDir(dir) // half of it is gone
			for _, e := range entries[:(len(entries)+1)/2] {
				os.RemoveAll(filepath.Join(dir, e.Name()))
			}
			die()
			return nil
		},
		write: func(file string, data []byte) error {
			if at() {
				machine.write(file, data[:len(data)/2])
				die()
			}
			return machine.write(file, data)
		},
		rename: func(from, to string) error {
			if at() {
				die()
			}
			return machine.rename(from, to)
		},
	}
}

// strangersOf are the files of a scene that no run may touch.
func strangersOf(all files) files {
	mine := files{}
	for _, name := range []string{"mid/mine.dxf", "bare/mine.svg", "left/mine.nc", "mine.txt"} {
		mine[name] = all[name]
	}
	return mine
}

// A run is killed at each change of the disk in turn. The files of others stand where they
// stood; whoever starts next, even to build nothing, finds the old set or the new one whole,
// and nothing beside it; and a run then goes through.
func TestKilled(t *testing.T) {
	if dir := os.Getenv("PERCH_KILLED_IN"); dir != "" {
		n, _ := strconv.Atoi(os.Getenv("PERCH_KILLED_AT"))
		now, replace := change()
		if _, err := runAs(Options{Replace: replace}, dir, now, deadly(n), "gone", "left"); err != nil {
			t.Fatal(err)
		}
		return
	}
	dir, now, replace := scene(t)
	before := tree(t, dir)
	mustRun(t, dir, now, replace, "gone", "left")
	after := tree(t, dir)
	olds, news, step := 0, 0, 1
	if testing.Short() {
		step = 4
	}
	for n := 1; ; n += step {
		dir, now, replace := scene(t)
		child := exec.Command(os.Args[0], "-test.run=^TestKilled$")
		child.Env = append(os.Environ(), "PERCH_KILLED_IN="+dir, "PERCH_KILLED_AT="+strconv.Itoa(n))
		out, err := child.CombinedOutput()
		if err == nil {
			if n < 40 || olds < 40/step || news < 1 && step == 1 {
				t.Errorf("only %d changes, %d times the old set, %d the new", n, olds, news)
			}
			return
		}
		if strings.Contains(string(out), "FAIL") {
			t.Fatalf("killed at change %d: it fails before\n%s", n, out)
		}
		if got := strangersOf(tree(t, dir)); !reflect.DeepEqual(got, strangersOf(before)) {
			t.Fatalf("killed at change %d: of others there stands\n%v", n, got)
		}
		s, err := NewStage(dir, Options{})
		if err != nil {
			t.Fatalf("killed at change %d, the next run says %v", n, err)
		}
		s.Discard()
		switch got := tree(t, dir); {
		case reflect.DeepEqual(got, before):
			olds++
		case reflect.DeepEqual(got, after):
			news++
		default:
			t.Fatalf("killed at change %d, the next start leaves neither the old set nor the new one:\n%v", n, got)
		}
		mustRun(t, dir, now, replace, "gone", "left")
		if got := tree(t, dir); !reflect.DeepEqual(got, after) {
			t.Fatalf("killed at change %d and run again:\n%v", n, got)
		}
	}
}

// killedInTheMiddle leaves a folder as a kill does when about half is moved.
func killedInTheMiddle(t *testing.T) (dir string, before files) {
	t.Helper()
	dir, now, replace := scene(t)
	before = tree(t, dir)
	for n := 1; ; n++ {
		count := 0
		run(dir, now, faulty(n, true, &count), replace, "gone", "left")
		if got := plain(t, dir); got["mid/leg.dxf"] == "leg 2" && got["mid/top.dxf"] != "top" {
			return dir, before
		}
	}
}

// What somebody made in the meantime stays, what it took the place of is kept, and both are
// told; once it is out of the way the old set is whole.
func TestChangedAfterKill(t *testing.T) {
	dir, before := killedInTheMiddle(t)
	put(t, dir, files{"mid/leg.dxf": "made since"})
	for range 2 {
		s, err := NewStage(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s.Discard()
		r := s.Recovered()
		if !r.Undone || !reflect.DeepEqual(r.Left, []string{"mid/leg.dxf"}) {
			t.Errorf("told: %+v", r)
		}
		if kept, err := os.ReadFile(filepath.Join(r.In, oldFolder, "mid/leg.dxf")); string(kept) != "leg" {
			t.Errorf("the old file is %q, %v", kept, err)
		}
		if got := tree(t, dir)["mid/leg.dxf"]; got != "made since" {
			t.Errorf("what was made since is %q", got)
		}
	}
	if err := os.Remove(filepath.Join(dir, "mid/leg.dxf")); err != nil {
		t.Fatal(err)
	}
	s, err := NewStage(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s.Discard()
	same(t, tree(t, dir), before)
}

// A stage that somebody still fills is not taken for a dead one.
func TestAliveStageStays(t *testing.T) {
	dir := t.TempDir()
	one, err := NewStage(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if one.alive == nil {
		t.Skip("nothing can be locked here")
	}
	if err := one.Put("mid", map[string][]byte{"leg.dxf": []byte("leg")}); err != nil {
		t.Fatal(err)
	}
	mustRun(t, dir, files{"low/leg.dxf": "low"}, nil)
	if _, err := one.Commit(); err != nil {
		t.Fatal(err)
	}
	one.Discard()
	same(t, plain(t, dir), files{"mid/leg.dxf": "leg", "low/leg.dxf": "low"})
}

// A journal that no run wrote leads nowhere: neither out of the folder nor to a removal.
func TestStrangeJournal(t *testing.T) {
	for _, text := range []string{`[{"Folder":"..","Removed":["a"]}]`, `[{"Folder":"","Removed":["../a"]}]`, `[{"Folder":"mid/..","Fresh":true}]`, `[{"Folder":"x","Written":[".."]}]`, `{`, ``} {
		top := t.TempDir()
		dir := filepath.Join(top, "out")
		put(t, dir, files{stagePrefix + "1/" + journalFile: text, stagePrefix + "1/" + oldFolder + "/b/a": "a", "mid/a": "mine"})
		want := tree(t, top)
		mustRun(t, dir, nil, nil)
		same(t, tree(t, top), want)
	}
}

// Whoever fills a stage that was discarded is told, and nothing comes of it.
func TestDiscardedStage(t *testing.T) {
	dir := t.TempDir()
	s, err := NewStage(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.folder("mid")
	if err != nil {
		t.Fatal(err)
	}
	s.Discard()
	_, committed := s.Commit()
	for _, err := range []error{f.put("leg.dxf", nil), s.Put("low", nil), s.PutFile("job.csv", nil), committed} {
		if !errors.Is(err, errEnded) {
			t.Errorf("it goes on: %v", err)
		}
	}
	if got := tree(t, dir); len(got) > 0 {
		t.Errorf("left behind: %v", got)
	}
}

// Runs side by side into one folder do not get into each other's way.
func TestSideBySide(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a/b")
	errs := make(chan error)
	want := files{}
	for i := range 8 {
		name := fmt.Sprintf("%d/leg.dxf", i)
		want[name] = name
		go func() {
			_, err := run(dir, files{name: name}, machine, nil)
			errs <- err
			s, err := NewStage(dir, Options{})
			if err == nil {
				s.Discard()
			}
			errs <- err
		}()
	}
	for range 16 {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	same(t, plain(t, dir), want)
	if left, err := fs.Glob(os.DirFS(dir), stagePrefix+"*"); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}
