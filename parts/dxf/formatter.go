package dxf

import (
	"io"
	"strconv"

	"perch/parts/decimal"
)

// groups is the library's output side (format.Formatter), put in place of its
// own, which writes through Sprintf with 16 decimals: this one quantises, never
// writes −0 and is some thirty times as fast.
type groups struct {
	buf      []byte
	decimals int // of lengths
}

// codeBulge is the group of an LWPOLYLINE's bulge, the only one that needs more
// decimals than a length.
const codeBulge = 42

func (g *groups) Reset()           { g.buf = g.buf[:0] }
func (g *groups) SetPrecision(int) {}

func (g *groups) WriteTo(w io.Writer) (int64, error) {
	n, err := w.Write(g.buf)
	return int64(n), err
}

func (g *groups) Output() string {
	s := string(g.buf)
	g.Reset()
	return s
}

func (g *groups) code(n int) {
	g.buf = strconv.AppendInt(g.buf, int64(n), 10)
	g.buf = append(g.buf, '\n')
}

func (g *groups) WriteString(code int, val string) {
	g.code(code)
	g.buf = append(append(g.buf, val...), '\n')
}

func (g *groups) WriteHex(code int, h int) {
	g.code(code)
	from := len(g.buf)
	g.buf = strconv.AppendInt(g.buf, int64(h), 16)
	for i := from; i < len(g.buf); i++ {
		if c := g.buf[i]; 'a' <= c && c <= 'f' {
			g.buf[i] = c - 'a' + 'A'
		}
	}
	g.buf = append(g.buf, '\n')
}

func (g *groups) WriteInt(code int, val int) {
	g.code(code)
	g.code(val)
}

func (g *groups) WriteFloat(code int, val float64) {
	g.code(code)
	n := g.decimals
	if code == codeBulge {
		n = decimal.Bulge
	}
	from := len(g.buf)
	g.buf = decimal.Append(g.buf, val, n)
	if !hasPoint(g.buf[from:]) {
		g.buf = append(g.buf, '.', '0') // a real number is written as one
	}
	g.buf = append(g.buf, '\n')
}

func hasPoint(b []byte) bool {
	for _, c := range b {
		if c == '.' {
			return true
		}
	}
	return false
}

// The rest of the interface: the same groups as text.

func (g *groups) String(code int, val string) string { return g.one().text(code, val) }

func (g *groups) Hex(code int, h int) string {
	o := g.one()
	o.WriteHex(code, h)
	return o.Output()
}

func (g *groups) Int(code int, val int) string {
	o := g.one()
	o.WriteInt(code, val)
	return o.Output()
}

func (g *groups) Float(code int, val float64) string {
	o := g.one()
	o.WriteFloat(code, val)
	return o.Output()
}

func (g *groups) one() *groups { return &groups{decimals: g.decimals} }

func (g *groups) text(code int, val string) string {
	g.WriteString(code, val)
	return g.Output()
}
