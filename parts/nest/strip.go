package nest

import (
	"context"
	"fmt"
	"math"

	"perch/parts/outline"
	"perch/parts/plane"
)

// Strip is the problem of packing pieces into a strip of a given width (0 … Width
// in y) and the least length (0 … length in x).
type Strip struct {
	Width  float64
	Pieces []Piece
}

// Piece is a polygon to be packed Count times.
type Piece struct {
	Outline   []plane.Point
	Holes     [][]plane.Point
	Count     int
	Rotations []float64 // degrees counter-clockwise; empty: 0 only
}

// Placed is where a piece lies: its outline turned about its own origin by
// Rotation degrees counter-clockwise, then moved by At. A mirrored one has the sign
// of its x changed before it is turned.
type Placed struct {
	Piece    int // index of Strip.Pieces or Job.Blanks
	Rotation float64
	Mirrored bool
	At       plane.Point
}

// Packing is a strip packed.
type Packing struct {
	Length float64
	Placed []Placed
	Work   int64 // spent
}

// Options of a search.
type Options struct {
	Effort  float64 // 1 is the default; the work grows with it in proportion
	Seed    uint64
	Workers int                // searches side by side; the result depends on their number. 0 is 2
	Best    func(best float64) // called with every better value, from one goroutine
	// Progress is called by Sheets with every better layout, from one goroutine.
	Progress func(Progress)
}

func (o *Options) workers() int {
	if o.Workers <= 0 {
		return 2
	}
	return o.Workers
}

func (o *Options) effort() float64 {
	if !(o.Effort > 0) {
		return 1
	}
	return min(o.Effort, mostEffort)
}

// mostEffort keeps work within its type.
const mostEffort = 1e6

// PackStrip packs a strip. The same strip and options give the same packing, unless
// ctx ends the search early; then the best so far is the answer.
// Errors: *outline.Error, *CountError, *TooLargeError, ctx's when it ended before
// there was any packing.
func PackStrip(ctx context.Context, p Strip, opt Options) (*Packing, error) {
	m, err := stripModel(p)
	if err != nil {
		return nil, err
	}
	return packStrip(ctx, m, p, opt)
}

// marginOf is the distance kept in the search, by the strip's width.
const marginOf = 2e-5

func stripModel(p Strip) (*model, error) {
	if !(p.Width > 0) || math.IsInf(p.Width, 0) {
		return nil, fmt.Errorf("a strip needs a width above 0, has %g", p.Width)
	}
	m := &model{margin: marginOf * p.Width}
	for k, q := range p.Pieces {
		if q.Count <= 0 {
			return nil, &CountError{Blank: fmt.Sprintf("piece %d", k+1), Count: q.Count, Least: 1}
		}
		outer, holes, err := checkPolygon(fmt.Sprintf("piece %d", k+1), q)
		if err != nil {
			return nil, err
		}
		m.shapes = append(m.shapes, newShape(outer, holes))
		rot := q.Rotations
		if len(rot) == 0 {
			rot = []float64{0}
		}
		poses := m.addPoses(k, rot)
		fits := poses[:0]
		least := math.Inf(1)
		var size float64
		for _, o := range poses {
			box := m.poses[o].box.Size()
			if box.Y <= p.Width+1e-9 {
				fits = append(fits, o)
			}
			least = min(least, box.Y)
			size = max(size, box.X, box.Y)
		}
		if len(fits) == 0 {
			return nil, &TooLargeError{Blank: fmt.Sprintf("piece %d", k+1), Over: least - p.Width}
		}
		for range q.Count {
			m.items = append(m.items, item{poses: fits, blank: k, area: m.shapes[k].area, size: size})
		}
	}
	if len(m.items) == 0 {
		return nil, &CountError{Blank: "all pieces", Least: 1}
	}
	m.seal()
	return m, nil
}

// checkPolygon is the piece's outline counter-clockwise and its holes clockwise,
// without repeated points.
func checkPolygon(name string, q Piece) (outer []point, holes [][]point, err error) {
	loop := func(pts []point, ccw bool) []point {
		var l plane.Loop
		for i, v := range pts {
			if i == 0 || v != pts[i-1] {
				l = append(l, plane.Vertex{P: v})
			}
		}
		if len(l) > 1 && l[0].P == l[len(l)-1].P {
			l = l[:len(l)-1]
		}
		if e := plane.Check(l); e != nil && err == nil {
			err = &outline.Error{Name: name, Err: e}
			return nil
		}
		if a := l.Area(); (a > 0) != ccw {
			l = l.Reversed()
		}
		out := make([]point, len(l))
		for i, v := range l {
			out[i] = v.P
		}
		return out
	}
	outer = loop(q.Outline, true)
	for _, h := range q.Holes {
		holes = append(holes, loop(h, false))
	}
	return outer, holes, err
}
