package cutplan

import (
	"testing"

	"perch/parts/plane"
)

// A tour is held against the best of a run eleven times as long, and against the
// order by nearest neighbours that it starts from.
func TestTravelIsNearTheBestOfALongRun(t *testing.T) {
	for seed := range uint64(2) {
		tr := &tour{seed: seed + 10}
		const n = 60
		for i := range n {
			p := plane.Point{X: float64(tr.random(2000)), Y: float64(tr.random(1000))}
			tr.start = append(tr.start, p)
			tr.end = append(tr.end, p.Add(plane.Point{X: 3, Y: 2}))
			must := make([]bool, n)
			var before []int
			if i%4 == 3 { // an outside after three insides
				before = []int{i - 1, i - 2, i - 3}
			}
			for _, k := range before {
				must[k] = true
			}
			tr.before, tr.must = append(tr.before, before), append(tr.must, must)
		}
		start := tr.length(tr.nearest())
		got := tr.best(kicks)
		done := make([]bool, n)
		for _, k := range got {
			for _, b := range tr.before[k] {
				if !done[b] {
					t.Fatalf("cut %d comes before %d", k, b)
				}
			}
			if done[k] {
				t.Fatalf("cut %d is there twice", k)
			}
			done[k] = true
		}
		long := tr.length(got)
		for range 10 {
			long = min(long, tr.length(tr.best(kicks)))
		}
		t.Logf("nearest %.0f, tour %.0f, long run %.0f", start, tr.length(got), long)
		if l := tr.length(got); l > 1.1*long || l > start {
			t.Errorf("travel %.0f, nearest neighbours %.0f, long run %.0f", l, start, long)
		}
	}
}
