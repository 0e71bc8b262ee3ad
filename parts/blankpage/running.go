package blankpage

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"perch/parts/paper"
	"perch/parts/plane"
)

// Importance of a place, the lower the more: places for which there is no room are listed
// beside the drawing, the least important first.
const (
	ends = iota
	bends
	rows
	edges
	corners
)

// place is one coordinate that is dimensioned from the datum.
type place struct {
	value   float64       // mm from the datum
	points  []plane.Point // of the turned flat, that it is of
	at      float64       // on the page, along the axis
	from    float64       // on the page, across it: where its line begins
	text    string
	rank    int
	written float64 // on the page, along the axis: where its text stands
}

const (
	bandNear  = 5.0 // from the drawing to the dimension line
	bandText  = 6.0 // from the line to the texts: the jog between
	upright   = 1e-3
	leastEdge = 0.02 // of the blank's greater side: shorter slanted edges are not dimensioned
)

// datum is the corner that everything is measured from: the lower left one of the box around
// the flat. Where no metal is there, the edges on either side, carried on, meet in it.
func (d *drawing) datum() plane.Point { return d.box.Min }

// places are all the coordinates along x, or along y; of a box of the turned flat, where there is
// one, those of what lies in it.
func (d *drawing) places(y bool, within *plane.Box) []place {
	coord := func(p plane.Point) (along, across float64) {
		if y {
			return p.Y, p.X
		}
		return p.X, p.Y
	}
	zero, _ := coord(d.datum())
	var all []place
	add := func(p plane.Point, rank int) {
		if within != nil && !within.Holds(p) {
			return
		}
		q := d.set.Apply(p)
		v, _ := coord(p)
		on, across := coord(q)
		all = append(all, place{value: v - zero, points: []plane.Point{p}, at: on, from: across, rank: rank})
	}
	size := d.box.Size()
	long := float64(leastEdge * max(size.X, size.Y))
	for _, e := range d.f.Outer.Transform(d.turn).Edges() {
		a, b := coord(e.From)
		c, f := coord(e.To)
		switch {
		case !e.Straight():
			continue
		case math.Abs(a-c) < upright && math.Abs(b-f) > upright:
			add(e.From, edges)
			add(e.To, edges)
		case math.Abs(b-f) >= upright && e.Len() > long:
			add(e.From, corners)
			add(e.To, corners)
		}
	}
	for _, s := range d.f.Folds {
		from, to := d.turn.Apply(s.From), d.turn.Apply(s.To)
		a, b := coord(from)
		c, f := coord(to)
		if across, slanted := math.Abs(a-c) < upright, math.Abs(b-f) >= upright; across || slanted {
			add(from, bends)
			add(to, bends)
		}
	}
	for _, g := range d.holes {
		for i, p := range g.at {
			if g.boxes == nil {
				add(d.turn.Apply(p), rows)
				continue
			}
			add(g.boxes[i].Min, rows)
			add(g.boxes[i].Max, rows)
		}
	}
	add(d.box.Min, ends)
	add(d.box.Max, ends)
	return d.merged(all, y)
}

// merged takes places that read alike as one, whose line begins where the last of them stands,
// in order along the axis.
func (d *drawing) merged(all []place, y bool) []place {
	for i := range all {
		all[i].text = d.size(all[i].value)
	}
	slices.SortStableFunc(all, func(a, b place) int { return cmp.Or(cmp.Compare(a.value, b.value), cmp.Compare(a.rank, b.rank)) })
	var out []place
	for _, p := range all {
		if n := len(out) - 1; n >= 0 && out[n].text == p.text {
			out[n].rank = min(out[n].rank, p.rank)
			out[n].points = append(out[n].points, p.points...)
			if y { // lines run to the left
				out[n].from = min(out[n].from, p.from)
			} else { // or down
				out[n].from = max(out[n].from, p.from)
			}
			continue
		}
		out = append(out, p)
	}
	return out
}

// farthest is how far, in mm on the page, a text may stand off its place: beyond it lines from
// place to text can't be followed.
const farthest = 16.0

// fitted leaves as many places as can be written in a room, apart between their texts and none
// too far off its place, the most important ones, and puts their texts. The others are
// returned too.
func fitted(all []place, lo, hi, apart float64) (shown, left []place) {
	keep := slices.Clone(all)
	slices.SortStableFunc(keep, func(a, b place) int { return cmp.Compare(a.at, b.at) })
	most := max(2, int((hi-lo)/apart)+1)
	for {
		for i := range keep {
			keep[i].written = keep[i].at
		}
		spread(keep, lo, hi, apart)
		worst := -1 // the least important one among those that stand in the way
		for i, p := range keep {
			if len(keep) > most || math.Abs(p.written-p.at) > farthest {
				if k := crowd(keep, i, apart); worst < 0 || keep[k].rank > keep[worst].rank {
					worst = k
				}
			}
		}
		if worst < 0 || len(keep) <= 2 {
			return keep, left
		}
		left = append(left, keep[worst])
		keep = slices.Delete(keep, worst, worst+1)
	}
}

// crowd is the least important place of those that are written side by side with place i, of
// several the last.
func crowd(ps []place, i int, apart float64) int {
	touching := func(a, b int) bool { return ps[b].written-ps[a].written < float64(apart*1.001) }
	lo, hi := i, i
	for lo > 0 && touching(lo-1, lo) {
		lo--
	}
	for hi+1 < len(ps) && touching(hi, hi+1) {
		hi++
	}
	worst := lo
	for k := lo; k <= hi; k++ {
		if ps[k].rank >= ps[worst].rank {
			worst = k
		}
	}
	return worst
}

// spread moves the texts, in order, as little as gives each its room: clusters of those too
// near each other are laid evenly about their middle, until none meet.
func spread(ps []place, lo, hi, apart float64) {
	type cluster struct {
		sum   float64 // of where its texts would stand, less their offsets
		count int
	}
	at := func(c cluster) float64 {
		x := c.sum / float64(c.count)
		return max(lo, min(x, hi-float64(float64(c.count-1)*apart)))
	}
	var cs []cluster
	for _, p := range ps {
		cs = append(cs, cluster{p.at, 1})
		for n := len(cs) - 1; n > 0 && at(cs[n]) < at(cs[n-1])+float64(float64(cs[n-1].count)*apart); n-- {
			a, b := cs[n-1], cs[n]
			a.sum += b.sum - float64(float64(a.count*b.count)*apart)
			a.count += b.count
			cs = append(cs[:n-1], a)
		}
	}
	i := 0
	for _, c := range cs {
		x := at(c)
		for k := range c.count {
			ps[i].written = x + float64(float64(k)*apart)
			i++
		}
	}
}

// running draws the dimensions below the drawing and on its left, in a frame that keeps
// texts inside the room for the drawing: of the whole flat, or of what lies in a box of it.
func (d *drawing) running(room plane.Box, within *plane.Box) {
	of := d.box
	if within != nil {
		of = *within
	}
	lo, hi := d.set.Apply(of.Min), d.set.Apply(of.Max) // lo is the lower left
	apart := float64(paper.Style{}.Lead() * 0.95)
	p, pen := d.page, paper.Thin.In(paper.Grey)

	line := lo.Y + bandNear
	shown, left := fitted(d.places(false, within), lo.X-2, room.Max.X-apart/2, apart)
	p.Line(paper.Thin, plane.Point{X: lo.X, Y: line}, plane.Point{X: hi.X, Y: line})
	for _, s := range shown {
		knee := plane.Point{X: s.at, Y: line}
		p.Line(pen, plane.Point{X: s.at, Y: s.from + 0.5}, knee)
		p.Line(pen, knee, plane.Point{X: s.written, Y: line + bandText})
		d.stop(knee, plane.Point{X: 1}, s.value)
		p.Text(paper.Label{Text: s.text, Rising: true, Anchor: paper.End,
			At: plane.Point{X: s.written + float64(paper.Body*0.36), Y: line + bandText + 0.8}})
	}
	d.leave(left)

	line = lo.X - bandNear
	shown, left = fitted(d.places(true, within), room.Min.Y+apart/2, lo.Y+2, apart)
	p.Line(paper.Thin, plane.Point{X: line, Y: lo.Y}, plane.Point{X: line, Y: hi.Y})
	for _, s := range shown {
		knee := plane.Point{X: line, Y: s.at}
		p.Line(pen, plane.Point{X: s.from - 0.5, Y: s.at}, knee)
		p.Line(pen, knee, plane.Point{X: line - bandText, Y: s.written})
		d.stop(knee, plane.Point{Y: -1}, s.value)
		p.Text(paper.Label{Text: s.text, Anchor: paper.End,
			At: plane.Point{X: line - bandText - 0.8, Y: s.written + float64(paper.Body*0.36)}})
	}
	d.leave(left)
}

// stop draws the end of a running dimension: a ring at the datum, else an arrow's head that
// points away from it (ISO 129-1).
func (d *drawing) stop(at, away plane.Point, value float64) {
	if math.Abs(value) < upright {
		d.page.Outline(paper.Thin, true, plane.Circle(1.6).Transform(plane.Translate(at)))
		return
	}
	d.page.Head(paper.Black, at, away, 1.6)
}

// crowded is a place that a drawing has no room for.
type crowded struct {
	at   plane.Point // in the turned flat
	hole bool
}

// leave notes that places found no room.
func (d *drawing) leave(left []place) {
	for _, p := range left {
		for _, q := range p.points {
			d.crowded = append(d.crowded, crowded{q, p.rank == rows})
		}
	}
}

// noRoom has places listed for which nothing has room.
func (d *drawing) noRoom(left []crowded) {
	for _, p := range left {
		d.extra.holes = d.extra.holes || p.hole
		d.extra.corners = d.extra.corners || !p.hole
	}
}

// placeText is where a point of the flat lies from the datum.
func (d *drawing) placeText(p plane.Point) string {
	p, zero := d.turn.Apply(p), d.datum()
	return "(" + d.size(p.X-zero.X) + ", " + d.size(p.Y-zero.Y) + ")"
}

// listed are the places that are not all dimensioned, in words.
func (d *drawing) listed() []string {
	var out []string
	at := d.placeText
	if d.extra.holes {
		for _, g := range d.holes {
			text := "Middles of " + g.what + ", " + g.how + ":"
			for _, p := range g.at {
				text += " " + at(p)
			}
			out = append(out, text)
		}
	}
	if d.extra.corners {
		text := "Corners of the outline, round from the first:"
		for _, v := range d.f.Outer {
			text += " " + at(v.P)
		}
		out = append(out, text)
		for n, i := range d.order() {
			s := &d.f.Folds[i]
			out = append(out, "Bend "+strconv.Itoa(n+1)+" from "+at(s.From)+" to "+at(s.To))
		}
	}
	return out
}

// widestPlace is the room that the texts of an axis take.
func (d *drawing) widestPlace(y bool) float64 {
	w := 0.0
	for _, p := range d.places(y, nil) {
		w = max(w, paper.Style{}.Width(p.text))
	}
	return w
}

// bands are the room, left and below, that running dimensions take.
func (d *drawing) bands() (left, below float64) {
	const ends = bandNear + bandText + 2
	return ends + d.widestPlace(true), ends + d.widestPlace(false)
}

// needs is the room that the texts of an axis take side by side.
func (d *drawing) needs(y bool) float64 {
	return float64(float64(len(d.places(y, nil))) * paper.Style{}.Lead() * 0.95)
}
