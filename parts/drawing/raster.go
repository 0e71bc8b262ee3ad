package drawing

import (
	"math"
	"slices"

	"perch/parts/plane"
)

// fine is how many samples each way make a pixel of the raster.
const fine = 3

// raster is a canvas of samples; each holds a palette entry (see png.go). Shapes
// are painted one over the other, so no edge lets the background through.
type raster struct {
	wide, high int // samples
	samples    []uint8
	crossings  [][]int32 // by row, while a shape is filled: first sample right of an edge
}

func newRaster(wide, high int, background uint8) *raster {
	r := &raster{wide: wide * fine, high: high * fine}
	r.samples = make([]uint8, r.wide*r.high)
	fillSpan(r.samples, background)
	r.crossings = make([][]int32, r.high)
	return r
}

// fillSpan sets all of s, by doubling copies, of no more than stays in the fastest memory.
func fillSpan(s []uint8, value uint8) {
	const most = 8192
	if len(s) == 0 {
		return
	}
	s[0] = value
	for done := 1; done < len(s); {
		done += copy(s[done:], s[:min(done, most)])
	}
}

// fill paints the samples inside the loops, in pixels, by parity.
func (r *raster) fill(loops [][]plane.Point, value uint8) {
	first, last := r.high, -1
	for _, l := range loops {
		for i, a := range l {
			lo, hi := r.cross(a, l[(i+1)%len(l)])
			first, last = min(first, lo), max(last, hi)
		}
	}
	for row := first; row <= last; row++ {
		xs := r.crossings[row]
		r.crossings[row] = xs[:0]
		if len(xs) == 2 {
			if xs[0] > xs[1] {
				xs[0], xs[1] = xs[1], xs[0]
			}
		} else {
			slices.Sort(xs)
		}
		line := r.samples[row*r.wide : (row+1)*r.wide]
		for i := 0; i+1 < len(xs); i += 2 {
			fillSpan(line[xs[i]:xs[i+1]], value)
		}
	}
}

// cross notes where the edge crosses the middles of the rows, and returns the
// first and last of them.
func (r *raster) cross(a, b plane.Point) (first, last int) {
	if a.Y > b.Y {
		a, b = b, a
	}
	const half = 0.5
	ax, ay, bx, by := float64(a.X*fine), float64(a.Y*fine), float64(b.X*fine), float64(b.Y*fine)
	first = rowAfter(ay-half, r.high)
	last = rowAfter(by-half, r.high) - 1
	if first > last {
		return r.high, -1
	}
	slope := (bx - ax) / (by - ay)
	for row := first; row <= last; row++ {
		x := ax + float64((float64(row)+half-ay)*slope)
		at := int32(max(0, min(math.Ceil(x-half), float64(r.wide))))
		r.crossings[row] = append(r.crossings[row], at)
	}
	return first, last
}

// rowAfter is the first row not below y, within 0 and high.
func rowAfter(y float64, high int) int {
	return int(max(0, min(math.Ceil(y), float64(high))))
}

// line paints a stroke of the given width in pixels, its ends square and half a
// width longer, so that strokes that meet join.
func (r *raster) line(a, b plane.Point, width float64, value uint8) {
	u, _ := unit(a, b)
	h := width / 2
	u = plane.Point{X: float64(u.X * h), Y: float64(u.Y * h)}
	n := plane.Point{X: -u.Y, Y: u.X}
	r.fill([][]plane.Point{{
		{X: a.X - u.X + n.X, Y: a.Y - u.Y + n.Y}, {X: b.X + u.X + n.X, Y: b.Y + u.Y + n.Y},
		{X: b.X + u.X - n.X, Y: b.Y + u.Y - n.Y}, {X: a.X - u.X - n.X, Y: a.Y - u.Y - n.Y},
	}}, value)
}
