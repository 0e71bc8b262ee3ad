package joining

import (
	"math"
	"math/rand/v2"
	"testing"

	"perch/parts/shop"
	"perch/parts/solid"
)

// star is a flat facet somewhere in space: a crooked star about a middle, most with a hole
// about it.
func star(r *rand.Rand) (f facet, at func(x, y float64) solid.Vec) {
	u := solid.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit()
	v := u.Cross(solid.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}).Unit()
	if r.IntN(4) == 0 { // along or across the tool's own axis
		u, v = solid.Vec{X: 1}, solid.Vec{Z: 1}
	}
	o := solid.Vec{X: 12 * r.NormFloat64(), Y: 12 * r.NormFloat64(), Z: 25 * r.NormFloat64()}
	at = func(x, y float64) solid.Vec { return o.Add(u.Scale(x)).Add(v.Scale(y)) }
	ring := func(lo, hi float64, n int) (l []solid.Vec) {
		for k := range n {
			a, d := 2*math.Pi*float64(k)/float64(n), lo+(hi-lo)*r.Float64()
			l = append(l, at(d*math.Cos(a), d*math.Sin(a)))
		}
		return l
	}
	f.loops = append(f.loops, ring(15, 40, 5+r.IntN(6)))
	if r.IntN(3) > 0 {
		f.loops = append(f.loops, ring(3, 10, 3+r.IntN(4)))
	}
	return f, at
}

// deepest is how far a facet's points come into a cylinder of that radius, found by a grid of
// points of the facet: positive inside, by the nearest of its side and its ends.
func deepest(f facet, at func(x, y float64) solid.Vec, t tool) float64 {
	flat := func(p solid.Vec) (x, y float64) {
		o, u, v := at(0, 0), at(1, 0), at(0, 1)
		d := p.Sub(o)
		return d.Dot(u.Sub(o)), d.Dot(v.Sub(o))
	}
	best := math.Inf(-1)
	for i := -60; i <= 60; i++ {
		for k := -60; k <= 60; k++ {
			x, y, in := float64(i)/1.5, float64(k)/1.5, false
			for _, l := range f.loops {
				for n, p := range l {
					ax, ay := flat(p)
					bx, by := flat(l[(n+1)%len(l)])
					if (ay > y) != (by > y) && x < ax+(y-ay)*(bx-ax)/(by-ay) {
						in = !in
					}
				}
			}
			if !in {
				continue
			}
			q := t.local(at(x, y))
			best = max(best, min(t.Radius-math.Hypot(q.X, q.Y), q.Z-t.From, t.Length-q.Z))
		}
	}
	return best
}

// A facet meets a tool's room exactly when points of it lie in the room, however crooked it
// is and whatever holes it has.
func TestFacetsMeetRooms(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	draws, meets, clear := 400, 0, 0
	if testing.Short() {
		draws = 120
	}
	for range draws {
		f, at := star(r)
		tool := newTool(solid.Vec{}, solid.Vec{Z: 1}, shop.Room{Radius: 2 + 8*r.Float64(), Length: 20 + 20*r.Float64(), From: 10 * r.Float64()})
		switch deep := deepest(f, at, tool); {
		case deep > 0.01:
			meets++
			if !tool.meets(f) {
				t.Fatalf("points lie %.2f deep in %+v, and %+v does not meet it", deep, tool.Room, f.loops)
			}
		case deep < -1:
			clear++
			if tool.meets(f) {
				t.Fatalf("all points are %.2f clear of %+v, and %+v meets it", -deep, tool.Room, f.loops)
			}
		}
	}
	if meets < draws/5 || clear < draws/10 {
		t.Errorf("%d meet, %d are clear", meets, clear)
	}
}

// A tool's own coordinates are square and to scale, whichever way it points, and its box holds
// its ends and sides.
func TestToolFrames(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	for range 50 {
		dir := solid.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit()
		tool := newTool(solid.Vec{X: 3, Y: -4, Z: 5}, dir, shop.Room{Radius: 7, Length: 30})
		if tool.From != offSheet || !tool.needed() {
			t.Fatalf("it begins at %g", tool.From)
		}
		b := tool.box()
		for range 20 {
			p := solid.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
			if q := tool.local(p); math.Abs(q.Len()-p.Sub(tool.at).Len()) > 1e-12 {
				t.Fatalf("%v is %g long, %g apart", q, q.Len(), p.Sub(tool.at).Len())
			}
			a, z := 2*math.Pi*r.Float64(), tool.From+(tool.Length-tool.From)*r.Float64()
			at := tool.at.Add(dir.Scale(z)).Add(tool.u.Scale(7 * math.Cos(a))).Add(tool.v.Scale(7 * math.Sin(a)))
			if !b.meets(emptyBox().with(at)) {
				t.Fatalf("%v is outside the box", at)
			}
		}
	}
	if newTool(solid.Vec{}, solid.Vec{Z: 1}, shop.Room{}).needed() || newTool(solid.Vec{}, solid.Vec{Z: 1}, shop.Room{Length: 9}).needed() {
		t.Error("a room without width or length is to be kept free")
	}
}
