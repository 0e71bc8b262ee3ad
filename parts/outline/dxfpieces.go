package outline

import (
	"fmt"
	"math"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// piece is a line, an arc or a polyline on a layer.
type piece struct {
	layer  string
	path   plane.Loop
	closed bool
}

// pieces are what a drawing has of lines.
type pieces struct {
	list    []piece
	curve   string // a kind of curve that is there and not read
	inserts int
}

// drawnAt is where a block is inserted: m takes its places there.
type drawnAt struct {
	m     plane.Affine
	depth int
	layer string // of the insertion: what lies on layer 0 of a block takes it
}

// mostDeep bounds how deep blocks are inserted in blocks.
const mostDeep = 8

// take adds entities as they are drawn at a place.
func (ps *pieces) take(d *dxfDrawing, entities []dxfEntity, at drawnAt) error {
	for i := range entities {
		e := &entities[i]
		if e.kind == "INSERT" {
			if err := ps.insert(d, e, at); err != nil {
				return err
			}
			continue
		}
		path, closed, err := e.path()
		if err != nil {
			return err
		}
		layer := e.text(8)
		if layer == "0" && at.layer != "" {
			layer = at.layer
		}
		if e.kind == "SPLINE" || e.kind == "ELLIPSE" {
			ps.curve = e.kind
		}
		if len(path) < 2 {
			continue
		}
		if ps.list = append(ps.list, piece{layer, onto(path, at.m), closed}); len(ps.list) > mostPoints {
			return errManyPoints
		}
	}
	return nil
}

// insert adds what a block holds where it is inserted.
func (ps *pieces) insert(d *dxfDrawing, e *dxfEntity, at drawnAt) error {
	b := d.blocks[e.text(2)]
	if b == nil {
		return nil
	}
	if ps.inserts++; ps.inserts > mostPoints {
		return errManyPoints
	}
	n, err := e.numbers(map[int]float64{41: 1, 42: 1})
	if err != nil {
		return err
	}
	x, y := n[41], n[42]
	if math.Abs(math.Abs(x)-math.Abs(y)) > plane.Tol*math.Abs(x) || x == 0 {
		return fmt.Errorf("the block %s is inserted stretched: its arcs would be none", e.text(2))
	}
	if at.depth == mostDeep {
		return fmt.Errorf("the block %s is inserted in itself, or more than %d deep", e.text(2), mostDeep)
	}
	c, s := plane.Turned(n[50])
	m := plane.Translate(b.base.Neg()).Then(plane.Affine{A: float64(c * x), B: -float64(s * y), C: float64(s * x), D: float64(c * y), E: n[10], F: n[20]}).Then(at.m)
	layer := e.text(8)
	if layer == "0" && at.layer != "" {
		layer = at.layer
	}
	return ps.take(d, b.entities, drawnAt{m, at.depth + 1, layer})
}

// on are the pieces on a layer.
func (ps *pieces) on(layer string) pieces {
	var out pieces
	for _, p := range ps.list {
		if p.layer == layer {
			out.list = append(out.list, p)
		}
	}
	return out
}

func (ps *pieces) none() bool { return len(ps.list) == 0 }

// scale takes all pieces to mm.
func (ps *pieces) scale(unit float64) {
	for i := range ps.list {
		ps.list[i].path = onto(ps.list[i].path, plane.Affine{A: unit, D: unit})
	}
}

// onto maps a path, open or closed, corner by corner.
func onto(l plane.Loop, m plane.Affine) plane.Loop {
	out := make(plane.Loop, len(l))
	for i, v := range l {
		out[i] = plane.Vertex{P: m.Apply(v.P), Bulge: v.Bulge}
		if m.Det() < 0 {
			out[i].Bulge = -v.Bulge
		}
	}
	return out
}

// text is the last value of a group.
func (e *dxfEntity) text(code int) string {
	for _, p := range e.pairs {
		if p.code == code {
			return p.value // an entity's own come ahead of its corners'
		}
	}
	return ""
}

// numbers are the first values of an entity's groups, with those that stand for what is
// not there.
func (e *dxfEntity) numbers(missing map[int]float64) (map[int]float64, error) {
	out := missing
	seen := map[int]bool{}
	for _, p := range e.pairs {
		switch p.code {
		case 10, 20, 11, 21, 40, 41, 42, 50, 51, 70, 230:
			v, err := p.number()
			if err != nil {
				return nil, err
			}
			if !seen[p.code] {
				out[p.code], seen[p.code] = v, true
			}
		}
	}
	return out, nil
}

// path is what an entity draws, in its drawing's unit; nil where it draws no line.
func (e *dxfEntity) path() (path plane.Loop, closed bool, err error) {
	switch e.kind {
	case "LINE", "CIRCLE", "ARC":
	case "LWPOLYLINE", "POLYLINE":
		return e.polyline()
	default:
		return nil, false, nil
	}
	n, err := e.numbers(map[int]float64{})
	if err != nil {
		return nil, false, err
	}
	from := plane.Point{X: n[10], Y: n[20]}
	switch e.kind {
	case "LINE":
		return plane.Loop{{P: from}, {P: plane.Point{X: n[11], Y: n[21]}}}, false, nil
	case "CIRCLE":
		path, closed = plane.Circle(float64(2*n[40])).Transform(plane.Translate(from)), true
	case "ARC":
		path = arc(from, n[40], n[50], n[51])
	}
	return e.facing(path, n[230]), closed, nil
}

// arc is an arc from one angle to another, degrees, counter-clockwise, in two halves.
func arc(c plane.Point, r, from, to float64) plane.Loop {
	sweep := math.Mod(to-from, 360)
	if sweep <= 0 {
		sweep += 360
	}
	at := func(a float64) plane.Point {
		cos, sin := plane.Turned(a)
		return plane.Point{X: c.X + float64(r*cos), Y: c.Y + float64(r*sin)}
	}
	bulge := elementary.Tan(sweep / 8 * math.Pi / 180)
	return plane.Loop{{P: at(from), Bulge: bulge}, {P: at(from + float64(sweep/2)), Bulge: bulge}, {P: at(from + sweep)}}
}

// facing is a path as seen from above: what is drawn on the underside (group 230 below
// 0) is mirrored.
func (e *dxfEntity) facing(path plane.Loop, up float64) plane.Loop {
	if up < 0 {
		return onto(path, plane.MirrorX())
	}
	return path
}

// polyline is the path of an LWPOLYLINE, or of a POLYLINE with its corners.
func (e *dxfEntity) polyline() (path plane.Loop, closed bool, err error) {
	own := e.kind == "POLYLINE" // ahead of its first corner, where its own point says nothing
	up := 1.0
	for _, p := range e.pairs {
		switch p.code {
		case 0:
			own = false
		case 10, 20, 42, 70, 230:
			v, err := p.number()
			if err != nil {
				return nil, false, err
			}
			last := len(path) - 1
			switch {
			case p.code == 230:
				up = v
			case p.code == 70 && last < 0:
				closed = int(v)&1 == 1
			case own:
			case p.code == 10:
				path = append(path, plane.Vertex{P: plane.Point{X: v}})
			case p.code == 20 && last >= 0:
				path[last].P.Y = v
			case p.code == 42 && last >= 0:
				path[last].Bulge = v
			}
			if len(path) > mostPoints+1 {
				return nil, false, errManyPoints
			}
		}
	}
	if n := len(path); n > 2 && path[0].P == path[n-1].P {
		path, closed = path[:n-1], true
	}
	return e.facing(path, up), closed, nil
}
