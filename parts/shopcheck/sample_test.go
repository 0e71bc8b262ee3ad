package shopcheck

import (
	"math"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// angle is an L-section as a flat made by hand: a web 200 × 100 with a lip folded
// off its upper edge. The zero value's fields are filled in by flat.
type angle struct {
	t, r, degrees float64
	long, depth   float64 // of the fold, of the lip's flat
	down          bool
	k             float64
	material      string
	relief        panel.Relief
	reliefSize    float64
	deviation     float64
	webOutline    plane.Loop
	cuts          []panel.FlatCut
	marks         []panel.FlatMark
	points        []panel.Point
}

func or(x, y float64) float64 {
	if x == 0 {
		return y
	}
	return x
}

// flat lays the web on y = 0..100 and the lip beyond the bend's strip.
func (a angle) flat() *panel.Flat {
	t := or(a.t, 1.5)
	r, long, depth := or(a.r, t), or(a.long, 200), or(a.depth, 30)
	if a.r < 0 {
		r = 0
	}
	if a.material == "" {
		a.material = "mild_steel"
	}
	b := bend.Bend{Angle: or(a.degrees, 90) * bend.Degree, Thickness: t, Radius: r, K: 0.325}
	lo, hi := 100.0, 100+b.Allowance()
	web := plane.RectAt(plane.Point{}, plane.Point{X: long, Y: lo})
	if a.webOutline != nil {
		web = a.webOutline
	}
	lip := plane.RectAt(plane.Point{Y: hi}, plane.Point{X: long, Y: hi + depth})
	outer := plane.RectAt(plane.Point{}, plane.Point{X: long, Y: hi + depth})
	if a.webOutline != nil {
		outer = web
	}
	level := solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}
	p := &panel.Panel{
		Name:  "rail",
		Stock: shop.Stock{Name: "shell", Material: a.material, Thickness: t, Radius: r, K: a.k},
		Faces: []panel.Face{{Name: "web", Frame: level, Outline: plane.Region{web}}, {Name: "lip", Frame: level, Outline: plane.Region{lip}}},
		Folds: []panel.Fold{{Name: "web to lip", A: 0, B: 1, Radius: r, K: b.K, Relief: a.relief, ReliefSize: a.reliefSize}},
	}
	f := &panel.Flat{
		Panel: p, Outer: outer, Cuts: a.cuts, Marks: a.marks, Points: a.points,
		Faces: []panel.FlatFace{
			{Name: "web", Loop: web, Trimmed: plane.Region{web}, Frame: level, ToFlat: plane.Identity()},
			{Name: "lip", Loop: lip, Trimmed: plane.Region{lip}, Frame: level, ToFlat: plane.Identity()},
		},
		Folds: []panel.FlatFold{{
			Name: "web to lip", A: 0, B: 1, Bend: b, Down: a.down, Deviation: a.deviation,
			From: plane.Point{X: long, Y: (lo + hi) / 2}, To: plane.Point{Y: (lo + hi) / 2},
			TangentA: [2]plane.Point{{X: long, Y: lo}, {Y: lo}},
			TangentB: [2]plane.Point{{X: long, Y: hi}, {Y: hi}},
			SetBackA: b.SetBack(true), SetBackB: b.SetBack(true),
		}},
	}
	for _, c := range a.cuts {
		if !c.Notch {
			f.Inner = append(f.Inner, c.Loop)
		}
	}
	return f
}

// round is a cut circle on the web.
func round(name string, d, x, y float64) panel.FlatCut {
	return panel.FlatCut{Name: name, Loop: plane.Circle(d).Transform(plane.Translate(plane.Point{X: x, Y: y}))}
}

// bead is an open bead 6 mm wide along the web.
func bead(name string, path ...plane.Vertex) panel.FlatMark {
	return panel.FlatMark{Mark: panel.Mark{Name: name, Kind: panel.MarkBead, Path: path, Width: 6}}
}

func level(name string, x0, x1, y float64) panel.FlatMark {
	return bead(name, plane.Vertex{P: plane.Point{X: x0, Y: y}}, plane.Vertex{P: plane.Point{X: x1, Y: y}})
}

// spot is a fastening place on the web.
type spot struct{ x, y float64 }

// stack fastens the web of one blank, head on its drawn side, to a plate of
// thickness under behind it, by kind at each spot.
type stack struct {
	angle
	kind          string
	d, length     float64 // diameter; of a plug's hole or a tack
	under         float64
	spots         []spot
	headBehind    bool
	grip          float64
	extraBlankRow bool // the same joins on a second copy
	closing       shop.Closing
	countersunk   bool
}

func (s stack) assembly() *panel.Assembly {
	top, plate := s.angle, angle{t: or(s.under, 1.5), depth: 30}
	a := &panel.Assembly{Copies: []panel.Copy{
		{Name: "rail", Blank: 0, Matrix: identity}, {Name: "plate", Blank: 1, Matrix: identity}, {Name: "rail.2", Blank: 0, Matrix: identity},
	}}
	size, kind := s.d, panel.Drill
	switch s.kind {
	case "tack":
		size, kind = s.length, panel.Tack
	case "plug":
		size, kind = s.length, panel.Plug
	}
	axis := solid.Vec{Z: -1}
	if s.headBehind {
		axis.Z = 1
	}
	for i, at := range s.spots {
		name := "head." + string(rune('1'+i))
		p := panel.Point{Name: name, At: plane.Point{X: at.x, Y: at.y}, Diameter: size, Kind: kind}
		top.points = append(top.points, p)
		p.At = plane.Point{X: 20 + 40*float64(i), Y: 40}
		plate.points = append(plate.points, p)
		for _, copy := range []int{0, 2} {
			if copy == 0 || s.extraBlankRow {
				j := panel.JoinPoint{Name: name, Kind: s.kind, Diameter: s.d, Axis: axis, Grip: s.grip,
					Members: []panel.JoinMember{{Copy: copy, Point: name}, {Copy: 1, Point: name}}}
				switch j.Closing, j.Countersunk = s.closing, s.countersunk; s.kind {
				case "rivet":
					j.Shank = shop.Default().RivetShank(s.d, s.closing, s.countersunk, s.grip)
				case "bolt":
					j.Shank = shop.Default().BoltShank(s.d, s.grip)
				}
				a.Joins = append(a.Joins, j)
			}
		}
	}
	a.Blanks = []*panel.Blank{{Name: "rail", Flat: top.flat(), Count: 2}, {Name: "plate", Flat: plate.flat(), Count: 1}}
	return a
}

var identity = panel.Matrix{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}

// hollow is an outline with one inside corner of the given radius, 0 sharp, at (120, 60).
func hollow(radius float64) plane.Loop {
	v := []plane.Vertex{{P: plane.Point{}}, {P: plane.Point{X: 200}}, {P: plane.Point{X: 200, Y: 60}}}
	if radius == 0 {
		v = append(v, plane.Vertex{P: plane.Point{X: 120, Y: 60}})
	} else {
		// The way turns right from −x to +y about a centre up and right of the corner.
		v = append(v, plane.Vertex{P: plane.Point{X: 120 + radius, Y: 60}, Bulge: -math.Tan(math.Pi / 8)},
			plane.Vertex{P: plane.Point{X: 120, Y: 60 + radius}})
	}
	return append(v, plane.Vertex{P: plane.Point{X: 120, Y: 100}}, plane.Vertex{P: plane.Point{Y: 100}})
}
