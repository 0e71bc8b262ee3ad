package builtin

import (
	"fmt"

	"perch/lang/quantity"
)

// asArguments: the result is of the kind that the arguments are.
var asArguments = &Following{"the same as `x`", func(t *Typing) Type { return t.Common }}

// asNumbers: of the kind that the arguments are, but never a count.
var asNumbers = &Following{"the same as `x`", func(t *Typing) Type {
	if t.Common.Kind == CountKind {
		return number
	}
	return t.Common
}}

// squareRoot: of an area, a length.
var squareRoot = &Following{"the root of `x`", func(t *Typing) Type {
	d, ok := t.Common.Dim.Root(2)
	if !ok {
		t.Report("P2010", t.At, fmt.Sprintf("the square root of %s has no unit", t.Common.Phrase()), "its powers are odd")
		return Type{}
	}
	return Type{Kind: Quantity, Dim: d}
}}

// steps: the argument's kind; a count where it and its step have no dimension and
// the step is whole.
var steps = &Following{"the same as `x`", func(t *Typing) Type {
	step := t.Given[1]
	if t.Common.Dim != quantity.None {
		if step.At == nil {
			d := t.Report("P2023", t.At, fmt.Sprintf("%s of %s needs a step", t.Name, t.Common.Phrase()), "to a multiple of what?")
			if unit := t.Unit(t.Common.Dim); unit != "" {
				d.Notes = append(d.Notes, fmt.Sprintf("such as %s(x, 1%s)", t.Name, unit))
			}
		}
		return t.Common
	}
	if step.At == nil || step.Type.Kind == CountKind {
		return count
	}
	return number
}}

// ofTable: the values of a table whose first column is like x.
var ofTable = &Following{"a value of the table", func(t *Typing) Type {
	table := t.Given[1]
	if table.Type.Silent() {
		return anything
	}
	row := *table.Type.Elem
	first, second := row, row
	switch row.Kind {
	case Invalid, Any:
		return row
	case PairKind:
		first, second = row.Index[0], row.Index[1]
	case PointKind:
		first, second = length, length
	default:
		t.Report("P2010", table.At.Span(), fmt.Sprintf("a table's rows are pairs, these are %s", row.Plural()), row.String())
		return Type{}
	}
	if !first.Silent() && !(first.IsQuantity() && first.Dim == t.Common.Dim) {
		d := t.Report("P2010", table.At.Span(), fmt.Sprintf("%s is read off a column of %s", t.Common.Phrase(), first.Plural()), first.String())
		also(d, t.Given[0].At.Span(), "this is "+t.Common.Phrase())
		return Type{}
	}
	if second.Kind == CountKind { // what lies between two counts is none
		return number
	}
	return second
}}
