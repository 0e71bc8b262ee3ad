package strength

import "math"

// Help is one change of a design that was tried, and what it is worth.
type Help struct {
	Change string  // in the design's words: rungs 2 for 1
	Mass   float64 // kg that it adds
	Worth  []Worth // by case; nil where it came to nothing
	Why    string  // of one that came to nothing
}

// Worth is what a change does to what a case does.
type Worth struct {
	Case               string
	Sag, Sway, Racking Shift
	Folds              bool // with the change the piece folds sideways under the load
	Stands             bool // without it the piece did
}

// Shift is a quantity without a change and with it, each with rigid joints and with loose
// ones, and by what part of it that moves it: at least and at most, joints from rigid to
// loose, and the triangles' own error either way. The zero Shift where it is not told.
type Shift struct {
	From, To [2]float64 // rigid, loose
	Part     Band
}

// Told tells whether a quantity is known without the change and with it.
func (s Shift) Told() bool { return s.From != [2]float64{} }

// Plain tells whether the change surely moves the quantity: one way with rigid joints and
// with loose ones, and by more than the triangles do.
func (s Shift) Plain() bool { return s.Told() && (s.Part[0] > 0 || s.Part[1] < 0) }

// Compared is what a change is worth: with is of the changed piece, without of the one as
// it is, finer of that on finer triangles, which tells how much is the triangles' doing.
// Cases of which one comes to nothing are left out.
func Compared(without, finer, with *Report) (all []Worth) {
	for i := range without.Estimates {
		a, f, b := &without.Estimates[i], &finer.Estimates[i], &with.Estimates[i]
		if a.Problem != nil || b.Problem != nil || f.Problem != nil {
			continue
		}
		w := Worth{Case: a.Case.Name, Sag: shift(a.Sag, f.Sag, b.Sag), Sway: shift(a.Sway, f.Sway, b.Sway)}
		w.Folds, w.Stands = b.Folds && !a.Folds, a.Folds && !b.Folds
		stiff := func(b Band) Band { return Band{b[1], b[0]} } // rigid joints are the stiffer ones
		if a.Racking[0] > 0 && b.Racking[0] > 0 && f.Racking[0] > 0 {
			w.Racking = shift(stiff(a.Racking), stiff(f.Racking), stiff(b.Racking))
		}
		all = append(all, w)
	}
	return all
}

func shift(from, finer, to Band) (s Shift) {
	if from[0] <= 0 || from[1] <= 0 {
		return s
	}
	s.From, s.To = from, to
	rigid, loose := to[0]/from[0]-1, to[1]/from[1]-1
	own := math.Max(least, math.Max(math.Abs(finer[0]/from[0]-1), math.Abs(finer[1]/from[1]-1)))
	s.Part = Band{math.Min(rigid, loose) - own, math.Max(rigid, loose) + own}
	return s
}

// least is the part of a quantity that triangles move at least, whatever finer ones of one
// piece say by chance.
const least = 0.02
