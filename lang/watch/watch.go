// Package watch rebuilds a design whenever one of its files is saved. It waits
// for notices of the file system, and looks for itself once a second where none
// come; it tells what came of each build to whoever asked, and writes only files
// whose bytes changed. It prints nothing and never ends by itself.
package watch

import (
	"context"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/shop"
)

// Waiting times.
const (
	quiet   = 40 * time.Millisecond  // without a notice: a burst of saves is over
	longest = 400 * time.Millisecond // that a burst is waited for
	look    = time.Second            // between looks where no notices come
	absence = 250 * time.Millisecond // that a file may be away while an editor replaces it
)

// Job is what to build on every save.
type Job struct {
	File     string
	Shop     *shop.Shop
	Sizes    []string // empty: all
	Settings []string // as on a command line: height = 700mm
	Out      string   // the folder below which the design's is written; "" to check only
	Unit     string   // mm or in to read and draw it in; else the design's own
	Pictures bool     // of the piece and of every flat
	Replace  []string // in the folder, whoever wrote it: see output.Options
}

// Report is what came of one build.
type Report struct {
	At    time.Time
	Took  time.Duration
	Gone  bool // the design's file is not there
	Err   error
	Diags []diag.Diagnostic // with errors nothing was written, and what was there stays
	Sizes []Size            // that were built, in the design's order

	Job     family.Job      // that was built; without a program where nothing could be read
	Results []*build.Result // of it, by size; none with errors
}

// Size is what was written of a size.
type Size struct {
	Name    string
	Blanks  int
	Pieces  int
	Written []string // files whose bytes changed
	Removed []string // files of blanks that are no more
}

// Run builds at once and then on every change, telling each Report, until ctx is
// done. Errors of a single build are in its Report; Run's own is that the
// design can't be read at the very start.
func (j Job) Run(ctx context.Context, tell func(Report)) error {
	if _, err := os.Stat(j.File); err != nil {
		return err
	}
	if _, err := load.Plain(j.File); err != nil {
		return fmt.Errorf("cannot read %s: %w", j.File, err)
	}
	w := &watcher{job: j}
	w.files = []string{filepath.Clean(j.File)}
	w.notices, _ = fsnotify.NewWatcher() // without, looking once a second does
	if w.notices != nil {
		defer w.notices.Close()
	}
	for {
		if r, changed := w.round(ctx); changed && ctx.Err() == nil {
			tell(r)
		}
		w.listen()
		if !w.wait(ctx) {
			return nil
		}
	}
}

// watcher is a run under way.
type watcher struct {
	job     Job
	notices *fsnotify.Watcher
	folders []string          // that notices come from
	files   []string          // the design and what it uses, there or not
	texts   map[string]string // what they held when last built; absent: not there
}

// read is what the files hold now.
func (w *watcher) read() map[string]string {
	texts := map[string]string{}
	for _, f := range w.files {
		if text, err := load.Plain(f); err == nil {
			texts[f] = text
		}
	}
	return texts
}

// round builds where a file changed since the last time.
func (w *watcher) round(ctx context.Context) (Report, bool) {
	now := w.read()
	if _, there := now[w.files[0]]; !there && w.texts != nil {
		pause(ctx, absence)
		now = w.read()
	}
	if w.texts != nil && sameTexts(w.texts, now) {
		return Report{}, false
	}
	start := time.Now()
	r := Report{At: start}
	if _, there := now[w.files[0]]; !there {
		r.Gone = true
	} else {
		w.build(&r)
	}
	for _, f := range w.files { // files that the new text uses count from now on
		if _, known := now[f]; !known {
			if text, err := load.Plain(f); err == nil {
				now[f] = text
			}
		}
	}
	w.texts = now
	r.Took = time.Since(start)
	return r, true
}

func sameTexts(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for k, v := range a {
		if x, ok := b[k]; !ok || x != v {
			return false
		}
	}
	return true
}

// build opens the design and builds it.
func (w *watcher) build(r *Report) {
	prog, diags, err := load.Design(w.job.File, w.job.Shop)
	if err != nil {
		r.Err = err
		return
	}
	settings, more := family.Settings(prog, w.job.Settings)
	w.files = filesOf(w.job.File, prog)
	r.Diags = append(diags, more...)
	if diag.HasErrors(r.Diags) {
		return
	}
	job := family.Job{Program: prog, File: w.job.File, Shop: w.job.Shop, Sizes: w.job.Sizes, Settings: settings}
	if system, ok := measure.Named(w.job.Unit); ok {
		job.In(system)
	}
	results, more := job.Marked()
	r.Diags = append(r.Diags, more...)
	if diag.HasErrors(r.Diags) {
		return
	}
	r.Job, r.Results = job, results
	opt := job.Output(w.job.Pictures)
	opt.Replace = w.job.Replace
	r.Sizes, more, r.Err = w.write(job, results, opt)
	r.Diags = append(r.Diags, more...)
}

// filesOf are the design's file and every file that it uses, also those that are
// not there: they may come.
func filesOf(design string, p *check.Program) []string {
	files := []string{filepath.Clean(design)}
	for _, m := range p.Modules {
		for _, s := range m.File.Stmts {
			u, ok := s.(*syntax.Use)
			if !ok || u.Path == "" || path.IsAbs(u.Path) {
				continue
			}
			f := filepath.Join(filepath.Dir(design), filepath.FromSlash(u.Path))
			if !slices.Contains(files, f) {
				files = append(files, f)
			}
		}
	}
	return files
}

// listen asks for notices of the files' folders: an editor may replace a file,
// and a file that is not there gives none itself.
func (w *watcher) listen() {
	if w.notices == nil {
		return
	}
	var folders []string
	for _, f := range w.files {
		if dir := filepath.Dir(f); !slices.Contains(folders, dir) {
			folders = append(folders, dir)
		}
	}
	for _, dir := range w.folders {
		if !slices.Contains(folders, dir) {
			w.notices.Remove(dir)
		}
	}
	for _, dir := range folders {
		w.notices.Add(dir) // again, too: the folder itself may have been replaced
	}
	w.folders = folders
}

// wait returns true when a file may have changed and the burst is over, false
// when ctx is done.
func (w *watcher) wait(ctx context.Context) bool {
	timer := time.NewTimer(look)
	defer timer.Stop()
	var deadline time.Time // of the burst; zero before its first notice
	var events chan fsnotify.Event
	var errs chan error
	if w.notices != nil {
		events, errs = w.notices.Events, w.notices.Errors
	}
	for {
		select {
		case <-ctx.Done():
			return false
		case <-timer.C:
			return true
		case <-errs: // notices were lost: look
			return true
		case e := <-events:
			if !slices.Contains(w.files, filepath.Clean(e.Name)) {
				continue
			}
			if deadline.IsZero() {
				deadline = time.Now().Add(longest)
			}
			timer.Reset(min(quiet, time.Until(deadline)))
		}
	}
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}
