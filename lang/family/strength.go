package family

import (
	"bytes"
	"context"
	"errors"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/output"
	"perch/parts/strength"
	"perch/parts/strength/shown"
	"perch/parts/tipping"
)

// StrengthFile is what a size's estimates of strength are called beside its build; each
// load's picture is strength-NAME.svg.
const StrengthFile = "strength.json"

// memory is how much the factors of an estimate may take, bytes: said before it is taken.
const memory = 1 << 30

// Strength estimates what every size's loads do to it, puts records and pictures beside the
// build, below an output folder, and hands each report over. Where a design names no load,
// somebody sits on its highest level face. The error is one of writing, or ctx's.
func (j Job) Strength(ctx context.Context, out string, opt output.Options, each func(*build.Result, *strength.Report)) ([]diag.Diagnostic, error) {
	return j.Papers(out, opt, func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
		cases := casesOf(r)
		if len(cases) == 0 {
			return nil, []diag.Diagnostic{{Code: "P9012", Severity: diag.Error, Summary: "nothing says what the piece carries, and no level face is large enough to sit on",
				Notes: []string{"name a load, such as: let goods = load(20kg, on: shelf.top)"}}}, nil
		}
		report, err := strength.Of(ctx, r.Assembly, r.Flats, cases, strength.Options{Friction: footing, Memory: memory, Metal: strength.MetalOf(j.Shop)})
		if err != nil {
			var e *strength.Error
			if ctx.Err() != nil || !errors.As(err, &e) {
				return nil, nil, err
			}
			return nil, []diag.Diagnostic{unheld(r, e)}, nil
		}
		each(r, report)
		files, err := strengthFiles(r, report)
		return files, nil, err
	})
}

// footing is the friction of a foot on a floor: typical, common practice, no source.
const footing = 0.3

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

// casesOf are what loads a size: what its design names, or somebody sitting.
func casesOf(r *build.Result) (cases []strength.Case) {
	for _, named := range r.Made.Loads() {
		c := strength.Case{Name: named.Name, On: named.On}
		for _, l := range named.Loads {
			c.Loads = append(c.Loads, tipping.Load{Force: l.Force, Across: l.Across, Frame: l.Frame, Area: l.Area})
			c.Spread = append(c.Spread, l.Spread)
		}
		cases = append(cases, c)
	}
	if len(cases) > 0 {
		return cases
	}
	if c, ok := strength.Sat(r.Assembly); ok {
		return []strength.Case{c}
	}
	return nil
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
	case strength.NoMetal:
		d.Notes = []string{"the shop file says a material's modulus and yield"}
	case strength.TooLarge:
		if e.Err != nil {
			d.Notes = []string{e.Err.Error()}
		}
	}
	return d
}
