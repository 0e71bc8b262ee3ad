package plane

import "slices"

// Places finds the boxes of a list that lie near a place, without a look at all of
// them. The zero value holds none; more may be added at any time.
type Places struct {
	boxes  []Box
	tree   *boxTree // of the first ones, nil of few
	full   []int32  // the numbers of the boxes in the tree: those that are not empty
	packed int      // how many are in the tree, or empty
}

// NewPlaces of boxes. Empty ones are nowhere.
func NewPlaces(boxes []Box) *Places {
	p := &Places{boxes: slices.Clone(boxes)}
	p.pack()
	return p
}

// Len is how many boxes there are.
func (p *Places) Len() int { return len(p.boxes) }

// Add takes in one more box; its number is how many there were.
func (p *Places) Add(b Box) {
	p.boxes = append(p.boxes, b)
	p.pack()
}

// pack makes the tree anew when too many boxes are beside it.
func (p *Places) pack() {
	if len(p.boxes)-p.packed < treeFrom+p.packed/2 {
		return
	}
	p.full, p.packed = p.full[:0], len(p.boxes)
	for i, b := range p.boxes {
		if !b.Empty() {
			p.full = append(p.full, int32(i))
		}
	}
	p.tree = newBoxTree(len(p.full), func(i int) Box { return p.boxes[p.full[i]] })
}

// Count is how many boxes share a point with q.
func (p *Places) Count(q Box) (n int) {
	if p.tree != nil {
		p.tree.overlapping(q, func(int32) { n++ })
	}
	for i := p.packed; i < len(p.boxes); i++ {
		if p.boxes[i].Overlaps(q) {
			n++
		}
	}
	return n
}

// Near appends the numbers of the boxes that share a point with q to found, in order.
func (p *Places) Near(q Box, found []int) []int {
	n := len(found)
	if p.tree != nil {
		p.tree.overlapping(q, func(i int32) { found = append(found, int(p.full[i])) })
		slices.Sort(found[n:])
	}
	for i := p.packed; i < len(p.boxes); i++ {
		if p.boxes[i].Overlaps(q) {
			found = append(found, i)
		}
	}
	return found
}
