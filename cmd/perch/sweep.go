package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/reason"
)

type sweepCmd struct {
	design
	Axes []string `arg:"" name:"range" help:"What to run over: height=400mm..800mm:50mm. Several make a grid." placeholder:"NAME=FROM..TO:STEP"`
	Of   []string `help:"A result to write: a param, mass(), flat_long(leg), any expression. Repeatable. Default: all params that move, and mass()." placeholder:"EXPRESSION" sep:"none"`
	CSV  string   `name:"csv" help:"The table's file. Default: on the terminal." placeholder:"FILE"`
	Plot string   `help:"Draw the results to this file, .svg or .png." placeholder:"FILE"`
	Out  string   `short:"o" help:"Write sweep.csv and sweep.svg to FOLDER/DESIGN." placeholder:"FOLDER"`
	taking
}

func (c *sweepCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	sizes, err := sizesOf(job.Program, c.Size)
	if err != nil {
		return err
	}
	if len(sizes) > 1 {
		return fmt.Errorf("a sweep starts from one size: add --size with one of %s", strings.Join(sizes, ", "))
	}
	sw := reason.Study{Size: sizes[0]}
	for _, text := range c.Axes {
		a, err := reason.ParseAxis(job.Program, text)
		if err != nil {
			return err
		}
		sw.Axes = append(sw.Axes, a)
	}
	if ds := targets(append(sources(job.Program), c.Shop), c.CSV, c.Plot); len(ds) > 0 {
		return s.refuse(ds, c.JSON)
	}
	if ext := filepath.Ext(c.Plot); c.Plot != "" && ext != ".svg" && ext != ".png" {
		return fmt.Errorf("a plot is an .svg or a .png file, not %s", c.Plot)
	}
	if len(c.Of) == 0 {
		c.Of = reason.Usual(job.Program, sw.Axes)
	}
	of, more := reason.Want(job.Program, c.Of)
	if diag.HasErrors(more) {
		return s.tell(more, c.JSON)
	}
	sw.Of = of
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var progress func(done, total int)
	if s.live {
		progress = s.points()
	}
	sw.Points, err = reason.Sweep(ctx, job.Program, sw.Size, job.Shop, job.Settings, sw.Axes, of, progress)
	if errors.Is(err, context.Canceled) {
		return errors.New("cancelled; nothing is written")
	}
	if err != nil {
		return err
	}
	return c.write(s, job, sw)
}

// Names of what is written below --out.
const (
	sweepTable = "sweep.csv"
	sweepPlot  = "sweep.svg"
)

// write makes everything first, then puts each file in its place whole: where a flag says,
// else below --out, else the table to the terminal.
func (c *sweepCmd) write(s *session, job family.Job, sw reason.Study) error {
	sw.In = job.Program.Shown
	var table, plot bytes.Buffer
	if err := sw.WriteCSV(&table); err != nil {
		return err
	}
	if c.Plot != "" || c.Out != "" {
		if err := sw.WritePlot(&plot, filepath.Ext(c.Plot) == ".png"); err != nil {
			return err
		}
	}
	below := map[string][]byte{}
	for _, f := range []struct {
		flag, name string
		text       []byte
	}{{c.CSV, sweepTable, table.Bytes()}, {c.Plot, sweepPlot, plot.Bytes()}} {
		switch {
		case f.flag != "":
			if err := putFile(f.flag, string(f.text)); err != nil {
				return err
			}
		case c.Out != "":
			below[f.name] = f.text
		case f.name == sweepTable:
			if _, err := s.out.Write(f.text); err != nil {
				return err
			}
		}
	}
	if len(below) > 0 {
		diags, err := job.Beside(c.Out, below, c.Replace)
		if len(diags) > 0 {
			if told := s.tell(diags, c.JSON); told != nil {
				return told
			}
		}
		if err != nil {
			return err
		}
	}
	if broken := sw.Broken(); broken > 0 {
		fmt.Fprintf(s.err, "%d of %d points break a rule; the last column says which\n", broken, len(sw.Points))
	}
	return nil
}

// points tells on a terminal how far a sweep is, from the first second on.
func (s *session) points() func(done, total int) {
	start := time.Now()
	shown := time.Time{}
	return func(done, total int) {
		switch {
		case done == total && !shown.IsZero():
			fmt.Fprint(s.err, "\r\x1b[K")
		case done < total && time.Since(start) > time.Second && time.Since(shown) > 100*time.Millisecond:
			shown = time.Now()
			fmt.Fprintf(s.err, "\r%d of %d points", done, total)
		}
	}
}
