package solver

import (
	"math"
	"slices"
)

// maxBoxes bounds the boxes that the proof of a block's impossibility looks at.
const maxBoxes = 4000

// impossible proves, where it can, that the block has no solution in its
// ranges: it halves the box, widest side first, until on every part some
// equation's enclosure misses 0.
func (b *block) impossible() bool {
	box := make([]interval, len(b.x))
	for v, x := range b.x {
		box[v] = point(x)
	}
	first := make([]interval, b.n)
	for k := range first {
		first[k] = interval{lo: b.lo[k], hi: b.hi[k]}
	}
	todo := [][]interval{first}
	for n := 0; len(todo) > 0; n++ {
		part := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if n >= maxBoxes || *b.budget <= 0 {
			return false
		}
		for k, v := range b.vars {
			box[v] = part[k]
		}
		if b.misses(box) {
			continue
		}
		k := b.widest(part)
		m := middle(part[k])
		if !(m > part[k].lo && m < part[k].hi) {
			return false
		}
		left, right := slices.Clone(part), part
		left[k].hi, right[k].lo = m, m
		todo = append(todo, left, right)
	}
	return true
}

// misses tells whether some equation cannot hold in the box.
func (b *block) misses(box []interval) bool {
	for _, c := range b.cons {
		t := &b.w.p.tapes[c]
		*b.budget -= len(t.code)
		y := sub(t.encloseBox(box, b.w.dual), point(b.q.shift[c]))
		if y.isEmpty() || !y.has(0) {
			return true
		}
	}
	return false
}

// widest is the side to halve next, by width relative to the variable's scale.
func (b *block) widest(part []interval) int {
	at, most := 0, -1.0
	for k, p := range part {
		if w := math.Min(p.width()/b.scale[k], math.MaxFloat64); w > most {
			at, most = k, w
		}
	}
	return at
}
