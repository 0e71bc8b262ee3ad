// Package reason explains what a design came to: where each value is from, how
// values and measured results move with what is stated, and how they run over a
// range of it. It asks the build room for sizes and reckons with the answers; it
// reads no files, prints nothing of its own accord and solves no rule itself.
package reason

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/lang/syntax"
)

// Link is one value of a chain of reasons.
type Link struct {
	Name string
	build.Quantity
	By     build.Statement
	Loses  *build.Statement
	Yields *build.Yield
	Choice *build.Choice
	Fit    *build.Fit
	From   []*Link // what the statement took its value from
	Seen   bool    // told above already
}

// Why is the chain of reasons behind a param or a let of a solved size, down to
// what is stated; false where the design has no such number.
func Why(r *build.Result, name string) (*Link, bool) {
	causes := map[string]build.Cause{}
	for _, c := range r.Causes() {
		causes[c.Name] = c
	}
	if _, ok := causes[name]; !ok {
		return whyLet(r, name, causes)
	}
	return chain(r, name, causes, map[string]bool{}), true
}

// Names are the params and lets that Why can tell of.
func Names(p *check.Program) []string {
	var out []string
	for _, d := range build.Params(p) {
		out = append(out, d.Name)
	}
	for _, d := range p.Root.Order {
		if l, ok := d.Node.(*syntax.Let); ok && d.Kind == check.Let && !l.IsFunc && (d.Type.Kind == check.Quantity || d.Type.Kind == check.CountKind) {
			out = append(out, d.Name)
		}
	}
	return out
}

func whyLet(r *build.Result, name string, causes map[string]build.Cause) (*Link, bool) {
	d := r.Program().Root.Find(check.Values, name)
	if d == nil {
		return nil, false
	}
	l, ok := d.Node.(*syntax.Let)
	if !ok || l.IsFunc {
		return nil, false
	}
	q, diags := r.Eval(l.Value)
	if diag.HasErrors(diags) {
		return nil, false
	}
	link := &Link{Name: name, Quantity: q, By: build.Statement{Kind: "let", At: l.At, Text: strings.Join(strings.Fields(l.At.Text()), " ")}}
	seen := map[string]bool{}
	for _, n := range r.Mentions(l.Value) {
		link.From = append(link.From, chain(r, n, causes, seen))
	}
	return link, true
}

// makes is the call that a part statement makes its part by, nil where that is not known.
func makes(p *check.Program, part *check.Decl) *check.Bound {
	x, _ := part.Node.(*syntax.Part)
	if x == nil {
		return nil
	}
	call, _ := x.Value.(*syntax.Call)
	if call == nil {
		return nil
	}
	return p.Bound(call)
}

// Arguments are the names of the arguments that a part may be made with.
func Arguments(p *check.Program, part *check.Decl) []string {
	var out []string
	if b := makes(p, part); b != nil {
		for _, d := range b.Params() {
			out = append(out, d.Name)
		}
	}
	return out
}

// WhyArgument is the chain behind an argument of a part, or behind the parameter's default
// where none is given; ok is false where it is no number, or another one at every copy.
func WhyArgument(r *build.Result, part *check.Decl, param string) (link *Link, ok bool) {
	i := slices.Index(Arguments(r.Program(), part), param)
	if i < 0 {
		return nil, false
	}
	b := makes(r.Program(), part)
	by, is := build.Statement{Kind: "argument"}, ": "
	var arg syntax.Expr
	if i < len(b.Args) {
		arg = b.Args[i]
	}
	if arg == nil {
		by.Kind, is, arg = rules.KindDefault, " = ", b.Params()[i].Param.Default
	}
	if arg == nil {
		return nil, false
	}
	q, diags := r.Eval(arg)
	if diag.HasErrors(diags) || math.IsNaN(q.V) {
		return nil, false
	}
	by.At, by.Text = arg.Span(), param+is+strings.Join(strings.Fields(arg.Span().Text()), " ")
	link = &Link{Name: part.Name + "." + param, Quantity: q, By: by}
	causes := map[string]build.Cause{}
	for _, c := range r.Causes() {
		causes[c.Name] = c
	}
	seen := map[string]bool{}
	for _, n := range r.Mentions(arg) {
		link.From = append(link.From, chain(r, n, causes, seen))
	}
	return link, true
}

func chain(r *build.Result, name string, causes map[string]build.Cause, seen map[string]bool) *Link {
	c := causes[name]
	if r.Choice != nil && slices.Contains(r.Choice.Beside, name) {
		c.By = r.Choice.By // for whose sake it was chosen
	}
	l := &Link{Name: name, Quantity: c.Quantity, By: c.By, Loses: c.Loses, Yields: c.Yields}
	if seen[name] {
		l.Seen = true
		return l
	}
	seen[name] = true
	if r.Choice != nil && r.Choice.Name == name {
		l.Choice = r.Choice
	}
	for i := range r.Fits {
		if r.Fits[i].Name == name {
			l.Fit = &r.Fits[i]
		}
	}
	for _, n := range c.By.Names {
		if _, known := causes[n]; known && n != name {
			l.From = append(l.From, chain(r, n, causes, seen))
		}
	}
	return l
}

// Write prints the chain: a line for each value, what it came from below it.
func (l *Link) Write(w io.Writer, sys quantity.System) error {
	t := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	l.write(t, sys, 0)
	return t.Flush()
}

func (l *Link) write(w io.Writer, sys quantity.System, depth int) {
	in := strings.Repeat("  ", depth)
	if l.Seen {
		fmt.Fprintf(w, "%s%s = %s\tas above\t\n", in, l.Name, l.Text(sys))
		return
	}
	fmt.Fprintf(w, "%s%s = %s\t%s\t%s\n", in, l.Name, l.Text(sys), gave(l.By), where(l.By.At))
	if l.Loses != nil {
		fmt.Fprintf(w, "%s  instead of\t%s\t%s\n", in, gave(*l.Loses), where(l.Loses.At))
	}
	if y := l.Yields; y != nil {
		fmt.Fprintf(w, "%s  gives way\t%s\t%s\n", in, gave(y.Statement), where(y.At))
		shown := map[diag.Span]bool{l.By.At: true}
		for _, f := range l.From {
			shown[f.By.At] = true
		}
		for _, to := range y.To {
			if shown[to.At] { // it stands right above or below
				continue
			}
			fmt.Fprintf(w, "%s    to\t%s\t%s\n", in, gave(to), where(to.At))
		}
	}
	if c := l.Choice; c != nil {
		fmt.Fprintf(w, "%s  how sure\t%s\t\n", in, c.Certainty())
		for _, s := range c.Stops {
			fmt.Fprintf(w, "%s  stopped by\t%s\t%s\n", in, gave(s), where(s.At))
		}
	}
	if f := l.Fit; f != nil {
		fmt.Fprintf(w, "%s  fitted\t%s\t%s\n", in, gave(f.By), where(f.By.At))
		for _, to := range f.To[1:] {
			fmt.Fprintf(w, "%s  and by\t%s\t%s\n", in, gave(to), where(to.At))
		}
		fmt.Fprintf(w, "%s  \t%s\t\n", in, f.Certainty())
	}
	for _, f := range l.From {
		f.write(w, sys, depth+1)
	}
}

// asked are the kinds of statements that ask for a value to be found.
var asked = map[rules.Kind]bool{rules.KindLargest: true, rules.KindSmallest: true, rules.KindFree: true}

// gave words a statement, with who says it.
func gave(s build.Statement) string {
	text := s.Text
	if s.Label != "" && !strings.HasSuffix(text, strconv.Quote(s.Label)) { // a rule's text may end with it
		text += " (" + s.Label + ")"
	}
	switch {
	case s.Kind == rules.KindSize, asked[s.Kind] && s.Size != "":
		return "size " + s.Size + ": " + text
	case s.Kind == rules.KindSetting, asked[s.Kind]:
		return "setting: " + text
	case s.Kind == rules.KindDefault:
		return "default: " + text
	case s.Kind == rules.KindRange:
		return "range: " + text
	}
	return text
}

func where(at diag.Span) string {
	if at.Source == nil {
		return ""
	}
	return fmt.Sprintf("%s:%d", at.Source.Name, at.Position().Line)
}
