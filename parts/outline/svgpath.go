package outline

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"perch/parts/plane"
)

// svgTol is how far, in mm, chords may leave a curve that is no circle's arc.
const svgTol = 0.01

// svgPen draws outlines in the coordinates of an SVG element, x to the right and y
// down, and keeps them in mm, y up.
type svgPen struct {
	m     plane.Affine // from the element's coordinates to mm
	at    point
	start point
	open  plane.Loop // drawn since the last move, in mm
	done  []plane.Loop
	count int // vertices drawn
}

// similar is the factor of a map that keeps shapes; false for one that does not.
func similar(m plane.Affine) (float64, bool) {
	k := math.Sqrt(math.Abs(m.Det()))
	e := float64(1e-9 * k)
	if m.Det() < 0 {
		m.B, m.D = -m.B, -m.D
	}
	return k, math.Abs(m.A-m.D) <= e && math.Abs(m.B+m.C) <= e && k > 0
}

// most is no less than what a map stretches any length by.
func most(m plane.Affine) float64 {
	return math.Sqrt(float64(m.A*m.A) + float64(m.B*m.B) + float64(m.C*m.C) + float64(m.D*m.D))
}

func (p *svgPen) move(to point) {
	p.finish(false)
	p.at, p.start = to, to
}

// vertex ends what was drawn at a place and draws on from there.
func (p *svgPen) vertex(to point) {
	if len(p.open) == 0 {
		p.open = append(p.open, plane.Vertex{P: p.m.Apply(p.at)})
	}
	p.at = to
	if q := p.m.Apply(to); !q.Near(p.open[len(p.open)-1].P, svgMeet) {
		p.open = append(p.open, plane.Vertex{P: q})
		p.count++
	}
}

func (p *svgPen) line(to point) { p.vertex(to) }

// finish ends an outline: it is kept when it is closed or ends where it began.
func (p *svgPen) finish(closed bool) {
	l := p.open
	p.open = nil
	if n := len(l); n > 2 && l[0].P.Near(l[n-1].P, svgMeet) {
		l, closed = l[:n-1], true
	}
	if closed && len(l) > 1 {
		p.done = append(p.done, l)
	}
	p.at = p.start
}

// svgMeet is the distance in mm within which two points are one.
const svgMeet = 1e-6

// arc draws an ellipse's arc; where it is a circle's in mm it stays an arc. Its
// arguments are those of the path command A, phi in degrees; radii too small to
// reach are enlarged (SVG 2, 9.5.1).
func (p *svgPen) arc(rx, ry, phi float64, large, sweep bool, to point) {
	if to == p.at {
		return
	}
	if rx, ry = math.Abs(rx), math.Abs(ry); !(rx > 0 && ry > 0) {
		p.line(to)
		return
	}
	c, s := plane.Turned(phi)
	// frame takes the unit circle to the ellipse's own size and direction.
	frame := plane.Affine{A: rx, D: ry}.Then(plane.Affine{A: c, B: -s, C: s, D: c})
	back, err := frame.Inverse()
	if err != nil {
		p.line(to)
		return
	}
	u, v := back.Apply(p.at), back.Apply(to)
	h := u.Dist(v) / 2
	if h > 1 {
		frame.A, frame.B, frame.C, frame.D = frame.A*h, frame.B*h, frame.C*h, frame.D*h
		u, v, h = u.Scale(1/h), v.Scale(1/h), 1
	}
	b := h / (1 + math.Sqrt(1-float64(h*h)))
	if large {
		b = 1 / b
	}
	if !sweep {
		b = -b
	}
	p.bow(frame, u, v, b, to)
}

// bow draws the arc from u to v, given on the unit circle of frame, with a bulge.
func (p *svgPen) bow(frame plane.Affine, u, v point, bulge float64, to point) {
	whole := frame.Then(p.m)
	e := plane.Edge{From: u, To: v, Bulge: bulge}
	if math.Abs(bulge) > 1 {
		// |bulge| ≤ 1 is one edge's: two halves. tan(x/2) = t / (1 + √(1 + t²)).
		half := bulge / (1 + math.Sqrt(1+float64(bulge*bulge)))
		if math.IsInf(bulge, 0) || half-half != 0 {
			p.line(to)
			return
		}
		mid := u.Lerp(v, 0.5).Sub(v.Sub(u).Perp().Scale(bulge / 2))
		p.bow(frame, u, mid, half, frame.Apply(mid))
		p.bow(frame, mid, v, half, to)
		return
	}
	if _, same := similar(whole); same {
		if whole.Det() < 0 {
			bulge = -bulge
		}
		n := len(p.open)
		p.vertex(to)
		if len(p.open) > max(n, 1) {
			p.open[len(p.open)-2].Bulge = bulge
		}
		return
	}
	pts := plane.Flatten(plane.Loop{{P: e.From, Bulge: e.Bulge}, {P: e.To}}, svgTol/most(whole))
	for _, q := range pts[1 : len(pts)-1] {
		p.vertex(frame.Apply(q))
	}
	p.vertex(to)
}

// curve draws a Bézier curve of the second or third order by equal steps of its
// parameter, of which n leave it by no more than d²·max|second derivative|/8 for
// d = 1/n.
func (p *svgPen) curve(ctrl ...point) {
	pts := append([]point{p.at}, ctrl...)
	order := len(ctrl)
	var bend float64
	for i := 0; i+2 < len(pts); i++ {
		bend = max(bend, pts[i].Sub(pts[i+1]).Add(pts[i+2].Sub(pts[i+1])).Len())
	}
	bend *= float64(order*(order-1)) * most(p.m)
	n := int(min(max(math.Ceil(math.Sqrt(bend/(8*svgTol))), 1), svgSteps))
	for k := 1; k < n; k++ {
		t := float64(k) / float64(n)
		q := append([]point(nil), pts...)
		for m := order; m > 0; m-- {
			for i := range m {
				q[i] = q[i].Lerp(q[i+1], t)
			}
		}
		p.vertex(q[0])
	}
	p.vertex(ctrl[order-1])
}

// svgSteps bounds the chords that stand for one curve.
const svgSteps = 500

// svgNumbers reads numbers, and flags, one after the other from an attribute.
type svgNumbers struct {
	text string
	at   int
}

func (n *svgNumbers) space() {
	for n.at < len(n.text) && strings.IndexByte(" \t\r\n,", n.text[n.at]) >= 0 {
		n.at++
	}
}

func (n *svgNumbers) end() bool { n.space(); return n.at >= len(n.text) }

// number reads a number as SVG writes it; its end is where it cannot go on.
func (n *svgNumbers) number() (float64, error) {
	n.space()
	from := n.at
	digits := func() bool {
		k := n.at
		for n.at < len(n.text) && '0' <= n.text[n.at] && n.text[n.at] <= '9' {
			n.at++
		}
		return n.at > k
	}
	one := func(set string) bool {
		if n.at < len(n.text) && strings.IndexByte(set, n.text[n.at]) >= 0 {
			n.at++
			return true
		}
		return false
	}
	one("+-")
	some := digits()
	if one(".") {
		some = digits() || some
	}
	if some {
		k := n.at
		if one("eE") {
			one("+-")
			if !digits() {
				n.at = k
			}
		}
	}
	v, err := strconv.ParseFloat(n.text[from:n.at], 64)
	if err != nil || math.Abs(v) > svgLargest {
		return 0, fmt.Errorf("no number at %q", clip(n.text[from:]))
	}
	return v, nil
}

// svgLargest is the largest number an outline may have.
const svgLargest = 1e9

func (n *svgNumbers) flag() (bool, error) {
	if n.end() || n.text[n.at] != '0' && n.text[n.at] != '1' {
		return false, fmt.Errorf("no flag 0 or 1 at %q", clip(n.text[n.at:]))
	}
	n.at++
	return n.text[n.at-1] == '1', nil
}

// clip is the start of a text, for messages.
func clip(s string) string {
	if r := []rune(s); len(r) > 20 {
		return string(r[:20]) + "…"
	}
	return s
}

// path draws path data (SVG 2, chapter 9).
func (p *svgPen) path(data string) error {
	n := &svgNumbers{text: data}
	var cmd, last byte
	var ctrl point // of the last curve
	for !n.end() {
		if c := n.text[n.at]; 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' {
			cmd = c
			n.at++
		} else if cmd == 0 || cmd == 'Z' || cmd == 'z' {
			return fmt.Errorf("no command at %q", clip(n.text[n.at:]))
		}
		if last == 0 && cmd != 'M' && cmd != 'm' {
			return fmt.Errorf("a path starts with %q, not with a move", clip(data))
		}
		if err := p.command(n, cmd, last, &ctrl); err != nil {
			return fmt.Errorf("path command %c: %w", cmd, err)
		}
		if p.count > mostPoints {
			return errManyPoints
		}
		last = cmd
		switch cmd {
		case 'M':
			cmd = 'L'
		case 'm':
			cmd = 'l'
		}
	}
	p.finish(false)
	return nil
}

// svgCounts is how many numbers each command takes.
var svgCounts = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2, 'A': 7, 'Z': 0}

func (p *svgPen) command(n *svgNumbers, cmd, last byte, ctrl *point) error {
	upper := cmd &^ 0x20
	count, ok := svgCounts[upper]
	if !ok {
		return fmt.Errorf("there is none")
	}
	var from point
	if cmd != upper {
		from = p.at
	}
	var v [7]float64
	for i := range count {
		if upper == 'A' && (i == 3 || i == 4) {
			f, err := n.flag()
			if err != nil {
				return err
			}
			if f {
				v[i] = 1
			}
			continue
		}
		x, err := n.number()
		if err != nil {
			return err
		}
		v[i] = x
	}
	pt := func(i int) point { return point{X: from.X + v[i], Y: from.Y + v[i+1]} }
	smooth := func(of string) point {
		if strings.IndexByte(of, last&^0x20) >= 0 && last != 0 {
			return p.at.Add(p.at.Sub(*ctrl))
		}
		return p.at
	}
	switch upper {
	case 'M':
		p.move(pt(0))
	case 'L':
		p.line(pt(0))
	case 'H':
		p.line(point{X: from.X + v[0], Y: p.at.Y})
	case 'V':
		p.line(point{X: p.at.X, Y: from.Y + v[0]})
	case 'C':
		*ctrl = pt(2)
		p.curve(pt(0), *ctrl, pt(4))
	case 'S':
		first := smooth("CS")
		*ctrl = pt(0)
		p.curve(first, *ctrl, pt(2))
	case 'Q':
		*ctrl = pt(0)
		p.curve(*ctrl, pt(2))
	case 'T':
		*ctrl = smooth("QT")
		p.curve(*ctrl, pt(0))
	case 'A':
		p.arc(v[0], v[1], v[2], v[3] == 1, v[4] == 1, pt(5))
	case 'Z':
		p.finish(true)
	}
	return nil
}
