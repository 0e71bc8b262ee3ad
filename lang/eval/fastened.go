package eval

import (
	"fmt"
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/measure"
)

// tally is what all joins of a size hold, to tell what none does.
type tally struct {
	named []naming              // in the order of the text
	holds map[*face]bool        // faces that a fastener goes through
	alone map[*syntax.Join]bool // joins told to set a lone fastener in a long patch
	group map[*part]*part       // of fastened parts, towards the one that stands for all
}

// naming is a face that a join names.
type naming struct {
	by   syntax.Expr
	face *face
}

func newTally() *tally {
	return &tally{holds: map[*face]bool{}, alone: map[*syntax.Join]bool{}, group: map[*part]*part{}}
}

// hold notes that a fastener goes through sheets.
func (t *tally) hold(stack []sheet) {
	for _, s := range stack {
		t.holds[s.of] = true
		t.group[t.of(s.of.part)] = t.of(stack[0].of.part)
	}
}

// of is the part that stands for all that are fastened to p.
func (t *tally) of(p *part) *part {
	for t.group[p] != nil && t.group[p] != p {
		p = t.group[p]
	}
	return p
}

// unheld warns of faces that a join names and nothing fastens: for each place in the text
// that names them, once.
func (ev *evaluator) unheld(t *tally) {
	names := map[syntax.Expr][]string{}
	var order []syntax.Expr
	for _, n := range t.named {
		if t.holds[n.face] {
			continue
		}
		name := n.face.part.name + "." + n.face.name
		if slices.Contains(names[n.by], name) {
			continue
		}
		if names[n.by] == nil {
			order = append(order, n.by)
		}
		names[n.by] = append(names[n.by], name)
	}
	for _, by := range order {
		ev.warn("P5006", by.Span(), fmt.Sprintf("nothing fastens %s, which this join names", few(names[by])),
			"no other member of a join lies on it")
	}
}

// apart warns of parts that nothing fastens to the rest, unless they are said to be loose:
// the rest is the largest group of parts that hold each other, the first of equals.
func (ev *evaluator) apart(parts []*part, t *tally) {
	groups := map[*part][]*part{}
	for _, p := range parts {
		groups[t.of(p)] = append(groups[t.of(p)], p)
	}
	loose := func(group []*part) bool {
		return slices.ContainsFunc(group, func(p *part) bool { return p.stmt.Loose })
	}
	var rest []*part
	for _, p := range parts {
		if g := groups[t.of(p)]; len(g) > len(rest) && !loose(g) {
			rest = g
		}
	}
	if len(rest) == 0 {
		return // all are loose
	}
	told := map[*syntax.Part][]string{} // copies of one statement that lie alone are told at once
	var order []*syntax.Part
	for _, p := range parts {
		g := groups[t.of(p)]
		switch {
		case g[0] != p || g[0] == rest[0] || loose(g) || alike(g, rest): // a piece of its own like the rest
		case len(g) > 1:
			ev.lies(p.stmt, few(names(g))+" hold each other, and nothing fastens them to the rest")
		default:
			if told[p.stmt] == nil {
				order = append(order, p.stmt)
			}
			told[p.stmt] = append(told[p.stmt], p.name)
		}
	}
	for _, s := range order {
		ev.lies(s, "nothing fastens "+few(told[s])+" to the rest")
	}
}

// alike tells whether two groups are made of as many copies of the same part statements.
func alike(a, b []*part) bool {
	count := map[*syntax.Part]int{}
	for _, p := range a {
		count[p.stmt]++
	}
	for _, p := range b {
		count[p.stmt]--
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return true
}

func (ev *evaluator) lies(s *syntax.Part, summary string) {
	end := s.Value.Span()
	end.Start = end.End
	d := value.Diagnostic("P5007", s.Name.At, summary, "join it, or say that it is meant to lie free")
	d.Severity, d.Part = diag.Warning, s.Name.Name
	d.Fix = &diag.Fix{Message: "write `loose` behind it", Edits: []diag.Edit{{Span: end, Text: " loose"}}}
	ev.Report(d)
}

func names(parts []*part) []string {
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = p.name
	}
	return out
}

// few lists names, the first few of many.
func few(names []string) string {
	const most = 6
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", diag.List(names[:most-1]), len(names)-most+1)
	}
	return diag.List(names)
}

// lonely warns of one fastener in a patch longer than ten of its diameters: the sheets
// can turn about it, and gape at their ends (common practice).
func (ev *evaluator) lonely(t *tally, s *syntax.Join, p join.Patch, fixes []join.Fixing) {
	if len(fixes) != 1 || t.alone[s] {
		return
	}
	f := fixes[0]
	size := p.Region.Bounds().Size()
	long := max(size.X, size.Y)
	if f.Kind != join.Rivet && f.Kind != join.Bolt && f.Kind != join.Plug || long <= 10*f.Diameter {
		return
	}
	t.alone[s] = true
	at, fix := s.By.Span(), (*diag.Fix)(nil)
	if x, ok := ev.argumentNamed(source{s.By, &env{}}, "count"); ok {
		at = x.by.Span()
		if _, written := unwrapped(x.by).(*syntax.Literal); written {
			fix = &diag.Fix{Message: "write 2", Edits: []diag.Edit{{Span: at, Text: "2"}}}
		}
	}
	d := value.Diagnostic("P5008", at, ev.says("a lone %s holds %s and %s, which meet over %.4g: more than ten diameters, %.4g", f.Kind,
		p.Members[0].Name(), p.Members[len(p.Members)-1].Name(), measure.Length(long), measure.Length(10*f.Diameter)),
		"the sheets can turn about it and gape: set two or more")
	d.Severity, d.Fix = diag.Warning, fix
	ev.Report(d)
}
