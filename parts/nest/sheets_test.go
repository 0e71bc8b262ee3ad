package nest_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"perch/parts/nest"
	"perch/parts/outline"
	"perch/parts/plane"
)

func rect(x, y float64) plane.Region {
	return plane.Region{plane.RectAt(plane.Point{}, plane.Point{X: x, Y: y})}
}

func ExampleSheets() {
	job := nest.Job{
		Blanks:  []nest.Blank{{Name: "side", Region: rect(300, 200), Count: 6, Material: "mild_steel", Thickness: 2}},
		Sheets:  []nest.Sheet{{Name: "small", Material: "mild_steel", Thickness: 2, Length: 1000, Width: 500}},
		Margin:  5,
		Spacing: 6,
	}
	r, err := nest.Sheets(context.Background(), job, nest.Options{Effort: 0.02})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d sheet, %d blanks, %.0f %% full\n", len(r.Sheets), len(r.Sheets[0].Placed), 100*r.Sheets[0].Density)
	// Output: 1 sheet, 6 blanks, 72 % full
}

// mixed is a job with arcs, a large hole that takes small blanks, and a remnant.
func mixed() nest.Job {
	frame := append(rect(600, 400), plane.RectAt(plane.Point{X: 60, Y: 60}, plane.Point{X: 540, Y: 340}).Reversed())
	disc := plane.Region{plane.Circle(120)}
	ell := plane.Region{{{P: plane.Point{}}, {P: plane.Point{X: 250}}, {P: plane.Point{X: 250, Y: 60}}, {P: plane.Point{X: 60, Y: 60}}, {P: plane.Point{X: 60, Y: 200}}, {P: plane.Point{Y: 200}}}}
	return nest.Job{
		Blanks: []nest.Blank{
			{Name: "frame", Region: frame, Count: 1, Material: "m", Thickness: 2},
			{Name: "disc", Region: disc, Count: 5, Material: "m", Thickness: 2},
			{Name: "ell", Region: ell, Count: 4, Material: "m", Thickness: 2, Mirror: true},
		},
		Sheets:  []nest.Sheet{{Name: "sheet", Material: "m", Thickness: 2, Length: 1000, Width: 420}},
		Margin:  5,
		Spacing: 4,
		Kerf:    1.5,
	}
}

func TestSmallBlanksLieInHoles(t *testing.T) {
	j := mixed()
	r, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Sheets) != 1 || len(r.Sheets[0].Placed) != 10 {
		t.Fatalf("%d sheets, %+v", len(r.Sheets), r.Sheets)
	}
	var frame plane.Box
	for _, p := range r.Sheets[0].Placed {
		if p.Piece == 0 {
			frame = j.Blanks[0].Region.Transform(p.Transform()).Bounds()
		}
	}
	inside := 0
	for _, p := range r.Sheets[0].Placed {
		b := j.Blanks[p.Piece].Region.Transform(p.Transform()).Bounds()
		if p.Piece != 0 && frame.Holds(b.Min) && frame.Holds(b.Max) {
			inside++
		}
	}
	if inside == 0 {
		t.Error("no blank lies in the frame's opening, and there is no room for all beside it")
	}
	again, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.05})
	if err != nil || !reflect.DeepEqual(r, again) {
		t.Errorf("the same job gave another result: %v", err)
	}
}

func TestRemnantIsUsedFirst(t *testing.T) {
	j := mixed()
	// An L-shaped remnant; only its foot takes an ell and discs.
	j.Sheets = append(j.Sheets, nest.Sheet{Name: "rest", Material: "m", Thickness: 2, Outline: plane.Region{{
		{P: plane.Point{X: 100, Y: 100}}, {P: plane.Point{X: 800, Y: 100}}, {P: plane.Point{X: 800, Y: 400}}, {P: plane.Point{X: 450, Y: 400}}, {P: plane.Point{X: 450, Y: 800}}, {P: plane.Point{X: 100, Y: 800}}}}})
	j.Blanks = j.Blanks[1:]
	r, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Sheets) != 1 || j.Sheets[r.Sheets[0].Sheet].Name != "rest" {
		t.Fatalf("the remnant alone would do: %+v", r.Sheets)
	}
}

func TestJobErrors(t *testing.T) {
	try := func(name string, change func(j *nest.Job), want any) {
		j := mixed()
		change(&j)
		_, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.01})
		if err == nil || !errors.As(err, want) {
			t.Errorf("%s: got %v", name, err)
			return
		}
		t.Log(err)
	}
	try("count", func(j *nest.Job) { j.Blanks[1].Count = 0 }, new(*nest.CountError))
	try("spacing", func(j *nest.Job) { j.Spacing = 1 }, new(*nest.SpacingError))
	try("thickness", func(j *nest.Job) { j.Blanks[1].Thickness = 3 }, new(*nest.NoSheetError))
	var large *nest.TooLargeError
	try("large", func(j *nest.Job) { j.Blanks[1].Region = rect(500, 430) }, &large)
	if large != nil && (large.Over < 19.9 || large.Over > 20.1) {
		// 430 + 2·5 margin − 420 = 20
		t.Errorf("misses by %g, want 20", large.Over)
	}
	if large != nil && (large.Rotation != 0 && large.Rotation != 180 || large.Blank != "disc" || large.Sheet != "sheet") {
		t.Errorf("%+v", large)
	}
	nan := math.NaN()
	number := new(*nest.NumberError)
	try("spacing is no number", func(j *nest.Job) { j.Spacing = nan }, number)
	try("spacing below 0", func(j *nest.Job) { j.Spacing = -1 }, number)
	try("margin is no number", func(j *nest.Job) { j.Margin = nan }, number)
	try("margin without end", func(j *nest.Job) { j.Margin = math.Inf(1) }, number)
	try("kerf is no number", func(j *nest.Job) { j.Kerf = nan }, number)
	try("kerf below 0", func(j *nest.Job) { j.Kerf = -0.5 }, number)
	try("price is no number", func(j *nest.Job) { j.Sheets[0].Price = nan }, number)
	try("price below 0", func(j *nest.Job) { j.Sheets[0].Price = -1 }, number)
	try("length is no number", func(j *nest.Job) { j.Sheets[0].Length = nan }, number)
	try("no width", func(j *nest.Job) { j.Sheets[0].Width = 0 }, number)
	try("rotation is no number", func(j *nest.Job) { j.Blanks[0].Rotations = []float64{0, nan} }, number)
	try("thickness is no number", func(j *nest.Job) { j.Blanks[0].Thickness = nan }, number)
	var metal *nest.NoMetalError
	try("margin eats the sheet", func(j *nest.Job) { j.Margin = 210 }, &metal)
	if metal != nil && (metal.Width != 420 || metal.Margin != 210) {
		t.Errorf("%+v", metal)
	}
	try("stock below 0", func(j *nest.Job) { j.Sheets[0].Count = -2 }, new(*nest.CountError))
	try("count below 0", func(j *nest.Job) { j.Blanks[2].Count = -2 }, new(*nest.CountError))
	try("no blanks", func(j *nest.Job) { j.Blanks = nil }, new(*nest.CountError))
	try("corner is no number", func(j *nest.Job) { j.Blanks[2].Region = rect(nan, 5) }, new(*outline.Error))
	try("blank without outline", func(j *nest.Job) { j.Blanks[2].Region = nil }, new(*outline.Error))
	try("hole touches the outline", func(j *nest.Job) {
		j.Blanks[2].Region = append(rect(50, 50), plane.RectAt(plane.Point{}, plane.Point{X: 20, Y: 20}).Reversed())
	}, new(*outline.Error))
	try("room", func(j *nest.Job) { j.Sheets[0].Count = 1; j.Blanks[1].Count = 30 }, new(*nest.NoRoomError))
	try("crossed", func(j *nest.Job) {
		j.Sheets[0].Outline = plane.Region{{{P: plane.Point{}}, {P: plane.Point{X: 9, Y: 9}}, {P: plane.Point{X: 9}}, {P: plane.Point{Y: 9}}}}
	}, new(*outline.Error))
}
