package reason

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"
	"sync"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/parts/measure"
	"perch/parts/shop"
	"perch/parts/spelling"
)

// MaxPoints is the number of grid points that a sweep may have.
const MaxPoints = 10_000

// Axis is one name of a sweep and its values, in internal units.
type Axis struct {
	Param  *check.Decl
	Unit   quantity.UnitDef // that it was written in; the zero UnitDef for plain numbers
	Values []float64
}

// Show is a value of the axis in its own unit.
func (a Axis) Show(v float64) float64 {
	if a.Unit.Scale == 0 {
		return v
	}
	return v / a.Unit.Scale
}

// ParseAxis reads NAME=from..to:step.
func ParseAxis(p *check.Program, text string) (Axis, error) {
	bad := func(why string) (Axis, error) {
		such := measure.Either{Millimetres: "height=400mm..800mm:50mm", Inches: "height=16in..32in:2in"}
		return Axis{}, fmt.Errorf("%s: %s; write NAME=from..to:step, such as %s", text, why, such.In(p.Shown))
	}
	name, rest, ok := strings.Cut(text, "=")
	span, stepText, ok2 := strings.Cut(rest, ":")
	fromText, toText, ok3 := strings.Cut(span, "..")
	if !ok || !ok2 || !ok3 {
		return bad("this is no range with a step")
	}
	a := Axis{}
	var names []string
	for _, d := range build.Params(p) {
		names = append(names, d.Name)
		if d.Name == name {
			a.Param = d
		}
	}
	if a.Param == nil {
		hint := "it has " + strings.Join(names, ", ")
		if best := spelling.Nearest(name, names); best != "" {
			hint = "did you mean " + best + "?"
		}
		return Axis{}, fmt.Errorf("%s: the design has no number param %s; %s", text, name, hint)
	}
	dim := build.ParamDim(a.Param)
	var v [3]float64
	for i, t := range []string{fromText, toText, stepText} {
		t = strings.TrimSpace(t)
		lit, err := quantity.ParseLiteral(strings.TrimPrefix(t, "-"))
		if err != nil {
			return bad(err.Error())
		}
		if lit.Kind == quantity.Gauge || lit.Dim != dim {
			return bad(fmt.Sprintf("%s is a %s, %s is not", name, dim, t))
		}
		v[i] = lit.Value
		if strings.HasPrefix(t, "-") {
			v[i] = -v[i]
		}
		if i == 0 {
			a.Unit = lit.Unit()
		}
	}
	n := (v[1] - v[0]) / v[2]
	switch {
	case !(v[2] > 0):
		return bad("the step is more than nothing")
	case !(n >= 0):
		return bad("it runs from the smaller value to the larger")
	case n >= MaxPoints:
		return Axis{}, fmt.Errorf("%s: %.0f points are more than the %d that a sweep may have", text, math.Floor(n)+1, MaxPoints)
	}
	for k := 0; k <= int(n+1e-9); k++ {
		a.Values = append(a.Values, v[0]+float64(float64(k)*v[2]))
	}
	return a, nil
}

// Point is one point of a sweep.
type Point struct {
	At     []float64        // by axis, internal units
	Of     []build.Quantity // by result, NaN where it has none
	Broken *Broken          // nil where every rule holds
}

// Broken is what a point of a sweep breaks.
type Broken struct {
	Code, Text, Where string
}

func (b *Broken) String() string {
	if b == nil {
		return ""
	}
	return strings.TrimSuffix(b.Code+" "+b.Text+" at "+b.Where, " at ")
}

// Sweep builds a size at every point of the grid that the axes make, the last
// axis fastest. It ends early, with the context's error, when that is cancelled.
// progress, where set, is told after every point, one call at a time.
func Sweep(ctx context.Context, p *check.Program, size string, shop *shop.Shop, settings []build.Setting, axes []Axis, of []Wanted, progress func(done, total int)) ([]Point, error) {
	total := 1
	for _, a := range axes {
		if total *= len(a.Values); total > MaxPoints {
			return nil, fmt.Errorf("the grid has more than the %d points that a sweep may have: take larger steps", MaxPoints)
		}
	}
	points := make([]Point, total)
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for range min(runtime.GOMAXPROCS(0), total) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				points[i] = pointOf(p, size, shop, settings, axes, of, i)
				mu.Lock()
				if done++; progress != nil {
					progress(done, total)
				}
				mu.Unlock()
			}
		}()
	}
feeding:
	for i := range total {
		select {
		case next <- i:
		case <-ctx.Done():
			break feeding
		}
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil && done < total {
		return nil, err
	}
	return points, nil
}

func pointOf(p *check.Program, size string, shop *shop.Shop, settings []build.Setting, axes []Axis, of []Wanted, i int) Point {
	pt := Point{At: make([]float64, len(axes))}
	all := settings[:len(settings):len(settings)]
	for k := len(axes) - 1; k >= 0; k-- {
		n := len(axes[k].Values)
		pt.At[k] = axes[k].Values[i%n]
		i /= n
		all = append(all, build.Pinned(axes[k].Param, pt.At[k]))
	}
	r, _ := build.Size(p, size, shop, all)
	for _, f := range r.Faults() {
		if f.Severity == diag.Error {
			pt.Broken = brokenBy(p, f)
			break
		}
	}
	for _, w := range of {
		q := build.Quantity{V: math.NaN()}
		if r.Stands() {
			q, _ = r.Eval(w.Expr)
		}
		pt.Of = append(pt.Of, q)
	}
	return pt
}

// brokenBy names the rule that a fault is about, the same at every point that
// breaks it: of a conflict, the rules and ranges that take part.
func brokenBy(p *check.Program, f eval.Fault) *Broken {
	where := func(at diag.Span) string {
		if at.Source == nil {
			return ""
		}
		return fmt.Sprintf("%s:%d", p.FromDesign(at.Source), at.Position().Line)
	}
	b := &Broken{Code: f.Code, Text: f.In(p.Shown).Summary, Where: where(f.Span)}
	switch c := f.Cause.(type) {
	case eval.Unmet:
		b.Text = oneLine(f.Span)
	case rules.Conflict:
		var of []string
		for _, st := range c.Of {
			if st.Kind == rules.KindRule && of == nil {
				b.Where = where(st.At)
			}
			if st.Kind == rules.KindRule || st.Kind == rules.KindRange {
				of = append(of, st.Text)
			}
		}
		if of != nil {
			b.Text = strings.Join(of, ", ")
		}
	}
	return b
}

func oneLine(at diag.Span) string { return strings.Join(strings.Fields(at.Text()), " ") }
