package eval

import (
	"context"
	"errors"
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// What sheets() keeps free, as the verb nest does unless told otherwise (common
// practice, no source), and how hard it looks: a rule may be asked many times.
const (
	nestSpacing = 6.0 // mm between blanks
	nestMargin  = 8.0 // mm along a sheet's edge
	nestEffort  = 0.6
)

// Sheets is how many sheets the blanks of a stock take: of the size that the stock
// states, else of the shop's.
func (ev *evaluator) Sheets(of value.Stock, at diag.Span) int {
	n, known := ev.nested[of.Name]
	if !known {
		n = ev.nest(of, at)
		ev.nested[of.Name] = n
	}
	return n
}

// nest counts the sheets of a stock.
func (ev *evaluator) nest(st value.Stock, at diag.Span) int {
	j := ev.job(st, at)
	if len(j.Blanks) == 0 {
		return 0
	}
	r, err := LayOut(context.Background(), j)
	var large *nest.TooLargeError
	if errors.As(err, &large) {
		ev.fail("P8003", at, "a blank is larger than every sheet", measure.Of(err))
	}
	if err != nil {
		value.FailUnmeasurable(at, "how many sheets this takes cannot be worked out", measure.Of(err),
			measure.Say("state the sheet's size where the stock is declared, as in size: %s", measure.Either{Millimetres: "(1250mm, 2500mm)", Inches: "(48in, 96in)"}))
	}
	return len(r.Sheets)
}

// LayOut nests a job, as sheets() and what compares designs count sheets. The
// search ends with its first layout: what it would better from there is what is
// left over, never the number of sheets. ctx ends it early; errors are of nest.Sheets.
func LayOut(ctx context.Context, j nest.Job) (*nest.Result, error) {
	search, found := context.WithCancel(ctx)
	defer found()
	r, err := nest.Sheets(search, j, nest.Options{Effort: nestEffort, Progress: func(p nest.Progress) {
		if p.Placed == p.Blanks {
			found()
		}
	}})
	if err == nil && r.Left != nil {
		return nil, ctx.Err()
	}
	return r, err
}

// SheetJob is blanks of one stock, and the sheets that they can be cut from: of the
// size that the stock states, else of the shop's, which have prices.
func SheetJob(st *shop.Stock, blanks []*panel.Blank, shop *shop.Shop) nest.Job {
	j := nest.Job{Margin: nestMargin, Spacing: nestSpacing, Kerf: min(shop.Cutter.Kerf, nestSpacing)}
	for _, b := range blanks {
		j.Blanks = append(j.Blanks, nest.Blank{
			Name: b.Name, Count: b.Count, Material: st.Material, Thickness: st.Thickness,
			Region: append(plane.Region{b.Flat.Outer}, layout.Openings(b.Flat)...),
		})
	}
	if st.SheetWidth > 0 {
		j.Sheets = []nest.Sheet{{Name: st.Name, Material: st.Material, Thickness: st.Thickness, Width: st.SheetWidth, Length: st.SheetLength}}
		return j
	}
	for _, s := range shop.SheetsOf(st.Material, st.Thickness) {
		j.Sheets = append(j.Sheets, nest.Sheet{Name: s.Material, Material: st.Material, Thickness: st.Thickness,
			Width: min(s.Width, s.Length), Length: max(s.Width, s.Length), Price: s.Price})
	}
	return j
}

// job is what of the design is cut from a stock.
func (ev *evaluator) job(st value.Stock, at diag.Span) nest.Job {
	var parts []panel.Part
	for _, d := range ev.prog.Root.Order {
		if d.Kind != check.Part {
			continue
		}
		value.Each(ev.declared(d, at), func(v value.Value) {
			if p := v.(*part); p.stock.Name == st.Name {
				parts = append(parts, panel.Part{Name: p.name, Family: p.base, Flat: ev.flat(p, at)})
			}
		})
	}
	blanks, _ := panel.Group(parts)
	return SheetJob(st.Stock, blanks, ev.shop)
}

// fits tells whether the sheets that the call x counts are at most, or fewer than,
// y; known is false where it is not that simple.
func (ev *evaluator) fits(x, y syntax.Expr, fewer bool, e *env) (ok, known bool) {
	call, isCall := x.(*syntax.Call)
	if !isCall || !countsSheets(ev.prog, call) {
		return false, false
	}
	v, ok := ev.Quietly(y, e)
	limit, isNumber := v.(value.Number)
	if !ok || !isNumber {
		return false, false
	}
	st, isStock := ev.eval(ev.prog.Bound(call).Args[0], e).(value.Stock)
	if !isStock {
		return false, false
	}
	most := math.Floor(limit.V + equalWithin)
	if fewer {
		most = math.Ceil(limit.V-equalWithin) - 1
	}
	if n, counted := ev.nested[st.Name]; counted {
		return float64(n) <= most, true
	}
	j := ev.job(st, call.At)
	if len(j.Blanks) == 0 || most < 1 || len(j.Sheets) != 1 || most > maxCopies {
		return float64(min(len(j.Blanks), 1)) <= most, len(j.Blanks) == 0 || most < 1
	}
	j.Sheets[0].Count = int(most)
	r, err := LayOut(context.Background(), j)
	var full *nest.NoRoomError
	if errors.As(err, &full) {
		return false, true
	}
	if err != nil {
		return false, false // told by the count itself
	}
	ev.nested[st.Name] = len(r.Sheets)
	return true, true
}

// countsSheets tells whether a call is of a function that counts sheets.
func countsSheets(p *check.Program, x *syntax.Call) bool {
	b := p.Bound(x)
	return b != nil && b.Function != nil && b.Function.Sheets
}

// CountsSheets tells whether an expression of the design's file, through lets, counts
// sheets.
func CountsSheets(p *check.Program, x syntax.Expr) bool {
	found := false
	seen := map[*check.Decl]bool{}
	var visit func(n syntax.Node) bool
	visit = func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.Call:
			found = found || countsSheets(p, n)
		case *syntax.Name:
			if d := p.DeclOf(n); d != nil && !seen[d] {
				seen[d] = true
				if l, is := d.Node.(*syntax.Let); is {
					syntax.Inspect(l.Value, visit)
				}
			}
		}
		return !found
	}
	syntax.Inspect(x, visit)
	return found
}
