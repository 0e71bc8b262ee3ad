package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Further dimensions with a name.
var (
	Volume = Dim{Length: 3}
	Stress = stress
	Moment = Dim{Force: 1, Length: 1}
)

var dimNames = []struct {
	dim  Dim
	name string
}{
	{None, "number"}, {Length, "length"}, {Area, "area"}, {Volume, "volume"}, {Angle, "angle"}, {Mass, "mass"},
	{Force, "force"}, {Time, "time"}, {Money, "money"}, {Stress, "stress"},
}

const maxPower = math.MaxInt8

func (d Dim) powers() [6]int8 { return [6]int8{d.Length, d.Angle, d.Mass, d.Force, d.Time, d.Money} }

// combine is d + k·e, power by power, each kept within ±127.
func (d Dim) combine(e Dim, k int) Dim {
	add := func(a, b int8) int8 { return int8(max(-maxPower, min(maxPower, int(a)+k*int(b)))) }
	return Dim{
		add(d.Length, e.Length), add(d.Angle, e.Angle), add(d.Mass, e.Mass),
		add(d.Force, e.Force), add(d.Time, e.Time), add(d.Money, e.Money),
	}
}

// Mul is the dimension of a product. Powers stop at ±127.
func (d Dim) Mul(e Dim) Dim { return d.combine(e, 1) }

// Div is the dimension of a quotient.
func (d Dim) Div(e Dim) Dim { return d.combine(e, -1) }

// Pow is the dimension of the n-th power.
func (d Dim) Pow(n int) Dim { return None.combine(d, max(-maxPower, min(maxPower, n))) }

// Root is the dimension of the n-th root; ok is false where a power does not
// divide by n.
func (d Dim) Root(n int) (root Dim, ok bool) {
	if n <= 0 {
		return None, false
	}
	for _, p := range d.powers() {
		if int(p)%n != 0 {
			return None, false
		}
	}
	k := int8(min(n, maxPower))
	return Dim{d.Length / k, d.Angle / k, d.Mass / k, d.Force / k, d.Time / k, d.Money / k}, true
}

// IsNone reports whether d is a plain number's.
func (d Dim) IsNone() bool { return d == None }

// String names d as messages do: "length", "area", else as "mass·length²/time".
func (d Dim) String() string {
	for _, n := range dimNames {
		if n.dim == d {
			return n.name
		}
	}
	return d.join([6]string{"length", "angle", "mass", "force", "time", "money"})
}

// Units writes d in internal units: "mm", "mm²", "N/mm²"; "" for a number.
func (d Dim) Units() string {
	if d == None {
		return ""
	}
	return d.join([6]string{"mm", "rad", "kg", "N", "s", "money"})
}

func (d Dim) join(base [6]string) string {
	var over, under []string
	order := [6]int{2, 3, 0, 1, 4, 5} // mass and force lead, as they are read aloud
	p := d.powers()
	for _, i := range order {
		switch {
		case p[i] > 0:
			over = append(over, base[i]+superscript(int(p[i])))
		case p[i] < 0:
			under = append(under, base[i]+superscript(-int(p[i])))
		}
	}
	if len(over) == 0 {
		over = []string{"1"}
	}
	s := strings.Join(over, "·")
	if len(under) > 0 {
		s += "/" + strings.Join(under, "/")
	}
	return s
}

func superscript(n int) string {
	if n == 1 {
		return ""
	}
	var b strings.Builder
	for _, c := range strconv.Itoa(n) {
		b.WriteRune([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹")[c-'0'])
	}
	return b.String()
}

// Type is a type that a declaration may name and a number, text or flag may have.
type Type uint8

const (
	NoType Type = iota
	LengthType
	AngleType
	CountType // a whole number
	NumberType
	AreaType
	MassType
	ForceType
	MoneyType
	TimeType
	TextType
	FlagType // true or false
	GaugeType
)

var types = []struct {
	name string
	typ  Type
	dim  Dim
}{
	{"length", LengthType, Length}, {"angle", AngleType, Angle}, {"count", CountType, None}, {"number", NumberType, None},
	{"area", AreaType, Area}, {"mass", MassType, Mass}, {"force", ForceType, Force}, {"money", MoneyType, Money},
	{"time", TimeType, Time}, {"text", TextType, None}, {"flag", FlagType, None}, {"gauge", GaugeType, None},
}

// TypeByName finds a type by its word in the language; NoType and false for a
// word that is none of these (it may still be body, side or a panel's name).
func TypeByName(name string) (Type, bool) {
	for _, t := range types {
		if t.name == name {
			return t.typ, true
		}
	}
	return NoType, false
}

// TypeNames lists the words of all types, in the order the language names them.
func TypeNames() []string {
	names := make([]string, len(types))
	for i, t := range types {
		names[i] = t.name
	}
	return names
}

// String is t's word in the language; "" for NoType.
func (t Type) String() string {
	for _, x := range types {
		if x.typ == t {
			return x.name
		}
	}
	return ""
}

// Dim is the dimension of a value of type t; None for text, flag and gauge too.
func (t Type) Dim() Dim {
	for _, x := range types {
		if x.typ == t {
			return x.dim
		}
	}
	return None
}

// Numeric reports whether values of t are numbers to reckon with.
func (t Type) Numeric() bool { return t >= LengthType && t <= TimeType }
