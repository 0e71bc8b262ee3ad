package remedy

import (
	"fmt"
	"math"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/panel"
	"perch/parts/shop"
)

// change is one change of a design to try.
type change struct {
	text     string
	edits    []edit
	settings []build.Setting
	join     string  // of more fasteners: their statement
	without  bool    // a part is left out: where the rest does not hold, nobody is told
	less     *change // to try where this comes to nothing; or nil
}

// changes are those to try at one size: each family of parts left out, with what hangs on it, each
// stock in the next thicker sheet of the shop, one more of each count, two more fasteners, or
// one, in each patch.
func changes(r *build.Result, sh *shop.Shop, settings []build.Setting) (all []change) {
	p := r.Program()
	for _, s := range p.Root.File.Stmts {
		if part, ok := s.(*syntax.Part); ok {
			all = append(all, leftOut(p, part, settings))
		}
	}
	for _, s := range p.Root.File.Stmts {
		if stock, ok := s.(*syntax.Stock); ok {
			if c, ok := thicker(p, stock, r.Assembly, sh); ok {
				c.settings = settings
				all = append(all, c)
			}
		}
	}
	for _, d := range build.Params(p) {
		if c, ok := oneMore(d, r.Assembly.Values, settings); ok {
			all = append(all, c)
		}
	}
	for _, s := range p.Root.File.Stmts {
		if j, ok := s.(*syntax.Join); ok {
			two, ok := moreFasteners(p, j, r.Assembly, 2)
			one, okOne := moreFasteners(p, j, r.Assembly, 1)
			if ok && okOne {
				two.settings, one.settings = settings, settings
				two.less = &one
				all = append(all, two)
			}
		}
	}
	return all
}

// leftOut leaves a part out with every statement that names it, and every one that names
// what goes with it.
func leftOut(p *check.Program, part *syntax.Part, settings []build.Setting) change {
	c := change{text: "without " + part.Name.Name, settings: settings, without: true}
	gone := map[*check.Decl]bool{}
	away := map[syntax.Stmt]bool{}
	leave := func(s syntax.Stmt) {
		away[s] = true
		c.edits = append(c.edits, edit{at: s.Span()})
		for _, d := range p.Root.Order {
			if d.Node == syntax.Node(s) {
				gone[d] = true
			}
		}
	}
	leave(part)
	for more := true; more; {
		more = false
		for _, s := range p.Root.File.Stmts {
			if away[s] || !names(p, s, gone) {
				continue
			}
			more = true
			leave(s)
			if other, ok := s.(*syntax.Part); ok {
				c.text += " and " + other.Name.Name
			}
		}
	}
	return c
}

// names tells whether a statement names one of some declarations.
func names(p *check.Program, s syntax.Stmt, of map[*check.Decl]bool) (does bool) {
	syntax.Inspect(s, func(n syntax.Node) bool {
		if d := p.DeclOf(n); d != nil && of[d] {
			does = true
		}
		return !does
	})
	return does
}

// argument is the expression of a call's argument, and the call.
func argument(p *check.Program, e syntax.Expr, name string) (syntax.Expr, *syntax.Call) {
	call, ok := e.(*syntax.Call)
	if !ok {
		return nil, nil
	}
	b := p.Bound(call)
	if b == nil || b.Function == nil {
		return nil, nil
	}
	for i, param := range check.Parameters(b.Function) {
		if param.Name == name && i < len(b.Args) {
			return b.Args[i], call
		}
	}
	return nil, call
}

// thicker takes a stock in the next thicker sheet that the shop has of its material.
func thicker(p *check.Program, s *syntax.Stock, a *panel.Assembly, sh *shop.Shop) (c change, ok bool) {
	at, _ := argument(p, s.Value, "thickness")
	var now shop.Stock
	for _, b := range a.Blanks {
		if b.Flat.Panel.Stock.Name == s.Name.Name {
			now = b.Flat.Panel.Stock
		}
	}
	if at == nil || now.Thickness == 0 {
		return c, false
	}
	next := math.Inf(1)
	for _, sheet := range sh.Sheets {
		if sheet.Material == now.Material && sheet.Thickness > now.Thickness+0.05 {
			next = math.Min(next, sheet.Thickness)
		}
	}
	if math.IsInf(next, 1) {
		return c, false
	}
	is := quantity.Format(next, quantity.Length, p.Units)
	was := p.Root.Source.Text[at.Span().Start:at.Span().End]
	c.text = fmt.Sprintf("%s of %s for %s", s.Name.Name, is, was)
	c.edits = []edit{{at.Span(), is}}
	if radius, _ := argument(p, s.Value, "radius"); radius != nil && now.Radius < next {
		c.edits = append(c.edits, edit{radius.Span(), is})
	}
	return c, true
}

// oneMore takes one more of a count.
func oneMore(d *check.Decl, values []panel.Value, settings []build.Setting) (c change, ok bool) {
	if d.Param.Type.Name != "count" {
		return c, false
	}
	for _, v := range values {
		if v.Name != d.Name {
			continue
		}
		c.text = fmt.Sprintf("%s %.0f for %.0f", d.Name, v.Value+1, v.Value)
		for _, s := range settings {
			if s.State.Name.Name != d.Name {
				c.settings = append(c.settings, s)
			}
		}
		c.settings = append(c.settings, rules.Pinned(d, v.Value+1))
		return c, true
	}
	return c, false
}

// moreFasteners takes so many fasteners more in each patch of a join, by their count or by
// their pitch.
func moreFasteners(p *check.Program, j *syntax.Join, a *panel.Assembly, more int) (c change, ok bool) {
	count, call := argument(p, j.By, "count")
	pitch, _ := argument(p, j.By, "pitch")
	each := inEachPatch(a, j.Name.Name)
	if call == nil || each == 0 || p.Bound(call).Function.Name != "rivet" && p.Bound(call).Function.Name != "bolt" {
		return c, false
	}
	c.join = j.Name.Name
	switch {
	case count != nil:
		c.text = fmt.Sprintf("%s count: %d for %d", j.Name.Name, each+more, each)
		c.edits = []edit{{count.Span(), fmt.Sprint(each + 2)}}
	case pitch == nil:
		c.text = fmt.Sprintf("%s count: %d for %d", j.Name.Name, each+more, each)
		end := diag.Span{Source: call.At.Source, Start: call.At.End - 1, End: call.At.End - 1}
		c.edits = []edit{{end, fmt.Sprintf(", count: %d", each+more)}}
	default:
		lit, isLiteral := pitch.(*syntax.Literal)
		if !isLiteral || each < 2 {
			return c, false
		}
		step := 0.5
		if p.Units == quantity.Inches {
			step = quantity.InchMM / 16
		}
		is := quantity.Format(step*math.Floor(lit.Value.Value*float64(each-1)/float64(each-1+more)/step), quantity.Length, p.Units)
		c.text = fmt.Sprintf("%s pitch: %s for %s", j.Name.Name, is, p.Root.Source.Text[lit.At.Start:lit.At.End])
		c.edits = []edit{{lit.At, is}}
	}
	return c, true
}

// inEachPatch is how many fasteners a join has where it has the fewest: between the same
// parts, set the same way.
func inEachPatch(a *panel.Assembly, name string) int {
	of := map[string]int{}
	for _, j := range a.Joins {
		if j.Join == name {
			key := fmt.Sprintf("%.2f %.2f %.2f ", j.Axis.X, j.Axis.Y, j.Axis.Z)
			for _, m := range j.Members {
				key += fmt.Sprint(m.Copy, " ")
			}
			of[key]++
		}
	}
	fewest := 0
	for _, n := range of {
		if fewest == 0 || n < fewest {
			fewest = n
		}
	}
	return fewest
}

// fasteners is how many a join has.
func fasteners(a *panel.Assembly, name string) (n int) {
	for _, j := range a.Joins {
		if j.Join == name {
			n++
		}
	}
	return n
}
