package check

import (
	"fmt"
	"strings"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/measure"
)

// given is an argument as it was given.
type given struct {
	at    syntax.Expr
	t     Type
	named diag.Span // its label, or itself where it has none
}

// args matches a call's arguments with parameters, reads and checks them. It
// returns that of each parameter, its at nil where none is given, then those that
// repeat the last; good is false where any was reported. The first report that is about
// what the callee takes, not about what an argument says by itself, is wrong.
func (c *checker) args(s *scope, callee string, params []Parameter, e *syntax.Call) (got []given, good bool, wrong *diag.Diagnostic) {
	got = make([]given, len(params), max(len(params), len(e.Args)))
	before := c.reported
	surplus := false
	first := map[int]diag.Span{}
	unknown := 0 // labels that are none: what they give is not missing as well
	for i := range e.Args {
		a := &e.Args[i]
		p := 0
		if b := equalled(params, a, i); b != nil {
			a = c.labelFor(b)
			p = paramNamed(params, a.Label.Name)
		} else {
			told := len(c.diags)
			p = c.slot(callee, params, e, i, &surplus)
			if wrong == nil && len(c.diags) > told {
				wrong = c.diags[told]
			}
		}
		if p < 0 {
			c.expr(s, a.Value)
			if a.Label != nil {
				unknown++
			}
			continue
		}
		if at, twice := first[p]; twice && !params[p].Many {
			twice := c.report("P2025", a.Value.Span(), fmt.Sprintf("%s is given twice", params[p].Name), "again here")
			also(twice, at, "first given here")
			leaveOutArg(twice, e, i)
			if wrong == nil {
				wrong = twice
			}
			c.expr(s, a.Value)
			continue
		}
		if a.Value == nil {
			first[p] = e.At
			continue
		}
		first[p] = a.Value.Span()
		if t, ok := c.argument(s, callee, &params[p], a.Value); ok {
			g := given{a.Value, t, a.Value.Span()}
			if a.Label != nil {
				g.named = a.Label.At
			}
			if got[p].at == nil {
				got[p] = g
			} else {
				got = append(got, g)
			}
			if params[p].decl != nil {
				c.inRange(params[p].decl, a.Value)
			}
		} else {
			if wrong == nil && len(c.diags) > 0 {
				wrong = c.diags[len(c.diags)-1]
			}
			if a.Label == nil {
				c.elsewhere(params, first, p, a.Value)
			}
		}
	}
	if wrong != nil {
		c.otherForm(callee, params, first, e, wrong)
	}
	told := len(c.diags)
	c.missing(callee, params, first, e, unknown)
	if wrong == nil && len(c.diags) > told {
		wrong = c.diags[told]
	}
	return got, c.reported == before, wrong
}

// slot finds an argument's parameter, and reports where there is none; of one without its label
// it is the parameter that is meant.
func (c *checker) slot(callee string, params []Parameter, e *syntax.Call, i int, surplus *bool) int {
	a := &e.Args[i]
	p := slot(params, e, i)
	switch {
	case p == noSuchLabel:
		c.unknownLabel(callee, params, e, i)
	case p == behindLabel:
		c.report("P2022", a.Value.Span(), "what follows a labelled argument has a label too", "give its label")
	case p == oneTooMany && !*surplus:
		d := c.report("P2022", a.Value.Span(), fmt.Sprintf("%s takes %s", callee, measure.Counted(len(params), "argument")), "one too many")
		note(d, "it is written "+signatureOf(callee, params))
		if i == len(e.Args)-1 {
			leaveOutArg(d, e, i)
		}
		*surplus = true
	case p >= 0 && a.Label == nil && params[p].Labelled:
		if p = needed(params, p); params[p].Labelled {
			d := c.report("P2022", a.Value.Span(), fmt.Sprintf("%s takes %s by its label", callee, params[p].Name), "give the label")
			fix(d, fmt.Sprintf("write %s: …", params[p].Name), diag.Edit{Span: a.Value.Span().Before(), Text: params[p].Name + ": "})
		}
	}
	return p
}

// equalled is an argument without label that says `name = value` where name is a
// parameter and no flag is wanted: a label is meant.
func equalled(params []Parameter, a *syntax.Arg, i int) *syntax.Binary {
	b, ok := a.Value.(*syntax.Binary)
	if !ok || a.Label != nil || b.Op != syntax.OpEq || b.X == nil || b.Y == nil {
		return nil
	}
	n, ok := b.X.(*syntax.Name)
	if !ok || paramNamed(params, n.Name) < 0 {
		return nil
	}
	if i < len(params) {
		for _, t := range params[i].Types {
			if assignable(flag, t) {
				return nil
			}
		}
	}
	return b
}

// labelFor reports an equality that stands for a labelled argument, which it returns.
func (c *checker) labelFor(b *syntax.Binary) *syntax.Arg {
	n := b.X.(*syntax.Name)
	d := c.report("P2022", opPlace(b), fmt.Sprintf("a label is followed by a colon: %s: …", n.Name), "no equality here")
	fix(d, fmt.Sprintf("write %s: …", n.Name), diag.Edit{Span: diag.Span{Source: n.At.Source, Start: n.At.End, End: b.Y.Span().Start}, Text: ": "})
	return &syntax.Arg{Label: &syntax.Ident{Name: n.Name, At: n.At}, Value: b.Y}
}

// elsewhere offers the label of the one parameter that is needed, not given, and takes
// the argument e, which its own parameter, the p-th, was just reported not to.
func (c *checker) elsewhere(params []Parameter, first map[int]diag.Span, p int, e syntax.Expr) {
	t := c.prog.TypeOf(e)
	if t.silent() || params[p].TakesWord() {
		return
	}
	meant := -1
	for k := range params {
		if _, given := first[k]; given || params[k].Optional || !t.Fits(params[k].Types...) {
			continue
		}
		if meant >= 0 {
			return
		}
		meant = k
	}
	if d := c.diags[len(c.diags)-1]; meant >= 0 && d.Span == e.Span() && d.Fix == nil {
		fix(d, fmt.Sprintf("write %s: …", params[meant].Name), diag.Edit{Span: e.Span().Before(), Text: params[meant].Name + ": "})
		first[meant] = e.Span()
		delete(first, p)
		if !params[p].Optional {
			first[p] = e.Span()
		}
	}
}

// otherForm offers the form of a function of the language in which all arguments can stand as
// they do, labelled, where one was reported, by d, not to be what its parameter takes.
func (c *checker) otherForm(callee string, params []Parameter, first map[int]diag.Span, e *syntax.Call, d *diag.Diagnostic) {
	if len(params) == 0 || params[0].decl != nil || d.Code != "P2010" || d.Fix != nil {
		return
	}
	for _, f := range builtin.Forms(callee) {
		if edits, ok := c.labelled(f, e); ok {
			fix(d, "write "+f.Signature(), edits...)
			for k := range params { // what this form lacks is not missing
				first[k] = e.At
			}
			return
		}
	}
}

// labelled are the labels that make a call one of a form whose parameters all have some, if its
// arguments are what that form needs.
func (c *checker) labelled(f *builtin.Function, e *syntax.Call) (edits []diag.Edit, ok bool) {
	if len(e.Args) != len(f.Params) {
		return nil, false
	}
	for k := range e.Args {
		a, p := &e.Args[k], f.Params[k]
		if !p.Labelled || a.Value == nil || a.Label != nil && a.Label.Name != p.Name || !c.prog.TypeOf(a.Value).Fits(typesFrom(p.Types)...) {
			return nil, false
		}
		if a.Label == nil {
			edits = append(edits, diag.Edit{Span: a.Value.Span().Before(), Text: p.Name + ": "})
		}
	}
	return edits, true
}

// needed is the i-th parameter that can't be left out, which is meant when labels are
// forgotten; i where there is none.
func needed(params []Parameter, i int) int {
	n := 0
	for k, p := range params {
		if p.Optional {
			continue
		}
		if n == i {
			return k
		}
		n++
	}
	return i
}

// unknownLabel reports the label of the i-th argument. It offers a parameter that has no
// argument yet.
func (c *checker) unknownLabel(callee string, params []Parameter, e *syntax.Call, i int) {
	l := e.Args[i].Label
	given := map[int]bool{}
	for k := range e.Args {
		if k != i {
			given[slot(params, e, k)] = true
		}
	}
	var known []string
	for k, p := range params {
		if !given[k] || p.Many {
			known = append(known, p.Name)
		}
	}
	if len(params) > 0 && params[0].decl != nil && c.lost(params[0].decl.Module, l.Name) {
		return
	}
	d := c.report("P2021", l.At, fmt.Sprintf("%s takes no %s", callee, l.Name), "unknown label")
	c.suggest(d, l.At, l.Name, known)
	written := signatureOf(callee, params)
	if len(params) > 0 && params[0].decl == nil { // of the language: in any of its forms
		for _, f := range builtin.Forms(callee) {
			if builtin.Named(f.Params, l.Name) >= 0 {
				d.Summary = fmt.Sprintf("%s takes no %s beside what else it is given here", callee, l.Name)
			}
		}
		if builtin.IsFunction(callee) {
			written = signature(callee)
		}
	}
	note(d, "it is written "+written)
}

// missing reports the parameters that are needed and not given, but for those that
// unknown labels may stand for.
func (c *checker) missing(callee string, params []Parameter, first map[int]diag.Span, e *syntax.Call, unknown int) {
	var names []string
	var d *diag.Diagnostic
	for i, p := range params {
		if _, ok := first[i]; !ok && !p.Optional && unknown > 0 {
			unknown--
			continue
		}
		if _, ok := first[i]; ok || p.Optional {
			continue
		}
		if d == nil {
			d = c.report("P2023", e.At, "", "not all it needs")
			if e.Fun != nil {
				d.Span = e.Fun.Span()
			}
		}
		names = append(names, p.Name)
		line := p.Name
		line += ": " + p.Wants()
		if p.Doc != "" {
			line += ", " + p.Doc
		}
		note(d, line)
	}
	if d != nil {
		d.Summary = fmt.Sprintf("%s needs %s", callee, strings.Join(names, ", "))
	}
}

// argument reads one argument as its parameter wants it.
func (c *checker) argument(s *scope, callee string, p *Parameter, e syntax.Expr) (Type, bool) {
	if p.TakesWord() {
		return invalid, c.word(s, callee, p, e)
	}
	t := c.expr(s, e)
	switch {
	case p.Same:
		return t, true
	case p.Families && t.Kind == FamilyKind && t.Elem.Kind != PointKind: // points are an outline together
		return t, c.fits(e, *t.Elem, p.of(callee), p.Types...)
	}
	return t, c.fits(e, t, p.of(callee), p.Types...)
}

func (p *Parameter) of(callee string) string {
	if p.Name == "of" {
		return "what " + callee + " is asked of"
	}
	return fmt.Sprintf("%s of %s", p.Name, callee)
}

// word wants one of a parameter's words, written as a bare name.
func (c *checker) word(s *scope, callee string, p *Parameter, e syntax.Expr) bool {
	n, ok := strip(e).(*syntax.Name)
	if ok && (len(p.Words) == 0 || contains(p.Words, n.Name)) {
		return true
	}
	d := c.report("P2026", e.Span(), fmt.Sprintf("%s is a word", p.of(callee)), "")
	if len(p.Words) > 0 {
		d.Summary = fmt.Sprintf("%s is one of %s", p.of(callee), strings.Join(p.Words, ", "))
	}
	if ok {
		c.suggest(d, e.Span(), n.Name, p.Words)
	}
	return false
}
