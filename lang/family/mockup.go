package family

import (
	"bytes"
	"context"
	"fmt"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/mockup"
	"perch/parts/naming"
	"perch/parts/output"
	"perch/parts/paper"
)

// Names of a mock-up's files, beside the build.
const (
	MockupFile  = "mockup.pdf"
	PatternFile = "patterns.pdf" // at full size
)

// Mockup makes a paper model of every size at a scale, at full size patterns to cut metal
// by, on paper of a name, "" for the shop's, and puts it beside the size's build, below an output folder. Nothing is written unless
// all sizes come out; the error is one of writing, or ctx's.
func (j Job) Mockup(ctx context.Context, out string, scale mockup.Scale, sheet string, opt output.Options) ([]diag.Diagnostic, error) {
	if sheet == "" {
		sheet = j.Shop.Papers.Sheet
	}
	on, err := paper.ParseSheet(sheet)
	if err != nil {
		return nil, err
	}
	return j.Papers(out, opt, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
		a := r.Assembly
		pages := mockup.Options{Sheet: on, Paper: opt.Paper, Title: paper.Title{
			Design: a.Design, Revision: a.Revision, Size: naming.Plain(a.Size), Units: opt.Paper.System.Unit(), Ruler: opt.Paper.System,
		}}
		name, doc, err := MockupFile, (*paper.Document)(nil), error(nil)
		if scale == mockup.Full {
			name = PatternFile
			doc, err = mockup.Patterns(ctx, a, pages)
		} else {
			doc, err = mockup.Pages(ctx, a, scale, pages)
		}
		if err != nil {
			if ctx.Err() != nil {
				return nil, nil, ctx.Err()
			}
			return nil, []diag.Diagnostic{j.unsuited(err)}, nil
		}
		var b bytes.Buffer
		if err := doc.PDF(&b); err != nil {
			return nil, nil, fmt.Errorf("the paper model of size %s: %w", a.Size, err)
		}
		return map[string][]byte{name: b.Bytes()}, nil, nil
	})
}

// unsuited is the mistake of a scale, or a piece, that no paper model is made of.
func (j Job) unsuited(err error) diag.Diagnostic {
	return diag.Diagnostic{Code: "P7010", Severity: diag.Error, Summary: measure.Of(err).In(j.Program.Shown)}
}
