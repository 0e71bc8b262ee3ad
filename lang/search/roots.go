package search

import "math"

// Bounds of the search for the zeros of a costly function of one variable.
const (
	gaps       = 24 // stretches that a range is first cut into
	edgeSteps  = 8  // halvings towards a place beyond which there is no value
	dipSteps   = 40 // values taken in a dip that may touch zero
	crossSteps = 60 // values taken in a stretch over which the sign changes
)

// Sample is a function's value at a point, NaN where it has none; |Y| ≤ Near is
// zero.
type Sample struct{ X, Y, Near float64 }

// Known tells that the function has a value.
func (s Sample) Known() bool { return !math.IsNaN(s.Y) }

func (s Sample) zero() bool { return math.Abs(s.Y) <= s.Near }

// Crossing is a stretch from which a function leaves one sign and at whose end it
// has another: where it is zero, From and To are one, or, of a stretch of zeros,
// its ends; where it jumps past zero they are the last values on either side.
type Crossing struct {
	From, To Sample
	Jump     bool
}

// Crossings finds the zeros of f over lo..hi, as far as they show between samples
// taken evenly: sign changes, and dips of |y| that reach zero. Two zeros closer than
// a sample's distance from the next may stay unseen.
func Crossings(f func(x float64) (y, near float64), lo, hi float64) (seen []Sample, out []Crossing) {
	z := roots{f}
	seen = z.scan(lo, hi)
	for i := 0; i < len(seen); i++ {
		a := seen[i]
		switch {
		case !a.Known():
		case a.zero():
			end := i
			for end+1 < len(seen) && seen[end+1].zero() {
				end++
			}
			out = append(out, Crossing{From: a, To: seen[end]})
			i = end
		case i+1 < len(seen) && seen[i+1].Known() && !seen[i+1].zero():
			b := seen[i+1]
			if a.Y < 0 != (b.Y < 0) {
				out = z.cross(a, b, out)
			} else if i+2 < len(seen) {
				out = z.dip(a, b, seen[i+2], out)
			}
		}
	}
	return seen, out
}

// roots looks for the zeros of f.
type roots struct {
	f func(x float64) (y, near float64)
}

func (z *roots) at(x float64) Sample {
	y, near := z.f(x)
	return Sample{x, y, near}
}

// scan samples a range evenly, and the last place with a value before one without.
func (z *roots) scan(lo, hi float64) []Sample {
	out := []Sample{z.at(lo)}
	for k := 1; k <= gaps && hi > lo; k++ {
		x := lo + float64((hi-lo)*float64(k)/gaps)
		if k == gaps {
			x = hi
		}
		a, b := out[len(out)-1], z.at(x)
		if a.Known() != b.Known() {
			out = append(out, z.edge(a, b))
		}
		out = append(out, b)
	}
	return out
}

// edge is the last known Sample between one that is known and one that is not.
func (z *roots) edge(a, b Sample) Sample {
	if b.Known() {
		a, b = b, a
	}
	for range edgeSteps {
		if m := z.at(a.X + float64((b.X-a.X)/2)); m.Known() {
			a = m
		} else {
			b = m
		}
	}
	return a
}

// cross narrows a sign change down, by false position with every fourth step a
// halving: a zero, or a jump past it, is added to out.
func (z *roots) cross(a, b Sample, out []Crossing) []Crossing {
	best := a
	if math.Abs(b.Y) < math.Abs(a.Y) {
		best = b
	}
	ya, yb := a.Y, b.Y // halved where an end has stayed twice, so that it moves
	stayed := 0        // steps that b stayed, or negative, a
	for i := 0; i < crossSteps && math.Abs(best.Y) > best.Near/1000; i++ {
		x := a.X + float64((b.X-a.X)*(ya/(ya-yb)))
		if i%4 == 3 || !(x > a.X && x < b.X) {
			x = a.X + float64((b.X-a.X)/2)
		}
		if !(x > a.X && x < b.X) {
			break
		}
		m := z.at(x)
		if !m.Known() {
			return out
		}
		if math.Abs(m.Y) < math.Abs(best.Y) {
			best = m
		}
		if m.Y < 0 == (a.Y < 0) {
			if stayed = max(stayed, 0) + 1; stayed > 1 {
				yb /= 2
			}
			a, ya = m, m.Y
		} else {
			if stayed = min(stayed, 0) - 1; stayed < -1 {
				ya /= 2
			}
			b, yb = m, m.Y
		}
	}
	if best.zero() {
		return append(out, Crossing{From: best, To: best})
	}
	return append(out, Crossing{From: a, To: b, Jump: true})
}

// dip looks between a and c, on one side of zero, for a place nearer to it than b:
// by golden sections, until zero is reached or passed.
func (z *roots) dip(a, b, c Sample, out []Crossing) []Crossing {
	if !c.Known() || c.Y < 0 != (b.Y < 0) || !(math.Abs(b.Y) < math.Abs(a.Y)) || math.Abs(b.Y) > math.Abs(c.Y) {
		return out
	}
	const part = 0.381966 // 2 less the golden ratio
	for range dipSteps {
		x := b.X + float64((c.X-b.X)*part)
		if b.X-a.X > c.X-b.X {
			x = b.X - float64((b.X-a.X)*part)
		}
		m := z.at(x)
		switch {
		case !m.Known() || m.X == b.X:
			return out
		case m.Y < 0 != (b.Y < 0):
			lo, hi := a, c
			if m.X < b.X {
				hi = b
			} else {
				lo = b
			}
			return z.cross(m, hi, z.cross(lo, m, out))
		case math.Abs(m.Y) > math.Abs(b.Y):
			if m.X < b.X {
				a = m
			} else {
				c = m
			}
		case m.X < b.X:
			b, c = m, b
		default:
			a, b = b, m
		}
		if b.zero() {
			return append(out, Crossing{From: b, To: b})
		}
	}
	return out
}
