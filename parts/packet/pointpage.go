package packet

import (
	"strconv"
	"strings"

	"perch/parts/blankpage"
	"perch/parts/drawing"
	"perch/parts/joining"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/solid"
)

// pointPicture is a step put together, from two corners, with its pins, tacks and welds by the
// numbers that the step's words call them.
type pointPicture struct {
	views  []pointView
	n      float64 // the scale is 1:n
	legend string
}

type pointView struct {
	name     string
	surfaces []drawing.Surface
	seen     plane.Box
	points   []paper.Named
	lines    [][2]plane.Point // beads
}

const (
	pointsHigh = 100.0 // of the picture, at most
	pointsPad  = 26.0  // round it, for numbers and captions
)

func (q *pointPicture) high() float64 {
	high := 0.0
	for _, v := range q.views {
		high = max(high, v.seen.Size().Y/q.n)
	}
	return high + pointsPad
}

// pointPicture is nil where a step's words speak of no fastener singly.
func (p *Packet) pointPicture(s *joining.Step, wide float64) (*pointPicture, error) {
	numbers := numbered(s)
	if len(numbers) == 0 {
		return nil, nil
	}
	_, a := p.drawnIn(s)
	facets, err := drawing.Metal(a)
	if err != nil {
		return nil, err
	}
	up := solid.Vec{Z: 1}
	out := &pointPicture{n: 1, legend: pointLegend(numbers)}
	for _, c := range corners {
		v := pointView{name: c.name}
		for _, n := range numbers {
			j := &p.Assembly.Joins[n.join]
			// What lies as much towards one corner as towards the other is shown from the first.
			towards := j.Axis.Neg().Dot(c.from) >= 1e-6
			if len(out.views) == 0 && len(corners) > 1 {
				towards = towards || j.Axis.Neg().Dot(corners[1].from) < 1e-6
			} else if len(out.views) > 0 && j.Axis.Neg().Dot(corners[0].from) >= 1e-6 {
				towards = false
			}
			if !towards {
				continue
			}
			at := j.At
			if j.Line != nil {
				at = j.Line[0].Add(j.Line[1]).Scale(0.5)
				v.lines = append(v.lines, [2]plane.Point{drawing.Seen(j.Line[0], c.from, up), drawing.Seen(j.Line[1], c.from, up)})
			}
			v.points = append(v.points, paper.Named{Text: n.text, At: drawing.Seen(at, c.from, up)})
		}
		if len(v.points) == 0 {
			continue
		}
		if v.surfaces, v.seen, err = drawing.Orthographic(facets, c.from, up); err != nil {
			return nil, err
		}
		out.views = append(out.views, v)
	}
	each := wide / float64(len(out.views))
	for _, v := range out.views {
		out.n = max(out.n, paper.ScaleFor(v.seen.Size(), plane.Point{X: each - pointsPad, Y: pointsHigh - pointsPad}))
	}
	return out, nil
}

// pointLegend says what the numbers are of.
func pointLegend(numbers []joinNumber) string {
	var pins, tacks bool
	for _, n := range numbers {
		pins, tacks = pins || strings.HasPrefix(n.text, "P"), tacks || !strings.HasPrefix(n.text, "P")
	}
	switch {
	case pins && tacks:
		return "P1, P2 …: holes for pins; 1, 2 …: tacks and welds in their order"
	case pins:
		return "P1, P2 …: holes for pins"
	}
	return "1, 2 …: tacks and welds in their order"
}

func (q *pointPicture) draw(page *paper.Page, box plane.Box) {
	each := box.Size().X / float64(len(q.views))
	unsaid := 0
	for i, v := range q.views {
		middle := box.Min.X + float64(each*(float64(i)+0.5))
		size := v.seen.Size().Scale(1 / q.n)
		at := plane.Point{X: middle - float64(size.X/2), Y: box.Min.Y + float64((box.Size().Y-size.Y-10)/2)}
		to := plane.Affine{A: 1 / q.n, D: 1 / q.n, E: at.X - v.seen.Min.X/q.n, F: at.Y - v.seen.Min.Y/q.n}
		blankpage.Open(page, v.surfaces, v.seen, at, q.n)
		for _, l := range v.lines {
			page.Line(paper.Visible, to.Apply(l[0]), to.Apply(l[1]))
		}
		for _, n := range v.points {
			page.Solid(paper.Black, plane.Circle(1.4).Transform(plane.Translate(to.Apply(n.At))))
		}
		caption := v.name + ", " + paper.ScaleName(q.n)
		page.Text(paper.Label{Text: caption, At: plane.Point{X: middle, Y: box.Max.Y - 5.6}, Anchor: paper.Middle})
		for _, n := range v.points {
			if !page.Point(to.Apply(n.At), paper.Style{Bold: true}, n.Text) {
				unsaid++
			}
		}
	}
	legend := q.legend
	if unsaid > 0 {
		legend += "; " + strconv.Itoa(unsaid) + " numbers have no room here"
	}
	page.Text(paper.Label{Text: legend, At: plane.Point{X: box.Min.X, Y: box.Max.Y - 1.2}})
}
