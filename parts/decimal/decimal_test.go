package decimal_test

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/decimal"
)

func ExampleAppend() {
	for _, x := range []float64{12.5, -1e-9, 100, 0.0000014, -27.99999951, 1.0 / 3} {
		fmt.Printf("%s ", decimal.Append(nil, x, decimal.Length))
	}
	// Output: 12.5 0 100 0.000001 -28 0.333333
}

// What is written reads back as what Round gives, for every number of decimals.
func TestAppendAgreesWithRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e5, 1e5).Draw(t, "x")
		n := rapid.IntRange(0, 10).Draw(t, "decimals")
		s := string(decimal.Append(nil, x, n))
		back, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if back != decimal.Round(x, n) || math.Signbit(back) != math.Signbit(decimal.Round(x, n)) {
			t.Fatalf("%v to %d decimals: wrote %s, Round gives %v", x, n, s, decimal.Round(x, n))
		}
		ulp := math.Nextafter(math.Abs(x), math.Inf(1)) - math.Abs(x) // the nearest float to a half lies this far off
		if math.Abs(back-x) > 0.5000001*math.Pow(10, -float64(n))+ulp {
			t.Fatalf("%v to %d decimals: %s is too far", x, n, s)
		}
	})
}

func TestLargeAndUnwritable(t *testing.T) {
	if s := string(decimal.Append(nil, 1e20, 6)); s != "100000000000000000000" {
		t.Errorf("1e20: %s", s)
	}
	if s := string(decimal.Append(nil, math.NaN(), 6)); s != "0" {
		t.Errorf("NaN: %s", s)
	}
	if decimal.Finite(1, math.Inf(1)) || decimal.Finite(math.NaN()) || !decimal.Finite(0, -1) {
		t.Error("Finite is wrong")
	}
}

func BenchmarkAppend(b *testing.B) {
	var buf []byte
	for b.Loop() {
		buf = decimal.Append(buf[:0], 123.456789, decimal.Length)
	}
}
