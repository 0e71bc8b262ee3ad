// Package lookalike finds the blanks of one build that an eye at the bench takes for each
// other, and what they differ in. It compares flats alone: it never decides which blanks
// are the same, which parts/panel does, and changes no shape.
package lookalike

import (
	"math"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Eye is how far, in mm, two blanks that are laid on each other may differ and still be
// taken for one at the bench (common practice, no source).
const Eye = 2.0

// Rule says what looks alike.
var Rule = measure.Say("look-alike: of one sheet, laid on each other, turned or turned over, with as much on them, and no line more than %v off (common practice, no source)",
	measure.Length(Eye))

// leastTurn is the difference of two bends' angles that matters, in degrees.
const leastTurn = 0.5

// mostWork bounds the places of one blank that are held to lines of another: some
// seconds' worth.
const mostWork = 20_000_000

// Note writes into each blank which others it looks like, in the order of the blanks, and
// what is different on it by more than least, mm, which is what cutting leaves to chance.
// Blanks that their marked text tells apart are not alike. It is false where there are
// so many alike that not all were held to each other.
func Note(blanks []*panel.Blank, least float64) bool {
	left := mostWork
	faces := make([]*looks, len(blanks))
	for i, b := range blanks {
		b.Like = nil
		if b.Flat != nil && b.Flat.Panel != nil && len(b.Flat.Outer) > 1 {
			faces[i] = looksOf(b.Flat)
		}
	}
	for i, a := range faces {
		for j := range faces[:i] {
			b := faces[j]
			if a == nil || b == nil || !a.near(b) {
				continue
			}
			if left -= len(a.flat.Outer) * len(b.flat.Outer); left < 0 {
				return false
			}
			for _, pair := range [2][2]int{{i, j}, {j, i}} {
				to, from := pair[0], pair[1]
				if d, at, over := faces[from].differs(faces[to], least, &left); len(d) > 0 {
					blanks[to].Like = append(blanks[to].Like, panel.Likeness{Blank: blanks[from].Name, Over: over, Differs: d, At: at})
				}
			}
		}
	}
	return true
}

// looks are what is seen of a blank.
type looks struct {
	flat  *panel.Flat
	area  float64
	round float64 // length of the outline
	read  bool    // what follows, which takes longer to tell
	lines []line  // all but the outline
	texts map[string]int
}

// near tells whether two blanks can look alike, by what is quickly told.
func (a *looks) near(b *looks) bool {
	s, t := a.flat.Panel.Stock, b.flat.Panel.Stock
	const sameSheet = 0.02 // mm
	if s.Material != t.Material || math.Abs(s.Thickness-t.Thickness) > sameSheet || math.Abs(a.area-b.area) > Eye*max(a.round, b.round) {
		return false
	}
	if a.look(); b.look() != len(a.lines) {
		return false
	}
	var counts [kinds]int
	for i := range a.lines {
		counts[a.lines[i].kind]++
		counts[b.lines[i].kind]--
	}
	if counts != [kinds]int{} || len(a.texts) != len(b.texts) {
		return false
	}
	for text, n := range a.texts {
		if b.texts[text] != n {
			return false
		}
	}
	return true
}

// differs is what is different on b from a, laid on each other as well as may be, where on b, and
// whether a is turned over for that. It is nil where they do not look alike, and where
// nothing differs by more than least.
func (a *looks) differs(b *looks, least float64, left *int) (_ []measure.Text, _ []plane.Point, over bool) {
	var best found
	far := math.Inf(1)
	var at plane.Affine
	for _, mirrored := range [2]bool{false, true} {
		for m := range laid(a.flat.Outer, b.flat.Outer, mirrored) {
			if f, worst, ok := a.under(b, m, mirrored, least, left); ok && worst < far-plane.Tol {
				best, over, far, at = f, mirrored, worst, m
			}
		}
	}
	if len(best.texts) == 0 {
		return nil, nil, false
	}
	// Laid edge on edge, what differs is at one place, not a little of it everywhere.
	for m := range edged(a.flat.Outer, b.flat.Outer, at) {
		f, worst, ok := a.under(b, m, over, least, left)
		if ok && (len(f.texts) < len(best.texts) || len(f.texts) == len(best.texts) && worst < far-plane.Tol) {
			best, far = f, worst
		}
	}
	told, places := best.told(over, a)
	return told, places, over
}

// found is what differs of two blanks that are laid on each other.
type found struct {
	texts  []measure.Text
	at     []plane.Point // of each, where
	turned int           // of these, bends that go the other way
}

// told are the differences in words, and where they are; of a mirror image there is one, all over.
func (f found) told(over bool, a *looks) ([]measure.Text, []plane.Point) {
	folds := 0
	for i := range a.lines {
		if a.lines[i].kind == fold {
			folds++
		}
	}
	if over && folds > 1 && f.turned == folds && len(f.texts) == folds {
		return []measure.Text{measure.Plain("every bend goes the other way")}, nil
	}
	return f.texts, f.at
}

// under is what differs where m takes a onto b, and the largest difference. What it
// takes goes off the work that is left.
func (a *looks) under(b *looks, m plane.Affine, over bool, least float64, left *int) (out found, worst float64, ok bool) {
	*left -= 4*len(a.flat.Outer)*len(b.flat.Outer) + 2*len(a.lines)*len(b.lines)
	if *left < 0 {
		return found{}, 0, false
	}
	worst, at := apart(moved(a.flat.Outer, m), b.flat.Outer, true)
	if worst > Eye {
		return found{}, 0, false
	}
	corner := b.flat.Outer.Bounds().Min
	if worst > least {
		out.texts = append(out.texts, measure.Say("its outline differs by up to %.1f, at %.1f from its lower left", measure.Length(worst), measure.Place(at.Sub(corner))))
		out.at = append(out.at, at)
	}
	taken := make([]bool, len(b.lines))
	for i := range a.lines {
		l := a.lines[i].moved(m, over)
		near, d := -1, math.Inf(1)
		for k := range b.lines {
			if !taken[k] && b.lines[k].kind == l.kind {
				if off := l.off(&b.lines[k]); off < d {
					near, d = k, off
				}
			}
		}
		if near < 0 || d > Eye {
			return found{}, 0, false
		}
		taken[near] = true
		worst = max(worst, d)
		told, more := b.lines[near].told(&l, d, least, corner)
		for _, text := range told {
			out.texts, out.at = append(out.texts, text), append(out.at, b.lines[near].middle())
		}
		if l.kind == fold && l.down != b.lines[near].down {
			out.turned++
		}
		worst += more
	}
	return out, worst, true
}
