package check

import (
	"strconv"
	"strings"

	"perch/lang/syntax"
)

// shown writes down what other statements can see of a name at the top of the
// design, and the names that this goes through: while it stays the same, and what
// those names show does too, nobody who uses the name need look again. It is ""
// where all of the declaration can be seen.
func (c *checker) shown(d *Decl) (shows string, mentions []asked) {
	v := view{c: c}
	v.b.WriteString(d.Kind.String())
	switch s := d.Node.(type) {
	case *syntax.Stock, *syntax.Body, *syntax.Size, *syntax.Join:
	case *syntax.Param:
		v.typ(c.typeOf(d))
		v.domain(&s.Decl)
	case *syntax.Part:
		v.typ(c.typeOf(d))
	case *syntax.Let:
		t := c.typeOf(d)
		if !s.IsFunc {
			v.typ(t)
			break
		}
		for _, p := range d.Indices {
			v.b.WriteString(p.Param.At.Text())
			v.typ(c.typeOf(p))
		}
		v.typ(d.Result)
	default:
		return "", nil
	}
	if v.all {
		return "", nil
	}
	return v.b.String(), v.mentions
}

// view is what shown has written so far.
type view struct {
	c        *checker
	b        strings.Builder
	mentions []asked
	all      bool
}

// domain writes the range that written values are held against.
func (v *view) domain(d *syntax.Decl) {
	if d.Domain != nil {
		v.b.WriteString(" in " + d.Domain.At.Text())
	}
}

func (v *view) typ(t Type) {
	v.b.WriteString(" (" + strconv.Itoa(int(t.Kind)))
	if t.Kind == Quantity {
		v.b.WriteString(t.Dim.String())
	}
	if t.Elem != nil {
		v.typ(*t.Elem)
	}
	for _, i := range t.Index {
		v.typ(i)
	}
	if t.Decl != nil {
		v.decl(t.Decl)
	}
	if t.outline().known {
		v.b.WriteString(" known")
	}
	for _, e := range t.outline().all {
		v.b.WriteString(" edge " + e.Name)
	}
	v.b.WriteByte(')')
}

// decl names a panel, a face or a function by what it stands in.
func (v *view) decl(d *Decl) {
	top := d
	for ; top.Owner != nil; top = top.Owner {
		v.b.WriteString(" " + top.Name + " of")
	}
	v.b.WriteString(" " + top.Name)
	switch root := v.c.prog.Root; {
	case top.Module != root:
		v.b.WriteString(" from " + top.Module.Source.Name)
	case root.names.Find(top.Space(), top.Name) != top:
		v.all = true
	default:
		v.mentions = append(v.mentions, asked{top.Space(), top.Name})
	}
}
