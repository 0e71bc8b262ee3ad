package drawing

import (
	"math"
	"unicode/utf8"

	"perch/parts/decimal"
	"perch/parts/plane"
)

// svg is a document under way. Its coordinates have y down.
type svg struct {
	buf      []byte
	decimals int // of coordinates
}

func (s *svg) raw(parts ...string) {
	for _, p := range parts {
		s.buf = append(s.buf, p...)
	}
}

func (s *svg) num(x float64) { s.buf = decimal.Append(s.buf, x, s.decimals) }

func (s *svg) pair(p plane.Point) {
	s.num(p.X)
	s.buf = append(s.buf, ' ')
	s.num(p.Y)
}

// attr writes a numeric attribute.
func (s *svg) attr(name string, x float64) {
	s.raw(" ", name, `="`)
	s.num(x)
	s.raw(`"`)
}

// escaped writes text for an element or attribute; signs that XML 1.0 forbids
// become U+FFFD.
func (s *svg) escaped(text string) {
	for _, r := range text {
		switch {
		case r == '&':
			s.raw("&amp;")
		case r == '<':
			s.raw("&lt;")
		case r == '>':
			s.raw("&gt;")
		case r == '"':
			s.raw("&quot;")
		case r < ' ' && r != '\t' && r != '\n' && r != '\r', r == 0xfffe, r == 0xffff:
			s.buf = utf8.AppendRune(s.buf, utf8.RuneError)
		default:
			s.buf = utf8.AppendRune(s.buf, r)
		}
	}
}

// text writes a line whose baseline starts (anchor start), is centred (middle) or
// ends (end) at p.
func (s *svg) text(class, anchor, content string, p plane.Point, size float64) {
	s.raw(`<text class="`, class, `"`)
	s.attr("x", p.X)
	s.attr("y", p.Y)
	s.attr("font-size", size)
	if anchor != "start" {
		s.raw(` text-anchor="`, anchor, `"`)
	}
	s.raw(">")
	s.escaped(content)
	s.raw("</text>\n")
}

// letterWidth is the room kept for a letter, of the font size: a wide sans-serif
// takes 0.62 on average.
const letterWidth = 0.64

func textWidth(s string, size float64) float64 {
	return float64(float64(utf8.RuneCountInString(s)) * letterWidth * size)
}

// arrowHead is a slim head with its tip at p, pointing along dir.
func arrowHead(p, dir plane.Point, size float64) []plane.Point {
	const slim = 0.17
	back := plane.Point{X: p.X - float64(dir.X*size), Y: p.Y - float64(dir.Y*size)}
	side := plane.Point{X: float64(-dir.Y * size * slim), Y: float64(dir.X * size * slim)}
	return []plane.Point{p, {X: back.X + side.X, Y: back.Y + side.Y}, {X: back.X - side.X, Y: back.Y - side.Y}}
}

// unit returns the direction from a to b and their distance; x when they are one.
func unit(a, b plane.Point) (plane.Point, float64) {
	d := plane.Point{X: b.X - a.X, Y: b.Y - a.Y}
	n := math.Sqrt(float64(d.X*d.X) + float64(d.Y*d.Y))
	if !(n > 0) {
		return plane.Point{X: 1}, 0
	}
	return plane.Point{X: d.X / n, Y: d.Y / n}, n
}

func dot(a, b plane.Point) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }
