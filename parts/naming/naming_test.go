package naming_test

import (
	"fmt"
	"testing"

	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/record/stool"
)

func ExamplePlain() {
	fmt.Println(naming.Plain("mild_steel"), "–", naming.Plain("rung.1.2"), "–", naming.Plain("leg.back_left"))
	// Output: mild steel – rung (1.2) – leg back left
}

// A stool's four corner legs and the four flaps of its one cap are told by where they are,
// seen from the front; the legs' two cheeks are of one blank that stands at four corners.
func TestStool(t *testing.T) {
	a := sample(t)
	n := naming.Of(a)
	seen := map[string]bool{}
	for i := range a.Copies {
		if seen[n.Copy(i)] {
			t.Errorf("two copies are called %s", n.Copy(i))
		}
		seen[n.Copy(i)] = true
	}
	for _, want := range []string{"front left leg", "front right leg", "back left leg", "back right leg"} {
		if !seen[want] {
			t.Errorf("no copy is called %s: %v", want, seen)
		}
	}
	for i, c := range a.Copies {
		p := c.Matrix.Apply(a.Blanks[c.Blank].Flat.Faces[0].Frame.At(a.Blanks[c.Blank].Flat.Faces[0].Loop[0].P))
		if n.Copy(i) == "front left leg" && (p.X > 0 || p.Y > 0) {
			t.Errorf("the front left leg stands at %v", p)
		}
	}
}

func sample(t *testing.T) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return a
}
