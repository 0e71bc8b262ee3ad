package family_test

import (
	"fmt"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// A piece of more fasteners than misfits are worked out for is told of once, at a join, with the number
// there is and the bound; a smaller one is not.
func TestUnsettledIsTold(t *testing.T) {
	for _, c := range []struct{ count, told int }{{700, 1}, {100, 0}} {
		text := fmt.Sprintf(`design "Long" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate(z: length) { face base on level(z) { outline rect(9000mm, 60mm) } }
part low of steel = plate(0mm)
part high of steel = plate(1.5mm)
join pin = high.base to low.base by rivet(3.2mm, count: %d)
`, c.count)
		facts := shop.Default()
		p, diags, err := load.Source(diag.NewSource("long.perch", text), load.Library(), facts)
		if err != nil || len(diags) > 0 {
			t.Fatal(err, diags)
		}
		told := 0
		for _, d := range (family.Job{Program: p, Shop: facts}).Check() {
			if d.Code != shopcheck.Unsettled.Code {
				continue
			}
			told++
			if !strings.Contains(d.Summary, "700 matched holes that move each other, up to 600") || !strings.Contains(d.Summary, "fewer fasteners") || !strings.HasPrefix(d.Span.Text(), "rivet(") {
				t.Errorf("at %q: %s", d.Span.Text(), d.Summary)
			}
		}
		if told != c.told {
			t.Errorf("of %d rivets it is told %d times, want %d", c.count, told, c.told)
		}
	}
}
