package plane

import (
	"cmp"
	"math"
	"slices"
)

// boxTree finds the boxes of a list that are near a place without a look at all of
// them. Neighbours are packed into boxes of up to fanOut, those into larger ones, and so on:
// the boxes are sorted into columns by their middles, and up each column (sort-tile-recursive
// packing; Leutenegger, Lopez, Edgington, 1997, from memory).
type boxTree struct {
	order  []int32 // numbers of the list's boxes, as they are packed
	boxes  []Box   // of all levels: the packed ones, those around them, up to the one around all
	starts []int   // of the levels in boxes, and the end of the last
}

const (
	fanOut = 8
	// treeFrom is the number of boxes from which a tree is sooner made and asked than all
	// boxes are looked at.
	treeFrom = 96
)

// newBoxTree packs n boxes, none of them empty.
func newBoxTree(n int, box func(i int) Box) *boxTree {
	t := &boxTree{order: make([]int32, n), boxes: make([]Box, n, n+n/(fanOut-1)+8)}
	middles := make([]Point, n)
	for i := range n {
		t.order[i] = int32(i)
		middles[i] = box(i).Center()
	}
	by := func(of func(Point) float64) func(i, j int32) int {
		return func(i, j int32) int {
			if c := cmp.Compare(of(middles[i]), of(middles[j])); c != 0 {
				return c
			}
			return cmp.Compare(i, j)
		}
	}
	slices.SortFunc(t.order, by(func(p Point) float64 { return p.X }))
	column := fanOut * max(1, int(math.Ceil(math.Sqrt(float64(n)/fanOut))))
	for c := range slices.Chunk(t.order, column) {
		slices.SortFunc(c, by(func(p Point) float64 { return p.Y }))
	}
	for k, i := range t.order {
		t.boxes[k] = box(int(i))
	}
	t.starts = []int{0, n}
	for from, to := 0, n; to-from > 1; from, to = to, len(t.boxes) {
		for c := range slices.Chunk(t.boxes[from:to], fanOut) {
			around := c[0]
			for _, b := range c[1:] {
				around = around.Union(b)
			}
			t.boxes = append(t.boxes, around)
		}
		t.starts = append(t.starts, len(t.boxes))
	}
	return t
}

// children are the nodes below node k of a level, as places in boxes.
func (t *boxTree) children(level, k int) (from, to int) {
	below := t.starts[level-1]
	from = below + fanOut*(k-t.starts[level])
	return from, min(from+fanOut, t.starts[level])
}

// overlapping calls do for the number of every box that overlaps q, in no order that
// means anything.
func (t *boxTree) overlapping(q Box, do func(i int32)) {
	if len(t.order) == 0 {
		return
	}
	t.overlappingBelow(len(t.starts)-2, len(t.boxes)-1, q, do)
}

func (t *boxTree) overlappingBelow(level, k int, q Box, do func(i int32)) {
	if !t.boxes[k].Overlaps(q) {
		return
	}
	if level == 0 {
		do(t.order[k])
		return
	}
	from, to := t.children(level, k)
	for c := from; c < to; c++ {
		t.overlappingBelow(level-1, c, q, do)
	}
}

// overlaps calls do for every two of n boxes that overlap when the first is grown by tol,
// i < j, in the order of i and then j, until do answers false.
func overlaps(n int, box func(i int) Box, tol float64, do func(i, j int) bool) {
	t := newBoxTree(n, box)
	var near []int
	for i := range n {
		near = near[:0]
		t.overlapping(box(i).Grow(tol), func(j int32) {
			if int(j) > i {
				near = append(near, int(j))
			}
		})
		slices.Sort(near)
		for _, j := range near {
			if !do(i, j) {
				return
			}
		}
	}
}
