package nest_test

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"

	"perch/parts/nest"
	"perch/parts/plane"
)

// countdown is a context that ends when it was asked so many times whether it has, and counts
// on: so a search can be stopped anywhere, the same on every machine.
type countdown struct {
	context.Context
	asked, end atomic.Int64
}

func after(n int64) *countdown {
	c := &countdown{Context: context.Background()}
	c.end.Store(n)
	return c
}

func (c *countdown) Err() error {
	if c.asked.Add(1) > c.end.Load() {
		return context.Canceled
	}
	return nil
}

// tally holds a result to its job: what lies on sheets and what is left are all there is.
func tally(t *testing.T, j *nest.Job, r *nest.Result) (placed, left int) {
	t.Helper()
	on := make([]int, len(j.Blanks))
	for _, u := range r.Sheets {
		if err := nest.Check(j, &j.Sheets[u.Sheet], u.Placed); err != nil {
			t.Error(err)
		}
		for _, p := range u.Placed {
			on[p.Piece]++
			placed++
		}
	}
	for k, n := range r.Left {
		on[k] += n
		left += n
	}
	for k, b := range j.Blanks {
		if on[k] != b.Count {
			t.Errorf("%s: %d of %d", b.Name, on[k], b.Count)
		}
	}
	return placed, left
}

// TestStoppedAnywhere: wherever a search is stopped it ends soon, and keeps what has a place:
// full sheets, and of a sheet that it was at what lies clear.
func TestStoppedAnywhere(t *testing.T) {
	one := job(flats(t, "stool", "mid", 1), 1250, 2500)
	many := nest.Job{Margin: 8, Spacing: 6, Kerf: 1.5, Sheets: []nest.Sheet{{Name: "sheet", Width: 1000, Length: 2000, Price: 1}},
		Blanks: []nest.Blank{
			{Name: "plate", Region: plane.Region{plane.Rect(380, 270)}, Count: 120},
			{Name: "disc", Region: plane.Region{plane.Circle(150)}, Count: 60},
		}}
	for name, j := range map[string]nest.Job{"one sheet": one, "many sheets": many} {
		some := false // stopped with some placed and some not
		for _, n := range []int64{0, 1, 20, 200, 1000, 2000, 5000, 10_000, 20_000} {
			if testing.Short() && n > 5000 {
				continue
			}
			ctx := after(n)
			r, err := nest.Sheets(ctx, j, nest.Options{Effort: 0.3})
			if late := ctx.asked.Load() - ctx.end.Load(); late > 5000 {
				t.Errorf("%s, stopped at %d: asked %d times more", name, n, late)
			}
			if errors.Is(err, context.Canceled) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			placed, left := tally(t, &j, r)
			some = some || placed > 0 && left > 0
			if left == 0 && r.Left != nil {
				t.Errorf("%s, stopped at %d: %v are left", name, n, r.Left)
			}
		}
		if !some {
			t.Errorf("%s: nothing was ever kept of a search that was stopped", name)
		}
	}
}
