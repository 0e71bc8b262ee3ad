package measure

import (
	"errors"
	"fmt"
	"testing"
)

type gap struct{ wide float64 }

func (g gap) Error() string { return g.Told().String() }
func (g gap) Told() Text    { return Say("a gap of %.4g", Length(g.wide)) }

// Wanted texts are from the definitions of inch and pound, reckoned by hand.
func TestTexts(t *testing.T) {
	for _, c := range []struct {
		text       Text
		mm, inches string
	}{
		{Say("%.2f", Length(3.5)), "3.50 mm", "0.1378 in"},
		{Say("%.1f", Length(3.5)), "3.5 mm", "0.138 in"},
		{Say("%.0f", Length(1250)), "1250 mm", "49.21 in"},
		{Say("%.2f", Length(12.7)), "12.70 mm", "1/2 in"},
		{Say("%#.2f", Length(38.1)), "38.10", "1-1/2"},
		{Say("%.3g", Length(2500)), "2500 mm", "98.43 in"},
		{Say("%.3g", Length(0.0999)), "0.0999 mm", "0.0039 in"},
		{Say("%.3g", Length(9.996)), "10 mm", "0.3935 in"},
		{Say("%.4g", Length(-25.4)), "-25.4 mm", "-1 in"},
		{Say("%.4g", Length(0)), "0 mm", "0 in"},
		{Say("%v", Length(1.51892)), "1.519 mm", "0.0598 in"},
		{Say("%.3g", Area(645.16)), "645 mm²", "1 in²"},
		{Say("%.4g", Area(100)), "100 mm²", "0.155 in²"},
		{Say("%.2f", Mass(1)), "1.00 kg", "2.2046 lb"},
		{Say("%.3g", Force(1300)), "1300 N", "292.3 lbf"},
		{Say("%.3g", Stiffness(1000)), "1000 N/mm", "5710 lbf/in"},
		{Say("%.0f", Volume(16387.064)), "16387 mm³", "1 in³"},
		{Say("%.1f", Spot{25.4, 0, 50.8}), "(25.4, 0.0, 50.8) mm", "(1, 0, 2) in"},
		{Say("at %.1f", Place{25.4, -12.65}), "at (25.4, -12.7)", "at (1, -0.498)"},
		{Say("%s and %d", Say("%v", Length(50.8)), 3), "50.8 mm and 3", "2 in and 3"},
		{Say("%v; %s", gap{25.4}, errors.New("25.4 mm")), "a gap of 25.4 mm; 25.4 mm", "a gap of 1 in; 25.4 mm"},
		{Say("%.3g", Nominal(4.8)), "4.8 mm", "3/16 in"},
		{Say("%.3g", Nominal(6.4)), "6.4 mm", "1/4 in"},
		{Say("%.3g", Nominal(6)), "6 mm", "0.2362 in"},
		{Say("as in %s", Either{"40mm", "2in"}), "as in 40mm", "as in 2in"},
		{Of(gap{25.4}), "a gap of 25.4 mm", "a gap of 1 in"},
		{Of(errors.New("100 %d")), "100 %d", "100 %d"},
		{Text{}, "", ""},
	} {
		if mm, in := c.text.In(Millimetres), c.text.In(Inches); mm != c.mm || in != c.inches {
			t.Errorf("%q and %q, want %q and %q", mm, in, c.mm, c.inches)
		}
	}
}

// Sizes on paper go to the nearest division of a ruler of the reader's own system; holes
// and radii do not.
func TestPaper(t *testing.T) {
	for _, c := range []struct {
		system     System
		ruler      string
		mm         float64
		size, fine string
	}{
		{Millimetres, "", 175.438, "175.44", "175.44"},
		{Millimetres, "0.5mm", 175.438, "175.5", "175.44"},
		{Millimetres, "1mm", 175.438, "175", "175.44"},
		{Millimetres, "1/32in", 175.438, "175.44", "175.44"},
		{Inches, "", 175.438, "6.907", "6.907"},
		{Inches, "", 317.5, "12-1/2", "12-1/2"},
		{Inches, "1/32in", 175.438, "6-29/32", "6.907"}, // 6.907 × 32 = 221.02
		{Inches, "1/16in", 50.6, "2", "1.992"},
		{Inches, "0.1in", 175.438, "6.9", "6.907"},
		{Inches, "0.5mm", 175.438, "6.907", "6.907"},
	} {
		r, err := ParseRuler(c.ruler)
		if err != nil {
			t.Fatal(err)
		}
		p := Paper{c.system, r}
		if size, fine := p.Size(c.mm), p.Fine(c.mm); size != c.size || fine != c.fine {
			t.Errorf("%g mm by %q in %s: %s, %s; want %s, %s", c.mm, c.ruler, c.system, size, fine, c.size, c.fine)
		}
	}
	for _, c := range []struct {
		system System
		ruler  string
		mm     float64
		want   string
	}{
		{Millimetres, "", 421.107, "421.1"}, {Millimetres, "1mm", 421.107, "421"}, {Millimetres, "", 300, "300"},
		{Inches, "", 421.107, "16-19/32"}, // 16.579 × 32 = 530.5, the nearest whole of which is 531
		{Inches, "1/8in", 421.107, "16-5/8"}, {Inches, "", 457.2, "18"}, {Inches, "0.5mm", 421.107, "16-19/32"},
	} {
		r, err := ParseRuler(c.ruler)
		if err != nil {
			t.Fatal(err)
		}
		if got := (Paper{c.system, r}).Overall(c.mm); got != c.want {
			t.Errorf("%g mm off a tape by %q in %s: %s, want %s", c.mm, c.ruler, c.system, got, c.want)
		}
	}
	for _, bad := range []string{"1/3in", "1/128in", "0in", "0mm", "-1mm", "1/2mm", "1/32", "in", "NaNmm", "1e9mm", "1/0in", "1/-2in"} {
		if r, err := ParseRuler(bad); err == nil {
			t.Errorf("%s is a ruler: %v", bad, r)
		}
	}
}

// A sentence of whoever measures, read in either system.
func Example() {
	text := Say("the web is %.1f wide, at least %.3g is needed", Length(4.5), Length(6.35))
	fmt.Println(text.In(Millimetres))
	fmt.Println(text.In(Inches))
	// Output:
	// the web is 4.5 mm wide, at least 6.35 mm is needed
	// the web is 0.177 in wide, at least 1/4 in is needed
}
