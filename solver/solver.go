// Package solver finds the values of names that are related by rules. It knows
// variables with ranges, equations and inequalities of four strengths, and
// nothing of furniture, text or geometry; numbers are plain float64 in whatever
// consistent units the caller uses.
package solver

// Var is a variable of a System, by index from 0.
type Var int

// Strength orders constraints: what must hold, what gives way.
type Strength uint8

const (
	Rule    Strength = iota // must hold
	Setting                 // stated on the command line; must hold
	Stated                  // stated by a size; must hold
	Default                 // plain default; must hold unless the caller dropped it
	About                   // nearest admissible value; gives way
)

// Relation of a constraint's two sides.
type Relation uint8

const (
	EQ Relation = iota
	LE
	GE
	LT
	GT
	NE
)

// Expr is an immutable expression over variables; see the constructors.
type Expr struct{ n *node }

type node struct{}

// ID names a constraint of a System, by index from 0 in order of Add.
type ID int

// Constraint is Left Rel Right. Label is the caller's, for messages.
type Constraint struct {
	Left, Right Expr
	Rel         Relation
	Strength    Strength
	Label       string
}

// System is a set of variables and constraints.
type System struct{}

// New returns an empty System.
func New() *System { panic("stub") }

// Var adds a variable with its closed range; either end may be infinite.
// An integer variable takes whole values only.
func (s *System) Var(name string, lo, hi float64, integer bool) Var { panic("stub") }

// Add adds a constraint and returns its ID.
func (s *System) Add(c Constraint) ID { panic("stub") }

// Expressions.
func (v Var) Expr() Expr           { panic("stub") }
func Const(x float64) Expr         { panic("stub") }
func Sum(x, y Expr) Expr           { panic("stub") }
func Difference(x, y Expr) Expr    { panic("stub") }
func Product(x, y Expr) Expr       { panic("stub") }
func Quotient(x, y Expr) Expr      { panic("stub") }
func Power(x, y Expr) Expr         { panic("stub") }
func Negative(x Expr) Expr         { panic("stub") }
func Sin(x Expr) Expr              { panic("stub") }
func Cos(x Expr) Expr              { panic("stub") }
func Tan(x Expr) Expr              { panic("stub") }
func Asin(x Expr) Expr             { panic("stub") }
func Acos(x Expr) Expr             { panic("stub") }
func Atan(x Expr) Expr             { panic("stub") }
func Sqrt(x Expr) Expr             { panic("stub") }
func Exp(x Expr) Expr              { panic("stub") }
func Ln(x Expr) Expr               { panic("stub") }
func Abs(x Expr) Expr              { panic("stub") }
func Min(x, y Expr) Expr           { panic("stub") }
func Max(x, y Expr) Expr           { panic("stub") }
func Round(x, step Expr) Expr      { panic("stub") }
func Floor(x, step Expr) Expr      { panic("stub") }
func Ceil(x, step Expr) Expr       { panic("stub") }

// Lookup interpolates linearly in a table of ascending xs; outside it, it is undefined.
func Lookup(x Expr, xs, ys []float64) Expr { panic("stub") }

// Status says how a solution ended.
type Status uint8

const (
	Unique       Status = iota // every variable has its one value
	Several                    // more than one value in range and no About to pick
	None                       // no value satisfies all that must hold
	Undetermined               // too few constraints
	Unproved                   // found by search, completeness not proved
)

// Origin says what gave a variable its value.
type Origin struct {
	By ID // the constraint, a rule it was solved from or the setting, size or default that states it
}

// Result of Solve.
type Result struct {
	Status    Status
	Values    []float64   // by Var; NaN where undetermined
	Origins   []Origin    // by Var; By < 0 where undetermined
	Solutions [][]float64 // all found, Values first
	Conflict  []ID        // Status None: a smallest set that cannot all hold
	Range     []Var       // Status None: variables whose range takes part in the conflict
	Nearest   []Bound     // Status None: what each of Range would have to be, where it can be told
	FreeSets  [][]Var     // Status Undetermined: smallest sets of variables that, stated, fix the rest
	GaveWay   []ID        // About constraints that do not hold at Values
	Competing []ID        // About constraints of which not all can be honoured and none is told to yield
}

// Bound tells the value a variable would need where its range forbids it.
type Bound struct {
	Var  Var
	Need float64
}

// Solve solves the system. The same system gives the same Result on every machine.
func (s *System) Solve() Result { panic("stub") }
