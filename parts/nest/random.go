package nest

import "math/bits"

// random is a generator with the same sequence on every machine: wyrand-like
// multiply and fold over a Weyl sequence.
type random struct{ s uint64 }

func newRandom(seed uint64) *random {
	r := &random{seed*0x9e3779b97f4a7c15 + 0x1f83d9abfb41bd6b}
	for range 4 {
		r.next()
	}
	return r
}

func (r *random) next() uint64 {
	r.s += 0xa0761d6478bd642f
	hi, lo := bits.Mul64(r.s, r.s^0xe7037ed1a0b428db)
	return hi ^ lo
}

// unit is uniform in [0, 1).
func (r *random) unit() float64 { return float64(float64(r.next()>>11) * (1.0 / (1 << 53))) }

// between is uniform in [lo, hi).
func (r *random) between(lo, hi float64) float64 { return lo + float64((hi-lo)*r.unit()) }

// below is uniform in 0 … n−1, for n ≥ 1.
func (r *random) below(n int) int {
	hi, _ := bits.Mul64(r.next(), uint64(n))
	return int(hi)
}

func (r *random) shuffle(a []int) {
	for i := len(a) - 1; i > 0; i-- {
		j := r.below(i + 1)
		a[i], a[j] = a[j], a[i]
	}
}
