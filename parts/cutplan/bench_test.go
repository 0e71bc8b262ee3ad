package cutplan

import "testing"

func BenchmarkPlan(b *testing.B) {
	s := sheetOf(b, "hooks.dxf")
	opt := Options{Kerf: 1.5, LeadIn: 2.6, SmallHole: 12, Drill: 6}
	for b.Loop() {
		if _, err := New(s, opt); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTour(b *testing.B) {
	p, err := New(sheetOf(b, "hooks.dxf"), Options{Kerf: 1.5, LeadIn: 2.6, SmallHole: 12, Drill: 6})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		newTour(p).best(kicks)
	}
}
