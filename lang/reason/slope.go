package reason

import (
	"fmt"
	"math"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// Slope tells how one value or measured result moves with one stated param, in
// units of the record: d Of / d By.
type Slope struct {
	Of, By string
	Value  float64 // NaN where there is none
	Error  float64 // estimated; 0 where the rules were differentiated exactly
	Exact  bool
	Unit   string // such as mm/deg
}

// Slopes are the sensitivities of one size: of every param exactly through the
// rules, of every measured result by central differences through the geometry.
type Slopes struct {
	Size string
	By   []string
	Of   []string
	At   [][]Slope // by Of, then By
}

// step is the width of a difference, of the value's size, or of 1 mm, 1 rad or 1
// near zero: wide enough for the rounding of a build, narrow enough for curves.
const step = 1e-3

// Sensitivities differentiates a size.
func Sensitivities(p *check.Program, size string, shop *shop.Shop, settings []build.Setting, results []Wanted) (Slopes, []diag.Diagnostic) {
	r, diags := build.Solve(p, size, shop, settings)
	out := Slopes{Size: size}
	if !r.Stands() {
		return out, diags
	}
	d := r.Slopes()
	out.By = d.By
	params := map[string]*check.Decl{}
	units := map[string]string{}
	for _, c := range build.Params(p) {
		params[c.Name] = c
		units[c.Name] = unitOf(build.ParamDim(c))
	}
	for i, of := range d.Of {
		row := make([]Slope, len(d.By))
		for k, by := range d.By {
			row[k] = Slope{Of: of, By: by, Value: d.D[i][k], Exact: true, Unit: ratio(units[of], units[by])}
		}
		out.Of, out.At = append(out.Of, of), append(out.At, row)
	}
	values := map[string]float64{}
	for _, c := range r.Causes() {
		values[c.Name] = c.V
	}
	first := len(out.Of)
	for _, w := range results {
		out.Of, out.At = append(out.Of, w.Text), append(out.At, make([]Slope, len(d.By)))
	}
	for k, by := range d.By {
		for j, s := range differences(p, size, shop, settings, params[by], values[by], results) {
			s.By, s.Of = by, results[j].Text
			s.Unit = ratio(s.Unit, units[by])
			out.At[first+j][k] = s
		}
	}
	return out, diags
}

// differences are the slopes of results along one param: central differences at
// two widths, extrapolated to width 0 (L. F. Richardson, 1911); one-sided ones at
// an end of what can be built. What the extrapolation changed is the error.
func differences(p *check.Program, size string, shop *shop.Shop, settings []build.Setting, d *check.Decl, v float64, results []Wanted) []Slope {
	h := step * math.Max(math.Abs(v), 1)
	if build.ParamDim(d) == quantity.Angle {
		h = step * math.Max(math.Abs(v), 0.1)
	}
	unit := make([]string, len(results))
	at := func(k float64) []float64 {
		out := make([]float64, len(results))
		r, _ := build.Solve(p, size, shop, append(settings[:len(settings):len(settings)], build.Pinned(d, v+float64(k*h))))
		for j, w := range results {
			out[j] = math.NaN()
			if q, diags := r.Eval(w.Expr); r.Stands() && !diag.HasErrors(diags) {
				out[j], unit[j] = q.Recorded()
			}
		}
		return out
	}
	lo, hi, half, over, mid := at(-1), at(1), at(-0.5), at(0.5), at(0)
	scale, _ := build.Quantity{V: h, Dim: build.ParamDim(d)}.Recorded()
	out := make([]Slope, len(results))
	for j := range results {
		wide, fine := (hi[j]-lo[j])/(2*scale), (over[j]-half[j])/scale
		best := (float64(4*fine) - wide) / 3
		if math.IsNaN(best) { // one side can't be built
			for _, side := range [][3]float64{{hi[j], over[j], 1}, {lo[j], half[j], -1}} {
				a, b := side[2]*(side[0]-mid[j])/scale, side[2]*(side[1]-mid[j])/(scale/2)
				if x := 2*b - a; math.IsNaN(best) {
					wide, fine, best = a, b, x
				}
			}
		}
		noise := 1e-12 * math.Max(math.Abs(hi[j]), math.Abs(mid[j])) / scale
		out[j] = Slope{Value: best, Error: math.Abs(best-fine) + noise, Unit: unit[j]}
	}
	return out
}

func unitOf(d quantity.Dim) string {
	_, u := build.Quantity{Dim: d}.Recorded()
	return u
}

func ratio(of, by string) string {
	switch {
	case of == by:
		return ""
	case by == "":
		return of
	case of == "":
		return "1/" + by
	}
	return of + "/" + by
}

// Wanted is a result that is asked for: an expression of the language.
type Wanted struct {
	Text string
	Expr syntax.Expr
}

// Want reads results as they are asked for.
func Want(p *check.Program, texts []string) ([]Wanted, []diag.Diagnostic) {
	var out []Wanted
	var diags []diag.Diagnostic
	for _, t := range texts {
		x, more := build.Expression(p, t)
		diags = append(diags, more...)
		out = append(out, Wanted{t, x})
	}
	return out, diags
}

// Measured are the results that every design with parts has: its mass, and the
// flat size of each of its parts.
func Measured(p *check.Program) []string {
	var out []string
	for _, d := range p.Root.Order {
		if d.Kind == check.Part {
			if out == nil {
				out = append(out, "mass()")
			}
			out = append(out, fmt.Sprintf("flat_long(%s)", d.Name), fmt.Sprintf("flat_wide(%s)", d.Name))
		}
	}
	return out
}
