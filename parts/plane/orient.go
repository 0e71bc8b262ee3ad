package plane

import (
	"math"
	"math/big"
)

// Orient tells on which side of the line from a to b the point c lies: +1 left,
// −1 right, 0 on it. The answer is exact for the given floats: a float with a
// proven error bound decides most cases, big numbers the rest. Coordinates that
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
	case det-det != 0 || (l == 0 && r == 0 && noUnderflow(a, b, c)):
		return 0
	}
	return orientExact(a, b, c)
}

// noUnderflow tells whether both products of Orient vanish because a factor does.
func noUnderflow(a, b, c Point) bool {
	return (b.X == a.X || c.Y == a.Y) && (b.Y == a.Y || c.X == a.X)
}

func orientExact(a, b, c Point) int {
	diff := func(p, q float64) *big.Float {
		return new(big.Float).SetPrec(2200).Sub(big.NewFloat(p), big.NewFloat(q))
	}
	mul := func(p, q *big.Float) *big.Float { return new(big.Float).SetPrec(4400).Mul(p, q) }
	return mul(diff(b.X, a.X), diff(c.Y, a.Y)).Cmp(mul(diff(b.Y, a.Y), diff(c.X, a.X)))
}
