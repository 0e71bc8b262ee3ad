package cutplan

import (
	"math"
	"os"
	"slices"
	"testing"

	"perch/parts/measure"
	"perch/parts/plane"
)

// sheetOf rebuilds a nested sheet from its drawing. Those in testdata are this
// program's own, of orders named in testdata/README.
func sheetOf(t testing.TB, name string) *Sheet {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	found, _, err := readDrawing(string(text), measure.Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	s := &Sheet{Name: name, Material: "mild_steel", Thickness: 1.5, Metal: plane.Region{plane.RectAt(plane.Point{}, plane.Point{X: 2500, Y: 1250})}}
	for _, f := range found {
		if !f.inside {
			if f.loop.Area() < 0 {
				f.loop = f.loop.Reversed()
			}
			s.Parts = append(s.Parts, Part{Number: len(s.Parts) + 1, Region: plane.Region{f.loop}})
		}
	}
	for _, f := range found {
		if !f.inside {
			continue
		}
		if f.loop.Area() > 0 {
			f.loop = f.loop.Reversed()
		}
		// Of the outlines about a hole the smallest is its blank's.
		best, area := -1, math.Inf(1)
		for i := range s.Parts {
			if a := s.Parts[i].Region[0].Area(); a < area && (plane.Region{s.Parts[i].Region[0]}).Locate(f.loop[0].P) == plane.Inside {
				best, area = i, a
			}
		}
		s.Parts[best].Region = append(s.Parts[best].Region, f.loop)
	}
	return s
}

// The plan's travel, heat spread and all, is held against the best tour of a long
// run: two starts, each kicked five times as often.
func TestTravelOfRealSheetsIsNearTheBestOfALongRun(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run")
	}
	// The shortest found by runs longer yet, mm: three to eight starts, each kicked
	// ten to twenty times as often.
	known := map[string]float64{"stool.dxf": 2890, "stools.dxf": 10158.4, "gussets.dxf": 2400.8, "hooks.dxf": 6341.7}
	for _, name := range []string{"stool.dxf", "stools.dxf", "gussets.dxf", "hooks.dxf"} {
		s := sheetOf(t, name)
		p, err := New(s, Options{Kerf: 1.5, LeadIn: 2.6, SmallHole: 12, Drill: 6})
		if err != nil {
			t.Fatal(err)
		}
		tr := newTour(p)
		tr.near = nearness(p.Cuts)
		long := known[name]
		for seed := range uint64(2) {
			tr.seed = 1000 + seed
			o := tr.best(5 * kicks)
			long = min(long, tr.length(o))
		}
		tr.seed = 1
		short := tr.best(kicks)
		t.Logf("%s: %d cuts; travel %.2f m, shortest tour %.2f, long run %.2f: %.1f %% more; heat %.1f, of the shortest tour %.1f; next door %d and %d times",
			name, len(p.Cuts), p.Travel/1000, tr.length(short)/1000, long/1000, 100*(p.Travel/long-1), p.Heat, tr.heat(short), nextDoor(tr, identity(len(p.Cuts))), nextDoor(tr, short))
		if p.Travel > 1.1*long {
			t.Errorf("%s: travel %.1f mm, the long run's %.1f", name, p.Travel, long)
		}
		if was, is := tr.heat(short), tr.heat(tr.spread(slices.Clone(short))); is > was+1e-9 {
			t.Errorf("%s: spreading heat made it worse: %.2f, was %.2f", name, is, was)
		}
	}
}

func identity(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// nextDoor counts how often a tour goes on within 10 mm.
func nextDoor(t *tour, o []int) int {
	n := 0
	for i := 1; i < len(o); i++ {
		if t.near[o[i]][o[i-1]] > 1-10.0/HeatReach {
			n++
		}
	}
	return n
}

// No words on a picture lie on others, every blank has its number, and nine pierces
// of ten at least have theirs.
func TestWordsOnPicturesStayApart(t *testing.T) {
	for _, name := range []string{"stool.dxf", "stools.dxf", "gussets.dxf", "hooks.dxf"} {
		s := sheetOf(t, name)
		p, err := New(s, Options{Kerf: 1.5, LeadIn: 2.6, SmallHole: 12, Drill: 6})
		if err != nil {
			t.Fatal(err)
		}
		k := sketched(p, Caption{Title: name, Left: p.Left(6)})
		for i, a := range k.taken {
			for _, b := range k.taken[:i] {
				if a.Overlaps(b) {
					t.Errorf("%s: words overlap at (%.1f, %.1f)", name, a.Center().X, a.Center().Y)
				}
			}
			if a.Min.X < 0 || a.Min.Y < 0 || a.Max.X > k.page.Wide || a.Max.Y > k.page.High {
				t.Errorf("%s: words leave the page at (%.1f, %.1f)", name, a.Center().X, a.Center().Y)
			}
		}
		if k.unnumbered > 0 {
			t.Errorf("%s: %d blanks have no number", name, k.unnumbered)
		}
		if k.unsaid*10 > p.Pierces {
			t.Errorf("%s: %d of %d pierces have no number", name, k.unsaid, p.Pierces)
		}
		t.Logf("%s: %d of %d pierces have no number", name, k.unsaid, p.Pierces)
	}
}
