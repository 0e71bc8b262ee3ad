package mockup

import (
	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// line is drawn on a piece.
type line struct {
	pen    paper.Pen
	pts    []plane.Point
	closed bool
}

// sign is a letter in a ring or a disc, where something is glued.
type sign struct {
	letter string
	place  plane.Region // where it belongs, on the piece
	front  bool         // the printed side is glued: a black disc; else the back: a ring
}

// remark is text that belongs to a line of a piece, written where there is room beside it.
type remark struct {
	text     string
	from, to plane.Point
}

// piece is what is cut out of paper as one, in mm of paper, y up, seen from its printed side.
type piece struct {
	name    string
	region  plane.Region // outline and holes
	cut     []plane.Loop // what is drawn to be cut: the region's, arcs as arcs
	shaded  []plane.Loop // tabs
	lines   []line       // under the cut
	signs   []sign
	remarks []remark
	under   float64 // height of a strip below that its name needs; 0: it goes inside
}

// Pens of the model. Mountain and valley are told apart by their dashes, not by colour.
var (
	mountain = paper.Chain
	valley   = paper.Hidden
	rolled   = paper.Double
	placed   = paper.Pen{Width: 0.25, Dash: []float64{0.5, 1}, Ink: paper.Grey}
	lightly  = paper.Pen{Width: 0.25, Ink: paper.Grey}
)

const sag = 0.01 // mm of paper, of chords that are drawn for arcs

// pieceOf is the paper of a copy. A mirrored copy's is the mirror image, so that the side
// that the design draws is printed on every one.
func (m *Model) pieceOf(copied int) *piece {
	c, p := m.Assembly.Copies[copied], m.Pattern(copied)
	k := m.Scale.Factor()
	to := plane.Affine{A: k, D: k}
	if c.Mirrored {
		to.A = -k
	}
	to = to.Then(straight(p.Outline.Transform(to)))
	out := &piece{name: m.copyName(copied)}
	all := []plane.Region{p.Outline.Transform(to)}
	for i := range m.Glues {
		all = append(all, m.glued(out, copied, &m.Glues[i], to)...)
	}
	out.region = plane.UnionAll(all...)
	for _, l := range out.region {
		out.cut = append(out.cut, l)
	}
	for i := range p.Strips {
		out.fold(&p.Strips[i], to)
	}
	out.marks(p, to, c.Mirrored)
	return out
}

// place draws where something is glued.
func (out *piece) place(l plane.Loop) {
	out.lines = append(out.lines, line{placed, plane.Flatten(l, sag), true})
}

// glued draws what a glue is on one copy, and returns the paper of its tab.
func (m *Model) glued(out *piece, copied int, g *Glue, to plane.Affine) (tabs []plane.Region) {
	add := func(r plane.Region, front bool) {
		r = r.Transform(to)
		out.signs = append(out.signs, sign{g.Letter, r, front})
		for _, l := range r {
			out.place(l)
		}
	}
	if g.A.Copy == copied {
		if g.Tab == nil {
			add(g.PatchA, g.FrontA)
		} else {
			l := g.Tab.Outline.Transform(to)
			tabs = append(tabs, plane.Region{l})
			out.shaded = append(out.shaded, l)
			out.signs = append(out.signs, sign{g.Letter, plane.Region{l}, g.Tab.Printed})
			out.crease([2]plane.Point{to.Apply(g.Tab.Crease[0]), to.Apply(g.Tab.Crease[1])}, g.Tab.Turn, g.Tab.Down)
		}
	}
	if g.B.Copy == copied {
		if g.Tab == nil {
			add(g.PatchB, g.FrontB)
		} else {
			add(plane.Region{g.Tab.On}, g.Tab.OnFront)
		}
	}
	return tabs
}

// crease draws a fold with its angle.
func (out *piece) crease(l [2]plane.Point, turn float64, down bool) {
	pen := valley
	if down {
		pen = mountain
	}
	if turn == 0 { // it goes straight on: no fold
		return
	}
	out.lines = append(out.lines, line{pen, l[:], false})
	out.remarks = append(out.remarks, remark{foldWord(turn, down), l[0], l[1]})
}

// fold draws a strip's lines.
func (out *piece) fold(s *Strip, to plane.Affine) {
	on := func(l [2]plane.Point) [2]plane.Point { return [2]plane.Point{to.Apply(l[0]), to.Apply(l[1])} }
	if s.How != Roll {
		for _, l := range s.Lines {
			out.crease(on(l), s.Turn(), s.Down)
		}
		return
	}
	for _, l := range s.Lines {
		l := on(l)
		out.lines = append(out.lines, line{rolled, l[:], false})
	}
	a, b := on(s.Lines[0]), on(s.Lines[1])
	out.remarks = append(out.remarks, remark{rollWord(s), a[0].Lerp(b[0], 0.5), a[1].Lerp(b[1], 0.5)})
}

// marks draws rivet holes, scribed lines and the middles of beads. What a mirrored copy has
// scribed on it is on the other side of its metal.
func (out *piece) marks(p *Pattern, to plane.Affine, mirrored bool) {
	for _, q := range p.Flat.Points {
		if q.Kind != panel.Hole && q.Kind != panel.Drill && q.Kind != panel.Plug {
			continue
		}
		move := plane.Translate(p.Faces[q.Face].Offset).Then(to)
		if d := q.Diameter * out.scale(to); d >= 1 {
			c := move.Apply(q.At)
			l := plane.Circle(d).Transform(plane.Translate(c))
			out.lines = append(out.lines, line{lightly, plane.Flatten(l, sag), true})
		}
	}
	for _, k := range p.Flat.Marks {
		if k.Kind == panel.MarkText || mirrored && k.Kind == panel.MarkLine || len(k.Path) < 2 {
			continue
		}
		move := plane.Translate(p.Faces[k.Face].Offset).Then(to)
		var pts []plane.Point
		for _, q := range layout.OpenPolyline(k.Path, 0.1) {
			pts = append(pts, move.Apply(q))
		}
		out.lines = append(out.lines, line{lightly, pts, k.Closed})
	}
}

// scale of a map: its paper over metal.
func (out *piece) scale(to plane.Affine) float64 { return to.Vec(plane.Point{X: 1}).Len() }

// copyName is what a copy is called on its paper.
func (m *Model) copyName(copied int) string { return m.names.Copy(copied) }

// straight turns a region so that it takes the least upright box, one of its straight edges
// level or upright; where the least is as it lies, it stays.
func straight(r plane.Region) plane.Affine {
	best := plane.Identity()
	size := r.Bounds().Size()
	least := size.X * size.Y * (1 - 1e-6)
	for _, l := range r {
		if l.Area() < 0 {
			continue
		}
		for _, e := range l.Edges() {
			if !e.Straight() || e.Chord() < 1 {
				continue
			}
			u := e.To.Sub(e.From).Unit()
			m := plane.Affine{A: u.X, B: u.Y, C: -u.Y, D: u.X} // u becomes level
			s := r.Transform(m).Bounds().Size()
			if a := s.X * s.Y; a < least {
				best, least = m, a*(1-1e-6)
			}
		}
	}
	return best
}
