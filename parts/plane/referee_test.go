package plane

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
)

// refereeScript measures with Shapely (GEOS), an independent kernel for polygons:
// areas of union, intersection, difference and of a's outline moved by d, round.
const refereeScript = `
import json, sys
from shapely.geometry import Polygon
out = []
for c in json.load(sys.stdin):
    a, b = Polygon(c["A"]), Polygon(c["B"])
    out.append([a.union(b).area, a.intersection(b).area, a.difference(b).area,
                a.buffer(c["D"], 256).area, a.distance(b) if not a.intersects(b) else 0])
json.dump(out, sys.stdout)
`

type refereeCase struct {
	A, B [][2]float64
	D    float64
}

// TestReferee compares areas and distances with an outside kernel on outlines whose arcs
// are flattened to 1e-4 mm, so that each area may differ by the edges' length times that.
func TestReferee(t *testing.T) {
	const python = "/usr/bin/python3"
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, python3-shapely: PERCH_REFEREES=require asks for it")
	}
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Fatalf("the referee is missing: %s with shapely: %v", python, err)
	}
	const chord = 1e-4
	rng := rand.New(rand.NewPCG(1, 2))
	var as, bs []Loop
	var cases []refereeCase
	for len(cases) < 200 {
		grid := float64(len(cases) % 3)
		a, b := randomOutline(rng, grid), randomOutline(rng, grid)
		if len(cases)%10 == 9 {
			b = at(b, 45, 0) // apart, for distances
		}
		if Check(a) != nil || Check(b) != nil || a.Area() < 1 || b.Area() < 1 {
			continue
		}
		as, bs = append(as, a), append(bs, b)
		cases = append(cases, refereeCase{flat(a, chord), flat(b, chord), rng.Float64()*8 - 3})
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", refereeScript)
	cmd.Stdin = bytes.NewReader(in)
	raw, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][5]float64
	if err := json.Unmarshal(raw, &want); err != nil {
		t.Fatal(err)
	}
	if len(want) != len(cases) {
		t.Fatalf("the referee answered %d of %d cases", len(want), len(cases))
	}
	for i := range cases {
		a, b := Region{as[i]}, Region{bs[i]}
		got := [5]float64{Union(a, b).Area(), Intersect(a, b).Area(), Subtract(a, b).Area(), Offset(a, cases[i].D).Area(), 0}
		if got[1] == 0 {
			got[4], _, _ = Distance(a, b)
		}
		tol := (a.Length() + b.Length() + 60) * chord
		for k := range got {
			if math.Abs(got[k]-want[i][k]) > tol {
				t.Errorf("case %d, %s: got %.9g, the referee %.9g\na %s\nb %s offset %g", i,
					[5]string{"union", "intersection", "difference", "offset", "distance"}[k], got[k], want[i][k], format(a), format(b), cases[i].D)
			}
		}
	}
}

func randomOutline(rng *rand.Rand, grid float64) Loop {
	n := 3 + rng.IntN(8)
	c := Point{rng.Float64()*16 - 8, rng.Float64()*16 - 8}
	l := make(Loop, n)
	for i := range l {
		p := c.Add(Polar(4+11*rng.Float64(), 2*math.Pi*float64(i)/float64(n)))
		if grid > 0 {
			p = Point{math.Round(p.X/grid) * grid, math.Round(p.Y/grid) * grid}
		}
		l[i].P = p
		if rng.IntN(2) == 0 {
			l[i].Bulge = rng.Float64()*0.5 - 0.2
		}
	}
	return l
}

func flat(l Loop, chord float64) [][2]float64 {
	var out [][2]float64
	for _, p := range Flatten(l, chord) {
		out = append(out, [2]float64{p.X, p.Y})
	}
	return out
}
