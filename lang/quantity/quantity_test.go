package quantity

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestLiterals: the language's page, and inch values by 1 in = 25.4 mm exactly.
func TestLiterals(t *testing.T) {
	for s, want := range map[string]Literal{
		"320mm":     {Kind: Unit, Value: 320, Dim: Length},
		"1/2in":     {Kind: Unit, Value: 12.7, Dim: Length},
		"1-1/2in":   {Kind: Unit, Value: 38.1, Dim: Length},
		`1-1/2"`:    {Kind: Unit, Value: 38.1, Dim: Length},
		`3/2"`:      {Kind: Unit, Value: 38.1, Dim: Length},
		`2'6"`:      {Kind: Unit, Value: 762, Dim: Length},
		`2'-6"`:     {Kind: Unit, Value: 762, Dim: Length},
		`2'6-1/2"`:  {Kind: Unit, Value: 774.7, Dim: Length},
		`2'-6-1/2"`: {Kind: Unit, Value: 774.7, Dim: Length},
		`2'1/2"`:    {Kind: Unit, Value: 622.3, Dim: Length},
		`2'6.5"`:    {Kind: Unit, Value: 774.7, Dim: Length},
		`2'`:        {Kind: Unit, Value: 609.6, Dim: Length},
		`2ft`:       {Kind: Unit, Value: 609.6, Dim: Length},
		`12"`:       {Kind: Unit, Value: 304.8, Dim: Length},
		"2.5cm":     {Kind: Unit, Value: 25, Dim: Length},
		"1e-2m":     {Kind: Unit, Value: 10, Dim: Length},
		"180deg":    {Kind: Unit, Value: math.Pi, Dim: Angle},
		"0.5rad":    {Kind: Unit, Value: 0.5, Dim: Angle},
		"110kg":     {Kind: Unit, Value: 110, Dim: Mass},
		"1lb":       {Kind: Unit, Value: 0.45359237, Dim: Mass},
		"2kN":       {Kind: Unit, Value: 2000, Dim: Force},
		"235MPa":    {Kind: Unit, Value: 235, Dim: Stress},
		"3min":      {Kind: Unit, Value: 180, Dim: Time},
		"12.50EUR":  {Kind: Unit, Value: 12.5, Dim: Money},
		"40%":       {Kind: Plain, Value: 0.4},
		"7%":        {Kind: Plain, Value: 0.07},
		"1e-6":      {Kind: Plain, Value: 1e-6},
		"1e6":       {Kind: Plain, Value: 1e6},
		"2":         {Kind: Plain, Value: 2, Whole: true},
		"2.0":       {Kind: Plain, Value: 2},
		"18ga":      {Kind: Gauge, Value: 18},
	} {
		want.Spelling = s
		got, err := ParseLiteral(s)
		if err != nil || math.Abs(got.Value-want.Value) > 1e-12*math.Abs(want.Value) {
			t.Errorf("%s: %+v, %v", s, got, err)
		}
		got.Value = want.Value
		if got != want {
			t.Errorf("%s: got %+v, want %+v", s, got, want)
		}
	}
}

// TestScan: how much of a text the longest literal takes.
func TestScan(t *testing.T) {
	for s, want := range map[string]string{
		"1/2": "1", "1 / 2in": "1", "3/1/2in": "3", "0..2": "0", "0deg..15deg": "0deg", "5mm-3mm": "5mm", "2'-x": "2'",
		"1/2in*3": "1/2in", "12)": "12", "1/0in": "1", `2'6"x`: `2'6"`, "4.x": "4", "3-x": "3",
	} {
		if lit, n, err := ScanLiteral(s); err != nil || s[:n] != want || lit.Spelling != want {
			t.Errorf("%s: took %q, %v; want %q", s, s[:n], err, want)
		}
	}
}

func TestLiteralErrors(t *testing.T) {
	for s, want := range map[string]LiteralError{
		"5-3":      {Reason: GluedMinus, Fix: "5 - 3"},
		"10-2.5mm": {Reason: GluedMinus, Fix: "10 - 2.5mm"},
		"1-1/2":    {Reason: GluedMinus},
		"12foo":    {Reason: UnknownUnit},
		"12inch":   {Reason: UnknownUnit, Fix: "12in"},
		"12MM":     {Reason: UnknownUnit, Fix: "12mm"},
		"12°":      {Reason: UnknownUnit, Fix: "12deg"},
		"12”":      {Reason: UnknownUnit, Fix: `12"`},
		"12mm2":    {Reason: UnknownUnit},
		"2'6":      {Reason: BadNumber, Fix: `2'6"`},
		"2'6in":    {Reason: BadNumber, Fix: `2'6"`},
		"2'12\"":   {Reason: BadNumber},
		"18.5ga":   {Reason: BadNumber},
		"1e999mm":  {Reason: OutOfRange},
		"":         {Reason: BadNumber}, "x": {Reason: BadNumber}, "3 mm": {Reason: BadNumber},
		strings.Repeat("9", 200): {Reason: BadNumber},
	} {
		_, err := ParseLiteral(s)
		var e *LiteralError
		if !errors.As(err, &e) || e.Reason != want.Reason || e.Fix != want.Fix || e.Message == "" {
			t.Errorf("%s: got %+v, want reason %d fix %q", s, err, want.Reason, want.Fix)
		}
	}
}

func TestDim(t *testing.T) {
	for want, d := range map[string]Dim{
		"number": None, "area": Length.Mul(Length), "volume": Length.Pow(3), "stress": Force.Div(Area), "length": Area.Div(Length),
		"length²/time": Area.Div(Time), "1/length": None.Div(Length), "mass/length³": Mass.Div(Volume), "force·length": Force.Mul(Length),
	} {
		if d.String() != want {
			t.Errorf("got %s, want %s", d, want)
		}
	}
	if r, ok := Area.Root(2); !ok || r != Length {
		t.Error("the root of an area is no length")
	}
	if _, ok := Length.Root(2); ok {
		t.Error("a length has a root")
	}
	if d := Length.Pow(1 << 30); d.Length != 127 {
		t.Errorf("powers run over: %d", d.Length)
	}
	for _, n := range TypeNames() {
		if typ, ok := TypeByName(n); !ok || typ.String() != n {
			t.Errorf("type %s", n)
		}
	}
	if typ, _ := TypeByName("area"); typ.Dim() != Area || !typ.Numeric() || FlagType.Numeric() {
		t.Error("area")
	}
	if _, ok := TypeByName("side"); ok {
		t.Error("side is no quantity")
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		v    float64
		dim  Dim
		sys  System
		want string
	}{
		{320, Length, Millimetres, "320mm"}, {0.1 + 0.2, Length, Millimetres, "0.3mm"}, {-1e-9, Length, Millimetres, "0mm"},
		{38.1, Length, Inches, "1-1/2in"}, {-0.396875, Length, Inches, "-1/64in"}, {304.8, Length, Inches, "12in"}, {1, Length, Inches, "0.03937008in"},
		{84 * math.Pi / 180, Angle, Millimetres, "84deg"}, {0.45359237, Mass, Inches, "1lb"}, {1200, Area, Millimetres, "1200mm²"},
		{InchMM * InchMM, Area, Inches, "1in²"}, {12.5, Money, Millimetres, "12.50"}, {1.0 / 3, None, Millimetres, "0.333333333"},
		{math.NaN(), Length, Millimetres, "no number"}, {1e300, Length, Inches, "3.9370078740157483e+298in"},
	} {
		if got := Format(c.v, c.dim, c.sys); got != c.want {
			t.Errorf("%v %v: got %s, want %s", c.v, c.dim, got, c.want)
		}
	}
}

// TestFormatReads: what Format writes with a unit reads back to the value.
func TestFormatReads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sys := System(rapid.IntRange(0, 1).Draw(t, "system"))
		v := rapid.OneOf(rapid.Float64Range(0, 1e5), rapid.Map(rapid.IntRange(0, 1e6), func(n int) float64 { return float64(n) * InchMM / 64 })).Draw(t, "value")
		dim := rapid.SampledFrom([]Dim{Length, Angle, Mass, Force, Time, Stress}).Draw(t, "dim")
		s := Format(v, dim, sys)
		lit, err := ParseLiteral(s)
		if err != nil || lit.Dim != dim || math.Abs(lit.Value-v) > 0.51e-6 {
			t.Fatalf("%v became %s, which reads as %v, %v", v, s, lit.Value, err)
		}
	})
}

func FuzzLiteral(f *testing.F) {
	for _, s := range []string{"320mm", "1-1/2in", `2'6-1/2"`, "40%", "18ga", "1e-6", "5-3", "2'-6", "1/0in", "7°"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if s == "" || !digit(s[0]) {
			ParseLiteral(s)
			return
		}
		lit, n, err := ScanLiteral(s)
		if n < 1 || n > len(s) || math.IsNaN(lit.Value) || math.IsInf(lit.Value, 0) {
			t.Fatalf("%q: %d bytes, %v", s, n, lit.Value)
		}
		if err == nil {
			if again, err := ParseLiteral(s[:n]); err != nil || again != lit {
				t.Fatalf("%q: scans as %+v, parses as %+v, %v", s[:n], lit, again, err)
			}
		}
	})
}

func ExampleParseLiteral() {
	lit, _ := ParseLiteral(`2'6-1/2"`)
	fmt.Println(lit.Value, lit.Dim, Format(lit.Value, lit.Dim, Inches))
	_, err := ParseLiteral("5-3")
	fmt.Println(err)
	// Output:
	// 774.7 length 30-1/2in
	// a `-` is glued between digits and makes no number: space out to subtract
}

func BenchmarkParseLiteral(b *testing.B) {
	for b.Loop() {
		if _, err := ParseLiteral("1-1/2in"); err != nil {
			b.Fatal(err)
		}
	}
}
