package rules

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/value"
	"perch/solver"
)

// Bounds of what is spent on a report once the rules could not be solved.
const (
	maxNearest = 8 // statements for which the nearest value that works is sought
	maxListed  = 8 // solutions, or sets of names, that a report lists
	maxClashes = 3 // conflicts, none of which shares a statement with another
)

// Conflict is the cause of statements that can't all hold.
type Conflict struct{ Of []Statement }

// Judge reports what the solver could not do and tells whether there are values.
func (s *System) Judge(res solver.Result) bool {
	at := s.sizeAt()
	switch {
	case res.Status == solver.None:
		s.conflicts(res)
	case res.Status == solver.Undetermined:
		s.undetermined(res, at)
	case len(res.Competing) > 0:
		s.competing(res, at)
	case res.Status == solver.Several:
		s.several(res, at)
	case len(res.Solutions) == 0:
		d := value.Diagnostic("P3004", at, "no values were found for these rules, and that there are none is not proved",
			"narrow the ranges of the names that take part, or state one of them")
		for _, id := range res.Conflict {
			d.Related = append(d.Related, diag.Related{Span: s.notes[id].at, Message: "takes part"})
		}
		s.Report(d)
	default:
		return true
	}
	return false
}

func (s *System) describe(values []float64) string {
	var out []string
	for i, v := range s.Vars {
		if v >= 0 && !math.IsNaN(values[v]) {
			out = append(out, fmt.Sprintf("%s = %s", s.Params[i].Name, s.Read(i, values[v])))
		}
	}
	return strings.Join(out, ", ")
}

// Read writes a value of param i for people.
func (s *System) Read(i int, v float64) string {
	return s.QuantityOf(i, v).Text(s.Program.Shown)
}

// beside is what is left of the rules once other conflicts are taken out of them.
type beside struct {
	lims []Limits // nil for all as they are
	less []solver.ID
}

// besides takes the statements and ranges of conflicts out, but for that of one.
func (s *System) besides(all []solver.Result, but int) beside {
	b := beside{lims: slices.Clone(s.Limits)}
	for k, res := range all {
		if k == but {
			continue
		}
		b.less = append(b.less, res.Conflict...)
		for _, v := range res.Range {
			b.lims[v] = Limits{Lo: math.Inf(-1), Hi: math.Inf(1)}
		}
	}
	return b
}

// conflicts reports a conflict, and others that have nothing in common with it.
func (s *System) conflicts(first solver.Result) {
	all := []solver.Result{first}
	for len(all) < maxClashes && len(first.Conflict) > 0 {
		b := s.besides(all, -1)
		sys, ids := s.Variant(b.lims, func(id solver.ID, _ *solver.Constraint) bool { return !slices.Contains(b.less, id) })
		res := sys.Solve()
		if res.Status != solver.None || len(res.Conflict) == 0 {
			break
		}
		for k, id := range res.Conflict {
			res.Conflict[k] = ids[id]
		}
		all = append(all, res)
	}
	for k, res := range all {
		s.conflict(res, s.besides(all, k))
	}
}

// conflict reports one, with what would mend it were there no other.
func (s *System) conflict(res solver.Result, rest beside) {
	if len(res.Conflict) == 1 && len(res.Range) == 1 && s.notes[res.Conflict[0]].decl != nil && s.notes[res.Conflict[0]].kind != KindRange {
		s.Report(s.outside(s.notes[res.Conflict[0]]))
		return
	}
	d := value.Diagnostic("P3001", s.sizeAt(), "these cannot all hold")
	var cause Conflict
	for i, id := range s.blameFirst(res.Conflict) {
		n := s.notes[id]
		cause.Of = append(cause.Of, s.Statement(id))
		if i == 0 {
			d.Span, d.Label = n.at, conflictLabel[n.kind]
			continue
		}
		d.Related = append(d.Related, diag.Related{Span: n.at, Message: conflictLabel[n.kind]})
	}
	var whole []string
	for _, v := range res.Range {
		st := s.RangeOf(v)
		cause.Of = append(cause.Of, st)
		says := st.Name + " stays within this range"
		if x, ok := s.between(v, res.Conflict); ok {
			name := s.Params[s.Of[v]].Name
			says = st.Name + " is a whole number of this range"
			whole = append(whole, fmt.Sprintf("%s is a whole number, and would have to be %s", name, s.QuantityOf(s.Of[v], x).Text(s.Program.Shown)))
		}
		d.Related = append(d.Related, diag.Related{Span: st.At, Message: says})
	}
	near := s.nearest(res, rest)
	if whole != nil { // limits of what holds say little of what is whole
		d.Summary = Joined(whole, "and")
		near = slices.DeleteFunc(near, func(b nearby) bool { return b.bound })
	}
	s.advise(&d, near, res)
	if far := s.farthest(res); far != "" && whole == nil {
		d.Summary = far + " while " + s.within(res)
	}
	if n := s.letGo(res.Conflict, rest); n != "" {
		d.Notes = append(d.Notes, n)
	}
	if left, right, ok := s.sides(res.Conflict); ok {
		d.Notes = append(d.Notes, fmt.Sprintf("by the other statements, the rule's left side is %s and its right side %s", left, right))
	}
	s.ReportFault(eval.Fault{Diagnostic: d, Cause: cause})
}

// farthest tells how far one side of a rule goes that stands against ranges alone, its
// other side being a constant; "" where that is not so.
func (s *System) farthest(res solver.Result) string {
	if len(res.Conflict) != 1 || len(res.Range) == 0 {
		return ""
	}
	id := res.Conflict[0]
	n, con := s.notes[id], s.Constraints[id]
	if n.kind != KindRule || len(n.exprs) != 2 {
		return ""
	}
	side, x := 0, con.Left
	if len(s.Mentions(n.exprs[:1])) == 0 {
		side, x = 1, con.Right
	}
	if len(s.Mentions(n.exprs[1-side:2-side])) > 0 {
		return ""
	}
	wanted, ok := s.worth(n.exprs[1-side], make([]float64, len(s.Of)))
	y, known := s.sym.of(n.exprs[side], &eval.Env{})
	if !ok || !known {
		return ""
	}
	sys, _ := s.Variant(nil, func(solver.ID, *solver.Constraint) bool { return false })
	for _, end := range []struct {
		sense solver.Sense
		word  string
	}{{solver.Largest, "at most"}, {solver.Smallest, "at least"}} {
		o := sys.Extremum(x, end.sense)
		if o.Certain && float64(end.sense)*(wanted-o.Value) >= 0 {
			text := Quantity{V: o.Value, Dim: y.dim}.Text(s.Program.Shown)
			return fmt.Sprintf("%s is %s %s", OneLine(n.exprs[side].Span().Text()), end.word, text)
		}
	}
	return ""
}

// letGo tells how to drop the defaults of a conflict that stand against what is
// stated: those that the rules give a value without.
func (s *System) letGo(conflict []solver.ID, rest beside) string {
	stated, set := false, false
	var names []string
	for _, id := range s.blameFirst(conflict) {
		switch n := s.notes[id]; {
		case n.kind == KindSetting:
			stated, set = true, true
		case n.kind == KindSize:
			stated = true
		case n.kind == KindDefault && !n.about && stated && len(names) < maxNearest:
			sys, _ := s.Variant(rest.lims, func(k solver.ID, _ *solver.Constraint) bool { return k != id && !slices.Contains(rest.less, k) })
			if r := sys.Solve(); r.Status == solver.Unique {
				names = append(names, n.decl.Name+" free")
			}
		}
	}
	if names == nil {
		return ""
	}
	for i := range names {
		if set {
			names[i] = "--set '" + names[i] + "'"
		} else {
			names[i] = "`" + names[i] + "`"
		}
	}
	if set {
		return "a default holds as a stated value does; to let it go, " + Joined(names, "or")
	}
	return "a default holds as a stated value does; to let it go, state " + Joined(names, "or") + " in the size"
}

// advise says what the statements of a conflict could say instead: a limit in the
// summary, the others as notes.
func (s *System) advise(d *diag.Diagnostic, near []nearby, res solver.Result) {
	var exact []string
	told := false
	for _, b := range near {
		if d.Fix == nil {
			d.Fix = b.fix
		}
		switch {
		case !b.bound:
			exact = append(exact, b.text)
		case told:
			d.Notes = append(d.Notes, "or "+b.text)
		default:
			d.Summary, told = b.text, true
			if w := s.within(res); w != "" {
				d.Summary += " while " + w
			}
		}
	}
	if len(exact) > 0 {
		d.Notes = append(d.Notes, "with all else as it is, they would hold with "+strings.Join(exact, ", or "))
	}
}

// between is what statements would make of a count, were it no count, where that is no
// whole number; ok is false where it is one, or there is none.
func (s *System) between(v solver.Var, of []solver.ID) (x float64, ok bool) {
	if !s.Limits[v].Whole {
		return 0, false
	}
	lims := slices.Clone(s.Limits)
	lims[v].Whole = false
	sys, _ := s.Variant(lims, func(k solver.ID, _ *solver.Constraint) bool { return slices.Contains(of, k) })
	res := sys.Solve()
	if res.Status == solver.None || math.IsNaN(res.Values[v]) {
		return 0, false
	}
	x = res.Values[v]
	return x, math.Abs(x-math.Round(x)) > 1e-9*max(1, math.Abs(x))
}

// blameFirst puts what the maker states for this very build first: settings,
// then the size, then rules and defaults in the order of the text.
func (s *System) blameFirst(ids []solver.ID) []solver.ID {
	rank := func(id solver.ID) int {
		switch s.notes[id].kind {
		case KindSetting:
			return 0
		case KindSize:
			return 1
		case KindRule:
			return 2
		}
		return 3
	}
	ids = slices.Clone(ids)
	slices.SortStableFunc(ids, func(a, b solver.ID) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return int(s.notes[a].at.Start) - int(s.notes[b].at.Start)
	})
	return ids
}

// within words the ranges that take part in a conflict.
func (s *System) within(res solver.Result) string {
	var out []string
	for _, v := range res.Range {
		d := s.Params[s.Of[v]]
		if d.Param.Domain != nil {
			out = append(out, fmt.Sprintf("%s stays within %s", d.Name, OneLine(d.Param.Domain.At.Text())))
		} else {
			out = append(out, d.Name+" is whole")
		}
	}
	return Joined(out, "and")
}

// sides are both sides of the conflict's rule, where it has only one and the
// other statements fix all of its names.
func (s *System) sides(conflict []solver.ID) (left, right string, ok bool) {
	rule := solver.ID(-1)
	for _, id := range conflict {
		if s.notes[id].kind == KindRule {
			if rule >= 0 {
				return "", "", false
			}
			rule = id
		}
	}
	if rule < 0 || len(s.notes[rule].exprs) != 2 {
		return "", "", false
	}
	sys, _ := s.Variant(nil, func(k solver.ID, _ *solver.Constraint) bool { return k != rule && slices.Contains(conflict, k) })
	res := sys.Solve()
	if len(res.Solutions) != 1 {
		return "", "", false
	}
	a, okA := s.worth(s.notes[rule].exprs[0], res.Values)
	b, okB := s.worth(s.notes[rule].exprs[1], res.Values)
	y, okY := s.sym.of(s.notes[rule].exprs[0], &eval.Env{})
	if !okA || !okB || !okY || math.IsNaN(a) || math.IsNaN(b) {
		return "", "", false
	}
	left, right = value.Shown{V: a, Dim: y.dim}.In(s.Program.Shown), value.Shown{V: b, Dim: y.dim}.In(s.Program.Shown)
	return left, right, left != right
}

// outside is a value stated outside its parameter's range, or a count that is not whole.
func (s *System) outside(n constraint) diag.Diagnostic {
	p := n.decl.Param
	d := value.Diagnostic("P3010", n.at, fmt.Sprintf("%s is outside its range", n.decl.Name))
	if v, known := s.wanted(n, unknowns(len(s.Limits))); known {
		text := value.Shown{V: v, Dim: ParamDim(n.decl)}.In(s.Program.Shown)
		d.Summary = fmt.Sprintf("%s is %s, outside its range", n.decl.Name, text)
		if v != math.Trunc(v) && p.Type.Name == "count" {
			d.Summary = fmt.Sprintf("%s is %s, but a count is whole", n.decl.Name, text)
		}
	}
	d.Label = conflictLabel[n.kind]
	if p.Domain != nil {
		d.Related = append(d.Related, diag.Related{Span: p.Domain.At, Message: "its range"})
	}
	return d
}

// unknowns is a solution in which nothing is known.
func unknowns(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

var conflictLabel = map[Kind]string{
	KindRule: "must hold", KindRange: "the range", KindSize: "stated by the size", KindSetting: "stated on the command line",
	KindDefault: "the default holds unless a size states the name",
}

// undetermined tells what nothing fixes, and the fewest names that would.
func (s *System) undetermined(res solver.Result, at diag.Span) {
	var names []string
	var first diag.Span
	for i, v := range s.Vars {
		if v >= 0 && math.IsNaN(res.Values[v]) {
			names = append(names, s.Params[i].Name)
			if first.Source == nil {
				first = s.Params[i].At
			}
		}
	}
	d := value.Diagnostic("P3002", first, fmt.Sprintf("nothing fixes %s", Joined(names, "and")))
	if at.Source != nil {
		d.Related = append(d.Related, s.atSize(at)...)
	}
	var sets []string
	for n, set := range res.FreeSets {
		if n == maxListed {
			sets = append(sets, fmt.Sprintf("%d others", len(res.FreeSets)-n))
			break
		}
		var of []string
		for _, v := range set {
			of = append(of, s.Params[s.Of[v]].Name)
		}
		sets = append(sets, Joined(of, "and"))
	}
	switch {
	case len(sets) == 1 && len(res.FreeSets[0]) == len(names):
		d.Notes = append(d.Notes, fmt.Sprintf("state %s, give it a default, or write a rule for it", sets[0]))
	case len(sets) > 0:
		d.Notes = append(d.Notes, "it is enough to state "+strings.Join(sets, ", or "))
	}
	s.Report(d)
}

// Joined lists words as one speaks them: a, b and c.
func Joined(words []string, last string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " " + last + " " + words[n-1]
}
