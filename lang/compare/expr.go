package compare

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// The text of an entry holds, between signs that no design has, what may be told in more
// than one way: a number as it is written and by its value, a name as it is written, as
// it is called on the other side, and as the number by which its uses are counted.
const (
	open  = "\x01"
	next  = "\x02"
	shut  = "\x03"
	asIs  = 0 // as it is written
	named = 1 // names as the other side has them
	plain = 2 // so too, and numbers by their value
	uses  = 3 // so too, and of names whose uses are counted nothing but that they are there
)

// marked holds the four readings of one word.
func marked(written, called, value, use string) string {
	return open + written + next + called + next + value + next + use + shut
}

// reading takes one of the readings of a text.
func reading(text string, which int) string {
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, open)
		b.WriteString(before)
		if !found {
			return b.String()
		}
		word, after, _ := strings.Cut(rest, shut)
		b.WriteString(strings.Split(word, next)[which])
		text = after
	}
}

// written is a text as its maker wrote it, in canonical form.
func written(text string) string { return reading(text, asIs) }

// called is a text with the names that the other side has.
func called(text string) string { return reading(text, named) }

// key is equal of texts that say the same.
func key(text string) string { return reading(text, plain) }

// restated tells whether two texts differ in their numbers alone, each written in another
// unit and nearly the same.
func restated(a, b string) bool {
	x, y := strings.Split(a, open), strings.Split(b, open)
	if len(x) != len(y) || x[0] != y[0] {
		return false
	}
	for i := range x[1:] {
		v, restV, _ := strings.Cut(x[i+1], shut)
		w, restW, _ := strings.Cut(y[i+1], shut)
		p, q := strings.Split(v, next), strings.Split(w, next)
		if restV != restW || p[plain] != q[plain] && !(unitOf(p[asIs]) != unitOf(q[asIs]) && nearly(p[plain], q[plain])) {
			return false
		}
	}
	return true
}

// unitOf is what stands behind the digits of a number.
func unitOf(written string) string { return strings.TrimLeft(written, "0123456789.-/+") }

// nearTol is how far apart numbers may be that are written in two units with a few digits
// each: mm of lengths, else a part of the number.
const nearTol = 0.02

// nearly compares two numbers by their value, as number marks it.
func nearly(a, b string) bool {
	x, dim, okx := strings.Cut(a, " ")
	y, other, oky := strings.Cut(b, " ")
	p, errP := strconv.ParseFloat(x, 64)
	q, errQ := strconv.ParseFloat(y, 64)
	return okx && oky && dim == other && errP == nil && errQ == nil && math.Abs(p-q) <= max(nearTol, float64(1e-4*math.Abs(p)))
}

// counted are the names in a text whose uses are counted, in order.
func counted(text string) []int {
	var out []int
	for _, part := range strings.Split(text, open)[1:] {
		word, _, _ := strings.Cut(part, shut)
		if use := strings.Split(word, next)[uses]; strings.HasPrefix(use, "#") {
			n, err := strconv.Atoi(use[1:])
			if err == nil {
				out = append(out, n)
			}
		}
	}
	return out
}

// around is a text without the names whose uses are counted.
func around(text string) string {
	var b strings.Builder
	for i, part := range strings.Split(text, open) {
		if i == 0 {
			b.WriteString(part)
			continue
		}
		word, after, _ := strings.Cut(part, shut)
		if use := strings.Split(word, next)[uses]; strings.HasPrefix(use, "#") {
			b.WriteString("#" + after)
		} else {
			b.WriteString(use + after)
		}
	}
	return b.String()
}

// tag is a name that refers to d.
func (r *reader) tag(d *check.Decl, own string) string {
	name := r.name(d, own)
	n, marks := r.marks[d]
	switch {
	case d != nil && marks:
		return marked(own, name, name, "#"+strconv.Itoa(n))
	case name != own:
		return marked(own, name, name, name)
	}
	return own
}

// number is a literal by its spelling and by its value: 25.4mm and 1in are one.
func number(l quantity.Literal) string {
	value := l.Spelling
	if l.Kind != quantity.Gauge {
		value = fmt.Sprintf("%.12g %v", l.Value, l.Dim)
		if l.Kind == quantity.Plain && l.Whole {
			value = fmt.Sprintf("%.0f", l.Value)
		}
	}
	return marked(l.Spelling, l.Spelling, value, value)
}

// printed is an expression in canonical form, with marks, without brackets that change
// nothing.
func (r *reader) printed(e syntax.Expr) string {
	if e == nil {
		return ""
	}
	return syntax.Print(r.bare(e))
}

// bare copies an expression without its brackets, its names and numbers marked; the
// printer sets the brackets that the tree needs.
func (r *reader) bare(e syntax.Expr) syntax.Expr {
	switch x := e.(type) {
	case *syntax.Paren:
		return r.bare(x.X)
	case *syntax.Literal:
		l := *x
		l.Value.Spelling = number(x.Value)
		return &l
	case *syntax.Name:
		return &syntax.Name{At: x.At, Name: r.tag(r.prog.DeclOf(x), x.Name)}
	case *syntax.Call:
		return r.bareCall(x)
	case *syntax.Member:
		name := x.Name
		name.Name = r.tag(r.prog.DeclOf(x), x.Name.Name)
		return &syntax.Member{At: x.At, X: r.bare(x.X), Name: name}
	case *syntax.IndexExpr:
		return &syntax.IndexExpr{At: x.At, X: r.bare(x.X), Index: r.bares(x.Index)}
	case *syntax.Pair:
		return &syntax.Pair{At: x.At, X: r.bare(x.X), Y: r.bare(x.Y)}
	case *syntax.Triple:
		return &syntax.Triple{At: x.At, X: r.bare(x.X), Y: r.bare(x.Y), Z: r.bare(x.Z)}
	case *syntax.List:
		l := &syntax.List{At: x.At}
		for _, it := range x.Items {
			it.Value, it.Round, it.Chamfer, it.Arc = r.bare(it.Value), r.bare(it.Round), r.bare(it.Chamfer), r.bare(it.Arc)
			l.Items = append(l.Items, it)
		}
		return l
	case *syntax.If:
		return &syntax.If{At: x.At, Cond: r.bare(x.Cond), Then: r.bare(x.Then), Else: r.bare(x.Else)}
	case *syntax.Binary:
		return &syntax.Binary{At: x.At, Op: x.Op, OpAt: x.OpAt, X: r.bare(x.X), Y: r.bare(x.Y)}
	case *syntax.Unary:
		return &syntax.Unary{At: x.At, Op: x.Op, X: r.bare(x.X)}
	case *syntax.In:
		in := &syntax.In{At: x.At, X: r.bare(x.X)}
		if x.Domain != nil {
			in.Domain = &syntax.Domain{At: x.Domain.At, Lo: r.bare(x.Domain.Lo), Hi: r.bare(x.Domain.Hi)}
		}
		return in
	}
	return e
}

// bareCall copies a call; a label is named as the parameter is.
func (r *reader) bareCall(x *syntax.Call) syntax.Expr {
	c := &syntax.Call{At: x.At, Fun: r.bare(x.Fun)}
	to := r.prog.Bound(x)
	for _, a := range x.Args {
		label := a.Label
		if label != nil && to != nil {
			if d, _ := to.Parameter(label.Name); d != nil {
				label = &syntax.Ident{Name: r.tag(d, label.Name), At: label.At}
			}
		}
		c.Args = append(c.Args, syntax.Arg{Label: label, Value: r.bare(a.Value)})
	}
	return c
}

func (r *reader) bares(es []syntax.Expr) []syntax.Expr {
	out := make([]syntax.Expr, len(es))
	for i, e := range es {
		out[i] = r.bare(e)
	}
	return out
}
