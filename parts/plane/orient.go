package plane

import (
	"math"
	"math/big"
)

// Orient tells on which side of the line from a to b the point c lies: +1 left,
// −1 right, 0 on it. The answer is exact for the given floats: a float with a
// proven error bound decides most cases, an exact sum the rest. Coordinates that
// are not finite answer 0.
func Orient(a, b, c Point) int {
	l := float64((b.X - a.X) * (c.Y - a.Y))
	r := float64((b.Y - a.Y) * (c.X - a.X))
	det := l - r
	// (3 + 16ε)ε of Shewchuk's orient2d, ε = 2⁻⁵³.
	bound := 3.3306690738754716e-16 * (math.Abs(l) + math.Abs(r))
	switch {
	case det > bound:
		return 1
	case -det > bound:
		return -1
	case det-det != 0: // the products leave the floats' range, or the coordinates are no numbers
		if !a.Finite() || !b.Finite() || !c.Finite() {
			return 0
		}
		return orientBig(a, b, c)
	case l == 0 && r == 0 && noUnderflow(a, b, c):
		return 0
	}
	return orientExact(a, b, c)
}

// noUnderflow tells whether both products of Orient vanish because a factor does.
func noUnderflow(a, b, c Point) bool {
	return (b.X == a.X || c.Y == a.Y) && (b.Y == a.Y || c.X == a.X)
}

// orientExact is the sign of the determinant's six products, each in two floats, summed
// without error (Shewchuk, Adaptive precision floating-point arithmetic, 1997, theorem 10).
func orientExact(a, b, c Point) int {
	for _, v := range [6]float64{a.X, a.Y, b.X, b.Y, c.X, c.Y} {
		if v = math.Abs(v); v != 0 && (v < 0x1p-400 || v > 0x1p400) { // a product's parts could leave the floats' range
			return orientBig(a, b, c)
		}
	}
	var sum [12]float64 // parts that do not overlap, the largest last
	n := 0
	add := func(x float64) {
		for i := range n {
			s := x + sum[i]
			v := s - x
			sum[i] = (x - (s - v)) + (sum[i] - v)
			x = s
		}
		sum[n] = x
		n++
	}
	for _, p := range [6][2]float64{{b.X, c.Y}, {-b.X, a.Y}, {-a.X, c.Y}, {-b.Y, c.X}, {b.Y, a.X}, {a.Y, c.X}} {
		hi := float64(p[0] * p[1])
		add(math.FMA(p[0], p[1], -hi))
		add(hi)
	}
	for i := n - 1; i >= 0; i-- {
		if sum[i] != 0 {
			return int(math.Copysign(1, sum[i]))
		}
	}
	return 0
}

func orientBig(a, b, c Point) int {
	diff := func(p, q float64) *big.Float {
		return new(big.Float).SetPrec(2200).Sub(big.NewFloat(p), big.NewFloat(q))
	}
	mul := func(p, q *big.Float) *big.Float { return new(big.Float).SetPrec(4400).Mul(p, q) }
	return mul(diff(b.X, a.X), diff(c.Y, a.Y)).Cmp(mul(diff(b.Y, a.Y), diff(c.X, a.X)))
}
