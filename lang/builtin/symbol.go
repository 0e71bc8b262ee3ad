package builtin

import (
	"perch/lang/quantity"
	"perch/lang/value"
	"perch/solver"
)

// Symbol is a number of a rule: an expression over the params of a design.
type Symbol struct {
	X   solver.Expr
	Dim quantity.Dim
}

// Place is a point of a rule, its two coordinates lengths.
type Place struct{ X, Y Symbol }

// Symbol is an argument of a rule, or what it is where it is left out. It unwinds where
// the argument is no number.
func (a *Args) Symbol(name string) Symbol { return a.symbol(a.Value(name)) }

func (a *Args) symbol(v value.Value) Symbol {
	s, ok := AsSymbol(v)
	if !ok {
		a.Fail("P2010", "a number is wanted, this is "+value.Article(value.KindOf(v)))
	}
	return s
}

// AsSymbol is a number as rules have it.
func AsSymbol(v value.Value) (s Symbol, ok bool) {
	switch v := v.(type) {
	case Symbol:
		return v, true
	case value.Number:
		return Symbol{solver.Const(v.V), v.Dim}, true
	}
	return Symbol{}, false
}

// AsPlace is a point as rules have it.
func AsPlace(v value.Value) (p Place, ok bool) {
	switch v := v.(type) {
	case Place:
		return v, true
	case value.Pair:
		x, _ := AsSymbol(v.X)
		y, _ := AsSymbol(v.Y)
		return Place{x, y}, true
	}
	return Place{}, false
}
