// Package family takes a design as the family of its sizes: settings that are
// stronger than a size's own, every size built side by side and held to the shop's
// rules, what several sizes say told once, and all of them staged into one folder. It
// prints nothing and knows nothing of sheets to cut from.
package family

import (
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/output"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/spelling"
)

// Job is a design and which of its sizes are asked for, with what settings.
type Job struct {
	Program  *check.Program
	File     string // the design's; "-" is standard input. Only for what is written
	Shop     *shop.Shop
	Sizes    []string // empty: all
	Settings []build.Setting
	// Asked is the system that somebody wants to read the design and have it drawn in;
	// nil: its own, and drawings for cutting as the shop takes them.
	Asked *measure.System
	// Progress, where set, is told after every size; it may be called from several
	// goroutines, one at a time.
	Progress func(done, total int)
}

// In has the design read and drawn in a system, whatever it is written in.
func (j *Job) In(s measure.System) {
	j.Program.Shown = s
	j.Asked = &s
}

// Output says how what is built is written: papers in the reader's system, by the shop's
// ruler, drawings for cutting in the unit that the shop's cutter reads.
func (j Job) Output(pictures bool) output.Options {
	opt := output.Options{Pictures: pictures, Also: j.Shop.Written.Also, Shop: j.Shop, Drawings: j.Shop.Cutter.Drawings, Paper: measure.Paper{System: j.Program.Shown, Ruler: j.Shop.Ruler}}
	if j.Asked != nil {
		opt.Drawings = *j.Asked
	}
	return opt
}

// Settings reads settings of a program written as in a size row: height = 700mm.
// It may not be called while sizes of the program are built, unless every value is
// a literal.
func Settings(p *check.Program, texts []string) ([]build.Setting, []diag.Diagnostic) {
	var out []build.Setting
	var diags []diag.Diagnostic
	for _, t := range texts {
		src := diag.NewSource("--set", "size set:\n"+t) // on a line of its own, to be shown alone
		file, ds := syntax.Parse(src)
		for i := range ds {
			ds[i].Notes = []string{"it reads: --set NAME=VALUE, as in --set height=450mm"}
		}
		diags = append(diags, syntax.Proved(file, ds)...)
		for _, s := range file.Stmts {
			if s, ok := s.(*syntax.Size); ok {
				for _, st := range s.States {
					diags = append(diags, p.State(&st)...)
					for _, o := range out {
						if o.State.Name.Name == st.Name.Name {
							diags = append(diags, diag.Diagnostic{Code: "P2042", Severity: diag.Error, Span: st.Name.At, Label: "again here",
								Summary: fmt.Sprintf("%s is stated twice on the command line", st.Name.Name), Related: []diag.Related{{Span: o.State.Name.At, Message: "first stated here"}}})
						}
					}
					out = append(out, build.Setting{State: st})
				}
			}
		}
	}
	return out, diags
}

// sizes are the sizes to build, in the design's order, or a mistake.
func (j Job) sizes() ([]string, []diag.Diagnostic) {
	all := build.Sizes(j.Program)
	if len(j.Sizes) == 0 {
		return all, nil
	}
	wanted := map[string]bool{}
	var diags []diag.Diagnostic
	for _, s := range j.Sizes {
		known := false
		for _, a := range all {
			known = known || a == s
		}
		if !known {
			d := diag.Diagnostic{Code: "P3009", Severity: diag.Error, Summary: fmt.Sprintf("the design has no size %s", s)}
			if best := spelling.Nearest(s, all); best != "" {
				d.Notes = append(d.Notes, fmt.Sprintf("did you mean %s?", best))
			}
			d.Notes = append(d.Notes, fmt.Sprintf("it has %s", diag.List(all)))
			diags = append(diags, d)
		}
		wanted[s] = true
	}
	var out []string
	for _, a := range all {
		if wanted[a] {
			out = append(out, a)
		}
	}
	return out, diags
}

// each builds every size and calls done with it; done may be called from
// several goroutines at once. Diagnostics come in the order of the sizes.
func (j Job) each(done func(i int, r *build.Result) error) ([]diag.Diagnostic, error) {
	names, diags := j.sizes()
	if diags = append(diags, j.sizeNames()...); len(diags) > 0 {
		return diags, nil
	}
	type outcome struct {
		diags []diag.Diagnostic
		err   error
	}
	outs := make([]outcome, len(names))
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	finished := 0
	for range min(runtime.GOMAXPROCS(0), len(names)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				ds, err := j.size(names[i], func(r *build.Result) error { return done(i, r) })
				outs[i] = outcome{diags: ds, err: err}
				mu.Lock()
				finished++
				if j.Progress != nil {
					j.Progress(finished, len(names))
				}
				mu.Unlock()
			}
		}()
	}
	for i := range names {
		next <- i
	}
	close(next)
	wg.Wait()
	all := diag.Gathered{Sizes: names}
	for i, o := range outs {
		if f, panicked := o.err.(*failure); panicked {
			panic(f)
		}
		if o.err != nil {
			return diags, o.err
		}
		for _, d := range o.diags {
			all.Add(d, names[i])
		}
	}
	return append(diags, all.Diagnostics()...), nil
}

// ErrStopped says that whoever asked for sizes wants them no more: see check.Program.Stopped.
var ErrStopped = errors.New("stopped before every size was built")

func (j Job) stopped() bool { return j.Program.Stopped != nil && j.Program.Stopped() }

// failure is a panic of a goroutine that builds a size: for whoever waits for it.
type failure struct {
	panicked any
	stack    []byte
}

func (f *failure) Error() string { return fmt.Sprintf("%v\n%s", f.panicked, f.stack) }

// size builds one size, holds it to the shop's rules and calls done with it. The error is
// done's, ErrStopped or a *failure.
func (j Job) size(name string, done func(r *build.Result) error) (ds []diag.Diagnostic, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &failure{p, debug.Stack()}
		}
	}()
	if j.stopped() {
		return nil, ErrStopped
	}
	r, ds := build.Size(j.Program, name, j.Shop, j.Settings)
	if r.Assembly != nil && !j.stopped() {
		var of []diag.Diagnostic
		if much := plane.Within(func() { of = append(blankNames(r), j.workshop(r)...) }); much != nil {
			of = []diag.Diagnostic{{Code: "P2061", Severity: diag.Error, Summary: "holding this size to the shop's rules takes too much work", Notes: []string{much.Error()}}}
		}
		ds = append(ds, of...)
	}
	if j.stopped() {
		return nil, ErrStopped
	}
	return ds, done(r)
}

// Check builds every size and keeps none.
func (j Job) Check() []diag.Diagnostic {
	diags, _ := j.Inspect()
	return diags
}

// Inspect is Check with what is no mistake and good to know, in notes: see unnicked.
func (j Job) Inspect() (diags, notes []diag.Diagnostic) {
	names, _ := j.sizes()
	of := make([][]diag.Diagnostic, len(names))
	diags, _ = j.each(func(i int, r *build.Result) error {
		of[i] = j.unnicked(r)
		return nil
	})
	all := diag.Gathered{Sizes: names}
	for i, ds := range of {
		for _, d := range ds {
			all.Add(d, names[i])
		}
	}
	return diags, all.Diagnostics()
}

// Results builds every size and returns them in the design's order. Their folds are not
// marked: see Marked.
func (j Job) Results() ([]*build.Result, []diag.Diagnostic) {
	names, _ := j.sizes()
	out := make([]*build.Result, len(names))
	diags, _ := j.each(func(i int, r *build.Result) error { out[i] = r; return nil })
	return out, diags
}

// Marked is Results with every blank's folds marked as the shop does, which takes a plan of
// how it is bent: for whoever writes or shows what is to be cut.
func (j Job) Marked() ([]*build.Result, []diag.Diagnostic) {
	names, _ := j.sizes()
	out := make([]*build.Result, len(names))
	diags, _ := j.each(func(i int, r *build.Result) error { j.mark(r); out[i] = r; return nil })
	return out, diags
}

// Build builds every size into the design's folder below out. Nothing is written there unless all
// sizes come out without error; the error is one of writing.
func (j Job) Build(out string, opt output.Options) ([]diag.Diagnostic, error) {
	if m := j.Program.Root; m.File.Design == nil {
		return []diag.Diagnostic{{
			Code: "P2046", Severity: diag.Error, Span: diag.Span{Source: m.Source},
			Summary: "a file without a design line is a module, of which nothing is built",
			Notes:   []string{"begin it with a design line, or build a design that uses it"},
		}}, nil
	}
	stage, err := j.Stage(out, opt)
	if err != nil {
		return nil, err
	}
	defer stage.Discard()
	var made atomic.Bool // a part, at any size
	diags, err := j.each(func(_ int, r *build.Result) error {
		if r.Assembly == nil {
			return nil
		}
		if len(r.Assembly.Copies) > 0 {
			made.Store(true)
		}
		j.mark(r)
		return stage.Add(r.Assembly)
	})
	if err != nil || diag.HasErrors(diags) {
		return diags, err
	}
	if !made.Load() {
		diags = append(diags, diag.Diagnostic{
			Code: "P7001", Severity: diag.Warning, Span: j.Program.Root.File.Design.At,
			Summary: "the design makes no parts: the folder holds values only",
		})
	}
	_, more, err := Placed(stage, "size")
	return append(diags, more...), err
}

// Known are the sizes that are asked for, in the design's order, or what is wrong with them.
func (j Job) Known() ([]string, []diag.Diagnostic) { return j.sizes() }
