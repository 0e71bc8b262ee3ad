package watch

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/parts/shop"
)

const tray = `design "Tray" revision "A"
use pan from "pan.perch"
stock s = sheet(mild_steel, 1mm)
param long: length = 200mm
size small
size large: long = 300mm
part bin of s = pan(long)
`

func pan(high string) string {
	return fmt.Sprintf(`panel pan(across: length) {
  face base on level(0mm) { outline rect(across, 100mm) }
  face wall off base.left up 90deg { outline strip(%s) }
}
`, high)
}

// watched is a run over a folder of its own.
type watched struct {
	t       *testing.T
	dir     string
	reports chan Report
	stop    context.CancelFunc
	ended   chan error
}

func start(t *testing.T, files map[string]string) *watched {
	w := &watched{t: t, dir: t.TempDir(), reports: make(chan Report, 100), ended: make(chan error, 1)}
	for name, text := range files {
		w.write(name, text)
	}
	ctx, stop := context.WithCancel(context.Background())
	w.stop = stop
	job := Job{File: filepath.Join(w.dir, "tray.perch"), Shop: shop.Default(), Out: filepath.Join(w.dir, "out")}
	go func() { w.ended <- job.Run(ctx, func(r Report) { w.reports <- r }) }()
	t.Cleanup(func() {
		stop()
		select {
		case <-w.ended:
		case <-time.After(5 * time.Second):
			t.Error("it does not end")
		}
	})
	return w
}

func (w *watched) path(name string) string { return filepath.Join(w.dir, name) }

func (w *watched) write(name, text string) {
	w.t.Helper()
	if err := os.WriteFile(w.path(name), []byte(text), 0o666); err != nil {
		w.t.Fatal(err)
	}
}

// next is the next report.
func (w *watched) next() Report {
	w.t.Helper()
	select {
	case r := <-w.reports:
		return r
	case <-time.After(10 * time.Second):
		w.t.Fatal("no report")
	}
	return Report{}
}

// silent checks that no report comes for a while.
func (w *watched) silent() {
	w.t.Helper()
	select {
	case r := <-w.reports:
		w.t.Errorf("a report without a change: %+v", r)
	case <-time.After(300 * time.Millisecond):
	}
}

func (w *watched) built(r Report) {
	w.t.Helper()
	if r.Err != nil || r.Gone || diag.HasErrors(r.Diags) || len(r.Sizes) != 2 {
		w.t.Fatalf("not built: %+v", r)
	}
}

func both() map[string]string {
	return map[string]string{"tray.perch": tray, "pan.perch": pan("30mm")}
}

// Only what changed is written; the rest keeps its time.
func TestWritesOnlyWhatChanged(t *testing.T) {
	w := start(t, both())
	r := w.next()
	w.built(r)
	if len(r.Sizes[0].Written) == 0 || len(r.Sizes[1].Written) == 0 {
		t.Fatalf("nothing written at first: %+v", r.Sizes)
	}
	old := time.Now().Add(-time.Hour)
	for _, f := range []string{"out/tray/small/bin.dxf", "out/tray/large/bin.dxf"} {
		if err := os.Chtimes(w.path(f), old, old); err != nil {
			t.Fatal(err)
		}
	}
	w.write("tray.perch", strings.Replace(tray, "= 300mm", "= 310mm", 1))
	r = w.next()
	w.built(r)
	if len(r.Sizes[0].Written) != 0 || len(r.Sizes[1].Written) == 0 {
		t.Errorf("written: %+v", r.Sizes)
	}
	if st, err := os.Stat(w.path("out/tray/small/bin.dxf")); err != nil || st.ModTime().Sub(old).Abs() > time.Second {
		t.Errorf("a file of the same bytes got a new time: %v", err)
	}
	if st, err := os.Stat(w.path("out/tray/large/bin.dxf")); err != nil || time.Since(st.ModTime()) > time.Minute {
		t.Errorf("a file of other bytes kept its time: %v", err)
	}
	if left, _ := filepath.Glob(w.path("out/tray/.*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Other units change what people read, though not the record, which is in millimetres.
func TestOtherUnits(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	w.write("tray.perch", strings.Replace(tray, `"Tray"`, `"Tray" in inches`, 1))
	r := w.next()
	w.built(r)
	text, err := os.ReadFile(w.path("out/tray/small/cutlist.csv"))
	if err != nil || !strings.Contains(string(text), "width_in") || slices.Contains(r.Sizes[0].Written, "build.json") {
		t.Errorf("%v, written %v, cut list\n%s", err, r.Sizes[0].Written, text)
	}
}

// A comment changes no drawing; a blank that is gone takes its drawing along, and
// what others put into the folder stays.
func TestBlankRenamed(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	w.write("out/tray/small/notes.txt", "mine")
	w.write("out/tray/small/mine.dxf", "mine")
	w.write("tray.perch", strings.Replace(tray, "part bin", "part tub", 1))
	r := w.next()
	w.built(r)
	if fmt.Sprint(r.Sizes[0].Removed) != "[bin.dxf]" {
		t.Errorf("removed: %v", r.Sizes[0].Removed)
	}
	for name, there := range map[string]bool{"bin.dxf": false, "tub.dxf": true, "notes.txt": true, "mine.dxf": true, "build.json": true} {
		if _, err := os.Stat(w.path("out/tray/small/" + name)); (err == nil) != there {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A drawing that somebody changed is not written over, and nothing else is written either
// until it is out of the way.
func TestDrawingChanged(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	before, _ := os.ReadFile(w.path("out/tray/small/build.json"))
	w.write("out/tray/small/bin.dxf", "mine")
	w.write("tray.perch", strings.Replace(tray, "= 200mm", "= 210mm", 1))
	if r := w.next(); r.Err != nil || !diag.HasErrors(r.Diags) || len(r.Sizes) > 0 {
		t.Errorf("a changed drawing is not told of: %+v", r)
	}
	if text, _ := os.ReadFile(w.path("out/tray/small/bin.dxf")); string(text) != "mine" {
		t.Errorf("it was written over: %s", text)
	}
	if after, _ := os.ReadFile(w.path("out/tray/small/build.json")); string(after) != string(before) {
		t.Error("the record is of another state than the drawing")
	}
	if err := os.Remove(w.path("out/tray/small/bin.dxf")); err != nil {
		t.Fatal(err)
	}
	w.write("tray.perch", strings.Replace(tray, "= 200mm", "= 220mm", 1))
	w.built(w.next())
}

func TestSavedByRename(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	for i := range 3 {
		w.write("tray.perch.new", strings.Replace(tray, "= 200mm", fmt.Sprintf("= 21%dmm", i), 1))
		if err := os.Rename(w.path("tray.perch"), w.path("tray.perch~")); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(w.path("tray.perch.new"), w.path("tray.perch")); err != nil {
			t.Fatal(err)
		}
		r := w.next()
		w.built(r)
		if len(r.Sizes[0].Written) == 0 {
			t.Errorf("save %d was not built", i)
		}
	}
}

func TestMistakeAndMend(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	before, _ := os.ReadFile(w.path("out/tray/small/build.json"))
	w.write("tray.perch", tray+"part")
	if r := w.next(); !diag.HasErrors(r.Diags) || len(r.Sizes) != 0 {
		t.Errorf("a mistake was built: %+v", r)
	}
	if after, _ := os.ReadFile(w.path("out/tray/small/build.json")); string(after) != string(before) {
		t.Error("a mistake changed what was built")
	}
	w.write("tray.perch", tray)
	r := w.next()
	w.built(r)
	if len(r.Sizes[0].Written) != 0 {
		t.Errorf("back to the old text, and written: %v", r.Sizes[0].Written)
	}
}

func TestGoneAndBack(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	if err := os.Remove(w.path("tray.perch")); err != nil {
		t.Fatal(err)
	}
	if r := w.next(); !r.Gone {
		t.Errorf("the file is gone: %+v", r)
	}
	w.write("tray.perch", strings.Replace(tray, "= 200mm", "= 220mm", 1))
	w.built(w.next())
	if _, err := os.Stat(w.path("out/tray/small/build.json")); err != nil {
		t.Error(err)
	}
}

// A module counts too, also one that is not there yet.
func TestModules(t *testing.T) {
	w := start(t, map[string]string{"tray.perch": tray})
	if r := w.next(); !diag.HasErrors(r.Diags) {
		t.Fatalf("the module is missing: %+v", r)
	}
	w.write("pan.perch", pan("30mm"))
	w.built(w.next())
	w.write("pan.perch", pan("35mm"))
	r := w.next()
	w.built(r)
	if len(r.Sizes[0].Written) == 0 {
		t.Error("the module's change was not built")
	}
}

// A burst of saves is few builds, the last of them of the last text; the same
// bytes saved again are none.
func TestBursts(t *testing.T) {
	w := start(t, both())
	w.built(w.next())
	for i := range 20 {
		w.write("tray.perch", strings.Replace(tray, "= 200mm", fmt.Sprintf("= %dmm", 201+i), 1))
		time.Sleep(2 * time.Millisecond)
	}
	n := 0
	for deadline := time.After(8 * time.Second); ; n++ {
		select {
		case <-w.reports:
		case <-deadline:
			t.Fatal("the last save was not built")
		}
		if b, _ := os.ReadFile(w.path("out/tray/small/build.json")); strings.Contains(string(b), "220") {
			break
		}
	}
	if n > 5 {
		t.Errorf("%d builds for one burst", n+1)
	}
	w.write("tray.perch", strings.Replace(tray, "= 200mm", "= 220mm", 1))
	w.write("other.txt", "x")
	w.silent()
}

func TestNoFileAtTheStart(t *testing.T) {
	job := Job{File: filepath.Join(t.TempDir(), "none.perch"), Shop: shop.Default()}
	if err := job.Run(context.Background(), func(Report) {}); err == nil {
		t.Error("a design that is not there was waited for")
	}
}

func ExampleJob_Run() {
	dir, _ := os.MkdirTemp("", "watch")
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "tray.perch")
	os.WriteFile(file, []byte(tray), 0o666)
	os.WriteFile(filepath.Join(dir, "pan.perch"), []byte(pan("30mm")), 0o666)
	ctx, stop := context.WithCancel(context.Background())
	Job{File: file, Shop: shop.Default()}.Run(ctx, func(r Report) {
		for _, s := range r.Sizes {
			fmt.Println(s.Name, s.Pieces)
		}
		stop() // after the first build
	})
	// Output:
	// small 1
	// large 1
}
