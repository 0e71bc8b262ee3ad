package build

import "math"

// Bounds of the search for the zeros of a function that takes a whole build for
// each value.
const (
	gaps       = 24 // stretches that a range is first cut into
	edgeSteps  = 8  // halvings towards a place beyond which there is no value
	dipSteps   = 40 // values taken in a dip that may touch zero
	crossSteps = 60 // values taken in a stretch over which the sign changes
)

// sample is a function's value at a place, NaN where it has none; |y| ≤ near is
// zero.
type sample struct{ x, y, near float64 }

func (s sample) known() bool { return !math.IsNaN(s.y) }

func (s sample) zero() bool { return math.Abs(s.y) <= s.near }

// crossing is a stretch from which a function leaves one sign and at whose end it
// has another: where it is zero, from and to are one, or, of a stretch of zeros,
// its ends; where it jumps past zero they are the last values on either side.
type crossing struct {
	from, to sample
	jump     bool
}

// crossings finds the zeros of f over lo..hi, as far as they show between samples
// taken evenly: sign changes, and dips of |y| that reach zero. Two zeros closer than
// a sample's distance from the next may stay unseen.
func crossings(f func(x float64) (y, near float64), lo, hi float64) (seen []sample, out []crossing) {
	z := zeros{f}
	seen = z.scan(lo, hi)
	for i := 0; i < len(seen); i++ {
		a := seen[i]
		switch {
		case !a.known():
		case a.zero():
			end := i
			for end+1 < len(seen) && seen[end+1].zero() {
				end++
			}
			out = append(out, crossing{from: a, to: seen[end]})
			i = end
		case i+1 < len(seen) && seen[i+1].known() && !seen[i+1].zero():
			b := seen[i+1]
			if a.y < 0 != (b.y < 0) {
				out = z.cross(a, b, out)
			} else if i+2 < len(seen) {
				out = z.dip(a, b, seen[i+2], out)
			}
		}
	}
	return seen, out
}

// zeros looks for the zeros of f.
type zeros struct {
	f func(x float64) (y, near float64)
}

func (z *zeros) at(x float64) sample {
	y, near := z.f(x)
	return sample{x, y, near}
}

// scan samples a range evenly, and the last place with a value before one without.
func (z *zeros) scan(lo, hi float64) []sample {
	out := []sample{z.at(lo)}
	for k := 1; k <= gaps && hi > lo; k++ {
		x := lo + (hi-lo)*float64(k)/gaps
		if k == gaps {
			x = hi
		}
		a, b := out[len(out)-1], z.at(x)
		if a.known() != b.known() {
			out = append(out, z.edge(a, b))
		}
		out = append(out, b)
	}
	return out
}

// edge is the last known sample between one that is known and one that is not.
func (z *zeros) edge(a, b sample) sample {
	if b.known() {
		a, b = b, a
	}
	for range edgeSteps {
		if m := z.at(a.x + (b.x-a.x)/2); m.known() {
			a = m
		} else {
			b = m
		}
	}
	return a
}

// cross narrows a sign change down, by false position with every fourth step a
// halving: a zero, or a jump past it, is added to out.
func (z *zeros) cross(a, b sample, out []crossing) []crossing {
	best := a
	if math.Abs(b.y) < math.Abs(a.y) {
		best = b
	}
	ya, yb := a.y, b.y // halved where an end has stayed twice, so that it moves
	stayed := 0        // steps that b stayed, or negative, a
	for i := 0; i < crossSteps && math.Abs(best.y) > best.near/1000; i++ {
		x := a.x + (b.x-a.x)*(ya/(ya-yb))
		if i%4 == 3 || !(x > a.x && x < b.x) {
			x = a.x + (b.x-a.x)/2
		}
		if !(x > a.x && x < b.x) {
			break
		}
		m := z.at(x)
		if !m.known() {
			return out
		}
		if math.Abs(m.y) < math.Abs(best.y) {
			best = m
		}
		if m.y < 0 == (a.y < 0) {
			if stayed = max(stayed, 0) + 1; stayed > 1 {
				yb /= 2
			}
			a, ya = m, m.y
		} else {
			if stayed = min(stayed, 0) - 1; stayed < -1 {
				ya /= 2
			}
			b, yb = m, m.y
		}
	}
	if best.zero() {
		return append(out, crossing{from: best, to: best})
	}
	return append(out, crossing{from: a, to: b, jump: true})
}

// dip looks between a and c, on one side of zero, for a place nearer to it than b:
// by golden sections, until zero is reached or passed.
func (z *zeros) dip(a, b, c sample, out []crossing) []crossing {
	if !c.known() || c.y < 0 != (b.y < 0) || !(math.Abs(b.y) < math.Abs(a.y)) || math.Abs(b.y) > math.Abs(c.y) {
		return out
	}
	const part = 0.381966 // 2 less the golden ratio
	for range dipSteps {
		x := b.x + (c.x-b.x)*part
		if b.x-a.x > c.x-b.x {
			x = b.x - (b.x-a.x)*part
		}
		m := z.at(x)
		switch {
		case !m.known() || m.x == b.x:
			return out
		case m.y < 0 != (b.y < 0):
			lo, hi := a, c
			if m.x < b.x {
				hi = b
			} else {
				lo = b
			}
			return z.cross(m, hi, z.cross(lo, m, out))
		case math.Abs(m.y) > math.Abs(b.y):
			if m.x < b.x {
				a = m
			} else {
				c = m
			}
		case m.x < b.x:
			b, c = m, b
		default:
			a, b = b, m
		}
		if b.zero() {
			return append(out, crossing{from: b, to: b})
		}
	}
	return out
}
