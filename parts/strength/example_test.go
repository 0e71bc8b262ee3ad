package strength_test

import (
	"context"
	"fmt"

	"perch/parts/record/stool"
	"perch/parts/shell"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/strength"
)

// A stool of 1.5 mm sheet is sat on: an estimate.
func Example() {
	a, err := stool.Assembly()
	if err != nil {
		fmt.Println(err)
		return
	}
	steel := strength.Metal{Material: shell.Material{E: 205000, Nu: 0.3}, Yield: 235, Density: 7850}
	p, err := strength.New(context.Background(), a, strength.Options{
		Side: 40, Friction: 0.3, Weightful: true,
		Metal: func(shop.Stock) (strength.Metal, bool) { return steel, true },
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	got, err := p.Solve(context.Background(), strength.Load{
		Name: "sit", Force: solid.Vec{Z: -600}, At: solid.Vec{Y: 80, Z: 610}, Spread: 120})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("sags %.0f mm on %d feet\n", got.Sag, len(got.Feet))
	// Output:
	// sags 3 mm on 4 feet
}
