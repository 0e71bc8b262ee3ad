package eval

import (
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/syntax"
)

// Condition is a condition as a tree: without brackets, with every `not` moved down to
// what it denies, and with lets that are conditions of the design's file spelled out.
// Whoever asks something of a condition walks this tree.
type Condition struct {
	Kind  ConditionKind
	Parts [2]*Condition // of Both and Either
	At    syntax.Expr   // of the others: as it is written
	Not   bool          // it is written so that it must not hold
	Op    syntax.Op     // of a Relation, turned round where it must not hold
	X, Y  syntax.Expr   // of a Relation; of a Range what is to lie within, and the Domain
	In    *syntax.Domain
}

// ConditionKind is what a Condition is.
type ConditionKind uint8

const (
	Both     ConditionKind = iota
	Either                 // one of the two parts has to hold
	Relation               // between two values
	Range                  // X in lo..hi
	Flag                   // anything else that is true or false
)

// ConditionOfRule reads what a rule says: its condition, or that its guard does not hold.
func ConditionOfRule(p *check.Program, r *syntax.Rule) *Condition {
	c := ConditionOf(p, r.Cond)
	if r.Guard == nil {
		return c
	}
	guard := conditions{p, maxSpelled}
	return &Condition{Kind: Either, Parts: [2]*Condition{guard.read(r.Guard, true), c}}
}

// ConditionOf reads a condition.
func ConditionOf(p *check.Program, x syntax.Expr) *Condition {
	r := conditions{p, maxSpelled}
	return r.read(x, false)
}

// maxSpelled is how many lets a condition spells out: beyond, they are flags, which are
// worked out once.
const maxSpelled = 500

// conditions reads one condition.
type conditions struct {
	prog *check.Program
	left int // lets that may still be spelled out
}

func (r *conditions) read(x syntax.Expr, not bool) *Condition {
	switch y := x.(type) {
	case *syntax.Paren:
		return r.read(y.X, not)
	case *syntax.Unary:
		if y.Op == syntax.OpNot {
			return r.read(y.X, !not)
		}
	case *syntax.Name:
		if l := letOf(r.prog, y); l != nil && r.left > 0 {
			r.left--
			return r.read(l.Value, not)
		}
	case *syntax.Binary:
		if y.Op == syntax.OpAnd || y.Op == syntax.OpOr {
			c := &Condition{Kind: Both, Parts: [2]*Condition{r.read(y.X, not), r.read(y.Y, not)}}
			if (y.Op == syntax.OpOr) != not {
				c.Kind = Either
			}
			return c
		}
		if op, is := relation(y.Op, not); is {
			return &Condition{Kind: Relation, At: x, Not: not, Op: op, X: y.X, Y: y.Y}
		}
	case *syntax.In:
		if y.Domain.Hi != nil {
			return &Condition{Kind: Range, At: x, Not: not, X: y.X, In: y.Domain}
		}
	}
	return &Condition{Kind: Flag, At: x, Not: not}
}

// letOf is the let of the design's file that a name stands for, nil for others.
func letOf(p *check.Program, x *syntax.Name) *syntax.Let {
	d := p.DeclOf(x)
	if d == nil || d.Kind != check.Let || d.Owner != nil || d.Module != p.Root {
		return nil
	}
	if l, is := d.Node.(*syntax.Let); is && !l.IsFunc && d.Indices == nil {
		return l
	}
	return nil
}

// relation is an operator that compares, or what holds where it does not.
func relation(op syntax.Op, not bool) (_ syntax.Op, is bool) {
	o := builtin.OperatorOf(op)
	if o.Holds != nil && not {
		op = o.Contrary
	}
	return op, o.Holds != nil
}

// All hands on the parts of a condition that must all hold.
func (c *Condition) All(part func(*Condition)) {
	if c.Kind != Both {
		part(c)
		return
	}
	c.Parts[0].All(part)
	c.Parts[1].All(part)
}

// Leaves hands on the relations, ranges and flags of a condition.
func (c *Condition) Leaves(leaf func(*Condition)) {
	if c.Kind > Either {
		leaf(c)
		return
	}
	c.Parts[0].Leaves(leaf)
	c.Parts[1].Leaves(leaf)
}

// Eithers are the parts of which one side has to hold, the outer before the inner.
func (c *Condition) Eithers() []*Condition {
	if c.Kind > Either {
		return nil
	}
	var out []*Condition
	if c.Kind == Either {
		out = append(out, c)
	}
	return append(append(out, c.Parts[0].Eithers()...), c.Parts[1].Eithers()...)
}
