package value

import (
	"fmt"
	"testing"

	"perch/lang/diag"
	"perch/parts/plane"
)

// square is a square about the origin with its edges named.
func square(side float64) *Shape {
	return &Shape{By: func(c *Canvas) Drawn {
		h := side / 2
		p := [4]plane.Point{{X: -h, Y: -h}, {X: h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}}
		return c.Solid(plane.Region{LoopOf(p[:])}, Quad(p))
	}}
}

// Shapes are drawn only when a face asks: here on no face at all.
func Example() {
	ring := Without(square(60), square(20), diag.Span{})
	region, _ := ring.Draw(Free).Bounded()
	fmt.Printf("%.0f mm²\n", region.Area())

	legs := &Family{Keys: [][]Value{{Count(1)}, {Count(2)}}, Members: []Value{Length(400), Length(380)}}
	second, _ := legs.Pick([]Value{Count(2)})
	fmt.Println(Shown(second.(Number)))
	// Output:
	// 3200 mm²
	// 380mm
}

// TestEveryValueHasAName: a message must never show a Go type.
func TestEveryValueHasAName(t *testing.T) {
	for want, v := range map[string]Value{
		"length": Length(1), "number": Count(3), "flag": true, "text": "a", "gauge": Gauge{18}, "point": Pair{}, "shape": square(1),
		"plane": Placed{}, "stock": Stock{}, "family": &Family{}, "list": &List{}, "material": Material("mild_steel"),
		"fastener": Fastener{}, "bend": BendSpec{}, "seam treatment": SeamSpec{}, "mark": MarkSpec{}, "load": &Load{}, "word": Word("u"),
	} {
		if got := KindOf(v); got != want {
			t.Errorf("%#v is told as %q, want %q", v, got, want)
		}
	}
}

// TestFamilyPicksByLeadingIndices: fewer indices leave a family of the rest.
func TestFamilyPicksByLeadingIndices(t *testing.T) {
	f := &Family{
		Keys:    [][]Value{{Count(1), Count(1)}, {Count(1), Count(2)}, {Count(2), Count(1)}},
		Members: []Value{"a", "b", "c"},
	}
	v, n := f.Pick([]Value{Count(1)})
	rest, is := v.(*Family)
	if n != 1 || !is || len(rest.Members) != 2 || rest.Members[1] != "b" {
		t.Fatalf("first index 1 picks %#v", v)
	}
	if v, n := f.Pick([]Value{Count(2), Count(1)}); n != 1 || v != "c" {
		t.Errorf("2, 1 picks %v", v)
	}
	if _, n := f.Pick([]Value{Count(3)}); n > 0 {
		t.Error("there is no copy 3")
	}
}
