package output

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"perch/parts/panel"
)

func of(design string, sizes ...string) Options { return Options{Design: design, Sizes: sizes} }

func mustRunAs(t *testing.T, opt Options, dir string, now files) map[string]Change {
	t.Helper()
	changed, err := runAs(opt, dir, now, machine)
	if err != nil {
		t.Fatal(err)
	}
	return changed
}

// A design's sizes that it has no more go, built or not; sizes that were not asked for,
// folders of others and copies of a size's folder stay.
func TestSizesThatAreNoMore(t *testing.T) {
	dir := t.TempDir()
	mustRunAs(t, of("stool.perch", "low", "mid", "tall"), dir, files{"low/leg.dxf": "l", "mid/leg.dxf": "m", "tall/leg.dxf": "t"})
	put(t, dir, files{"mine/leg.dxf": "mine", "tall/mine.txt": "mine"})
	if err := os.CopyFS(filepath.Join(dir, "low copy"), os.DirFS(filepath.Join(dir, "low"))); err != nil {
		t.Fatal(err)
	}
	changed := mustRunAs(t, of("stool.perch", "mid", "high"), dir, files{"high/leg.dxf": "h"})
	same(t, plain(t, dir), files{"high/leg.dxf": "h", "mid/leg.dxf": "m", "mine/leg.dxf": "mine", "tall/mine.txt": "mine", "low copy/leg.dxf": "l"})
	for _, gone := range []string{"low", "tall"} {
		if !changed[gone].Retired {
			t.Errorf("%s went, and nothing is said: %v", gone, changed)
		}
	}
	if len(changed) != 3 {
		t.Errorf("told %v", changed)
	}
}

// A copy of a size's folder under another size's name is its maker's.
func TestCopiedSize(t *testing.T) {
	dir := t.TempDir()
	mustRunAs(t, of("stool.perch", "low"), dir, files{"low/leg.dxf": "l"})
	if err := os.CopyFS(filepath.Join(dir, "mid"), os.DirFS(filepath.Join(dir, "low"))); err != nil {
		t.Fatal(err)
	}
	_, err := runAs(of("stool.perch", "low", "mid"), dir, files{"mid/leg.dxf": "m"}, machine)
	if got := takenNames(t, err); !reflect.DeepEqual(got, []Taken{{Name: "mid/" + ListFile}, {Name: "mid/leg.dxf"}}) {
		t.Errorf("in the way: %v", got)
	}
}

// Another design is not built over the first, in whatever size it was left, unless it is
// told to take the folder over; then what the first left unchanged goes.
func TestAnotherDesign(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stool")
	theirs := of("a/stool.perch", "low", "mid")
	mustRunAs(t, theirs, dir, files{"low/leg.dxf": "l", "mid/leg.dxf": "m", "mid/cap.dxf": "c"})
	before := tree(t, dir)
	ours := of("b/stool.perch", "mid", "tall")
	now := files{"mid/leg.dxf": "m 2"}
	for _, now := range []files{now, {"tall/leg.dxf": "t"}, {"sweep.csv": "s"}} {
		_, err := runAs(ours, dir, now, machine)
		var other *OwnerError
		if !errors.As(err, &other) || other.Theirs != "a/stool.perch" || other.Ours != "b/stool.perch" {
			t.Fatalf("another design is built over: %v", err)
		}
		same(t, tree(t, dir), before)
	}
	put(t, dir, files{"low/leg.dxf": "better"})
	ours.Replace = []string{"stool/"}
	changed := mustRunAs(t, ours, dir, now)
	same(t, plain(t, dir), files{"low/leg.dxf": "better", "mid/leg.dxf": "m 2"})
	if c := changed["low"]; !c.Retired || !reflect.DeepEqual(c.Kept, []string{"leg.dxf"}) {
		t.Errorf("told %v", changed)
	}
	if _, err := runAs(theirs, dir, now, machine); !errors.As(err, new(*OwnerError)) {
		t.Errorf("the folder has no new owner: %v", err)
	}
}

// Nested sheets do not go over a design's sizes, nor a design over sheets; what neither
// touches is in nobody's way.
func TestDesignAndSheets(t *testing.T) {
	dir := t.TempDir()
	mustRun(t, dir, files{"sheet-1/sheet-1.dxf": "s", "job.csv": "j"}, nil)
	if _, err := runAs(of("a.perch", "sheet-1"), dir, files{"sheet-1/leg.dxf": "l"}, machine); !errors.As(err, new(*OwnerError)) {
		t.Errorf("a size is built into a sheet's folder: %v", err)
	}
	mustRunAs(t, of("a.perch", "low"), dir, files{"low/leg.dxf": "l"})
	if _, err := run(dir, files{"low/sheet.dxf": "s"}, machine, nil); !errors.As(err, new(*OwnerError)) {
		t.Errorf("a sheet is nested into a size's folder: %v", err)
	}
	mustRun(t, dir, files{"sheet-1/sheet-1.dxf": "s 2", "job.csv": "j"}, nil)
	same(t, plain(t, dir), files{"sheet-1/sheet-1.dxf": "s 2", "job.csv": "j", "low/leg.dxf": "l"})
}

// Papers of a size stand beside its build for as long as they are of what it builds.
func TestPapersBesideABuild(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stool")
	piece := func(revision string) *panel.Assembly {
		return &panel.Assembly{Design: "Stool", Size: "mid", Revision: revision}
	}
	stage := func(fill func(s *Stage) error) Change {
		t.Helper()
		s, err := NewStage(dir, Options{Design: "../stool.perch"})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Discard()
		if err := fill(s); err != nil {
			t.Fatal(err)
		}
		changed, err := s.Commit()
		if err != nil {
			t.Fatal(err)
		}
		return changed["mid"]
	}
	build := func(revision string) Change {
		t.Helper()
		return stage(func(s *Stage) error { return s.Add(piece(revision)) })
	}
	papers := func(revision, text string, names ...string) Change {
		t.Helper()
		return stage(func(s *Stage) error {
			files := map[string][]byte{}
			for _, n := range names {
				files[n] = []byte(text)
			}
			return s.Papers(piece(revision), files)
		})
	}
	has := func(want ...string) {
		t.Helper()
		if got := slices.Sorted(maps.Keys(plain(t, dir))); !slices.Equal(got, want) {
			t.Errorf("there stand %v, want %v", got, want)
		}
	}

	papers("A", "plan", "bends.json") // before there is any build
	has("mid/bends.json")
	if c := build("A"); len(c.Outdated)+len(c.Removed) > 0 {
		t.Errorf("a build of the same record: %+v", c)
	}
	papers("A", "pages", "packet.pdf")
	has("mid/bends.json", "mid/build.json", "mid/cutlist.csv", "mid/packet.pdf")
	if c := build("A"); !reflect.DeepEqual(c, Change{}) {
		t.Errorf("the same build again: %+v", c)
	}
	if c := papers("A", "pages 2", "packet.pdf"); !slices.Equal(c.Written, []string{"packet.pdf"}) || len(c.Removed)+len(c.Outdated) > 0 {
		t.Errorf("papers made anew: %+v", c)
	}
	if c := papers("B", "plan B", "bends.json"); !slices.Equal(c.Outdated, []string{"build.json"}) {
		t.Errorf("papers beside an earlier build: %+v", c)
	}
	put(t, dir, files{"mid/packet.pdf": "scribbled on"})
	c := build("B")
	if len(c.Outdated) > 0 || !slices.Equal(c.Kept, []string{"packet.pdf"}) {
		t.Errorf("a build of another record: %+v", c)
	}
	has("mid/bends.json", "mid/build.json", "mid/cutlist.csv", "mid/packet.pdf")
	if c := build("C"); !slices.Equal(c.Outdated, []string{"bends.json"}) || !slices.Equal(c.Removed, []string{"bends.json"}) {
		t.Errorf("a build of a third record: %+v", c)
	}
	has("mid/build.json", "mid/cutlist.csv", "mid/packet.pdf")
}
