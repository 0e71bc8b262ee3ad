package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reason says what is wrong with a number.
type Reason uint8

const (
	BadNumber   Reason = iota
	UnknownUnit        // letters glued to the number that are no unit
	GluedMinus         // 5-3
	OutOfRange         // infinite, or too small for its digits
)

// LiteralError is a number that can't be read. Message says what is wrong and
// Hint how to write it; Fix is the whole token rewritten, or "".
type LiteralError struct {
	Reason  Reason
	Message string
	Hint    string
	Fix     string
}

func (e *LiteralError) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + ": " + e.Hint
}

// maxLiteral is the longest number read, in bytes; nothing measured needs more.
const maxLiteral = 100

// ParseLiteral reads one whole literal token such as 320mm, 1-1/2in, 2'6-1/2",
// 40%, 18ga or 1e-6. The error, if any, is a *LiteralError.
func ParseLiteral(s string) (Literal, error) {
	if s == "" || !digit(s[0]) {
		return Literal{Spelling: s}, &LiteralError{Reason: BadNumber, Message: "a number starts with a digit", Hint: "write 0.5mm, not .5mm"}
	}
	lit, n, err := ScanLiteral(s)
	if err == nil && n < len(s) {
		err = &LiteralError{Reason: BadNumber, Message: fmt.Sprintf("%q does not end as a number", s), Hint: "write it as 320mm, 1-1/2in, 2'6\" or 40%"}
	}
	if err != nil {
		return Literal{Spelling: s}, err
	}
	return lit, nil
}

// ScanLiteral reads the longest literal at the start of s, which must be a
// digit, and its length in bytes. On an error n covers all that is glued to the
// number, so that a reader can go on behind it.
func ScanLiteral(s string) (lit Literal, n int, err error) {
	c := scanner{s: s}
	lit, e := c.literal()
	if e == nil && c.i > maxLiteral {
		e = &LiteralError{Reason: BadNumber, Message: fmt.Sprintf("a number of %d characters", c.i), Hint: fmt.Sprintf("at most %d are read", maxLiteral)}
	}
	if e == nil && (math.IsInf(lit.Value, 0) || math.IsNaN(lit.Value)) {
		e = &LiteralError{Reason: OutOfRange, Message: "the number is too large", Hint: "at most 1.8e308 can be reckoned with"}
	}
	lit.Spelling = s[:c.i]
	if e != nil {
		lit.Value = 0
		return lit, c.i, e
	}
	return lit, c.i, nil
}

type scanner struct {
	s string
	i int
}

func (c *scanner) at(k int) byte {
	if c.i+k < len(c.s) {
		return c.s[c.i+k]
	}
	return 0
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

// digits takes a run of digits and returns it.
func (c *scanner) digits() string {
	start := c.i
	for digit(c.at(0)) {
		c.i++
	}
	return c.s[start:c.i]
}

// fraction takes `n/d` and its value if it stands here.
func (c *scanner) fraction() (v float64, ok bool) {
	start := c.i
	num := c.digits()
	if num == "" || c.at(0) != '/' || !digit(c.at(1)) {
		c.i = start
		return 0, false
	}
	c.i++
	den := c.digits()
	return atof(num) / atof(den), true
}

// atof reads digits with point and exponent; huge ones become +Inf.
func atof(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

// unit takes the letters, or the one mark, that stand glued here.
func (c *scanner) unit() string {
	start := c.i
	switch r, size := utf8.DecodeRuneInString(c.s[c.i:]); {
	case r == '"' || r == '\'' || r == '%':
		c.i++
	case r == '°' || r == 'º' || r == '″' || r == '′' || r == '”' || r == '’':
		c.i += size
	default:
		c.word()
	}
	return c.s[start:c.i]
}

// word takes letters, and digits behind them.
func (c *scanner) word() {
	start := c.i
	for c.i < len(c.s) {
		r, size := utf8.DecodeRuneInString(c.s[c.i:])
		if !(unicode.IsLetter(r) || r == '_' || c.i > start && unicode.IsDigit(r)) {
			return
		}
		c.i += size
	}
}

// literal is the whole grammar of numbers:
//
//	feet     = INT "'" [ ["-"] ( INT | INT "-" FRAC | FRAC | DECIMAL ) '"' ]
//	fraction = [ INT "-" ] FRAC UNIT
//	number   = DECIMAL [ UNIT | "%" | "ga" ]
func (c *scanner) literal() (Literal, *LiteralError) {
	if lit, ok := c.fractional(); ok {
		return lit, nil
	}
	whole := c.digits()
	text, plain := whole, true
	if c.at(0) == '.' && digit(c.at(1)) {
		c.i++
		text, plain = whole+"."+c.digits(), false
	}
	if e := c.at(0); e == 'e' || e == 'E' {
		signed := c.at(1) == '-' || c.at(1) == '+'
		if digit(c.at(1)) || signed && digit(c.at(2)) {
			start := c.i
			c.i += 2
			c.digits()
			text, plain = text+c.s[start:c.i], false
		}
	}
	value := atof(text)
	tail := c.i
	name := c.unit()
	if name == "'" {
		return c.feet(value)
	}
	if name == "" {
		if e := c.gluedMinus(); e != nil {
			return Literal{}, e
		}
		return Literal{Kind: Plain, Value: value, Whole: plain}, nil
	}
	return c.withUnit(value, c.s[:tail], name, plain)
}

// fractional takes `1/2in` and `1-1/2in`; it takes nothing where no unit of
// length follows, since `1/2` divides.
func (c *scanner) fractional() (Literal, bool) {
	start := c.i
	whole, hasWhole := 0.0, false
	v, ok := c.fraction()
	if !ok {
		d := c.digits()
		if d != "" && c.at(0) == '-' {
			c.i++
			whole, hasWhole = atof(d), true
			v, ok = c.fraction()
		}
	}
	if ok {
		name := c.unit()
		if u, known := LookupUnit(name); known && !math.IsInf(v, 0) && !math.IsNaN(v) && !(hasWhole && v >= 1) {
			return Literal{Kind: Unit, Value: (whole + v) * u.Scale, Dim: u.Dim}, true
		}
	}
	c.i = start
	return Literal{}, false
}

// feet reads what follows the foot mark: inches, or nothing.
func (c *scanner) feet(feet float64) (Literal, *LiteralError) {
	mark := c.i
	dash := c.at(0) == '-'
	if dash {
		c.i++
	}
	if !digit(c.at(0)) {
		c.i = mark
		return Literal{Kind: Unit, Value: feet * FootMM, Dim: Length}, nil
	}
	inches, ok := c.inches()
	if ok && c.at(0) == '"' {
		c.i++
		lit := Literal{Kind: Unit, Value: float64(feet*FootMM) + float64(inches*InchMM), Dim: Length}
		if inches >= 12 || math.IsNaN(inches) {
			return lit, &LiteralError{Reason: BadNumber, Message: "more than 11 inches stand behind the feet", Hint: "inches run from 0 to just under 12, with a fraction below 1"}
		}
		return lit, nil
	}
	if u := c.unit(); u != "" && u != "in" {
		return Literal{}, &LiteralError{Reason: BadNumber, Message: "the inches behind the feet have another unit", Hint: `close them with the inch mark: 2'6"`}
	}
	return Literal{}, &LiteralError{
		Reason: BadNumber, Message: "the inches behind the feet lack their mark",
		Hint: `write 2'6" for feet and inches; space out to subtract`, Fix: strings.TrimSuffix(c.s[:c.i], "in") + `"`,
	}
}

// inches takes `6`, `6.5`, `1/2` or `6-1/2`.
func (c *scanner) inches() (float64, bool) {
	if v, ok := c.fraction(); ok {
		return v, true
	}
	text := c.digits()
	if c.at(0) == '.' && digit(c.at(1)) {
		c.i++
		return atof(text + "." + c.digits()), true
	}
	v := atof(text)
	if c.at(0) == '-' && digit(c.at(1)) {
		c.i++
		f, ok := c.fraction()
		if !ok {
			c.digits()
			return 0, false
		}
		if f >= 1 || math.IsNaN(f) {
			return math.NaN(), true
		}
		return v + f, true
	}
	return v, true
}

// gluedMinus finds `5-3`, and `1-1/2` without a unit, and passes over it.
func (c *scanner) gluedMinus() *LiteralError {
	if c.at(0) != '-' || !digit(c.at(1)) {
		return nil
	}
	left := c.s[:c.i]
	c.i++
	start := c.i
	frac, isFrac := c.fraction()
	if !isFrac {
		c.digits()
		if c.at(0) == '.' && digit(c.at(1)) {
			c.i++
			c.digits()
		}
	}
	right := c.s[start:c.i]
	unit := c.unit()
	e := &LiteralError{Reason: GluedMinus, Message: "a `-` is glued between digits and makes no number", Hint: "space out to subtract", Fix: left + " - " + right + unit}
	if isFrac && unit == "" {
		e.Hint = fmt.Sprintf("glue the unit for a fraction (%s-%sin), or space out to subtract", left, right)
		e.Fix = ""
		if frac >= 1 || math.IsNaN(frac) {
			e.Hint = "space out to subtract"
		}
	}
	return e
}

// withUnit finishes a decimal number that name is glued to.
func (c *scanner) withUnit(value float64, number, name string, whole bool) (Literal, *LiteralError) {
	switch name {
	case "%":
		return Literal{Kind: Plain, Value: percent(number), Whole: false}, nil
	case "ga":
		if !whole || value > 60 {
			return Literal{}, &LiteralError{Reason: BadNumber, Message: "a gauge is a whole number up to 60", Hint: "write 18ga"}
		}
		return Literal{Kind: Gauge, Value: value}, nil
	}
	if u, ok := LookupUnit(name); ok {
		return Literal{Kind: Unit, Value: value * u.Scale, Dim: u.Dim}, nil
	}
	if len(name) > 40 {
		name = name[:40] + "…"
	}
	e := &LiteralError{Reason: UnknownUnit, Message: fmt.Sprintf("`%s` is no unit", name), Hint: "units are " + unitList()}
	switch s, ok := SuggestUnit(name); {
	case strings.HasSuffix(name, "2") || strings.HasSuffix(name, "3"):
		e.Hint = "areas and volumes come from products: 20mm * 30mm"
	case ok:
		e.Hint, e.Fix = fmt.Sprintf("write %s%s", number, s), number+s
	}
	return Literal{}, e
}

// percent reads number and moves its point, so that 7% is the nearest to 0.07.
func percent(number string) float64 {
	if strings.ContainsAny(number, "eE") {
		return atof(number) / 100
	}
	return atof(number + "e-2")
}
