package nest_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"perch/parts/nest"
	"perch/parts/outline"
	"perch/parts/plane"
)

func ring(xy ...float64) plane.Region {
	var l plane.Loop
	for i := 0; i+1 < len(xy); i += 2 {
		l = append(l, plane.Vertex{P: plane.Point{X: xy[i], Y: xy[i+1]}})
	}
	return plane.Region{l}
}

// Squares on sheets as wide as one: what a mix of sheets takes is known, and the
// cheapest mix is found by going through all.
func TestCheapestMixOfSheets(t *testing.T) {
	for _, c := range []struct {
		squares int
		sheets  []nest.Sheet // Length in squares
	}{
		{7, []nest.Sheet{{Length: 2, Price: 10}, {Length: 3, Price: 14}, {Length: 5, Price: 30}}},
		{9, []nest.Sheet{{Length: 2, Price: 10, Count: 1}, {Length: 4, Price: 25, Count: 1}, {Length: 6, Price: 29}}},
		{10, []nest.Sheet{{Length: 3, Price: 9, Count: 2}, {Length: 7, Price: 22}, {Length: 4, Price: 13, Count: 1}}},
		{12, []nest.Sheet{{Length: 5, Price: 20}, {Length: 6, Price: 25}, {Length: 1, Price: 3, Count: 2}}},
	} {
		want := math.Inf(1)
		var walk func(i, room int, price float64)
		walk = func(i, room int, price float64) {
			if room >= c.squares {
				want = min(want, price)
				return
			}
			if i == len(c.sheets) {
				return
			}
			s := c.sheets[i]
			for n := 0; n <= c.squares && (s.Count == 0 || n <= s.Count); n++ {
				walk(i+1, room+n*int(s.Length), price+float64(n)*s.Price)
			}
		}
		walk(0, 0, 0)
		j := nest.Job{Blanks: []nest.Blank{{Name: "square", Region: rect(100, 100), Count: c.squares, Material: "m", Thickness: 2}}}
		for _, s := range c.sheets {
			s.Name, s.Material, s.Thickness, s.Length, s.Width = "s", "m", 2, 100*s.Length+3, 101
			j.Sheets = append(j.Sheets, s)
		}
		var price float64
		r := run(t, j, nest.Options{Effort: 0.1})
		for _, u := range r.Sheets {
			price += j.Sheets[u.Sheet].Price
		}
		if price != want {
			t.Errorf("%d squares for %g, the cheapest mix costs %g", c.squares, price, want)
		}
	}
}

// A blank without symmetry fits the remnant of its mirrored form only turned over.
func TestMirroredOnlyWhereAllowed(t *testing.T) {
	s := ring(0, 0, 200, 0, 200, 100, 300, 100, 300, 200, 100, 200, 100, 100, 0, 100)
	z := s.Transform(plane.MirrorX()).Transform(plane.Translate(plane.Point{X: 400, Y: 50}))
	j := nest.Job{
		Blanks: []nest.Blank{{Name: "s", Region: s, Count: 1, Material: "m", Thickness: 2}},
		Sheets: []nest.Sheet{{Name: "rest", Material: "m", Thickness: 2, Outline: plane.Offset(z, 2)}},
		Margin: 1,
	}
	_, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.05})
	var room *nest.NoRoomError
	if !errors.As(err, &room) || room.Left != 1 || room.Blank != "s" {
		t.Fatalf("not turned over it fits nowhere: %v", err)
	}
	j.Blanks[0].Mirror = true
	r := run(t, j, nest.Options{Effort: 0.05})
	if len(r.Sheets) != 1 || !r.Sheets[0].Placed[0].Mirrored {
		t.Fatalf("%+v", r.Sheets)
	}
	// On a sheet with room for both it is left as it was drawn where it must be.
	j.Blanks[0].Mirror, j.Blanks[0].Count = false, 6
	j.Sheets = []nest.Sheet{{Name: "sheet", Material: "m", Thickness: 2, Length: 1000, Width: 700}}
	for _, u := range run(t, j, nest.Options{Effort: 0.05}).Sheets {
		for _, p := range u.Placed {
			if p.Mirrored {
				t.Error("turned over without leave")
			}
		}
	}
}

// Small blanks go into the notches of a large one where there is no other room.
func TestSmallBlanksLieInNotches(t *testing.T) {
	comb := ring(0, 0, 500, 0, 500, 300, 400, 300, 400, 60, 300, 60, 300, 300, 200, 300, 200, 60, 100, 60, 100, 300, 0, 300)
	j := nest.Job{
		Blanks: []nest.Blank{
			{Name: "comb", Region: comb, Count: 1, Material: "m", Thickness: 2},
			{Name: "tooth", Region: rect(85, 220), Count: 2, Material: "m", Thickness: 2},
		},
		Sheets:  []nest.Sheet{{Name: "sheet", Material: "m", Thickness: 2, Length: 520, Width: 320, Count: 1}},
		Margin:  5,
		Spacing: 6,
	}
	r := run(t, j, nest.Options{Effort: 0.1})
	if len(r.Sheets) != 1 || len(r.Sheets[0].Placed) != 3 {
		t.Fatalf("%+v", r.Sheets)
	}
}

// Blanks keep to a remnant with a hole in it, a round corner and a notch.
func TestRemnantWithHole(t *testing.T) {
	rest, err := outline.ReadSVG("rest.svg", `<svg width="800mm" height="500mm" viewBox="0 0 800 500">
		<path id="remnant" d="M0 0H500A300 300 0 0 1 800 300V500H450V400H350V500H0ZM200 200A60 60 0 0 0 320 200A60 60 0 0 0 200 200Z"/></svg>`)
	if err != nil {
		t.Fatal(err)
	}
	j := nest.Job{
		Blanks: []nest.Blank{
			{Name: "plate", Region: rect(180, 120), Count: 6, Material: "m", Thickness: 2},
			{Name: "disc", Region: plane.Region{plane.Circle(110)}, Count: 5, Material: "m", Thickness: 2},
		},
		Sheets: []nest.Sheet{
			{Name: "rest", Material: "m", Thickness: 2, Outline: rest},
			{Name: "sheet", Material: "m", Thickness: 2, Length: 2500, Width: 1250},
		},
		Margin: 6, Spacing: 6, Kerf: 2,
	}
	r := run(t, j, nest.Options{Effort: 0.2})
	if len(r.Sheets) != 1 || r.Sheets[0].Sheet != 0 {
		t.Fatalf("the remnant alone would do: %+v", r.Sheets)
	}
}

// What is told gets better, and a search stopped after the first layout of all
// metals answers with all blanks.
func TestProgressAndStop(t *testing.T) {
	j := job(flats(t, "stool", "mid", 1), 1250, 1250)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var heard []nest.Progress
	r, err := nest.Sheets(ctx, j, nest.Options{Effort: 0.5, Progress: func(p nest.Progress) {
		heard = append(heard, p)
		if p.Placed == p.Blanks {
			cancel()
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	complete(t, &j, r)
	last := heard[len(heard)-1]
	if last.Sheets != len(r.Sheets) || last.Blanks != 17 || last.Placed != 17 {
		t.Errorf("told %+v", heard)
	}
	heard = nil
	if _, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.1, Progress: func(p nest.Progress) { heard = append(heard, p) }}); err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(heard); i++ {
		p, q := heard[i-1], heard[i]
		if q.Placed == p.Placed && (q.Sheets > p.Sheets || q.Sheets == p.Sheets && q.Remnant < 0.999*p.Remnant) {
			t.Errorf("told %+v, then %+v", p, q)
		}
	}
	if len(heard) < 4 {
		t.Errorf("told %d times", len(heard))
	}
	if _, err := nest.Sheets(ctx, j, nest.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped before the first layout: %v", err)
	}
}
