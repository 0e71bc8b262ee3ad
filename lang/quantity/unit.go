package quantity

import (
	"math"
	"slices"
	"strings"

	"perch/parts/measure"
)

// UnitDef is one unit: a value v written in it is v·Scale in internal units.
type UnitDef struct {
	Name  string
	Dim   Dim
	Scale float64
}

// Scales by definition. The inch, pound and standard gravity are exact
// (international yard and pound agreement of 1959; ISO 80000).
const (
	InchMM      = measure.InchMM
	FootMM      = 304.8
	PoundKG     = measure.PoundKG
	GravityMPS2 = 9.80665
	PoundForceN = PoundKG * GravityMPS2
	psiMPa      = PoundForceN / (InchMM * InchMM)
)

var stress = Dim{Force: 1, Length: -2}

// units is the table of everything that may be glued to a number, the foot and
// inch marks, per cent and gauge apart.
var units = []UnitDef{
	{"mm", Length, 1},
	{"cm", Length, 10},
	{"m", Length, 1000},
	{"in", Length, InchMM},
	{"ft", Length, FootMM},
	{"deg", Angle, math.Pi / 180},
	{"rad", Angle, 1},
	{"kg", Mass, 1},
	{"g", Mass, 1e-3},
	{"lb", Mass, PoundKG},
	{"N", Force, 1},
	{"kN", Force, 1000},
	{"lbf", Force, PoundForceN},
	{"MPa", stress, 1},
	{"kPa", stress, 1e-3},
	{"psi", stress, psiMPa},
	{"s", Time, 1},
	{"min", Time, 60},
	{"h", Time, 3600},
	// Money is the shop's one currency, by whichever ISO 4217 code it is written.
	{"AUD", Money, 1}, {"BRL", Money, 1}, {"CAD", Money, 1}, {"CHF", Money, 1},
	{"CNY", Money, 1}, {"CZK", Money, 1}, {"DKK", Money, 1}, {"EUR", Money, 1},
	{"GBP", Money, 1}, {"HUF", Money, 1}, {"INR", Money, 1}, {"JPY", Money, 1},
	{"KRW", Money, 1}, {"MXN", Money, 1}, {"NOK", Money, 1}, {"NZD", Money, 1},
	{"PLN", Money, 1}, {"SEK", Money, 1}, {"TRY", Money, 1}, {"USD", Money, 1},
	{"ZAR", Money, 1},
}

// Units returns the table of units in its fixed order.
func Units() []UnitDef { return slices.Clone(units) }

// LookupUnit finds a unit by its exact name; `"` and `'` are inch and foot.
func LookupUnit(name string) (UnitDef, bool) {
	switch name {
	case `"`:
		name = "in"
	case `'`:
		name = "ft"
	}
	for _, u := range units {
		if u.Name == name {
			return u, true
		}
	}
	return UnitDef{}, false
}

// otherNames are ways people write units that perch does not read.
var otherNames = map[string]string{
	"milli": "mm", "millis": "mm", "millimeter": "mm", "millimetre": "mm", "millimeters": "mm", "millimetres": "mm",
	"centimeter": "cm", "centimetre": "cm", "meter": "m", "metre": "m", "meters": "m", "metres": "m",
	"inch": "in", "inches": "in", "ins": "in", "foot": "ft", "feet": "ft",
	"degree": "deg", "degrees": "deg", "°": "deg", "º": "deg", "radian": "rad", "radians": "rad",
	"kilo": "kg", "kilos": "kg", "kgs": "kg", "gram": "g", "grams": "g", "lbs": "lb", "pound": "lb", "pounds": "lb",
	"newton": "N", "newtons": "N", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
	"mins": "min", "minute": "min", "minutes": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
	"gauge": "ga", "gage": "ga", "percent": "%", "pct": "%",
	"″": `"`, "”": `"`, "“": `"`, "′": "'", "’": "'", "‘": "'",
}

// SuggestUnit proposes a unit for a word that is none: another spelling, other
// capitals, or one letter wrong. ok is false where nothing is near.
func SuggestUnit(word string) (unit string, ok bool) {
	if u, ok := otherNames[strings.ToLower(word)]; ok {
		return u, true
	}
	for _, u := range units {
		if strings.EqualFold(u.Name, word) {
			return u.Name, true
		}
	}
	if strings.EqualFold(word, "ga") {
		return "ga", true
	}
	if n := len(word); n < 3 || n > 8 {
		return "", false
	}
	for _, u := range units {
		if len(u.Name) >= 3 && u.Dim != Money && oneApart(word, u.Name) {
			return u.Name, true
		}
	}
	return "", false
}

// oneApart reports whether one letter added, dropped or changed turns a into b.
func oneApart(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) == len(b) {
		return i == len(a) || a[i+1:] == b[i+1:]
	}
	return a[i:] == b[i+1:]
}

// unitList names the units for a message.
func unitList() string {
	return "mm cm m in ft deg rad kg g lb N kN lbf MPa kPa psi s min h, % and ga"
}
