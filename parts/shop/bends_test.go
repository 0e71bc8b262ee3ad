package shop

import (
	"fmt"
	"math"
	"testing"

	"perch/parts/bend"
)

func close(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Max(math.Abs(got), math.Abs(want))
}

func TestOrderOfK(t *testing.T) {
	s := Default()
	s.Measured = []Measured{
		{Material: "stainless", Thickness: 1.5, Radius: 1.5, Angle: 90 * bend.Degree, K: 0.44},
		{Thickness: 1.5, Radius: 1.45, Angle: 90 * bend.Degree, K: 0.41},
		{Thickness: 1.5, Radius: 1.5, Angle: 30 * bend.Degree, K: 0.39},
		{Thickness: 1.5, Radius: 1.5, Angle: 90 * bend.Degree, K: 0.38},
	}
	mild := Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5}
	with := func(change func(*Stock)) Stock { s := mild; change(&s); return s }
	for _, c := range []struct {
		what   string
		stock  Stock
		radius float64
		angle  float64
		want   float64
		warns  int
	}{
		{"stated by the stock", with(func(s *Stock) { s.K = 0.3 }), 1.5, 90, 0.3, 0},
		{"measured, nearest radius then angle", mild, 1.5, 84, 0.38, 0},
		{"measured, other angle", mild, 1.5, 40, 0.39, 0},
		{"measured for the material", with(func(s *Stock) { s.Material = "stainless" }), 1.5, 90, 0.44, 0},
		{"radius too far: DIN 6935", mild, 3, 90, (0.65 + 0.5*math.Log10(2)) / 2, 0},
		{"the stock's method", with(func(s *Stock) { s.Method = "handbook" }), 3, 90, bend.KHandbook(bend.Medium, 1.5, 3), 0},
		{"no such method", with(func(s *Stock) { s.Method = "guess" }), 3, 90, bend.KDIN6935(1.5, 3), 1},
		{"stated by nobody", with(func(s *Stock) { s.Method = "stated" }), 3, 90, bend.KDIN6935(1.5, 3), 1},
	} {
		b, warnings := s.Bend(c.stock, c.radius, c.angle*bend.Degree)
		if !close(b.K, c.want, 1e-12) || len(warnings) != c.warns {
			t.Errorf("%s: K %g with %d warnings, want %g with %d", c.what, b.K, len(warnings), c.want, c.warns)
		}
	}
	s.Method, s.K = bend.Stated, 0.42
	if b, _ := s.Bend(mild, 3, 1); b.K != 0.42 {
		t.Errorf("the shop's stated K: got %g", b.K)
	}
}

func TestClosedHem(t *testing.T) {
	hem := bend.Hem(1.2)
	same, warnings := Default().Bend(Stock{Material: "mild_steel", Thickness: 1.2}, 0, math.Pi)
	if same != hem || len(warnings) != 0 {
		t.Errorf("the shop's hem is %+v with %v, want %+v", same, warnings, hem)
	}
}

func Example() {
	s := Default()
	shell := Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5}
	b, _ := s.Bend(shell, 1.5, 84*bend.Degree)
	size, _ := RivetFor(s.RivetSizes(Pulled), 1.5, 1.5)
	rivet, _ := s.Rivet(size)
	fmt.Printf("K %.3f, allowance %.3f mm, rivet %g mm in a hole of %g mm\n", b.K, b.Allowance(), rivet.Diameter, rivet.Hole)
	// Output: K 0.325, allowance 2.914 mm, rivet 4.8 mm in a hole of 4.9 mm
}
