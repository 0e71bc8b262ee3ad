package nest

import (
	"math"

	"perch/parts/plane"
)

// remnantCells is the number of cells each way in which a free rectangle is sought.
const remnantCells = 160

// largestFree is the largest upright rectangle of the sheet's metal that keeps
// spacing from every blank: a strip along an edge of a whole sheet exactly, one
// anywhere else to the size of a cell below what there is.
func largestFree(j *Job, sheet *Sheet, placed []Placed) plane.Box {
	metal := sheet.region()
	box := metal.Bounds()
	taken := plane.EmptyBox()
	var shapes [][][]point
	for _, p := range placed {
		r := j.Blanks[p.Piece].Region.Transform(p.Transform())
		taken = taken.Union(r.Bounds())
		var polys [][]point
		for _, l := range plane.Offset(r, j.Spacing) {
			polys = append(polys, plane.Flatten(l, 0.2))
		}
		shapes = append(shapes, polys)
	}
	if taken.Empty() && len(sheet.Outline) == 0 {
		return box
	}
	var best plane.Box
	take := func(b plane.Box) {
		if s, t := b.Size(), best.Size(); b.Max.X > b.Min.X && b.Max.Y > b.Min.Y && float64(s.X*s.Y) > float64(t.X*t.Y) {
			best = b
		}
	}
	if len(sheet.Outline) == 0 {
		lo, hi := taken.Grow(j.Spacing).Min, taken.Grow(j.Spacing).Max
		take(plane.Box{Min: point{X: hi.X, Y: box.Min.Y}, Max: box.Max})
		take(plane.Box{Min: point{X: box.Min.X, Y: hi.Y}, Max: box.Max})
		take(plane.Box{Min: box.Min, Max: point{X: lo.X, Y: box.Max.Y}})
		take(plane.Box{Min: box.Min, Max: point{X: box.Max.X, Y: lo.Y}})
	} else {
		frame := plane.Subtract(plane.Region{plane.RectAt(box.Grow(1).Min, box.Grow(1).Max)}, metal)
		var polys [][]point
		for _, l := range frame {
			polys = append(polys, plane.Flatten(l, 0.2))
		}
		shapes = append(shapes, polys)
	}
	g := newRaster(box, shapes)
	take(g.largest())
	return best
}

// raster marks the cells of a box that are not free.
type raster struct {
	box    plane.Box
	dx, dy float64
	taken  []bool
}

// newRaster takes the cells that an outline of a shape passes and those whose
// middles lie inside a shape, holes left out.
func newRaster(box plane.Box, shapes [][][]point) *raster {
	size := box.Size()
	g := &raster{box, size.X / remnantCells, size.Y / remnantCells, make([]bool, remnantCells*remnantCells)}
	odd := make([]bool, len(g.taken))
	for _, polys := range shapes {
		clear(odd)
		for _, p := range polys {
			for i := range p {
				g.edge(p[i], p[(i+1)%len(p)], odd)
			}
		}
		for j := range remnantCells {
			in := false
			for i := range remnantCells {
				c := j*remnantCells + i
				in = in != odd[c]
				g.taken[c] = g.taken[c] || in
			}
		}
	}
	return g
}

func cellIndex(v float64) int { return int(clamp(math.Floor(v), -1, remnantCells)) }

// edge takes the cells that a→b passes, and turns the parity right of it in rows
// whose middle it crosses.
func (g *raster) edge(a, b point, odd []bool) {
	ux, uy := (a.X-g.box.Min.X)/g.dx, (a.Y-g.box.Min.Y)/g.dy
	vx, vy := (b.X-g.box.Min.X)/g.dx, (b.Y-g.box.Min.Y)/g.dy
	if uy > vy {
		ux, uy, vx, vy = vx, vy, ux, uy
	}
	at := func(y float64) float64 {
		if vy == uy {
			return ux
		}
		return ux + float64((vx-ux)*((clamp(y, uy, vy)-uy)/(vy-uy)))
	}
	for j := max(0, cellIndex(uy)); j <= min(remnantCells-1, cellIndex(vy)); j++ {
		y := float64(j)
		p, q := at(y), at(y+1)
		if uy == vy {
			p, q = ux, vx
		}
		for i := max(0, cellIndex(min(p, q))); i <= min(remnantCells-1, cellIndex(max(p, q))); i++ {
			g.taken[j*remnantCells+i] = true
		}
		if m := y + 0.5; uy <= m && m < vy {
			// The first cell whose middle lies right of the crossing.
			if i := max(0, int(math.Ceil(clamp(at(m)-0.5, -1, remnantCells)))); i < remnantCells {
				odd[j*remnantCells+i] = !odd[j*remnantCells+i]
			}
		}
	}
}

// largest is the largest rectangle of free cells: under each row a histogram.
func (g *raster) largest() plane.Box {
	const n = remnantCells
	var high [n + 1]int
	best, area := plane.Box{}, 0
	for j := range n {
		for i := range n {
			if high[i]++; g.taken[j*n+i] {
				high[i] = 0
			}
		}
		var stack []int
		for i := 0; i <= n; i++ {
			for len(stack) > 0 && high[stack[len(stack)-1]] > high[i] {
				h := high[stack[len(stack)-1]]
				stack = stack[:len(stack)-1]
				from := 0
				if len(stack) > 0 {
					from = stack[len(stack)-1] + 1
				}
				if a := h * (i - from); a > area {
					area = a
					best.Min = point{X: g.box.Min.X + float64(float64(from)*g.dx), Y: g.box.Min.Y + float64(float64(j+1-h)*g.dy)}
					best.Max = point{X: g.box.Min.X + float64(float64(i)*g.dx), Y: g.box.Min.Y + float64(float64(j+1)*g.dy)}
				}
			}
			stack = append(stack, i)
		}
	}
	return best
}
