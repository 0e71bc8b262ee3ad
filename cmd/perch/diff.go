package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"perch/lang/compare"
	"perch/lang/diag"
	"perch/lang/display"
	"perch/lang/family"
	"perch/lang/history"
	"perch/lang/load"
	"perch/parts/measure"
	"perch/parts/shop"
)

type diffCmd struct {
	Old        string   `arg:"" help:"The design as it was: a file, or REV:path in the git repository around this folder."`
	New        string   `arg:"" help:"The design as it is: a file, REV:path, or :path for what is staged, :2:path and :3:path in a conflict."`
	All        bool     `short:"a" help:"Tell every hole, fold and mark that changed, at every size. Default: what changed alike in one line."`
	Size       []string `short:"s" help:"A size to compare; repeat it for several. Default: all." placeholder:"NAME"`
	Shop       string   `help:"A shop file: materials, machines, sheets, rivets. Default: the built-in shop." placeholder:"FILE"`
	Unit       string   `enum:"design,mm,in" default:"design" help:"Units to tell it in: ${enum}. Default: those of the new design."`
	JSON       bool     `name:"json" help:"Write the answer as JSON."`
	HTML       string   `name:"html" help:"Write a page with old and new flats over each other." placeholder:"FILE"`
	Page       string   `name:"page" help:"Write a page for a browser with old and new laid over each other in space." placeholder:"FILE"`
	SVG        string   `name:"svg" help:"Write old and new flats over each other as one drawing." placeholder:"FILE"`
	CheckParts bool     `help:"For a hook or a build server: 1 only when a part changed and the revision did not."`
	Sheets     bool     `help:"Nest the blanks of sizes at which a part changed, and tell how many sheets they take and what those cost."`
	AnyName    bool     `help:"Compare even two designs of different names."`
}

// Help is shown below the verb's flags.
func (c *diffCmd) Help() string {
	return "Exit codes: 0 the same, 1 different, 2 a design can't be read or has mistakes."
}

func (c *diffCmd) Run(s *session) error {
	d, sides, err := c.compare(s)
	if err != nil {
		return err
	}
	report := d.Brief()
	if c.All {
		report = d.All()
	}
	if err := writeTo(c.HTML, report.HTML); err != nil {
		return err
	}
	if err := writeTo(c.SVG, d.SVG); err != nil {
		return err
	}
	if err := writeTo(c.Page, func(w io.Writer) error { return c.page(w, sides) }); err != nil {
		return err
	}
	switch {
	case c.JSON:
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		err = enc.Encode(d)
	case c.CheckParts:
		err = d.Guard(s.out)
	default:
		err = report.Text(s.out)
	}
	if err != nil {
		return err
	}
	if c.CheckParts && d.Unannounced() || !c.CheckParts && !d.Same {
		return exit(exitMistake)
	}
	return nil
}

// page writes both sides laid over each other.
func (c *diffCmd) page(w io.Writer, sides [2]compare.Side) error {
	facts, err := readShop(c.Shop)
	if err != nil {
		return err
	}
	job := func(i int, file string) family.Job {
		return family.Job{Program: sides[i].Program, File: file, Shop: facts}
	}
	doc, err := display.Compared(job(0, c.Old), job(1, c.New), sides[0].Results, sides[1].Results, [2]string{c.Old, c.New})
	if err != nil {
		return err
	}
	return doc.Write(w)
}

// compare opens, builds and compares both sides; their mistakes are told.
func (c *diffCmd) compare(s *session) (d *compare.Difference, sides [2]compare.Side, err error) {
	shop, err := readShop(c.Shop)
	if err != nil {
		return nil, sides, err
	}
	sides = [2]compare.Side{{Name: c.Old}, {Name: c.New}}
	var diags [2][]diag.Diagnostic
	for i := range sides {
		if sides[i].Program, diags[i], err = history.Design(sides[i].Name, ".", shop); err != nil {
			return nil, sides, err
		}
		if system, ok := measure.Named(c.Unit); ok {
			sides[i].Program.Shown = system
		}
	}
	read := append(sources(sides[0].Program), sources(sides[1].Program)...)
	if ds := targets(append(read, c.Shop), c.HTML, c.SVG, c.Page); len(ds) > 0 {
		return nil, sides, s.refuse(ds, c.JSON)
	}
	if err := c.tellSides(s, diags); err != nil {
		return nil, sides, err
	}
	sides[0], sides[1], diags, err = compare.Build(sides[0], sides[1], shop, c.Size)
	if err != nil {
		return nil, sides, err
	}
	if err := c.tellSides(s, diags); err != nil {
		return nil, sides, err
	}
	d, err = compare.Compare(sides[0], sides[1])
	var names *compare.NamesError
	if errors.As(err, &names) && !c.AnyName {
		return nil, sides, fmt.Errorf("%w; --any-name compares them all the same", err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return d, sides, d.Charge(ctx, sides[0], sides[1], shop, c.Sheets)
}

// tellSides tells the errors of both sides, and ends the verb where there are any.
func (c *diffCmd) tellSides(s *session, diags [2][]diag.Diagnostic) error {
	failed := false
	for i, ds := range diags {
		var errs []diag.Diagnostic
		for _, d := range ds {
			if d.Severity == diag.Error {
				errs = append(errs, d)
			}
		}
		if len(errs) == 0 {
			continue
		}
		failed = true
		side, name := "old", c.Old
		if i == 1 {
			side, name = "new", c.New
		}
		fmt.Fprintf(s.err, "the %s design, %s, has mistakes:\n", side, name)
		if err := diag.Render(s.err, diag.Limited(diag.Sorted(errs), diag.MostTold), diag.Style{Color: s.colour}); err != nil {
			return err
		}
	}
	if failed {
		return exit(exitTrouble)
	}
	return nil
}

// writeTo writes a file, where one is asked for, and nothing of it where drawing
// it fails.
func writeTo(name string, draw func(io.Writer) error) error {
	if name == "" {
		return nil
	}
	var b bytes.Buffer
	if err := draw(&b); err != nil {
		return err
	}
	return putFile(name, b.String())
}

// readShop reads a shop file; "" is the built-in shop.
func readShop(name string) (*shop.Shop, error) {
	if name == "" {
		return shop.Default(), nil
	}
	text, err := load.Plain(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read the shop file %s: %w", name, err)
	}
	shop, err := shop.Load(text)
	if err != nil {
		return nil, fmt.Errorf("the shop file %s: %w", name, err)
	}
	return shop, nil
}
