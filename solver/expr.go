package solver

import "perch/solver/expr"

// Var is a variable of a System, by index from 0.
type Var = expr.Var

// Expr is an immutable expression over variables, made by the functions below. One that
// is used in several places is kept once. The zero Expr is undefined everywhere.
type Expr = expr.Expr

// Const is a number.
func Const(x float64) Expr { return expr.Const(x) }

// Sum, Difference, Product and Quotient of two expressions; a quotient is undefined
// where y is 0.
func Sum(x, y Expr) Expr        { return expr.Sum(x, y) }
func Difference(x, y Expr) Expr { return expr.Difference(x, y) }
func Product(x, y Expr) Expr    { return expr.Product(x, y) }
func Quotient(x, y Expr) Expr   { return expr.Quotient(x, y) }

// Power is x to the y, undefined where x is negative and y not whole; Negative is -x.
func Power(x, y Expr) Expr { return expr.Power(x, y) }
func Negative(x Expr) Expr { return expr.Negative(x) }

// Sin, Cos and Tan are of an angle in radians; Asin, Acos and Atan give one, the first
// two undefined outside [-1, 1].
func Sin(x Expr) Expr  { return expr.Sin(x) }
func Cos(x Expr) Expr  { return expr.Cos(x) }
func Tan(x Expr) Expr  { return expr.Tan(x) }
func Asin(x Expr) Expr { return expr.Asin(x) }
func Acos(x Expr) Expr { return expr.Acos(x) }
func Atan(x Expr) Expr { return expr.Atan(x) }

// Sqrt is undefined for negative x, the natural logarithm Ln unless x is positive.
func Sqrt(x Expr) Expr { return expr.Sqrt(x) }
func Exp(x Expr) Expr  { return expr.Exp(x) }
func Ln(x Expr) Expr   { return expr.Ln(x) }

// Abs, Min and Max are as usual.
func Abs(x Expr) Expr    { return expr.Abs(x) }
func Min(x, y Expr) Expr { return expr.Min(x, y) }
func Max(x, y Expr) Expr { return expr.Max(x, y) }

// Round, Floor and Ceil give the multiple of step that is nearest to x (halves away from
// 0), next below or next above; one within 1e-9 of the number of steps is x's own.
// Undefined unless step is positive.
func Round(x, step Expr) Expr { return expr.Round(x, step) }
func Floor(x, step Expr) Expr { return expr.Floor(x, step) }
func Ceil(x, step Expr) Expr  { return expr.Ceil(x, step) }

// Where is x where cond is 0 or more, and 0 elsewhere, even where x is undefined; Unless
// is x where cond is less than 0.
func Where(cond, x Expr) Expr  { return expr.Where(cond, x) }
func Unless(cond, x Expr) Expr { return expr.Unless(cond, x) }

// Lookup interpolates linearly in a table of ascending xs; outside it, it is undefined,
// and everywhere where the table is malformed.
func Lookup(x Expr, xs, ys []float64) Expr { return expr.Lookup(x, xs, ys) }
