package search

import "math"

// samples are the evaluations across a range before it is narrowed.
const samples = 16

// Attempt is a value of the objective that was tried.
type Attempt struct {
	At    float64
	Holds bool
	// Counts tells that nothing but counted residuals stands against it.
	Counts bool
	Made   any // for the caller
}

// Line is a range of one objective, from From, where not all holds, back to Last.
type Line struct {
	From, Last float64
	Whole      bool    // whole numbers alone
	Step       float64 // to which it is rounded, and to a quarter of which it is narrowed
	Budget     *Budget
	Try        func(v float64) *Attempt
}

// Farthest looks for the value nearest to From at which all holds: samples across the
// range show where that starts, bisection finds the end. bad is what was tried at From.
// It returns the best attempt, nil where none holds, and the one just beyond it.
func (l Line) Farthest(bad *Attempt) (in, out *Attempt) {
	if l.Whole {
		return l.count(bad)
	}
	for k := 1; k <= samples && in == nil && !l.Budget.Spent(); k++ {
		v := l.From + float64((l.Last-l.From)*float64(k)/samples)
		if k == samples {
			v = l.Last
		}
		if a := l.Try(v); a.Holds {
			in = a
		} else {
			bad = a
		}
	}
	if in == nil {
		return nil, bad
	}
	fine := l.Step / 4
	if bad.Counts {
		fine = max(fine, math.Abs(l.Last-l.From)/CountSteps)
	}
	for math.Abs(bad.At-in.At) > fine && !l.Budget.Spent() {
		if a := l.Try(in.At + float64((bad.At-in.At)/2)); a.Holds {
			in = a
		} else {
			bad = a
		}
	}
	return l.rounded(in, bad), bad
}

// count goes back from From one by one.
func (l Line) count(bad *Attempt) (in, out *Attempt) {
	for v := l.From; !l.Budget.Spent() && v != l.Last; bad = out {
		v += math.Copysign(1, l.Last-l.From)
		a := l.Try(v)
		if a.Holds {
			return a, bad
		}
		out = a
	}
	return nil, bad
}

// rounded is the best attempt at a round value beside in, or in.
func (l Line) rounded(in, bad *Attempt) *Attempt {
	on, back := math.Ceil(in.At/l.Step)*l.Step, math.Floor(in.At/l.Step)*l.Step
	if l.From < l.Last {
		on, back = back, on
	}
	for _, round := range []float64{on, back} {
		if l.beyond(bad.At, round) {
			if a := l.Try(round); a.Holds {
				return a
			}
		}
	}
	return in
}

// beyond tells whether a lies nearer to From's side than b.
func (l Line) beyond(a, b float64) bool {
	if l.From < l.Last {
		return a < b
	}
	return a > b
}
