package main

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/papers"
	"perch/lang/reason"
	"perch/parts/output"
	"perch/parts/panel"
	"perch/parts/paper"
)

// pages are the flags of every verb that makes pages.
type pages struct {
	beside
	Paper string `help:"Paper to print on: A4, Letter or A3. Default: the shop file's." placeholder:"NAME"`
	Date  string `help:"A date for the title blocks, as 2031-05-04. Default: none, so that the same design gives the same bytes." placeholder:"DAY"`
}

// options are those of the pages.
func (c *pages) options(job family.Job) (papers.Options, error) {
	name := c.Paper
	if name == "" {
		name = job.Shop.Papers.Sheet
	}
	sheet, err := paper.ParseSheet(name)
	if err != nil {
		return papers.Options{}, err
	}
	opt := papers.Options{Sheet: sheet}
	if c.Date != "" {
		if opt.Date, err = time.Parse(time.DateOnly, c.Date); err != nil {
			return opt, fmt.Errorf("%q is no day: write it as 2031-05-04", c.Date)
		}
	}
	return opt, nil
}

// write makes the papers of every size that has some and puts them beside the build. Where none
// has, it says nothing.
func (c *pages) write(s *session, name string, make func(ctx context.Context, j papers.Job, r *build.Result) (*paper.Document, error)) error {
	var lacking []rune
	none := true
	_, diags, err := c.put(s, func(job family.Job, out output.Options) ([]diag.Diagnostic, error) {
		opt, err := c.options(job)
		if err != nil {
			return nil, err
		}
		return job.Papers(c.Out, out, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
			doc, err := make(context.Background(), papers.Job{Job: job, Options: opt}, r)
			if err != nil || doc == nil {
				return nil, nil, err
			}
			none = false
			for _, sign := range doc.Lacking() {
				if !slices.Contains(lacking, sign) {
					lacking = append(lacking, sign)
				}
			}
			var b bytes.Buffer
			if err := doc.PDF(&b); err != nil {
				return nil, nil, err
			}
			return map[string][]byte{name: b.Bytes()}, nil, nil
		})
	})
	if err != nil {
		return err
	}
	if err := s.tell(diags, c.JSON); err != nil || none {
		return err
	}
	if len(lacking) > 0 {
		fmt.Fprintf(s.err, "the pages' font lacks %s: such a sign is printed as its number, [U+%04X]\n", strings.Join(quoted(lacking), " "), lacking[0])
	}
	if !c.JSON {
		fmt.Fprintf(s.out, "wrote %s of %s into %s\n%s\n", name, named(c.File), family.Folder(c.Out, c.File), caution)
	}
	return nil
}

func quoted(signs []rune) []string {
	out := make([]string, len(signs))
	for i, r := range signs {
		out[i] = string(r)
	}
	return out
}

type packetCmd struct{ pages }

func (c *packetCmd) Run(s *session) error {
	return c.write(s, papers.PacketFile, func(ctx context.Context, j papers.Job, r *build.Result) (*paper.Document, error) {
		return j.Packet(ctx, r)
	})
}

type drawingCmd struct {
	pages
	Part string `short:"p" required:"" help:"The part, one of its copies, or a blank." placeholder:"NAME"`
}

func (c *drawingCmd) Run(s *session) error {
	known := map[string]bool{}
	found, made := false, false
	err := c.write(s, papers.DrawingFile(c.Part), func(_ context.Context, j papers.Job, r *build.Result) (*paper.Document, error) {
		made = true
		var blanks []*panel.Blank
		for _, p := range reason.Pieces(r.Assembly, c.Part) {
			blanks = append(blanks, p.Blank)
		}
		for _, b := range r.Assembly.Blanks {
			known[b.Name] = true
		}
		if len(blanks) == 0 {
			return nil, nil
		}
		found = true
		return j.Drawing(r, blanks)
	})
	if err == nil && made && !found {
		var names []string
		for n := range known {
			names = append(names, n)
		}
		slices.Sort(names)
		return fmt.Errorf("no size has a blank called %s; %sthere are %s", c.Part, meant(c.Part, names), strings.Join(names, ", "))
	}
	return err
}
