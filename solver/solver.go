// Package solver finds the values of names that are related by rules. It knows
// variables with ranges, equations and inequalities of five strengths, and
// nothing of furniture, text or geometry; numbers are plain float64 in whatever
// consistent units the caller uses. It never guesses: where more than one value
// fits, or none, or too little is said, the Result says so and names the
// constraints and variables that are to blame. It never panics, its work is
// bounded by a budget of steps, and the same System gives the same bits on
// every machine.
//
// Structure comes first: equations are matched to variables and solved in the
// smallest blocks, in order. A block's solutions are all found, or proved not to
// exist, by branch and prune with interval arithmetic, as far as its budget goes;
// Result.Proof says how far that was. Result.Why tells where a value came from,
// Sensitivity how it moves with what is stated, and Extremum finds the best value
// of an expression where something is left open.
//
// An equality holds where the two sides differ by at most 1e-9 of the size of
// the terms that make them up; <= and >= forgive as much; < and > need a
// difference above 1e-12 of that size, and != one above 1e-9. A range is
// closed, and a solved value beyond an end by at most 1e-9 of that end's size
// (of 1 near zero, of the width for a narrower range) is set to the end, as one
// that is off a whole number by so little is set to it; the rules it was solved
// from then hold to within that move.
package solver

import (
	"perch/solver/interval"
)

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

// ID names a constraint of a System, by index from 0 in order of Add.
type ID int

// Constraint is Left Rel Right. Label is the caller's, for messages.
type Constraint struct {
	Left, Right Expr
	Rel         Relation
	Strength    Strength
	Label       string
}

// System is a set of variables and constraints. The zero value is empty.
type System struct {
	vars []variable
	cons []Constraint
}

type variable struct {
	name    string
	lo, hi  float64
	integer bool
}

// New returns an empty System.
func New() *System { return &System{} }

// Var adds a variable with its closed range; either end may be infinite. An end
// that is NaN is taken as infinite. An integer variable takes whole values only.
func (s *System) Var(name string, lo, hi float64, integer bool) Var {
	if lo != lo {
		lo = interval.Entire.Lo
	}
	if hi != hi {
		hi = interval.Entire.Hi
	}
	s.vars = append(s.vars, variable{name, lo, hi, integer})
	return Var(len(s.vars) - 1)
}

// Name is the name that v was added with, "" if v is not of the System.
func (s *System) Name(v Var) string {
	if v < 0 || int(v) >= len(s.vars) {
		return ""
	}
	return s.vars[v].name
}

// Add adds a constraint and returns its ID.
func (s *System) Add(c Constraint) ID {
	s.cons = append(s.cons, c)
	return ID(len(s.cons) - 1)
}

// Constraint returns the constraint that was added as id, the zero Constraint
// if there is none.
func (s *System) Constraint(id ID) Constraint {
	if id < 0 || int(id) >= len(s.cons) {
		return Constraint{}
	}
	return s.cons[id]
}

// Status says how a solution ended.
type Status uint8

const (
	Unique       Status = iota // every variable has its one value
	Several                    // more than one value in range and no About to pick; that there are no more only where Proof says so
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
	Proof     Proof
	plan      *plan
	prog      *program
}

// Proof tells what of a Result is proved. Equations are solved in blocks, each at
// the values, rounded, that those before it gave; within a block proofs are by
// outward-rounded interval arithmetic and hold for the equations as written.
type Proof struct {
	Complete bool  // no solution in range is missing from Solutions; with Status None, there is none
	Exist    bool  // each of Solutions exists; where false some only hold within tolerance
	Open     []Var // variables of the blocks for which one or the other is not proved
}

// Bound tells the value a variable would need where its range forbids it.
type Bound struct {
	Var  Var
	Need float64
}

// Solve solves the system. The same system gives the same Result on every machine.
func (s *System) Solve() Result {
	p := compileSystem(s)
	return p.solve()
}
