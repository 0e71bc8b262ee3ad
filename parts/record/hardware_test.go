package record_test

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record"
	"perch/parts/shop"
)

// What is taken from the drawer is counted by kind, diameter, grip and length; grips that
// differ by rounding are one; bolts bring nuts and washers.
func TestHardwareList(t *testing.T) {
	a := &panel.Assembly{}
	add := func(n int, j panel.JoinPoint) {
		for range n {
			a.Joins = append(a.Joins, j)
		}
	}
	rivet := func(grip float64, h panel.Hardware) panel.JoinPoint {
		return panel.JoinPoint{Kind: "rivet", Diameter: 4.8, Grip: grip, Hardware: h}
	}
	pulled := panel.Hardware{Closing: shop.Pulled, Shank: shop.Shank{Length: 8, Need: 8, Listed: true}}
	add(1, panel.JoinPoint{Kind: "bolt", Diameter: 6, Grip: 3, Hardware: panel.Hardware{Shank: shop.Shank{Length: 16, Need: 12.6}}})
	add(30, rivet(3, pulled))
	add(2, rivet(3+1e-7, pulled))
	add(3, rivet(3.5, pulled))
	add(4, panel.JoinPoint{Kind: "rivet", Diameter: 4, Grip: 3, Hardware: panel.Hardware{Closing: shop.Cold, Shank: shop.Shank{Length: 10, Need: 9, Cut: 9}}})
	add(1, rivet(30, panel.Hardware{Closing: shop.Pulled, Shank: shop.Shank{Listed: true}}))
	add(5, panel.JoinPoint{Kind: "tack", Diameter: 5})
	for _, c := range []struct {
		in   measure.System
		want [][]string
	}{
		{measure.Millimetres, [][]string{
			{"kind", "diameter_mm", "grip_mm", "length_mm", "count", "note"},
			{"blind rivet", "4.8", "3", "8", "32", "fetch 36, 4 of them to spare"},
			{"blind rivet", "4.8", "3.5", "8", "3", "fetch 5, 2 of them to spare"},
			{"blind rivet", "4.8", "30", "", "1", "fetch 3, 2 of them to spare; the shop lists no length that fits"},
			{"solid rivet", "4", "3", "10", "4", "fetch 6, 2 of them to spare; cut to 9 mm"},
			{"bolt", "6", "3", "16", "1", "fetch 3, 2 of them to spare"},
			{"nut", "6", "", "", "1", "fetch 3, 2 of them to spare"},
			{"washer", "6", "", "", "2", "fetch 4, 2 of them to spare"},
		}},
		{measure.Inches, [][]string{
			{"kind", "diameter_in", "grip_in", "length_in", "count", "note"},
			{"blind rivet", "0.189", "0.1181", "0.315", "32", "fetch 36, 4 of them to spare"},
		}},
	} {
		var b bytes.Buffer
		if err := record.HardwareList(&b, a, c.in); err != nil {
			t.Fatal(err)
		}
		got, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if c.in == measure.Inches {
			got = got[:2]
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%v (-want +got):\n%s", c.in, diff)
		}
	}
}
