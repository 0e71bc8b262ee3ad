package reason_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/reason"
	"perch/parts/shop"
)

// channel has a row of faces and bends whose sum is known by hand: the allowance of a
// bend of 90° with k 0.4 is π/2 · (2 + 0.4 · 2) mm (the arc at the neutral axis), and as faces are bent up, towards the side
// that they are drawn on, each loses the inside radius, 2 mm, at a bend.
const channel = `design "channel" in millimetres

stock steel = sheet(mild_steel, 2mm, radius: 2mm, k: 0.4)

param n: count = 2

size few
size many: n = 3

panel channel(at: length, long: length) {
  face web on level(at) { outline rect(long, 60mm) }
  face near off web.bottom up 90deg { outline strip(30mm) }
  face far off web.top up 90deg { outline strip(20mm) }
}

part rail[i in 1..n] of steel = channel(100mm * i, if i > 2 then 300mm else 200mm) loose
part lone of steel = channel(900mm, 200mm) loose
`

// TestPieces wants a part to be its blanks, alike copies on one, and their width to be
// made of faces and bends that add up to it.
func TestPieces(t *testing.T) {
	path := filepath.Join(t.TempDir(), "channel.perch")
	if err := os.WriteFile(path, []byte(channel), 0o644); err != nil {
		t.Fatal(err)
	}
	prog, diags, err := load.Design(path, shop.Default())
	if err != nil || len(diags) > 0 {
		t.Fatal(err, diags)
	}
	results, _ := family.Job{Program: prog, Shop: shop.Default()}.Results()
	for i, want := range []map[string]string{
		{"rail": "rail 2", "rail.1": "rail 1", "lone": "lone 1", "none": "", "rai": ""},
		{"rail": "rail.1 2, rail.3 1", "rail.3": "rail.3 1", "lone": "lone 1"},
	} {
		for name, want := range want {
			var got []string
			for _, p := range reason.Pieces(results[i].Assembly, name) {
				got = append(got, p.Blank.Name+" "+string(rune('0'+len(p.Copies))))
			}
			if strings.Join(got, ", ") != want {
				t.Errorf("size %s: %s is cut of %q, want %q", results[i].Size, name, got, want)
			}
		}
	}
	flat := reason.Pieces(results[0].Assembly, "lone")[0].Blank.Flat
	bend := math.Pi / 2 * (2 + 0.4*2)
	wide := reason.ExtentOf(flat, false)
	wants := []reason.Stretch{{Name: "near", Length: 30 - 2}, {Name: "web/near", Bend: true, Length: bend}, {Name: "web", Length: 60 - 4},
		{Name: "web/far", Bend: true, Length: bend}, {Name: "far", Length: 20 - 2}}
	sum := 0.0
	if len(wide.Row) != len(wants) {
		t.Fatalf("the width is %v", wide)
	}
	for i, w := range wants {
		g := wide.Row[i]
		if g.Name != w.Name || g.Bend != w.Bend || math.Abs(g.Length-w.Length) > 1e-9 {
			t.Errorf("stretch %d is %v, want %v", i, g, w)
		}
		sum += g.Length
	}
	if math.Abs(sum-wide.Length) > 1e-9 {
		t.Errorf("%v add up to %g", wide, sum)
	}
	long := reason.ExtentOf(flat, true)
	if long.Length != 200 || len(long.Row) != 1 || long.Told().String() != "200.00 mm: web" {
		t.Errorf("the length is %v, told as %s", long, long.Told())
	}
}

// TestExtentsAddUp holds every blank of the examples to it: a row adds up to its length,
// which is the flat's.
func TestExtentsAddUp(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*/*.perch")
	rows := 0
	for _, f := range files {
		if strings.Contains(f, "tutorial") || testing.Short() && len(f)%3 != 0 {
			continue
		}
		prog, _, err := load.Design(f, shop.Default())
		if err != nil {
			t.Fatal(err)
		}
		results, _ := family.Job{Program: prog, Shop: shop.Default()}.Results()
		for _, r := range results {
			for _, b := range r.Assembly.Blanks {
				w, h := b.Flat.Size()
				for long, want := range map[bool]float64{true: math.Max(w, h), false: math.Min(w, h)} {
					e := reason.ExtentOf(b.Flat, long)
					sum := 0.0
					for _, s := range e.Row {
						sum += s.Length
					}
					if math.Abs(e.Length-want) > 1e-9 || e.Row != nil && math.Abs(sum-want) > 1e-9 {
						t.Errorf("%s, %s at %s: %v, want %g", f, b.Name, r.Size, e, want)
					}
					if len(e.Row) > 1 {
						rows++
					}
				}
			}
			for _, j := range r.Assembly.Joins {
				name, _, _ := strings.Cut(j.Name, ".")
				n := 0
				for _, row := range reason.Rows(r.Assembly, name) {
					n += row.Count
				}
				want := 0
				for _, k := range r.Assembly.Joins {
					if strings.HasPrefix(k.Name, name+".") {
						want++
					}
				}
				if n != want {
					t.Errorf("%s at %s: %s has %d fasteners, want %d", f, r.Size, name, n, want)
				}
			}
		}
	}
	if rows < 20 {
		t.Errorf("%d rows are too few to tell", rows)
	}
}
