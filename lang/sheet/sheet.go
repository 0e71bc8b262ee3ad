// Package sheet takes orders of designs to sheets for the cutting table: it has the
// sizes built, their blanks nested or put where they are told to lie, the cuts planned,
// written and proved, and says what the job takes and costs. It searches no layout and
// plans no cut itself, which parts/nest and parts/cutplan do, and prints nothing.
package sheet

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"time"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/output"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Nesting is a job for the cutting table.
type Nesting struct {
	Orders   []Order
	Remnants []Remnant // used before whole sheets
	Places   []Place   // where blanks are put; then nothing is searched
	Only     []string  // blanks to cut, by number or name; empty: all
	Start    Start     // where to go on; zero: at the beginning
	Shop     *shop.Shop
	Asked    *measure.System  // that somebody wants to read the job in; nil: as its designs are
	Profile  *cutplan.Profile // nil: no program is written
	Spacing  float64          // between blanks, mm
	Margin   float64          // along the sheets' edges, mm
	Steps    float64          // rotation step in degrees; 0: blanks are not turned
	Grain    bool             // blanks keep their direction along the sheet
	Mirror   bool             // blanks may be turned over
	Lays     []Lay            // blanks for which the last three are told one by one
	Tabs     int              // that hold each blank; 0 none
	Tab      float64          // their width, mm
	Whole    bool             // whole sheets are charged, not what is used up
	Pictures bool             // of every sheet, as SVG, PNG and PDF
	Effort   float64          // of the search; 1 is the default
	Limit    time.Duration    // of building and searching; 0 none
	Replace  []string         // in the folder, whoever wrote it: see output.Options
	// Progress, where set, hears of every better layout.
	Progress func(nest.Progress)
	// Stage, where set, hears how many sheets of how many are planned, then written.
	Stage func(doing string, done, of int)
}

func (n Nesting) stage(doing string, done, of int) {
	if n.Stage != nil {
		n.Stage(doing, done, of)
	}
}

// kept is how many parts of a mm places are rounded to, so that a record of them
// says all.
const kept = 1e9

// Run builds what is ordered, nests it, plans the cuts, proves what it wrote and
// puts it into a folder: one folder a sheet, the job's cut list and its record
// beside them. Mistakes are diagnostics; the error is one of reading or writing, or
// ErrStopped. When ctx or the limit ends the search, the best so far is taken, and what has
// no place then is told and reported. When ctx ends behind it, that is ErrEnded, and nothing
// is written.
func (n Nesting) Run(ctx context.Context, dir string) (*JobReport, []diag.Diagnostic, error) {
	if ds := n.check(); len(ds) > 0 {
		return nil, ds, nil
	}
	searching, done := n.searching(ctx)
	defer done()
	w, diags, err := n.work(searching)
	if err != nil || diag.HasErrors(diags) {
		return nil, diags, err
	}
	layout, again, err := n.layout(searching, w, dir)
	if err != nil {
		return n.refused(w, diags, err)
	}
	if ctx.Err() != nil { // the best so far is wanted
		ctx = context.WithoutCancel(ctx)
	}
	plans, err := n.plans(ctx, searching, w, layout)
	if err != nil {
		return n.refused(w, diags, err)
	}
	stage, err := output.NewStage(dir, output.Options{Replace: n.Replace, Reads: n.reads()})
	if err != nil {
		return nil, diags, err
	}
	defer stage.Discard()
	report, err := n.sheets(ctx, stage, w, layout, plans)
	if err == nil && !again {
		err = n.record(stage, w, layout, report)
		for k := len(layout) + 1; err == nil && exists(dir, sheetName(k)); k++ {
			stage.Retire(sheetName(k))
		}
	}
	if err != nil {
		return n.refused(w, diags, err)
	}
	if w.left != nil {
		diags = append(diags, w.unplaced())
	}
	before := n.earlier(w, dir)
	changed, more, err := family.Placed(stage, "sheet")
	if before && slices.Contains(changed[""].Written, output.JobRecord) {
		d := mistake("P8014", "the sheets of an earlier job in "+dir+", of other blanks, sheets or settings, were replaced", "--out writes to another folder")
		d.Severity = diag.Note
		more = append(more, d)
	}
	return report, append(diags, more...), err
}

// searching is ctx, until the limit.
func (n Nesting) searching(ctx context.Context) (context.Context, context.CancelFunc) {
	if n.Limit <= 0 {
		return ctx, func() {}
	}
	return context.WithTimeout(ctx, n.Limit)
}

// Planned is a sheet of a job with the plan of its cuts.
type Planned struct {
	Plan    *cutplan.Plan
	Told    measure.Text // what sheet it is
	Used    float64      // by blanks, of its area
	Remnant bool
	Cost    CostLine // of all that lies on it
	Timed   bool     // a table profile gave times
	Priced  bool     // the sheet has a price
}

// Plan nests what is ordered and plans its cuts as Run does, and writes nothing.
func (n Nesting) Plan(ctx context.Context) ([]Planned, []diag.Diagnostic, error) {
	if ds := n.check(); len(ds) > 0 {
		return nil, ds, nil
	}
	searching, done := n.searching(ctx)
	defer done()
	w, diags, err := n.work(searching)
	if err != nil || diag.HasErrors(diags) {
		return nil, diags, err
	}
	layout, _, err := n.layout(searching, w, "")
	var plans []planned
	if err == nil {
		plans, err = n.plans(context.WithoutCancel(ctx), searching, w, layout)
	}
	if err != nil {
		_, diags, err = n.refused(w, diags, err)
		return nil, diags, err
	}
	var out []Planned
	for i, p := range plans {
		of := &w.Sheets[layout[i].Sheet]
		var r JobReport
		if err := n.charge(&r, new(SheetReport), w, layout[i], p); err != nil {
			return nil, diags, err
		}
		r.sum()
		out = append(out, Planned{Plan: p.plan, Told: w.stock[layout[i].Sheet], Used: layout[i].Density, Remnant: len(of.Outline) > 0,
			Cost: r.Total, Timed: r.Timed, Priced: r.Priced})
	}
	return out, diags, nil
}

// earlier tells whether the folder holds the record of a job that is not this one.
func (n Nesting) earlier(w *worklist, dir string) bool {
	text, err := os.ReadFile(filepath.Join(dir, output.JobRecord))
	var rec struct{ Job string }
	return err == nil && json.Unmarshal(text, &rec) == nil && rec.Job != "" && rec.Job != n.digest(w)
}

// reads are the files, beside designs, that the sheets are made from.
func (n Nesting) reads() []string {
	var files []string
	for _, r := range n.Remnants {
		files = append(files, r.File)
	}
	return files
}

func sheetName(k int) string { return fmt.Sprintf("sheet-%d", k) }

func exists(dir, name string) bool {
	_, err := os.Stat(filepath.Join(dir, name))
	return err == nil
}

// worklist is what is to be cut from what.
type worklist struct {
	nest.Job
	in        measure.System // that the job is read in: inches where all its designs are
	stock     []measure.Text // of Job.Sheets: what each is
	blanks    []*panel.Blank // by index of Job.Blanks
	of        []string       // design:size of each
	revisions []string       // of the designs of each; "" where none is stated
	left      []int          // of each, how many have no place as the search was stopped; nil: all have
}

// unplaced tells what has no place.
func (w *worklist) unplaced() diag.Diagnostic {
	var names []string
	left, all := 0, 0
	for i, b := range w.Blanks {
		all += b.Count
		if n := w.left[i]; n > 0 {
			left += n
			names = append(names, fmt.Sprintf("%d of %d %s", n, b.Count, b.Name))
		}
	}
	d := mistake("P8013", fmt.Sprintf("the search was stopped: %d of %d blanks have no place on a sheet", left, all),
		"not on the sheets: "+diag.List(names), "the sheets that were found are written; nest the rest as a job of its own, or give the search more time")
	d.Severity = diag.Warning
	return d
}

// digest is a mark of all that decides where blanks lie and how cuts are numbered.
func (n Nesting) digest(w *worklist) string {
	h := sha256.New()
	fmt.Fprintln(h, w.Margin, w.Spacing, w.Kerf, n.Tabs, n.Tab)
	for i, b := range w.Blanks {
		fmt.Fprintln(h, b.Name, w.of[i], b.Count, b.Material, b.Thickness, b.Rotations, b.Grain, b.Mirror, b.Region)
	}
	for i, s := range w.Sheets {
		s.Name = w.stock[i].String() // whoever reads it
		fmt.Fprintln(h, s)
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}

// layout is where everything lies: as placed by hand, as recorded in the folder
// when only some of it is asked for, or else as nesting finds it. again is true for
// what was recorded.
func (n Nesting) layout(ctx context.Context, w *worklist, dir string) (_ []nest.Used, again bool, err error) {
	if len(n.Places) > 0 {
		used, err := n.placed(w)
		return used, false, err
	}
	if len(n.Only) > 0 || n.Start.Sheet > 0 {
		used, err := n.recorded(w, dir)
		if err != nil || used != nil {
			return used, true, err
		}
	}
	used, err := n.search(ctx, w)
	if err != nil {
		return nil, false, err
	}
	placed := 0
	for i := range used {
		tidy(&used[i])
		placed += len(used[i].Placed)
	}
	want := 0
	for i, b := range w.Blanks {
		want += b.Count
		if w.left != nil {
			want -= w.left[i]
		}
	}
	if placed != want {
		return nil, false, mistaken{mistake("P8008", fmt.Sprintf("%d of %d blanks were placed", placed, want))}
	}
	return used, false, nil
}

// tidy rounds where blanks lie and sorts them, so that alike blanks are numbered
// together, from left to right.
func tidy(u *nest.Used) {
	for i := range u.Placed {
		p := &u.Placed[i]
		p.At.X, p.At.Y = math.Round(p.At.X*kept)/kept, math.Round(p.At.Y*kept)/kept
	}
	slices.SortStableFunc(u.Placed, func(a, b nest.Placed) int {
		switch {
		case a.Piece != b.Piece:
			return a.Piece - b.Piece
		case a.At.X != b.At.X:
			if a.At.X < b.At.X {
				return -1
			}
			return 1
		case a.At.Y < b.At.Y:
			return -1
		case a.At.Y > b.At.Y:
			return 1
		}
		return 0
	})
}

// search nests the job.
func (n Nesting) search(ctx context.Context, w *worklist) ([]nest.Used, error) {
	r, err := nest.Sheets(ctx, w.Job, nest.Options{Effort: n.Effort, Progress: n.Progress})
	if err == nil {
		w.left = r.Left
		return r.Sheets, nil
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return nil, ErrStopped
	}
	return nil, err
}

const sameThickness = 0.02 // mm within which two thicknesses are one

func sameStock(m1 string, t1 float64, m2 string, t2 float64) bool {
	return m1 == m2 && math.Abs(t1-t2) <= sameThickness
}

func stockOf(material string, thickness float64) measure.Text {
	return measure.Say("%s %.4g", material, measure.Length(thickness))
}

// Run is a way of mm for a person to read.
func Run(mm float64, in measure.System) string {
	if in == measure.Inches {
		return fmt.Sprintf("%.1f ft", mm/measure.InchMM/12)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}

// Percent is a share for a person to read.
func Percent(x float64) string { return fmt.Sprintf("%.1f %%", math.Round(x*1000)/10) }
