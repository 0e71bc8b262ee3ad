package nest

import (
	"math"
	"testing"
)

// Choices come by price and then number, and the first of enough area is the
// cheapest: held against all mixes of up to six sheets of each kind.
func TestCheapestChoice(t *testing.T) {
	r := newRandom(5)
	for k := range 200 {
		kinds := make([]kind, 1+r.below(4))
		for i := range kinds {
			kinds[i] = kind{sheet: i, stock: r.below(7) - 1, price: math.Floor(r.between(1, 60)), area: math.Floor(r.between(1, 9))}
			if kinds[i].stock == 0 {
				kinds[i].stock = 3
			}
		}
		need := math.Floor(r.between(1, 25))
		want := math.Inf(1)
		var walk func(i int, price, area float64)
		walk = func(i int, price, area float64) {
			if area >= need {
				want = min(want, price)
			}
			if i == len(kinds) {
				return
			}
			for n := 0; n <= 25 && (kinds[i].stock < 0 || n <= kinds[i].stock); n++ {
				walk(i+1, price+float64(n)*kinds[i].price, area+float64(n)*kinds[i].area)
				if area+float64(n)*kinds[i].area >= need {
					break
				}
			}
		}
		walk(0, 0, 0)
		c, ok := newChoices(kinds).next(need)
		if ok != !math.IsInf(want, 1) || ok && c.price != want {
			t.Fatalf("case %d: %v %v for an area of %g from %+v, want a price of %g", k, c, ok, need, kinds, want)
		}
		for i, n := range c.count {
			if ok && kinds[i].stock >= 0 && n > kinds[i].stock {
				t.Fatalf("case %d: %d of %d in stock", k, n, kinds[i].stock)
			}
		}
	}
}

// Very many kinds, as a rack of remnants is, do not keep the choice from its end.
func TestChoiceAmongManyRemnants(t *testing.T) {
	r := newRandom(6)
	var kinds []kind
	var all float64
	for i := range 300 {
		kinds = append(kinds, kind{sheet: i, stock: 1, price: r.between(1, 2), area: r.between(1, 3)})
		all += kinds[i].area
	}
	c, ok := newChoices(kinds).next(0.9 * all)
	if !ok || c.area < 0.9*all {
		t.Fatalf("%v, area %g of %g", ok, c.area, all)
	}
	if _, ok := newChoices(kinds).next(1.01 * all); ok {
		t.Fatal("more than there is")
	}
}
