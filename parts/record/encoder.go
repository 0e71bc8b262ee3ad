package record

import (
	"unicode/utf8"

	"perch/parts/decimal"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// encoder writes JSON in the order of its calls; the caller gives the shape, it
// keeps the commas. Lists of numbers stay on one line, every item of a list of
// objects stands on its own, so that a record compares line by line.
type encoder struct {
	buf   []byte
	comma bool // the next item is not the first
	bad   string
}

// reject remembers the first number that JSON cannot hold.
func (e *encoder) reject(what string) {
	if e.bad == "" {
		e.bad = what
	}
}

func (e *encoder) next() {
	if e.comma {
		e.buf = append(e.buf, ',')
	}
	e.comma = true
}

// key starts a member of an object.
func (e *encoder) key(name string) {
	e.next()
	e.buf = append(e.buf, '"')
	e.buf = append(e.buf, name...)
	e.buf = append(e.buf, '"', ':', ' ')
	e.comma = false
}

func (e *encoder) open(c byte) {
	e.next()
	e.buf = append(e.buf, c)
	e.comma = false
}

func (e *encoder) close(c byte) {
	e.buf = append(e.buf, c)
	e.comma = true
}

// line starts a new line for the item that follows, indented by depth.
func (e *encoder) line(depth int) {
	if e.comma {
		e.buf = append(e.buf, ',')
	}
	e.buf = append(e.buf, '\n')
	for range depth {
		e.buf = append(e.buf, ' ', ' ')
	}
	e.comma = false
}

func (e *encoder) number(x float64, decimals int) {
	if !decimal.Finite(x) {
		e.reject("a number that is not finite")
	}
	e.next()
	e.buf = decimal.Append(e.buf, x, decimals)
}

func (e *encoder) flag(b bool) {
	e.next()
	if b {
		e.buf = append(e.buf, "true"...)
		return
	}
	e.buf = append(e.buf, "false"...)
}

const hexDigits = "0123456789abcdef"

// text writes a JSON string; bytes that are no UTF-8 become U+FFFD.
func (e *encoder) text(s string) {
	e.next()
	e.buf = append(e.buf, '"')
	if plain(s) {
		e.buf = append(append(e.buf, s...), '"')
		return
	}
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			e.buf = append(e.buf, '\\', byte(r))
		case r < ' ' || r == 0x7f:
			e.buf = append(e.buf, '\\', 'u', '0', '0', hexDigits[r>>4], hexDigits[r&15])
		default:
			e.buf = utf8.AppendRune(e.buf, r)
		}
	}
	e.buf = append(e.buf, '"')
}

// plain tells whether a string is printable ASCII that JSON takes as it is.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= 0x7f || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}

// Members of an object.

func (e *encoder) textMember(name, s string) {
	e.key(name)
	e.text(s)
}

func (e *encoder) flagMember(name string, b bool) {
	e.key(name)
	e.flag(b)
}

func (e *encoder) numberMember(name string, x float64, decimals int) {
	e.key(name)
	if !decimal.Finite(x) {
		e.reject(name)
	}
	e.number(x, decimals)
}

func (e *encoder) pointMember(name string, p plane.Point) {
	e.key(name)
	e.numbers(decimal.Length, p.X, p.Y)
}

func (e *encoder) vecMember(name string, v solid.Vec, decimals int) {
	e.key(name)
	e.numbers(decimals, v.X, v.Y, v.Z)
}

func (e *encoder) numbers(decimals int, xs ...float64) {
	e.open('[')
	for _, x := range xs {
		e.number(x, decimals)
	}
	e.close(']')
}

func (e *encoder) loop(l plane.Loop) {
	e.open('[')
	for _, v := range l {
		e.open('[')
		e.number(v.P.X, decimal.Length)
		e.number(v.P.Y, decimal.Length)
		e.number(v.Bulge, decimal.Bulge)
		e.close(']')
	}
	e.close(']')
}

// matrix writes directions to 1e-12 and the translation, a length, to 1e-6.
func (e *encoder) matrix(m panel.Matrix) {
	e.open('[')
	for i, x := range m {
		n := decimal.Cosine
		if i%4 == 3 {
			n = decimal.Length
		}
		e.number(x, n)
	}
	e.close(']')
}
