package solid

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"perch/solver/elementary"
)

// table reads a CSV of testdata whose comment lines name its source.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for _, row := range rows[1:] {
		var nums []float64
		for _, c := range row {
			x, err := strconv.ParseFloat(c, 64)
			if err != nil {
				t.Fatal(err)
			}
			nums = append(nums, x)
		}
		out = append(out, nums)
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return out
}

const (
	deg      = math.Pi / 180
	tableTol = 6e-10 // the tables' last digit, in their own units
)

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tableTol) {
		t.Errorf("%s: got %.12f, want %.9f", what, got, want)
	}
}

func TestRegularFrustumTable(t *testing.T) {
	for _, row := range table(t, "frustum.csv") {
		n, lean := int(row[0]), row[1]*deg
		const h = 600.0
		b, err := Frustum(n, 1000, 1000+2*h*elementary.Tan(lean), h)
		if err != nil {
			t.Fatal(err)
		}
		where := fmt.Sprintf("n %d lean %v", n, row[1])
		for _, c := range b.Corners() {
			near(t, where+" corner bend", c.BendAngle()/deg, row[2])
		}
		for _, s := range b.Sides() {
			near(t, where+" slant", s.Slant()/h, row[3])
			up, n := b.Top().Normal(), s.Frame().Normal()
			near(t, where+" flap bend", elementary.Atan2(up.Cross(n).Len(), up.Dot(n))/deg, row[4])
		}
	}
}

func TestRectangularFrustumTable(t *testing.T) {
	for _, row := range table(t, "frustum_rect.csv") {
		const h = 600.0
		a, bl := row[0]*deg, row[1]*deg
		// side a faces y (sides 1 and 3), side b faces x
		b, err := RectFrustum(1000, 900, 1000+2*h*elementary.Tan(bl), 900+2*h*elementary.Tan(a), h)
		if err != nil {
			t.Fatal(err)
		}
		c := b.Corners()[0] // between side 1 (a) and side 2 (b)
		where := fmt.Sprintf("leans %v %v", row[0], row[1])
		near(t, where+" corner bend", c.BendAngle()/deg, row[2])
		edge := c.Edge().D
		ina, inb := c.Left().Frame().LocalDir(edge), c.Right().Frame().LocalDir(edge)
		near(t, where+" edge in a", elementary.Atan2(-ina.X, ina.Y)/deg, row[3])
		near(t, where+" edge in b", elementary.Atan2(inb.X, inb.Y)/deg, row[4])
		near(t, where+" edge per rise", 1/edge.Z, row[5])
	}
}

func TestInsetMovesPlanesAndKeepsFloor(t *testing.T) {
	b, err := Frustum(4, 320, 320+1220*elementary.Tan(6*deg), 610)
	if err != nil {
		t.Fatal(err)
	}
	in, err := b.Inset(1.5, 1.5, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range in.Sides() {
		p, q := s.Frame().Plane(), b.Sides()[i].Frame().Plane()
		if math.Abs(q.D-p.D-1.5) > 1e-12 {
			t.Errorf("side %d moved by %.15f", i+1, q.D-p.D)
		}
	}
	// derived from intersecting planes: distances and foot of the worked stool
	near(t, "flap plane", b.Sides()[1].Frame().Plane().D, 222.885865852)
	near(t, "leg plane", in.Sides()[1].Frame().Plane().D, 221.385865852)
	near(t, "foot over the legs", 2*in.Corners()[0].PointAt(0).X, 445.210642185)
}

func TestBodyErrors(t *testing.T) {
	for _, bad := range [][3]float64{{300, 300, 0}, {300, 300, -5}, {-1, 300, 600}, {300, math.NaN(), 600}, {300, math.Inf(1), 600}} {
		if _, err := Frustum(4, bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("frustum %v: no error", bad)
		}
	}
	if _, err := Frustum(2, 300, 300, 600); err == nil {
		t.Error("two sides: no error")
	}
	b, err := Frustum(5, 300, 300, 600)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Inset(151, 0, 0); err == nil {
		t.Error("inset past the axis: no error")
	}
}

func ExampleFrustum() {
	stool, err := Frustum(4, 320, 480, 760)
	if err != nil {
		panic(err)
	}
	s := stool.Sides()[0]
	fmt.Printf("lean %.3f°, slant %.3f mm\n", s.Lean()/deg, s.Slant())
	// Output: lean 6.009°, slant 764.199 mm
}
