package check

import (
	"fmt"
	"slices"
	"strings"
)

// reportCycles reports each circle of names that need each other, once. Params
// of a design may need each other, for rules run both ways; what is worked out
// in one direction may not.
func (c *checker) reportCycles() {
	f := &circles{c: c, index: map[*Decl]int{}, low: map[*Decl]int{}, on: map[*Decl]bool{}}
	for _, d := range c.nodes {
		if len(needsOf(d)) > 0 && f.index[d] == 0 { // most need nothing
			f.visit(d)
		}
	}
}

// circles finds the strongly connected groups of names, by Tarjan's method.
type circles struct {
	c          *checker
	n          int
	index, low map[*Decl]int
	on         map[*Decl]bool
	stack      []*Decl
}

// frame is a name on the way down, with the needs still to follow.
type frame struct {
	d    *Decl
	next []*Decl
}

// visit walks on a stack of its own: chains of names can be long.
func (f *circles) visit(root *Decl) {
	frames := []frame{f.enter(root)}
	for len(frames) > 0 {
		top := &frames[len(frames)-1]
		if len(top.next) > 0 {
			d := top.next[0]
			top.next = top.next[1:]
			switch {
			case len(needsOf(d)) == 0: // no part of a circle
			case f.index[d] == 0:
				frames = append(frames, f.enter(d))
			case f.on[d]:
				f.low[top.d] = min(f.low[top.d], f.index[d])
			}
			continue
		}
		d := top.d
		frames = frames[:len(frames)-1]
		if len(frames) > 0 {
			up := frames[len(frames)-1].d
			f.low[up] = min(f.low[up], f.low[d])
		}
		if f.low[d] == f.index[d] {
			f.leave(d)
		}
	}
}

func (f *circles) enter(d *Decl) frame {
	f.n++
	f.index[d], f.low[d] = f.n, f.n
	f.on[d] = true
	f.stack = append(f.stack, d)
	return frame{d, needsOf(d)}
}

// needsOf is what must be worked out before d.
func needsOf(d *Decl) []*Decl {
	switch d.Kind {
	case Panel:
		return d.Members
	case Param:
		for _, n := range d.deps {
			if n == d {
				return []*Decl{d}
			}
		}
		return nil
	}
	return d.deps
}

// leave takes a group off the stack and reports it when it is a circle.
func (f *circles) leave(d *Decl) {
	var group []*Decl
	for {
		n := len(f.stack) - 1
		x := f.stack[n]
		f.stack = f.stack[:n]
		f.on[x] = false
		group = append(group, x)
		if x == d {
			break
		}
	}
	if len(group) == 1 && !slices.Contains(needsOf(d), d) {
		return
	}
	in := map[*Decl]bool{}
	for _, x := range group {
		in[x] = true
	}
	start := first(group)
	if way := shortest(start, in); way != nil {
		f.report(way)
	}
}

// first is where a circle is reported: at its first part, else at the name that
// is declared first; a panel only where there is nothing else.
func first(group []*Decl) *Decl {
	rank := func(d *Decl) int {
		switch d.Kind {
		case Part:
			return 0
		case Panel:
			return 2
		}
		return 1
	}
	best := group[0]
	for _, d := range group[1:] {
		if r, b := rank(d), rank(best); r < b || r == b && d.At.Start < best.At.Start {
			best = d
		}
	}
	return best
}

// shortest is a shortest way from start back to it inside the group, start at
// both ends; nil where there is none.
func shortest(start *Decl, in map[*Decl]bool) []*Decl {
	from := map[*Decl]*Decl{}
	queue := []*Decl{start}
	for len(queue) > 0 {
		d := queue[0]
		queue = queue[1:]
		for _, n := range needsOf(d) {
			if n == start {
				way := []*Decl{start}
				for x := d; x != start; x = from[x] {
					way = append(way, x)
				}
				way = append(way, start)
				for i, j := 0, len(way)-1; i < j; i, j = i+1, j-1 {
					way[i], way[j] = way[j], way[i]
				}
				return way
			}
			if in[n] && from[n] == nil {
				from[n] = d
				queue = append(queue, n)
			}
		}
	}
	return nil
}

// maxShown caps how many names of a circle are written out.
const maxShown = 12

func (f *circles) report(way []*Decl) {
	var names []string
	parts, sizes := false, way[0].Kind == Size
	for _, d := range way {
		names = append(names, fullName(d))
		parts = parts || d.Kind == Part
	}
	if n := len(names); n > maxShown {
		names = append(names[:maxShown-1:maxShown-1], fmt.Sprintf("%d more", n-maxShown), names[n-1])
	}
	code, what := "P2004", "names need each other in a circle: "
	switch {
	case sizes:
		code, what = "P2032", "sizes are like each other in a circle: "
	case parts:
		code, what = "P2005", "parts need each other in a circle: "
	case len(way) == 2:
		what = "a name can't need itself: "
	}
	d := f.c.report(code, way[0].At, what+strings.Join(names, ", "), "needs itself")
	switch code {
	case "P2004":
		note(d, "state one of them by something that does not need it, or say with rules what holds between params: rules run both ways")
	case "P2005":
		note(d, "place one of them by something else than the other, such as a plane that both are drawn on")
	}
	for _, x := range way[1:min(len(way)-1, maxShown)] {
		also(d, x.At, fmt.Sprintf("%s is on the way", fullName(x)))
	}
}

// fullName is a name with the panel and face it stands in.
func fullName(d *Decl) string {
	if d.Owner != nil && (d.Owner.Kind == Panel || d.Owner.Kind == Face) {
		return fullName(d.Owner) + "." + d.Name
	}
	return d.Name
}
