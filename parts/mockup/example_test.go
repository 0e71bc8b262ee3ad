package mockup_test

import (
	"fmt"

	"perch/parts/mockup"
	"perch/parts/record/stool"
)

// A stool at a quarter of its size: what is glued where, and in which order.
func Example() {
	a, _ := stool.Assembly()
	scale, _ := mockup.ParseScale("1:4")
	m, err := mockup.Make(a, scale)
	if err != nil {
		fmt.Println(err)
	}
	for _, g := range m.Glues[:6] {
		fmt.Println(g.Letter, m.FaceName(g.A), m.FaceName(g.B))
	}
	for i, s := range m.Steps {
		fmt.Println(i+1, a.Copies[s.Copy].Name)
	}
	strip := m.Pattern(m.Steps[1].Copy).Strips[0]
	fmt.Printf("the fold stands for %.2f mm where metal takes %.2f\n", strip.Wide, a.Blanks[a.Copies[m.Steps[1].Copy].Blank].Flat.Folds[0].Bend.Allowance())
	_, err = mockup.ParseScale("small")
	fmt.Println(err)
	// Output:
	// A cap.flap.1 cap.flap.2
	// B cap.flap.2 cap.flap.3
	// C cap.flap.3 cap.flap.4
	// D cap.flap.4 cap.flap.1
	// E cap.flap.1 leg.1.left
	// F cap.flap.2 leg.1.right
	// 1 cap
	// 2 leg.1
	// 3 leg.2
	// 4 leg.3
	// 5 leg.4
	// the fold stands for 4.45 mm where metal takes 3.11
	// "small" is no scale: there is no colon in it. Write the model's length first, as 1:4: a quarter of the size
}
