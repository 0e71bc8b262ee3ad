// Package search looks for numbers that satisfy a costly function, and for those
// with which one of them goes farthest. It knows values, residuals and verdicts and
// nothing of what they stand for: no text, no rule, no sheet of metal.
package search

// Variable is a number that is looked for.
type Variable struct {
	// From and To are the stretch over which it is scaled, and over which starts are
	// spread; From may be the larger. Of the objective To is the end to be reached.
	From, To float64
	Min, Max float64 // where it may lie; they hold From and To
}

// Kind is what a residual asks for.
type Kind uint8

const (
	Inequality Kind = iota // to be at most zero
	Equality               // to be zero
	Counted                // only whether it is met can be told, by Problem.Count
)

// Problem is a search for the values of variables. The first variable is the
// objective where one is asked for.
type Problem struct {
	Variables []Variable
	Residuals []Kind
	// Implicit are constraints that cost next to nothing: those asked for by their
	// places in Scale are met where they are at most zero. ok is false where x has no
	// values at all.
	Implicit func(x []float64, which []int) (values []float64, ok bool)
	// Scale is the size of each implicit constraint, 0 where it is taken from what it
	// comes to at some points.
	Scale []float64
	// Evaluate is the costly function.
	Evaluate func(x []float64) Verdict
	// Count tells whether a counted residual is met. It is asked of the x that was
	// evaluated last, and only where all else holds.
	Count func(k int) bool
	// Alternatives are so many places in the residuals where one of two sides has to
	// hold; the better one counts until Choose names a side, 0 or 1, of each. Choose
	// of nil goes back.
	Alternatives int
	Choose       func(sides []int)
	// Confirm tells whether x does for good, after a last and closer look.
	Confirm func(x []float64) bool
	// Step is the step to which the objective is rounded, 0 for none; round values of
	// Round are tried where residuals are counted.
	Step, Round float64
	// Warm tells that a feasible point was seen before: fewer starts are taken.
	Warm   bool
	Budget *Budget
}

// Budget is how often the costly function may be evaluated, and was.
type Budget struct{ Most, Used int }

// Spent tells that it may not be evaluated again.
func (b *Budget) Spent() bool { return b.Used >= b.Most }

// Verdict is what the costly function says of a point.
type Verdict struct {
	// Residuals tell by how much each asks for more, in parts of its own size: zero
	// where the sides count as equal, below zero where there is room. NaN, of one that
	// is not counted, says that there is no such number and the point is no point.
	Residuals  []float64
	Shortfalls []Shortfall
	// Load is what counted residuals hang on: they are likelier met where it is less.
	// NaN where it is not known.
	Load float64
	// Err says that the point can't be evaluated, or is out of the question for a reason
	// that has no residual.
	Err error
	// Made is for the caller, who finds it with the point.
	Made any
}

// Shortfall is a limit that shows beyond it alone: by what part of itself it is missed.
type Shortfall struct {
	Of any // tells it from others, by ==
	By float64
}

// Trial is a point that was evaluated.
type Trial struct {
	X []float64
	Verdict
	Violation float64 // the worst of all that does not hold; +Inf where there is an Err
}

// Solution is what a search came to.
type Solution struct {
	Best    *Trial // feasible; nil where none was found
	Nearest *Trial // the nearest to feasible; nil where nothing could be evaluated
	// Confirmed are the values that were confirmed, nil where none were. Stops tells what
	// holds the objective there; it may evaluate a few points more.
	Confirmed []float64
	Stops     func() []Reason
}

// Reason is one thing that holds an objective where it is.
type Reason struct {
	Kind  ReasonKind
	Index int   // of the residual, the implicit constraint or the variable
	Of    any   // of a shortfall
	Made  any   // of a point beyond that could not be evaluated
	Err   error // likewise
}

// ReasonKind is what a Reason speaks of.
type ReasonKind uint8

const (
	ByResidual ReasonKind = iota
	ByImplicit
	ByRange
	ByShortfall
	ByError
)
