package scene

import (
	"slices"

	"perch/parts/joining"
	"perch/parts/solid"
)

// Step is one step of putting the piece together: parts that come to what is there.
type Step struct {
	Parts []int // copies that come
	Joins []int // fasteners that are set
	Moves []Move
}

// Move takes copies that hang together by then off the rest, along their joins.
type Move struct {
	Copies []int
	By     solid.Vec // mm, in the world
}

const (
	// clear is the room between parts that were moved apart, in sizes of the piece.
	clear = 0.08
	// leastAway is how long the sum of joins' unit axes must be, for one join, to say where a
	// part comes from; below it the axes face each other.
	leastAway = 0.3
)

// apart reads from a plan how the piece comes apart.
func (s *Scene) apart(plan *joining.Plan) []Step {
	of := make([]int, len(s.Copies)) // the group that a copy hangs together with
	for i := range of {
		of[i] = i
	}
	var out []Step
	for i := range plan.Steps {
		p := &plan.Steps[i]
		step := Step{Parts: p.Parts, Joins: joinsOf(p)}
		if !p.Loose {
			step.Moves = s.moves(p.Onto, step, of)
		}
		for _, j := range step.Joins {
			for _, c := range s.Fasteners[j].Copies[1:] {
				merge(of, of[s.Fasteners[j].Copies[0]], of[c])
			}
		}
		out = append(out, step)
	}
	return out
}

func joinsOf(p *joining.Step) []int {
	out := slices.Concat(p.Tacks, p.Welds)
	for _, f := range p.Fasteners {
		out = append(out, f.Joins...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func merge(of []int, a, b int) {
	for i := range of {
		if of[i] == max(a, b) {
			of[i] = min(a, b)
		}
	}
}

// moves are those of a step's groups away from what stays: what they come onto or, where they
// start, the largest of those that its fasteners hold together.
func (s *Scene) moves(onto []int, step Step, of []int) []Move {
	together := slices.Clone(of)
	for _, j := range step.Joins {
		for _, c := range s.Fasteners[j].Copies[1:] {
			merge(together, together[s.Fasteners[j].Copies[0]], together[c])
		}
	}
	stays := map[int]bool{} // groups
	for _, c := range onto {
		stays[of[c]] = true
	}
	if len(onto) == 0 {
		best := map[int]int{} // by what hangs together afterwards: a group's first copy
		for _, c := range step.Parts {
			k, seen := best[together[c]]
			if !seen || s.weight(c, of) > s.weight(k, of) {
				best[together[c]] = c
			}
		}
		for _, c := range best {
			stays[of[c]] = true
		}
	}
	var out []Move
	done := map[int]bool{}
	for _, c := range step.Parts {
		g := of[c]
		if stays[g] || done[g] {
			continue
		}
		done[g] = true
		m := Move{}
		for i := range of {
			if of[i] == g {
				m.Copies = append(m.Copies, i)
			}
		}
		m.By = s.away(m.Copies, step.Joins, of, g, together)
		out = append(out, m)
	}
	return out
}

// weight is what a copy's group weighs, kg.
func (s *Scene) weight(copy int, of []int) float64 {
	sum := 0.0
	for i := range of {
		if of[i] == of[copy] {
			sum += s.Shapes[s.Copies[i].Shape].Mass
		}
	}
	return sum
}

// away is how far and which way a group goes: off the sheets that its fasteners hold it to, so
// far that its box is clear of theirs. Where its fasteners face each other it goes from the
// middle of the rest to its own; where they lead into the piece, along its sheets.
func (s *Scene) away(group, joins, of []int, g int, together []int) solid.Vec {
	var sum solid.Vec
	n := 0
	for _, j := range joins {
		f := &s.Fasteners[j]
		first, last := f.Copies[0], f.Copies[len(f.Copies)-1]
		switch {
		case of[first] == g && of[last] != g: // it lies outside, and axes point inward
			sum = sum.Sub(f.Axis)
			n++
		case of[last] == g && of[first] != g:
			sum = sum.Add(f.Axis)
			n++
		}
	}
	var rest []int
	for i := range of {
		if together[i] == together[group[0]] && of[i] != g {
			rest = append(rest, i)
		}
	}
	lo, hi := s.boxOf(group)
	low, high := s.boxOf(rest)
	dir, out := sum, lo.Add(hi).Sub(low).Sub(high)
	if n == 0 || sum.Len() < leastAway*float64(n) {
		dir = out
	} else if sum.Dot(out) < 0 { // off its sheets it would go into the middle of the piece, where others go too: along them
		in := sum.Unit()
		if along := out.Sub(in.Scale(out.Dot(in))); along.Len() > leastAway*out.Len() {
			dir = along
		}
	}
	if dir.Len() < 1e-6 {
		dir = solid.Vec{Z: 1}
	}
	dir = dir.Unit()
	// The group's nearest corner passes the rest's farthest one, or as much of it as shows.
	size := s.Hi.Sub(s.Lo).Len()
	gap := reach(low, high, dir) + reach(lo, hi, dir.Neg())
	return dir.Scale(min(max(gap, 0), size/3) + float64(clear*size))
}

// reach is how far a box reaches in a direction.
func reach(lo, hi, dir solid.Vec) float64 {
	pick := func(l, h, d float64) float64 { return max(float64(l*d), float64(h*d)) }
	return pick(lo.X, hi.X, dir.X) + pick(lo.Y, hi.Y, dir.Y) + pick(lo.Z, hi.Z, dir.Z)
}

func (s *Scene) boxOf(copies []int) (lo, hi solid.Vec) {
	for k, i := range copies {
		l, h := s.boxes[i][0], s.boxes[i][1]
		if k == 0 {
			lo, hi = l, h
			continue
		}
		lo, hi = lower(lo, l), upper(hi, h)
	}
	return lo, hi
}
