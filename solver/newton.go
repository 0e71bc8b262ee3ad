package solver

import "math"

// newton is the interval Newton operator of a block, with the space it needs: of
// n equations, solved for the first n of m variables. Matrices are by row, n by m
// or, the inverse, n by n.
type newton struct {
	rows   []row
	n, m   int
	scale  []float64
	center []interval
	before []interval
	mid    []float64 // of the slopes
	rad    []float64
	inv    []float64 // approximate inverse of mid
	mmid   []float64 // inv·slopes
	mrad   []float64
	res    []interval // inv·f(center)
	fmid   []float64
	frad   []float64
	work   []float64
	weight []float64
	known  bool    // mid and rad are of the box last stepped
	beta   float64 // norm of 1 - inv·slopes
	cost   int     // of evaluating all rows and their slopes, in steps
	spent  int     // on inverses, in steps
}

type stepState uint8

const (
	stepDone    stepState = iota // the box was contracted
	stepEmpty                    // no solution in the box
	stepUnknown                  // the operator does not apply
)

// makeNewton makes the operator of rows, of which the first n are equations.
func makeNewton(rows []row, n int, scale []float64) newton {
	m := len(scale)
	f := func(k int) []float64 { return make([]float64, n*k) }
	w := newton{rows: rows, n: n, m: m, scale: scale,
		center: make([]interval, m), before: make([]interval, m), res: make([]interval, n),
		fmid: make([]float64, n), frad: make([]float64, n), weight: make([]float64, m),
		mid: f(m), rad: f(m), inv: f(n), mmid: f(m), mrad: f(m), work: f(n)}
	for i := range rows[:n] {
		w.cost += 4 * len(rows[i].code)
	}
	return w
}

// step contracts the box by the Hansen–Sengupta operator: Gauss–Seidel steps on
// the slopes' linear system, preconditioned by the inverse of their middle (A.
// Neumaier, "Interval methods for systems of equations", 1990, chapter 5).
func (w *newton) step(box []interval) stepState {
	w.known = false
	for k, b := range box {
		c := b.lo + float64(0.5*(b.hi-b.lo))
		if !finite(c) {
			return stepUnknown
		}
		w.center[k] = point(c)
	}
	if !w.linearize(box, w.center) || w.n > alwaysStep && w.bend(box) > mostBend || !w.invert() {
		return stepUnknown
	}
	w.spent += w.n * w.n * w.n / 4
	w.precondition()
	for i := range w.n {
		sum := w.res[i]
		row := i * w.m
		for j := range w.m {
			m, r := w.mmid[row+j], w.mrad[row+j]
			if j == i || m == 0 && r == 0 {
				continue
			}
			d := sub(box[j], w.center[j])
			sum = add(sum, mul(interval{lo: below(m - r), hi: above(m + r)}, d))
		}
		m, r := w.mmid[row+i], w.mrad[row+i]
		d := sub(box[i], w.center[i])
		if !factor(&d, neg(sum), interval{lo: below(m - r), hi: above(m + r)}) {
			return stepEmpty
		}
		if !narrow(&box[i], add(d, w.center[i])) {
			return stepEmpty
		}
	}
	return stepDone
}

const (
	alwaysStep = 12  // variables up to which every box is stepped
	mostBend   = 0.5 // above which a step of a large block is not worth its inverse
)

// bend is the mean over the rows of how much of their movement in the box is not
// linear.
func (w *newton) bend(box []interval) float64 {
	sum := 0.0
	for i := range w.n {
		r := &w.rows[i]
		line, off := 0.0, 0.0
		for _, s := range r.vars {
			v := int(r.code[s].v)
			d := box[v].width()
			line += float64(math.Abs(w.mid[i*w.m+v]) * d)
			off += float64(w.rad[i*w.m+v] * d)
		}
		if off > 0 {
			sum += min(off/line, 10)
		}
	}
	return sum / float64(w.n)
}

// linearize encloses the rows' slopes over box from center, and their values at
// center; false where something is unbounded.
func (w *newton) linearize(box, center []interval) bool {
	clear(w.mid)
	clear(w.rad)
	ok := true
	for i := range w.n {
		r := &w.rows[i]
		f := r.evaluate(center, r.at)
		y := r.evaluate(box, r.val)
		if f.isEmpty() || !finite(f.lo) || !finite(f.hi) || y.isEmpty() {
			ok = false
			continue
		}
		w.fmid[i], w.frad[i] = middleRadius(f)
		adj := r.slopes(r.val, r.at)
		for _, s := range r.vars {
			k := i*w.m + int(r.code[s].v)
			w.mid[k], w.rad[k] = middleRadius(adj[s])
			ok = ok && finite(w.mid[k]) && finite(w.rad[k])
		}
	}
	w.known = true
	return ok
}

func middleRadius(x interval) (m, r float64) {
	m = float64(0.5*x.lo) + float64(0.5*x.hi)
	return m, above(max(x.hi-m, m-x.lo))
}

// precondition multiplies the linear system by inv, in middles and radii with
// the rounding allowed for (S. M. Rump, "Fast and parallel interval
// arithmetic", BIT 39, 1999).
func (w *newton) precondition() {
	n, m := w.n, w.m
	gamma := float64(n+4) * 0x1p-52
	clear(w.mmid)
	clear(w.mrad)
	w.beta = 0
	for i := range n {
		mm, mr := w.mmid[i*m:i*m+m], w.mrad[i*m:i*m+m]
		rm, rr := 0.0, 0.0
		for k := range n {
			y := w.inv[i*n+k]
			if y == 0 {
				continue
			}
			ya := math.Abs(y)
			rm += float64(y * w.fmid[k])
			rr += float64(ya * (w.frad[k] + float64(gamma*math.Abs(w.fmid[k])) + tiny))
			r := &w.rows[k]
			for _, s := range r.vars {
				v := int(r.code[s].v)
				a := w.mid[k*m+v]
				mm[v] += float64(y * a)
				mr[v] += float64(ya * (w.rad[k*m+v] + float64(gamma*math.Abs(a))))
			}
		}
		const up = 1 + 1e-10 // more than twice gamma
		rr = float64(rr*up) + 1e-300
		w.res[i] = interval{lo: below(rm - rr), hi: above(rm + rr)}
		norm := 0.0
		for v := range m {
			if mr[v] != 0 {
				mr[v] = float64(mr[v]*up) + 1e-300
			}
			d := mm[v]
			if v == i {
				d--
			}
			norm += math.Abs(d) + mr[v]
		}
		w.beta = max(w.beta, norm)
		if norm != norm {
			w.beta = math.Inf(1)
		}
	}
}

// verify proves that exactly one solution lies in or right beside a narrow box,
// and returns a tight enclosure of it and a wider one in which it is alone:
// Krawczyk's operator with derivatives maps the latter into its inside (R.
// Krawczyk, Computing 4, 1969; Moore, Kearfott, Cloud, theorem 8.2).
func (w *newton) verify(box []interval) (tight, unique []interval, ok bool) {
	n := w.n
	c := make([]interval, n)
	for k, b := range box {
		m := b.lo + float64(0.5*(b.hi-b.lo))
		if !finite(m) {
			return nil, nil, false
		}
		c[k] = point(m)
	}
	w.spent += w.n * w.n * w.n / 2
	if !w.linearize(c, c) || !w.invert() {
		return nil, nil, false
	}
	for _, grow := range [3]float64{1e-6, 1e-9, 1e-12} {
		u := make([]interval, n)
		for k, b := range box {
			g := float64(0.1*b.width()) + float64(grow*math.Max(math.Abs(c[k].lo), 1e-3*math.Min(1, w.scale[k])))
			u[k] = interval{lo: b.lo - g, hi: b.hi + g}
		}
		if t, ok := w.krawczyk(u, c); ok {
			for range 2 { // tighter
				for k := range c {
					c[k] = point(t[k].lo + float64(0.5*(t[k].hi-t[k].lo)))
				}
				if t2, ok := w.krawczyk(t, c); ok {
					t = t2
				}
			}
			return t, u, true
		}
	}
	return nil, nil, false
}

// krawczyk maps u by Krawczyk's operator about c, which lies in u, with the
// inverse at hand; ok where the image lies inside u.
func (w *newton) krawczyk(u, c []interval) (k []interval, ok bool) {
	for i := range w.n {
		r := &w.rows[i]
		f := r.evaluate(c, r.at)
		y := r.evaluate(u, r.val)
		if f.isEmpty() || !finite(f.lo) || !finite(f.hi) || y.isEmpty() || y.partial {
			return nil, false
		}
		w.fmid[i], w.frad[i] = middleRadius(f)
		adj := r.slopes(r.val, r.val)
		for _, s := range r.vars {
			at := i*w.n + int(r.code[s].v)
			w.mid[at], w.rad[at] = middleRadius(adj[s])
			if !finite(w.mid[at]) || !finite(w.rad[at]) {
				return nil, false
			}
		}
	}
	w.precondition()
	k = make([]interval, w.n)
	for i := range w.n {
		y := sub(c[i], w.res[i])
		for j := range w.n {
			m, r := w.mmid[i*w.n+j], w.mrad[i*w.n+j]
			if i == j {
				m = 1 - m
			} else {
				m = -m
			}
			if m == 0 && r == 0 {
				continue
			}
			r = above(above(r + float64(math.Abs(m)*0x1p-52)))
			y = add(y, mul(interval{lo: below(m - r), hi: above(m + r)}, sub(u[j], c[j])))
		}
		k[i] = y
		if !(y.lo > u[i].lo && y.hi < u[i].hi) {
			return nil, false
		}
	}
	return k, true
}

// smear is by how much each variable moves the rows over the box, each row's
// moves summing to one.
func (w *newton) smear(box []interval) []float64 {
	out := w.weight
	clear(out)
	if !w.known {
		for k, b := range box {
			out[k] = math.Min(b.width()/w.scale[k], math.MaxFloat64)
			if w.scale[k] == 1 && math.IsInf(b.width(), 1) {
				out[k] = math.MaxFloat64
			}
		}
		return out
	}
	for i := range w.n {
		r := &w.rows[i]
		sum := 0.0
		move := func(s int32) float64 {
			v := int(r.code[s].v)
			a := i*w.m + v
			m := float64((math.Abs(w.mid[a]) + w.rad[a]) * box[v].width())
			if m != m || m > 1e200 {
				m = 1e200
			}
			return m
		}
		for _, s := range r.vars {
			sum += move(s)
		}
		if sum == 0 {
			continue
		}
		for _, s := range r.vars {
			out[r.code[s].v] += move(s) / sum
		}
	}
	return out
}

// invert makes inv the approximate inverse of mid by elimination with partial
// pivoting; false where it is singular.
func (w *newton) invert() bool {
	n := w.n
	a, y := w.work, w.inv
	for i := range n {
		copy(a[i*n:i*n+n], w.mid[i*w.m:i*w.m+n])
	}
	clear(y)
	for i := range n {
		y[i*n+i] = 1
	}
	for i := range n {
		p, best := i, 0.0
		for r := i; r < n; r++ {
			if v := math.Abs(a[r*n+i]); v > best {
				p, best = r, v
			}
		}
		if best == 0 || !finite(best) {
			return false
		}
		if p != i {
			for k := range n {
				a[i*n+k], a[p*n+k] = a[p*n+k], a[i*n+k]
				y[i*n+k], y[p*n+k] = y[p*n+k], y[i*n+k]
			}
		}
		d := 1 / a[i*n+i]
		for k := range n {
			a[i*n+k] *= d
			y[i*n+k] *= d
		}
		ai, yi := a[i*n:i*n+n], y[i*n:i*n+n]
		for r := range n {
			f := a[r*n+i]
			if r == i || f == 0 {
				continue
			}
			ar, yr := a[r*n:r*n+n], y[r*n:r*n+n]
			for k := i; k < n; k++ {
				ar[k] -= float64(f * ai[k])
			}
			for k := range n {
				if yi[k] != 0 {
					yr[k] -= float64(f * yi[k])
				}
			}
		}
	}
	for _, v := range y {
		if !finite(v) {
			return false
		}
	}
	return true
}
