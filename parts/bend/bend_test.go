package bend

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func close(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Max(math.Abs(got), math.Abs(want))
}

func readTable(t *testing.T, name string) (header []string, rows [][]string) {
	t.Helper()
	f, err := os.Open("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[0], all[1:]
}

// The table's source stands in its header: formulas of the trade, K by DIN 6935 as
// widely reproduced.
func TestBendTable(t *testing.T) {
	_, rows := readTable(t, "bend-allowance.csv")
	if len(rows) < 60 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, row := range rows {
		x := make([]float64, len(row))
		for i := range row {
			var err error
			if x[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		b := Bend{Angle: x[2] * Degree, Thickness: x[0], Radius: x[1], K: KDIN6935(x[0], x[1])}
		if b.ClosedHem() {
			b.K = 0.5
		}
		for i, got := range []float64{b.K, b.Allowance(), b.SetBack(true), b.SetBack(false), b.Deduction()} {
			if !close(got, x[i+3], 1e-9) {
				t.Errorf("t %g r %g A %g column %d: got %.12g, want %.12g", x[0], x[1], x[2], i+3, got, x[i+3])
			}
		}
	}
}

// A square stool's bends, worked by hand from planes: t = r = 1.5, K = 0.325.
func TestStoolBends(t *testing.T) {
	for _, c := range []struct{ degrees, setBack, allowance, deduction float64 }{
		{89.373962418, 2.967398533, 3.100241446, 2.834555621},
		{84, 2.701212133, 2.913827186, 2.488597080},
	} {
		b, err := NewBend(c.degrees*Degree, 1.5, 1.5, 0.325)
		if err != nil {
			t.Fatal(err)
		}
		for i, pair := range [][2]float64{{b.SetBack(true), c.setBack}, {b.Allowance(), c.allowance}, {b.Deduction(), c.deduction}} {
			if math.Abs(pair[0]-pair[1]) > 1e-8 {
				t.Errorf("%g° value %d: got %.10g, want %.10g", c.degrees, i, pair[0], pair[1])
			}
		}
	}
}

func TestSetBackAroundLimit(t *testing.T) {
	at := Bend{Angle: 150 * Degree, Thickness: 1, Radius: 2}
	if got, want := at.SetBack(true), 3*(2+math.Sqrt(3)); !close(got, want, 1e-12) {
		t.Errorf("at 150°: got %g, want 3·tan 75° = %g", got, want)
	}
	above := Bend{Angle: 150.001 * Degree, Thickness: 1, Radius: 2}
	if above.SetBack(true) != 3 || above.SetBack(false) != 3 {
		t.Errorf("above 150°: got %g and %g, want r + t = 3", above.SetBack(true), above.SetBack(false))
	}
}

// 0.4292·t is 2 − π/2 to the printed digit; derived.
func TestClosedHem(t *testing.T) {
	hem := Hem(1.2)
	if got := hem.Deduction() / 1.2; math.Abs(got-0.4292) > 5e-5 || !close(got, 2-math.Pi/2, 1e-12) {
		t.Errorf("deduction of a closed hem: got %g t", got)
	}
	if !hem.ClosedHem() || (Bend{Angle: math.Pi, Thickness: 1.2, Radius: 0.1}).ClosedHem() || (Bend{Angle: 3, Thickness: 1.2}).ClosedHem() {
		t.Error("a closed hem is not 180° at radius 0")
	}
}

// Derived: the mold line's foot of a square corner leaning 6° both ways at t = r = 1.5.
func TestLevelCutDeviation(t *testing.T) {
	b := Bend{Angle: 89.373962418 * Degree, Thickness: 1.5, Radius: 1.5, K: 0.325}
	want := 3 * math.Sin(6*Degree) * (1/math.Cos(b.Angle/2) - 1)
	if got := b.LevelCutDeviation(6 * Degree); !close(got, want, 1e-12) || !(got > 0.12 && got < 0.13) {
		t.Errorf("got %g, want %g", got, want)
	}
	if got := Hem(1).LevelCutDeviation(0.1); !math.IsInf(got, 1) {
		t.Errorf("a hem's is %g", got)
	}
}

func TestNewBendRefuses(t *testing.T) {
	nan := math.NaN()
	for _, x := range [][4]float64{
		{nan, 1, 1, 0.3}, {1, nan, 1, 0.3}, {1, 1, nan, 0.3}, {1, 1, 1, nan},
		{-0.1, 1, 1, 0.3}, {3.2, 1, 1, 0.3}, {1, 0, 1, 0.3}, {1, math.Inf(1), 1, 0.3},
		{1, 1, -1, 0.3}, {1, 1, 1e9, 0.3}, {1, 1, 1, -0.1}, {1, 1, 1, 1.1},
	} {
		if _, err := NewBend(x[0], x[1], x[2], x[3]); err == nil {
			t.Errorf("%v was taken", x)
		}
	}
}

// Machinery's Handbook, 31st ed., p. 1421: soft steel 1/8 in thick.
func TestHandbookExample(t *testing.T) {
	u := HandbookArc(Medium, 180*Degree, 0.125, 0.375)
	v := HandbookArc(Medium, 60*Degree, 0.125, 0.625)
	if math.Abs(u-1.338) > 6e-4 || math.Abs(v-0.707) > 6e-4 {
		t.Errorf("arcs %g and %g, want 1.338 and 0.707", u, v)
	}
	// The blank of 5.545 leaves 3.5 of straight metal, derived by difference.
	if got := 3.5 + u + v; math.Abs(got-5.545) > 6e-4 {
		t.Errorf("blank %g, want 5.545", got)
	}
	// at r = 0 the arc of a right angle is the metals' constants, as the handbook has them
	for g, want := range map[Group]float64{Soft: 0.55, Medium: 0.64, Hard: 0.71} {
		if got := HandbookArc(g, 90*Degree, 1, 0); got != want {
			t.Errorf("%s: %v, want %v", g, got, want)
		}
	}
	for _, g := range Groups {
		b := Bend{Angle: 60 * Degree, Thickness: 1.5, Radius: 2, K: KHandbook(g, 1.5, 2)}
		if want := HandbookArc(g, b.Angle, 1.5, 2); !close(b.Allowance(), want, 1e-12) {
			t.Errorf("%s: allowance %g by K, %g by the handbook", g, b.Allowance(), want)
		}
	}
}

func TestLowRadiusWarning(t *testing.T) {
	if w := (Bend{Angle: 1, Thickness: 2, Radius: 0.8}).Warnings(); len(w) != 0 {
		t.Errorf("r/t = 0.4 warned: %v", w)
	}
	w := Bend{Angle: 1, Thickness: 2, Radius: 0.79}.Warnings()
	if len(w) != 1 || w[0].Limit != 0.4 || !close(w[0].Got, 0.395, 1e-12) {
		t.Errorf("r/t = 0.395: %+v", w)
	}
}

func TestTestBendErrors(t *testing.T) {
	strip := TestBend{Thickness: 1.2, Radius: 1.2, Angle: 90 * Degree, LegA: 50, LegB: 50}
	b := Bend{Angle: strip.Angle, Thickness: 1.2, Radius: 1.2, K: 0.4}
	strip.Flat = 100 - b.Deduction()
	k, s, err := strip.K()
	if err != nil || !close(k, 0.4, 1e-9) {
		t.Fatalf("K %g, %v", k, err)
	}
	// The numbers that go with the method, derived: 0.053 per 0.1 mm of length,
	// 0.023 per 0.1 mm of radius, 0.029 per degree.
	for i, pair := range [][2]float64{{-s.Length / 10, 0.053}, {s.Radius / 10, 0.023}, {s.Angle * Degree, 0.029}} {
		if math.Abs(pair[0]-pair[1]) > 5e-4 {
			t.Errorf("sensitivity %d: got %.4f, want %.3f", i, pair[0], pair[1])
		}
	}
}

// Each sensitivity is the slope of K by a small change of its measurement.
func TestSensitivityIsSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		strip := drawStrip(t, rapid.Float64Range(0.2, 0.5).Draw(t, "k"))
		k, s, err := strip.K()
		if err != nil {
			t.Fatal(err)
		}
		const h = 1e-6
		for _, c := range []struct {
			name   string
			change func(*TestBend)
			slope  float64
		}{
			{"length", func(b *TestBend) { b.LegA += h }, s.Length},
			{"radius", func(b *TestBend) { b.Radius += h }, s.Radius},
			{"thickness", func(b *TestBend) { b.Thickness += h }, s.Thickness},
			{"angle", func(b *TestBend) { b.Angle += h }, s.Angle},
		} {
			moved := strip
			c.change(&moved)
			near, _, err := moved.K()
			if err != nil {
				t.Fatal(err)
			}
			if got := (near - k) / h; math.Abs(got-c.slope) > 1e-3*(1+math.Abs(c.slope)) {
				t.Errorf("%s of %+v: slope %g, told %g", c.name, strip, got, c.slope)
			}
		}
	})
}

func drawStrip(t *rapid.T, k float64) TestBend {
	b := Bend{
		Angle:     rapid.Float64Range(20, 149).Draw(t, "angle") * Degree,
		Thickness: rapid.Float64Range(0.5, 4).Draw(t, "t"),
		Radius:    rapid.Float64Range(0.2, 10).Draw(t, "r"),
		K:         k,
	}
	return TestBend{Thickness: b.Thickness, Radius: b.Radius, Angle: b.Angle, LegA: 90, LegB: 110, Flat: 200 - b.Deduction()}
}

func TestStripGivesKBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0, 1).Draw(t, "k")
		if got, _, err := drawStrip(t, k).K(); err != nil || math.Abs(got-k) > 1e-9 {
			t.Fatalf("K %g came back as %g, %v", k, got, err)
		}
	})
	hem := Bend{Angle: math.Pi, Thickness: 1, Radius: 0.5, K: 0.45}
	strip := TestBend{Thickness: 1, Radius: 0.5, Angle: math.Pi, LegA: 50, LegB: 20, Flat: 70 - hem.Deduction()}
	if got, _, err := strip.K(); err != nil || math.Abs(got-0.45) > 1e-9 {
		t.Errorf("open hem: K %g, %v", got, err)
	}
}

func TestSuspectStrips(t *testing.T) {
	if _, _, err := (TestBend{Thickness: 1, Radius: 1, Angle: 1, Flat: math.NaN(), LegA: 1, LegB: 1}).K(); err == nil {
		t.Error("a NaN length was taken")
	}
	if Suspect(0.15) || Suspect(0.5) || !Suspect(0.149) || !Suspect(0.501) || !Suspect(math.NaN()) {
		t.Error("suspect range is not 0.15..0.50")
	}
}

func TestSpringback(t *testing.T) {
	// At r = t Gardiner's formula says about 0.2° for mild steel (derived).
	b := Bend{Angle: 90 * Degree, Thickness: 1.2, Radius: 1.2, K: 0.325}
	s, err := b.Springback(250, 205000)
	if over := s.Angle/Degree - 90; err != nil || math.Abs(over-0.2) > 0.05 || s.Caution == "" {
		t.Errorf("springback %g°, %v", over, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		b := Bend{Angle: 1, Thickness: rapid.Float64Range(0.5, 4).Draw(t, "t"), Radius: rapid.Float64Range(0, 2000).Draw(t, "r")}
		s, err := b.Springback(rapid.Float64Range(50, 900).Draw(t, "Y"), 200000)
		if err != nil || !(s.Radius <= b.Radius) || !(s.Angle >= b.Angle) {
			t.Fatalf("%+v: %+v, %v", b, s, err)
		}
	})
	y, e := 250.0, 205000.0
	b.Radius = 60
	s, _ = b.Springback(y, e)
	x := s.Radius * y / (e * b.Thickness)
	if want := b.Radius * (4*x*x*x - 3*x + 1); !close(s.Radius, want, 1e-12) {
		t.Errorf("r_i %g does not satisfy the formula: %g", s.Radius, want)
	}
	for _, bad := range [][2]float64{{0, e}, {y, 0}, {math.NaN(), e}, {y, math.Inf(1)}, {e, y}} {
		if _, err := b.Springback(bad[0], bad[1]); err == nil {
			t.Errorf("yield %g, modulus %g were taken", bad[0], bad[1])
		}
	}
}

func Example() {
	b, err := NewBend(84*Degree, 1.5, 1.5, KDIN6935(1.5, 1.5))
	if err != nil {
		fmt.Println(err)
	}
	fmt.Printf("K %.3f, set-back %.3f outside %.3f inside, allowance %.3f, deduction %.3f\n",
		b.K, b.SetBack(true), b.SetBack(false), b.Allowance(), b.Deduction())
	// Output: K 0.325, set-back 2.701 outside 1.351 inside, allowance 2.914, deduction 2.489
}
