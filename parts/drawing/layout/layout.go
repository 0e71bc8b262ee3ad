// Package layout finds free places for text on a sheet-metal outline: a coarse
// grid knows which cells are metal that no line crosses, and the largest upright
// or turned box that fits is looked for near the middle. It also says which flats
// cannot be drawn. It draws nothing and knows no fonts, only boxes.
package layout

import (
	"math"
	"math/bits"

	"perch/parts/plane"
)

// Grid is the free space of one outline. A cell is free when it lies wholly in
// the metal and nothing drawn crosses it.
type Grid struct {
	min, cell plane.Point    // lower left corner; width and height of a cell, mm
	drawn     bool           // there is an outline
	free      [across]uint64 // by row, bit k for column k
}

// across is the number of cells each way, whatever the outline's proportions: a
// narrow strip gets narrow cells. A row fits a word.
const across = 48

// New returns the free space inside outer and outside inner, both closed.
func New(outer plane.Loop, inner []plane.Loop) *Grid {
	lo := plane.Point{X: math.Inf(1), Y: math.Inf(1)}
	hi := plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	outline := Polyline(outer, curveSag)
	for _, p := range outline {
		lo = plane.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = plane.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	g := &Grid{min: lo, cell: plane.Point{X: w / across, Y: h / across}}
	if !(math.Min(w, h) > 0) || math.IsInf(w+h, 0) {
		return g
	}
	g.drawn = true
	loops := [][]plane.Point{outline}
	for _, l := range inner {
		loops = append(loops, Polyline(l, curveSag))
	}
	g.fill(loops)
	for _, l := range loops {
		for i, p := range l {
			g.Block(p, l[(i+1)%len(l)])
		}
	}
	return g
}

// curveSag is how far, in mm, a chord may leave its arc when lines are blocked.
const curveSag = 0.5

// whole is a row of free cells.
const whole = 1<<across - 1

// fill marks the cells whose centre is inside, row by row: it notes where an
// outline crosses the row, then carries the parity along.
func (g *Grid) fill(loops [][]plane.Point) {
	for _, l := range loops {
		for i, a := range l {
			g.cross(a, l[(i+1)%len(l)])
		}
	}
	for row := range g.free {
		line := g.free[row]
		for shift := 1; shift < across; shift *= 2 {
			line ^= line << shift
		}
		g.free[row] = line & whole
	}
}

// cross turns the parity of the first cell right of the edge in each row whose
// middle it crosses.
func (g *Grid) cross(a, b plane.Point) {
	if a.Y > b.Y {
		a, b = b, a
	}
	first := max(0, cellOf((a.Y-g.min.Y)/g.cell.Y)-1)
	last := min(across-1, cellOf((b.Y-g.min.Y)/g.cell.Y))
	for row := first; row <= last; row++ {
		y := g.min.Y + float64((float64(row)+0.5)*g.cell.Y)
		if (a.Y <= y) == (b.Y <= y) {
			continue
		}
		x := a.X + float64((y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		if col := max(0, int(math.Ceil((x-g.min.X)/g.cell.X-0.5))); col < across {
			g.free[row] ^= 1 << col
		}
	}
}

// Block takes every cell that the segment from a to b touches.
func (g *Grid) Block(a, b plane.Point) {
	if !g.drawn {
		return
	}
	const slack = 1e-9
	x0, y0 := (a.X-g.min.X)/g.cell.X, (a.Y-g.min.Y)/g.cell.Y
	x1, y1 := (b.X-g.min.X)/g.cell.X, (b.Y-g.min.Y)/g.cell.Y
	if y0 > y1 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	top := min(across-1, cellOf(y1+slack))
	for row := max(0, cellOf(y0-slack)); row <= top; row++ {
		// The part of the segment within this row, by its ends in x.
		u, v := x0, x1
		if d := y1 - y0; d > slack {
			u = x0 + float64(max(0, (float64(row)-y0)/d)*(x1-x0))
			v = x0 + float64(min(1, (float64(row+1)-y0)/d)*(x1-x0))
		}
		if u > v {
			u, v = v, u
		}
		g.take(row, max(0, cellOf(u-slack)), cellOf(v+slack))
	}
}

// take takes the cells of a row from col to last.
func (g *Grid) take(row, col, last int) {
	if last = min(across-1, last); col <= last {
		g.free[row] &^= whole >> (across - 1 - last + col) << col
	}
}

// cellOf is the cell that holds x, kept just outside the grid at most.
func cellOf(x float64) int {
	switch {
	case !(x >= 0):
		return -1
	case x > across:
		return across + 1
	}
	return int(x)
}

// Take takes the cells of the box from lo to hi.
func (g *Grid) Take(lo, hi plane.Point) {
	if !g.drawn {
		return
	}
	col, last := max(0, cellOf((lo.X-g.min.X)/g.cell.X)), cellOf((hi.X-g.min.X)/g.cell.X)
	top := min(across-1, cellOf((hi.Y-g.min.Y)/g.cell.Y))
	for row := max(0, cellOf((lo.Y-g.min.Y)/g.cell.Y)); row <= top; row++ {
		g.take(row, col, last)
	}
}

// Find returns the lower left corner of a free box w wide and h high, in mm,
// as near the outline's middle as any; ok is false when none is free.
func (g *Grid) Find(w, h float64) (at plane.Point, ok bool) {
	if !(w > 0 && h > 0 && w < across*g.cell.X && h < across*g.cell.Y) || !g.drawn {
		return at, false
	}
	cols, rows := int(math.Ceil(w/g.cell.X)), int(math.Ceil(h/g.cell.Y))
	aspect := g.cell.Y / g.cell.X
	best := math.Inf(1)
	var bestCol, bestRow int
	for row := 0; row+rows <= across; row++ {
		dy := float64(2*row+rows-across) * aspect
		if float64(dy*dy) >= best {
			continue
		}
		for starts := runs(g.free[row:row+rows], cols); starts != 0; starts &= starts - 1 {
			col := bits.TrailingZeros64(starts)
			dx := float64(2*col + cols - across)
			if d := float64(dx*dx) + float64(dy*dy); d < best {
				best, bestCol, bestRow = d, col, row
			}
		}
	}
	if math.IsInf(best, 1) {
		return at, false
	}
	// The box is centred in its cells.
	at.X = g.min.X + float64((float64(bestCol)+float64(float64(cols)/2))*g.cell.X) - float64(w/2)
	at.Y = g.min.Y + float64((float64(bestRow)+float64(float64(rows)/2))*g.cell.Y) - float64(h/2)
	return at, true
}

// runs are the columns at which cols free cells begin that are free in all of the rows.
func runs(rows []uint64, cols int) uint64 {
	free := uint64(whole)
	for _, row := range rows {
		free &= row
	}
	for have := 1; have < cols && free != 0; {
		step := min(have, cols-have)
		free &= free >> step
		have += step
	}
	return free
}
