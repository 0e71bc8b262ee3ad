package tolerance_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/tolerance"
)

const quantile = 1.959963984540054 // of the normal distribution, 0.975

// Four feet at the corners of a square are off a plane by a − b + c − d. Cut to ±0.5 mm
// and on a table that is flat to ±0.3 that is 1.960 times the root of four variances, 0.25²
// or 0.15², where no bend is off and no pin pulls. Three feet can't rock.
func TestFeet(t *testing.T) {
	s := shop.Default()
	s.Tolerance.Angle, s.Tolerance.Line, s.Joining.Located = 0, 0, shop.LocatedClamps
	rep, err := tolerance.New(built(t, "../../examples/stool/stool.perch", "mid", s).Assembly, s).Analyse()
	if err != nil || rep.Feet == nil || rep.Feet.Count != 4 || !rep.Feet.Holes {
		t.Fatal(err, rep.Feet)
	}
	if want := quantile * 2 * 0.25; math.Abs(rep.Feet.Rock-want) > 1e-3 {
		t.Errorf("it rocks by %.4f mm, %.4f by hand", rep.Feet.Rock, want)
	}
	if want := quantile * 2 * 0.15; math.Abs(rep.Feet.Levelled-want) > 1e-3 {
		t.Errorf("levelled it rocks by %.4f mm, %.4f by hand", rep.Feet.Levelled, want)
	}
	s = shop.Default()
	rep, err = tolerance.New(built(t, "../../examples/plant_stand/plant_stand.perch", "window", s).Assembly, s).Analyse()
	if err != nil || rep.Feet == nil || *rep.Feet != (tolerance.Feet{Count: 3}) {
		t.Errorf("a stand on three legs: %v %+v", err, rep.Feet)
	}
	rep, err = tolerance.New(built(t, "../../examples/lamp_shade/lamp_shade.perch", "window", s).Assembly, s).Analyse()
	if err != nil || rep.Feet != nil {
		t.Errorf("a shade stands on no feet: %v %+v", err, rep.Feet)
	}
}

// What bends do to a stool's feet is what simulated stools show, whose feet are cut true.
func TestSimulatedFeet(t *testing.T) {
	n := 250
	if testing.Short() {
		n = 100
	}
	s := shop.Default()
	s.Cutter.Tolerance = 0
	r := built(t, "../../examples/stool/stool.perch", "mid", s)
	rep, err := tolerance.New(r.Assembly, s).Analyse()
	if err != nil {
		t.Fatal(err)
	}
	sim := newSimulation(t, r.Assembly, s)
	var feet []site
	for c, p := range sim.pieces {
		var sum solid.Vec
		count, face := 0.0, 0
		for i, f := range p.flat.Faces {
			for _, v := range f.Loop {
				for _, deep := range [2]float64{0, p.flat.Panel.Stock.Thickness} {
					if at := p.faces[i].at(solid.Vec{X: v.P.X, Y: v.P.Y, Z: -deep}); math.Abs(at.Z) < 0.05 {
						sum, count, face = sum.Add(at), count+1, i
					}
				}
			}
		}
		if count > 0 {
			feet = append(feet, site{c, face, p.faces[face].local(sum.Scale(1 / count))})
		}
	}
	if len(feet) != 4 {
		t.Fatalf("it stands on %d feet", len(feet))
	}
	around := func(f site) float64 {
		at := sim.pieces[f.of].faces[f.face].at(f.p)
		return math.Atan2(at.Y, at.X)
	}
	slices.SortFunc(feet, func(a, b site) int {
		if around(a) < around(b) {
			return -1
		}
		return 1
	})
	rnd := rand.New(rand.NewPCG(2, 3))
	var rocks []float64
	for range n {
		sim.draw(rnd)
		sim.settle(t)
		z := 0.0
		for i, f := range feet {
			z += sim.where(f, -1).Z * float64(1-i%2*2)
		}
		rocks = append(rocks, math.Abs(z))
	}
	slices.Sort(rocks)
	if got, want := rep.Feet.Rock, rocks[n*95/100]; math.Abs(got/want-1) > 2*slack(n) { // of one way, which strays more
		t.Errorf("it rocks by %.3f mm, %.3f in %d simulated stools", got, want, n)
	} else {
		t.Logf("it rocks by %.3f mm, %.3f in %d simulated stools", got, want, n)
	}
}

// A piece that is beyond what is worked out is built all the same, nothing locates it, and
// it is told why nothing is known.
func TestTooLarge(t *testing.T) {
	const long = `design "Long" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate(z: length) { face base on level(z) { outline rect(9000mm, 60mm) } }
part low of steel = plate(0mm)
part high of steel = plate(1.5mm)
join pin = high.base to low.base by rivet(3.2mm, count: 700)
`
	s := shop.Default()
	r := written(t, long, s)
	_, err := tolerance.New(r.Assembly, s).Analyse()
	var large *tolerance.TooLarge
	if !errors.As(err, &large) || large.Got != 700 {
		t.Errorf("%v", err)
	}
	for _, j := range r.Assembly.Joins {
		if when := member(t, r, j.Members[1]).Made(); when != panel.InPlace {
			t.Fatalf("%s is made %s", j.Name, when)
		}
	}
	if v := tolerance.NewView(r.Assembly, s); !strings.Contains(v.Unknown, "700 matched holes that move each other, up to 600") {
		t.Errorf("%q", v.Unknown)
	}
}
