package join

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

const (
	// leastLine is the length, in mm, below which an edge only touches.
	leastLine = 1.0
	// cutTol is how far, in mm, an edge of a face may lie off the blank's outline and be
	// its cut edge.
	cutTol = 1e-4
	// beadEnd is the least, in mm, that a bead's ends keep from the line's: what marks them
	// on the sheet must not lie along the cut there.
	beadEnd = 1.0
	// alongTol is the sine of the angle up to which an outline's edge runs along a bead.
	alongTol = 0.05
)

// Line is where a cut edge of one sheet lies on a face, or on an edge, of another: at a
// corner, a tee, a lap or a butt.
type Line struct {
	Members  [2]Member // as they are named
	Of       int       // which one's edge it is
	From, To solid.Vec // on that sheet's drawn side, or on its back
	In       solid.Vec // unit, from there into the sheet
}

// Reach is how far, in mm, an edge may lie from what it is welded to: half of the thinner
// sheet.
func Reach(a, b Member) float64 {
	return float64(min(a.Flat.Panel.Stock.Thickness, b.Flat.Panel.Stock.Thickness) / 2)
}

// Lines are the stretches of a's cut edges that lie within Reach of b's metal, then those
// of b's that lie on a along other lines. They run on the drawn side of the sheet whose
// edge it is, or on its back.
func Lines(a, b Member, back bool) []Line {
	reach := Reach(a, b)
	out := edgesAt(a, b, reach, back)
	for i := range out {
		out[i].Members = [2]Member{a, b}
	}
	near := float64(2*reach) + a.Flat.Panel.Stock.Thickness + b.Flat.Panel.Stock.Thickness
	own := len(out)
	for _, l := range edgesAt(b, a, reach, back) {
		same := func(o Line) bool { return o.besides(l, near) }
		if !slices.ContainsFunc(out[:own], same) {
			l.Members, l.Of = [2]Member{a, b}, 1
			out = append(out, l)
		}
	}
	return out
}

// besides tells whether two lines run beside each other, no farther apart than near: they
// are one seam, seen from both of its sheets.
func (l Line) besides(o Line, near float64) bool {
	d, e := l.To.Sub(l.From), o.To.Sub(o.From)
	u := d.Unit()
	if u.Cross(e.Unit()).Len() > alongTol {
		return false
	}
	mid := o.From.Add(o.To).Scale(0.5).Sub(l.From)
	s := mid.Dot(u)
	return mid.Sub(u.Scale(s)).Len() <= near && s > float64(-e.Len()/2) && s < d.Len()+float64(e.Len()/2)
}

// edgesAt are the stretches of p's cut edges that lie within reach of q's metal.
func edgesAt(p, q Member, reach float64, back bool) []Line {
	pp, qp := p.Flat.Prism(p.Face), q.Flat.Prism(q.Face)
	n := pp.Frame.Normal()
	blank := append(plane.Region{p.Flat.Outer}, p.Flat.Inner...)
	var out []Line
	for _, l := range pp.Region {
		for i := range l {
			e := l.Edge(i)
			if !e.Straight() || e.Chord() < leastLine {
				continue
			}
			level := inSlab(&pp, &qp, e, reach)
			if len(level) == 0 {
				continue
			}
			if d, _ := blank.DistanceTo(p.Flat.Faces[p.Face].ToFlat.Apply(e.Mid())); d > cutTol {
				continue // a bend's tangent line
			}
			for _, s := range onRegion(&pp, &qp, e, level) {
				line := Line{From: pp.Frame.At(along(e, s.From)), To: pp.Frame.At(along(e, s.To)), In: n.Neg()}
				if back {
					deep := n.Scale(-pp.Thickness)
					line.From, line.To, line.In = line.From.Add(deep), line.To.Add(deep), n
				}
				out = append(out, line)
			}
		}
	}
	return out
}

func along(e plane.Edge, s float64) plane.Point { return e.From.Lerp(e.To, s/e.Chord()) }

// stretch is a part of an edge, in mm from its start, of one of its two sides: the drawn
// one or the back.
type stretch struct {
	plane.Interval
	depth float64 // of the side below the drawn one
	reach float64 // how far beside q's metal it may lie in q's plane
}

// inSlab are the stretches of an edge of p, on either side of its sheet, whose height
// over q's plane is q's metal's, or no more than reach off it.
func inSlab(p, q *panel.Prism, e plane.Edge, reach float64) []stretch {
	var out []stretch
	base := q.Frame.Plane()
	rise := p.Frame.Dir(e.To.Sub(e.From).Unit()).Dot(q.Frame.Normal())
	if math.Abs(rise) > 0.9 {
		return nil // it pierces the plane, and lies on nothing
	}
	for _, depth := range [2]float64{0, p.Thickness} {
		h := base.Height(p.Frame.Shifted(-depth).At(e.From))
		in := plane.Interval{From: 0, To: e.Chord()}
		lo, hi := -q.Thickness-reach-h, reach-h // of rise times the way
		switch {
		case math.Abs(rise) > 1e-9:
			a, b := lo/rise, hi/rise
			in.From, in.To = max(in.From, min(a, b)), min(in.To, max(a, b))
		case lo > 0 || hi < 0:
			continue
		}
		if in.Len() < leastLine {
			continue
		}
		off := math.Inf(1) // the least distance from the slab
		for _, s := range [2]float64{in.From, in.To} {
			z := h + float64(rise*s)
			off = min(off, max(0, z, -q.Thickness-z))
		}
		out = append(out, stretch{in, depth, math.Sqrt(max(0, float64(reach*reach)-float64(off*off)))})
	}
	return out
}

// onRegion are the parts of an edge's stretches beside or over q's metal: it is grown by
// what they may lie beside it, and where they end no farther past it than that, they end
// with it. Both sides of the sheet count as one.
func onRegion(p, q *panel.Prism, e plane.Edge, level []stretch) []plane.Interval {
	var all []plane.Interval
	dir := p.Frame.Dir(e.To.Sub(e.From).Unit())
	d := q.Frame.LocalDir(dir)
	for _, s := range level {
		from := q.Frame.Local(p.Frame.Shifted(-s.depth).At(e.From))
		for _, c := range plane.Chords(plane.Offset(q.Region, s.reach), from, d) {
			lo, hi := (c.From+s.reach)/d.Len(), (c.To-s.reach)/d.Len()
			in := plane.Interval{From: max(s.From, lo), To: min(s.To, hi)}
			if in.Len() >= leastLine {
				all = append(all, in)
			}
		}
	}
	slices.SortFunc(all, func(a, b plane.Interval) int { return cmp.Compare(a.From, b.From) })
	var out []plane.Interval
	for _, in := range all {
		if k := len(out) - 1; k >= 0 && in.From <= out[k].To+leastLine {
			out[k].To = max(out[k].To, in.To)
			continue
		}
		out = append(out, in)
	}
	return out
}

// Beads lays tacks or welds along a line as fixings named name.first, name.(first+1) and so
// on, with a mark in both sheets' flats. The error is a *PatternError.
func Beads(name string, first int, l Line, f Fastener) ([]Fixing, error) {
	f, err := f.withRules(Patch{Members: l.Members[:]})
	if err != nil {
		return nil, err
	}
	d := l.To.Sub(l.From)
	centres, err := f.centres(d.Len())
	if err != nil {
		return nil, err
	}
	dir := d.Unit()
	reach := Reach(l.Members[0], l.Members[1])
	snap := 0.0
	for _, m := range l.Members {
		snap = max(snap, m.Flat.Panel.Stock.Thickness)
	}
	out := make([]Fixing, len(centres))
	for i, s := range centres {
		at := l.From.Add(dir.Scale(s))
		half := dir.Scale(f.Diameter / 2)
		fix := Fixing{Name: name + "." + strconv.Itoa(first+i), Kind: f.Kind, Diameter: f.Diameter, At: at, Axis: l.In, Grip: 2 * reach,
			Line: &[2]solid.Vec{at.Sub(half), at.Add(half)}}
		for k, m := range l.Members {
			spot := Spot{Member: k, Point: m.point(at, dir)}
			spot.Point.Name, spot.Point.Kind, spot.Point.Diameter = fix.Name, f.marking(), f.Diameter
			spot.Point = m.atEdge(spot.Point, snap+reach)
			fix.Members = append(fix.Members, spot)
		}
		out[i] = fix
	}
	return out, nil
}

// marking is what a bead makes on a sheet.
func (f Fastener) marking() panel.PointKind {
	if f.Kind == Weld {
		return panel.Weld
	}
	return panel.Tack
}

// centres are the middles of beads along a length, mm from its start: the first and last
// keep the edge distance from the ends.
func (f Fastener) centres(length float64) ([]float64, error) {
	least := f.Diameter + 2*beadEnd
	if length < least {
		return nil, &PatternError{f.Kind, NoRoom, length, least}
	}
	margin := max(f.Edge, least/2)
	if length < 2*margin {
		margin = length / 2
	}
	usable := length - float64(2*margin)
	apart := 2 * f.Diameter
	if f.Kind == Weld { // one bead may go on where the other ends
		apart = f.Diameter
	}
	out, step, err := spread(usable, f)
	if err != nil {
		return nil, err
	}
	if f.Count == 0 && len(out) > 1 { // the first and last stand at the ends, all no farther apart than stated
		f.Count = len(out)
		if out, step, _ = spread(usable, f); step > f.Pitch+1e-6 && usable >= float64(float64(f.Count)*apart)-1e-9 {
			f.Count++
			out, step, _ = spread(usable, f)
		}
	}
	if len(out) > 1 && step < apart-1e-9 {
		return nil, &PatternError{f.Kind, TooTight, step, apart}
	}
	for i := range out {
		out[i] += margin
	}
	return out, nil
}

// atEdge puts a bead's point that lies within snap mm of an edge of the blank onto the
// edge, where that runs along the bead, and tells which way the metal lies.
func (m Member) atEdge(p panel.Point, snap float64) panel.Point {
	best := math.Inf(1)
	at := p.At
	for _, l := range append(plane.Region{m.Flat.Outer}, m.Flat.Inner...) {
		for _, e := range l.Edges() {
			u := e.To.Sub(e.From).Unit()
			if !e.Straight() || math.Abs(u.Cross(p.Dir)) > alongTol {
				continue
			}
			on := e.Nearest(at)
			if d := on.Dist(at); d <= snap && d < best {
				best, p.At, p.In = d, on, u.Perp() // metal lies left of every outline
			}
		}
	}
	return p
}
