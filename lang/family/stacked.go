package family

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/stack"
)

// Stacking is how pieces of one size stand on each other.
type Stacking struct {
	Size  string        `json:"size"`
	Ways  []StackingWay `json:"ways"`
	shown measure.System
}

// StackingWay is one way to let a piece down onto another.
type StackingWay struct {
	Turned  float64    `json:"turned_deg"` // on the one below
	Nests   bool       `json:"nests"`      // else it stands on top
	Pitch   float64    `json:"pitch_mm"`
	Height  float64    `json:"height_mm"` // of so many as were asked for
	Lower   string     `json:"lower"`     // the parts that touch first
	Upper   string     `json:"upper"`
	At      [3]float64 `json:"at_mm"`
	Touches int        `json:"touches"` // places that touch there
	Lean    float64    `json:"lean_deg"`
}

// mostStacked is how many comparisons the stacking of one size may take.
const mostStacked = 200_000_000

var errStackWork = errors.New("the piece has too many edges for its stack to be worked out")

// Stacks builds every size and lets a copy of it down onto it, turned by each of some angles
// in degrees; heights are of so many pieces.
func (j Job) Stacks(turns []float64, pieces int) ([]Stacking, []diag.Diagnostic, error) {
	names, _ := j.sizes()
	out := make([]Stacking, len(names))
	var mu sync.Mutex
	var failed error
	diags, err := j.each(func(i int, r *build.Result) error {
		if r.Assembly == nil {
			return nil
		}
		s, err := j.stacks(r, turns, pieces)
		mu.Lock()
		defer mu.Unlock()
		if out[i] = s; err != nil && failed == nil {
			failed = fmt.Errorf("size %s: %w", r.Size, err)
		}
		return nil
	})
	if err == nil {
		err = failed
	}
	return out, diags, err
}

func (j Job) stacks(r *build.Result, turns []float64, pieces int) (s Stacking, err error) {
	s = Stacking{Size: r.Size, shown: j.Program.Shown}
	left := mostStacked
	defer func() {
		if p := recover(); p != nil {
			if p != errStackWork {
				panic(p)
			}
			err = errStackWork
		}
	}()
	if len(r.Flats) == 0 {
		return s, nil
	}
	middle := stack.Middle(r.Flats)
	for _, deg := range turns {
		n := stack.Down(r.Flats, deg*math.Pi/180, middle, func(steps int) {
			if left -= steps; left < 0 || j.stopped() {
				panic(errStackWork)
			}
		})
		w := StackingWay{Turned: deg, Nests: n.Nests(), Pitch: rounded(n.Pitch), Height: rounded(n.Stacked(pieces)), Touches: n.Touches, Lean: rounded(n.Lean * 180 / math.Pi)}
		if n.Touches > 0 {
			w.Lower, w.Upper = r.Assembly.Copies[n.First.Lower].Name, r.Assembly.Copies[n.First.Upper].Name
			w.At = [3]float64{rounded(n.First.At.X), rounded(n.First.At.Y), rounded(n.First.At.Z)}
		}
		s.Ways = append(s.Ways, w)
	}
	return s, nil
}

// rounded is a number of a record to four decimals.
func rounded(x float64) float64 { return math.Round(x*1e4)/1e4 + 0 }

// sinks is how far, in mm, a piece goes down into the one below, of a stack of some pieces.
func (w StackingWay) sinks(pieces int) float64 {
	return w.Height - float64(w.Pitch*float64(max(pieces, 1)))
}

// Lines tell of the stacking to a person.
func (s Stacking) Lines(pieces int) []string {
	lines := []string{s.Size}
	if len(s.Ways) == 0 {
		lines = append(lines, "  it has no parts")
	}
	for _, w := range s.Ways {
		way := "straight down"
		if w.Turned != 0 {
			way = fmt.Sprintf("each turned by %g°", w.Turned)
		}
		high := measure.Say("%d are %.0f high", pieces, measure.Length(w.Height)).In(s.shown)
		switch {
		case w.Touches == 0:
			lines = append(lines, fmt.Sprintf("  %s: they pass each other, nothing of one is above the other", way))
			continue
		case !w.Nests:
			lines = append(lines, fmt.Sprintf("  %s: they bind at once and stand on top of each other; %s", way, high))
		case w.sinks(pieces) < 0.01*w.Pitch:
			lines = append(lines, fmt.Sprintf("  %s: they bind almost at once, %s down, and stand on top of each other; %s", way, measure.Say("%.1f", measure.Length(w.sinks(pieces))).In(s.shown), high))
		default:
			lines = append(lines, fmt.Sprintf("  %s: %s from one to the next; %s", way, measure.Say("%.1f", measure.Length(w.Pitch)).In(s.shown), high))
		}
		where := measure.Say("    %s of the lower first meets %s of the upper, at (%#.1f, %#.1f, %.1f)", w.Lower, w.Upper,
			measure.Length(w.At[0]), measure.Length(w.At[1]), measure.Length(w.At[2])).In(s.shown)
		if w.Touches > 1 {
			where += fmt.Sprintf(", and in %s more", measure.Counted(w.Touches-1, "place"))
		}
		if w.Lean > 0.05 {
			where += fmt.Sprintf("; each leans by about %.1f° on the one below", w.Lean)
		}
		lines = append(lines, where)
	}
	return lines
}
