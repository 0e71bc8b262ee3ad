package family

import (
	"bytes"
	"context"
	"errors"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/remedy"
	"perch/parts/output"
	"perch/parts/strength"
	"perch/parts/strength/shown"
)

// StrengthFile is what a size's estimates of strength are called beside its build; each
// load's picture is strength-NAME.svg.
const StrengthFile = "strength.json"

// Strength estimates what every size's loads do to it, puts records and pictures beside the
// build, below an output folder, and hands each report over. Where a design names no load,
// somebody sits on its highest level face. How far it goes is the estimating's. The error is
// one of writing, or ctx's.
func (j Job) Strength(ctx context.Context, out string, opt output.Options, est Estimating) ([]diag.Diagnostic, error) {
	return j.Papers(out, opt, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
		cases := r.Cases()
		if len(cases) == 0 {
			return nil, []diag.Diagnostic{unloaded(r)}, nil
		}
		o := r.Estimating(j.Shop)
		report, err := strength.Of(ctx, r.Assembly, r.Flats, cases, o)
		if err == nil && est.Helps {
			report.Tried = true
			report.Helps, report.Untried, err = remedy.Of(ctx, r, j.Shop, j.Settings, o)
		}
		if err != nil {
			var e *strength.Error
			if ctx.Err() != nil || !errors.As(err, &e) {
				return nil, nil, err
			}
			return nil, []diag.Diagnostic{unheld(r, e)}, nil
		}
		est.Each(r, report)
		files, err := strengthFiles(r, report)
		return files, nil, err
	})
}

// Estimating is how far estimates go, and who is handed them.
type Estimating struct {
	Helps bool // what one change at a time is worth is tried too
	Each  func(*build.Result, *strength.Report)
}

// unloaded is the mistake of a size that nothing says the load of.
func unloaded(r *build.Result) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P9012", Severity: diag.Error, Summary: "nothing says what the piece carries, and no level face is large and high enough to sit on"}
	line := r.Asking()
	if line == "" {
		line = "let goods = load(20kg, on: shelf.top)"
	}
	d.Notes = []string{"say where and how much it is to carry, such as: " + line}
	return d
}

func strengthFiles(r *build.Result, report *strength.Report) (map[string][]byte, error) {
	var b bytes.Buffer
	if err := shown.WriteJSON(&b, r.Assembly, report); err != nil {
		return nil, err
	}
	files := map[string][]byte{StrengthFile: b.Bytes()}
	for i := range report.Estimates {
		e := &report.Estimates[i]
		if e.Problem != nil {
			continue
		}
		var p bytes.Buffer
		if err := shown.Picture(&p, r.Assembly, e); err != nil {
			return nil, err
		}
		files["strength-"+e.Case.Name+".svg"] = p.Bytes()
	}
	return files, nil
}

// unheld is the mistake of a piece that no estimate can be made of, at the part that it is
// about.
func unheld(r *build.Result, e *strength.Error) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P9011", Severity: diag.Error, Summary: "no strength can be told: " + e.Reason.String()}
	if len(e.Parts) > 0 {
		d.Summary += ": " + strings.Join(e.Parts, ", ")
		d.Span, d.Part = r.Place(e.Parts[0]), e.Parts[0]
	}
	switch e.Reason {
	case strength.Unheld:
		d.Code = "P9010"
		d.Notes = []string{"join it, or state it loose where it is meant to lie free"}
	case strength.OneLine:
		d.Code = "P9001"
		d.Notes = []string{"give it feet that span an area, or say by what it hangs, such as: let wall = support(plate.top.hole)"}
	case strength.NoMetal:
		d.Notes = []string{"the shop file says a material's modulus and yield"}
	case strength.TooLarge:
		if e.Err != nil {
			d.Notes = []string{e.Err.Error()}
		}
	}
	return d
}
