package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"time"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/measure"
	"perch/parts/shop"
)

// design are the flags of every verb that opens a design.
type design struct {
	File string   `arg:"" help:"The design, a .perch file, or - for standard input."`
	Size []string `short:"s" help:"A size to take; repeat it for several. Default: all." placeholder:"NAME"`
	Set  []string `help:"State a value, stronger than the size's: --set height=700mm. Repeatable." placeholder:"NAME=VALUE" sep:"none"`
	Shop string   `help:"A shop file: materials, machines, sheets, rivets. Default: the built-in shop." placeholder:"FILE"`
	Unit string   `enum:"design,mm,in" default:"design" help:"Units to read the design in, and of drawings: ${enum}. Default: the design's, drawings for cutting as the shop takes them."`
	All  bool     `help:"Tell every mistake, warning and note. Default: 50 at most, the others counted by code."`
	JSON bool     `name:"json" help:"Write the answer as JSON."`
}

// job opens the design. Mistakes are told and end the verb.
func (d *design) job(s *session) (family.Job, []diag.Diagnostic, error) {
	s.all = &d.All
	facts, err := readShop(d.Shop)
	if err != nil {
		return family.Job{}, nil, err
	}
	open := load.Design
	if d.File == "-" {
		open = func(_ string, facts *shop.Shop) (*check.Program, []diag.Diagnostic, error) {
			return load.From(os.Stdin, facts)
		}
	}
	prog, diags, err := open(d.File, facts)
	if errors.Is(err, load.ErrNotPlain) {
		err = fmt.Errorf("%w; a design from another program is read as -, from standard input", err)
	}
	if err != nil {
		return family.Job{}, nil, err
	}
	settings, more := family.Settings(prog, d.Set)
	diags = append(diags, more...)
	job := family.Job{Program: prog, File: d.File, Shop: facts, Sizes: d.Size, Settings: settings}
	if system, ok := measure.Named(d.Unit); ok {
		job.In(system)
	}
	if s.live {
		job.Progress = s.progress()
	}
	return job, diags, nil
}

// named is a design's file in a sentence.
func named(file string) string {
	if file == "-" {
		return load.Stdin
	}
	return file
}

// noted adds the note on the units that were taken for a design that names none.
func noted(job family.Job, diags []diag.Diagnostic) []diag.Diagnostic {
	if note, ok := job.Program.Taken(); ok {
		return append(diags, note)
	}
	return diags
}

// progress tells on a terminal how far a long job is, from the first second on.
func (s *session) progress() func(done, total int) {
	start := time.Now()
	shown := false
	return func(done, total int) {
		if time.Since(start) < time.Second {
			return
		}
		if done < total {
			fmt.Fprintf(s.err, "\r%d of %d sizes", done, total)
			shown = true
		} else if shown {
			fmt.Fprint(s.err, "\r\x1b[K")
		}
	}
}

// tell prints diagnostics and returns the exit that they ask for.
func (s *session) tell(diags []diag.Diagnostic, json bool) error {
	diags = diag.Sorted(diags)
	failed := diag.HasErrors(diags)
	if !json {
		diags = diag.AtOnce(diags)
	}
	if s.all == nil || !*s.all {
		diags = diag.Limited(diags, diag.MostTold)
		if last := len(diags) - 1; last >= 0 && diags[last].LeftOut > 0 && s.all != nil {
			diags[last].Notes = append(diags[last].Notes, "--all tells them too")
		}
	}
	var err error
	if json {
		err = diag.WriteJSON(s.out, diags)
	} else {
		err = diag.Render(s.err, diags, diag.Style{Color: s.colour})
	}
	if err == nil && failed {
		err = exit(exitMistake)
	}
	return err
}

// taking is the flag of every verb that writes into a folder.
type taking struct {
	Replace []string `help:"Replace a file in the output folder that perch did not write, or that was changed since: --replace mid/leg.dxf, or --replace mid for all that is in the way there; the folder's own name takes it over from another design. Repeatable." placeholder:"NAME" sep:"none"`
}

// caution is the last line of what becomes parts that are cut, bent and loaded.
const caution = "numbers are estimates: bend a test strip, load the first piece well above its load; mind cut edges, eyes and fingers"

type buildCmd struct {
	design
	Out      string   `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/SIZE." placeholder:"FOLDER"`
	Pictures bool     `default:"true" negatable:"" help:"Draw the assembled piece and every flat as pictures."`
	Also     []string `help:"Write these too, of every size: step, the piece as exact solids; glb, the piece to look at, folding up; pdf, its pictures as pages." placeholder:"KIND,..."`
	taking
}

func (c *buildCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	opt := job.Output(c.Pictures)
	opt.Replace = c.Replace
	if wrong := family.Also(&opt, c.Also); wrong != nil {
		return s.tell(append(diags, wrong...), c.JSON)
	}
	var more []diag.Diagnostic
	if stopped := until(nil, func() { more, err = job.Build(c.Out, opt) }); stopped != nil {
		return stopped
	}
	if told := s.tell(append(noted(job, diags), more...), c.JSON); told != nil {
		return told
	}
	if err != nil {
		return err
	}
	if !c.JSON {
		fmt.Fprintf(s.out, "built %s into %s\n%s\n", named(c.File), family.Folder(c.Out, c.File), caution)
	}
	return nil
}

type checkCmd struct {
	design
	Tolerance bool `help:"Tell too which hole is made when, and what real bends and holes are off: misfits, pins, where holes drilled in place land, feet."`
}

func (c *checkCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if c.Tolerance && !diag.HasErrors(diags) {
		return c.tolerance(s, job, diags)
	}
	if !diag.HasErrors(diags) {
		told, notes := job.Inspect()
		diags = slices.Concat(noted(job, diags), job.Program.Unused(), told, notes)
	}
	if err := s.tell(diags, c.JSON); err != nil {
		return err
	}
	if !c.JSON {
		fmt.Fprintf(s.out, "%s: no mistakes\n", named(c.File))
	}
	return nil
}

type versionCmd struct{}

func (versionCmd) Run(s *session) error {
	fmt.Fprintln(s.out, "perch", version())
	return nil
}

// version is the module's, where it was installed as one.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "built from source"
}
