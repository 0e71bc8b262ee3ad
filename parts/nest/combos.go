package nest

import (
	"cmp"
	"container/heap"
	"slices"
)

// choice is a number of sheets of each kind.
type choice struct {
	count []int
	last  int // kinds before it are settled
	total int
	price float64
	area  float64 // that blanks may fill
}

// kind is a sheet of the job with what a choice needs to know of it.
type kind struct {
	sheet int
	stock int // in stock; −1 any number
	price float64
	area  float64
}

// choices yields the choices of sheets by price, then number, then area, cheapest
// first. Where there are too many to go through, it goes on with what has the most
// area for its price.
type choices struct {
	kinds  []kind
	queue  []choice
	looked int
	greedy choice
}

// mostSheets, mostQueued and mostLooked bound the search for a choice.
const (
	mostSheets = 400
	mostQueued = 20000
	mostLooked = 200000
)

func newChoices(kinds []kind) *choices {
	return &choices{kinds: kinds, queue: []choice{{count: make([]int, len(kinds))}}}
}

func (c *choices) Len() int      { return len(c.queue) }
func (c *choices) Swap(i, j int) { c.queue[i], c.queue[j] = c.queue[j], c.queue[i] }
func (c *choices) Push(x any)    { c.queue = append(c.queue, x.(choice)) }
func (c *choices) Pop() any {
	x := c.queue[len(c.queue)-1]
	c.queue = c.queue[:len(c.queue)-1]
	return x
}
func (c *choices) Less(i, j int) bool {
	a, b := &c.queue[i], &c.queue[j]
	switch {
	case a.price != b.price:
		return a.price < b.price
	case a.total != b.total:
		return a.total < b.total
	case a.area != b.area:
		return a.area < b.area
	}
	return slices.Compare(a.count, b.count) > 0
}

// next is the next choice with at least the given area; false when there is none.
func (c *choices) next(area float64) (choice, bool) {
	for len(c.queue) > 0 && c.looked < mostLooked {
		c.looked++
		x := heap.Pop(c).(choice)
		if len(c.queue) > mostQueued {
			c.looked = mostLooked
		}
		if x.total < mostSheets {
			for k := x.last; k < len(c.kinds); k++ {
				if c.kinds[k].stock >= 0 && x.count[k] >= c.kinds[k].stock {
					continue
				}
				y := choice{slices.Clone(x.count), k, x.total + 1, x.price + c.kinds[k].price, x.area + c.kinds[k].area}
				y.count[k]++
				heap.Push(c, y)
			}
		}
		if x.total > 0 && x.area >= area {
			return x, true
		}
	}
	if c.looked < mostLooked {
		return choice{}, false
	}
	return c.rough(area)
}

// rough adds sheets, at least one more than the last time, by value; what the others
// make needless is left out again, the dearest first.
func (c *choices) rough(area float64) (choice, bool) {
	g := &c.greedy
	if g.count == nil {
		g.count = make([]int, len(c.kinds))
	}
	for grown := false; !grown || g.area < area; grown = true {
		left := slices.Clone(c.kinds)
		for k := range left {
			if left[k].stock >= 0 {
				left[k].stock -= g.count[k]
			}
		}
		k := bestValue(left)
		if k < 0 || g.total >= mostSheets {
			return choice{}, false
		}
		g.count[k]++
		g.total++
		g.area += left[k].area
		g.price += left[k].price
	}
	out := *g
	out.count = slices.Clone(g.count)
	order := make([]int, len(c.kinds))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(c.kinds[b].price, c.kinds[a].price) })
	for _, k := range order {
		for out.count[k] > 0 && out.area-c.kinds[k].area >= area {
			out.count[k]--
			out.total--
			out.area -= c.kinds[k].area
			out.price -= c.kinds[k].price
		}
	}
	return out, true
}
