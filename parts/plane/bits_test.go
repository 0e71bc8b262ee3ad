package plane

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"
)

// TestSameBits holds the results of many operations to one hash: builds for
// other processors (GOAMD64=v3, arm64) fuse products where the code lets them.
func TestSameBits(t *testing.T) {
	h := fnv.New64a()
	put := func(r Region) {
		for _, l := range r {
			for _, v := range l {
				for _, x := range [3]float64{v.P.X, v.P.Y, v.Bulge} {
					b := math.Float64bits(x)
					for k := range 8 {
						h.Write([]byte{byte(b >> (8 * k))})
					}
				}
			}
		}
	}
	// Inputs and results rest on square roots and the four operations alone.
	rng := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		a, b := Region{latticeOutline(rng)}, Region{latticeOutline(rng)}
		put(Union(a, b))
		put(Subtract(a, b))
		put(Offset(a, 0.37))
		put(Offset(a, -0.61))
		put(Clip(a, HalfPlane{Point{0.6, 0.8}, 1.3}))
		if r, err := Round(a, 0.1); err == nil {
			put(r)
		}
	}
	const want = 0x2cadaa237c2f1b09
	if got := h.Sum64(); got != want {
		t.Errorf("hash of the results %#x, want %#x", got, uint64(want))
	}
}

// latticeOutline is an octagon with corners drawn near a circle's, some edges bowed.
func latticeOutline(rng *rand.Rand) Loop {
	dirs := [8]Point{{1, 0}, {0.7, 0.7}, {0, 1}, {-0.7, 0.7}, {-1, 0}, {-0.7, -0.7}, {0, -1}, {0.7, -0.7}}
	l := make(Loop, 8)
	for i := range l {
		l[i].P = dirs[i].Scale(6 + float64(5*rng.Float64()))
		if rng.IntN(3) == 0 {
			l[i].Bulge = 0.2 * rng.Float64()
		}
	}
	return l
}
