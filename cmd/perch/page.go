package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"perch/lang/diag"
	"perch/lang/display"
	"perch/lang/family"
	"perch/parts/page"
)

type pageCmd struct {
	design
	Out   string `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/page.html." placeholder:"FOLDER"`
	Plain bool   `help:"For a customer: the piece, its sizes and overall measures; no flats, values or warnings."`
	taking
}

func (c *pageCmd) Run(s *session) error {
	job, diags, err := c.job(s)
	if err != nil {
		return err
	}
	if diag.HasErrors(diags) {
		return s.tell(diags, c.JSON)
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var more []diag.Diagnostic
	stopped := until(stop, func() {
		var doc *page.Document
		if doc, more, err = display.Page(ctx, job, display.Options{Plain: c.Plain, Sheets: !c.Plain}); err != nil || doc == nil {
			return
		}
		var b bytes.Buffer
		if err = doc.Write(&b); err != nil {
			return
		}
		var placed []diag.Diagnostic
		placed, err = job.Beside(c.Out, map[string][]byte{display.PageFile: b.Bytes()}, c.Replace)
		more = append(more, placed...)
	})
	if stopped != nil {
		return stopped
	}
	if errors.Is(err, context.Canceled) {
		return errStopped
	}
	if told := s.tell(append(noted(job, diags), more...), c.JSON); told != nil {
		return told
	}
	if err == nil && !c.JSON {
		fmt.Fprintf(s.out, "wrote %s\n", filepath.Join(family.Folder(c.Out, c.File), display.PageFile))
	}
	return err
}
