package eval_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/parts/panel"
)

// sound is the only size of a design's text, which must build.
func sound(t *testing.T, text string) *build.Result {
	t.Helper()
	r, diags := made(t, text)
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	return r
}

const ringOfWalls = `design "Ring"
stock tin = sheet(mild_steel, 1.5mm)
body b = BODY
panel sleeve() {
  face wall[s in b.sides] on s { outline inside(b) }
  FOLDS
  seam wall by open(2mm)
}
part c of tin = sleeve()
`

// A ring of walls, folded into each other but for the last two, closes its one seam:
// they lie on neighbouring sides of the body. The gap that is left is the one stated.
func TestRingClosesItsSeam(t *testing.T) {
	for _, n := range []int{3, 4, 6} {
		var folds strings.Builder
		for k := range n - 1 {
			fmt.Fprintf(&folds, "  fold wall[b.sides[%d]] to wall[b.sides[%d]]\n", k+1, k+2)
		}
		body := fmt.Sprintf("frustum(sides: %d, top: 200mm, bottom: 160mm, height: 90mm)", n)
		r := sound(t, strings.NewReplacer("BODY", body, "  FOLDS\n", folds.String()).Replace(ringOfWalls))
		f := r.Flats[0]
		if len(f.Panel.Seams) != 1 || f.Panel.Seams[0].A != n-1 || f.Panel.Seams[0].B != 0 {
			t.Errorf("%d walls: seams %+v, want one from the last to the first", n, f.Panel.Seams)
			continue
		}
		if gap := panel.FaceClearance(f, n-1, f, 0); math.Abs(gap-2) > 0.02 {
			t.Errorf("%d walls: the seam gapes by %.3f mm, want 2", n, gap)
		}
	}
}

const lappedPan = `design "Pan"
stock tin = sheet(mild_steel, 1.5mm)
panel pan(wide: length, deep: length, high: length) {
  face base on level(0mm) { outline rect(wide, deep) }
  face front off base.bottom up 90deg { outline strip(high) }
  face right off base.right up 90deg { outline strip(high) }
  face back off base.top up 90deg { outline strip(high) }
  face left off base.left up 90deg { outline strip(high) }
  seam front to right by lapped(16mm)
  seam right to back by lapped(16mm)
  seam back to left by lapped(16mm)
  seam left to front by lapped(16mm)
}
part tray of tin = pan(200mm, 120mm, 40mm)
join fore = tray.front to tray.right by rivet(3.2mm, count: 1)
join aft = tray.back to tray.left by rivet(3.2mm, count: 1)
rule clearance(tray.front, tray.right) = 0mm
`

// The tab of a lapped seam is its wall's: front is joined to right by the tab that goes on
// behind right, and touches it. The rivet's two holes lie on one line, one in the tab.
func TestLapIsJoinedByItsWall(t *testing.T) {
	r := sound(t, lappedPan)
	f, a := r.Flats[0], r.Assembly
	if len(a.Joins) != 2 || len(f.Points) != 4 {
		t.Fatalf("%d rivets with %d holes, want 2 with 4", len(a.Joins), len(f.Points))
	}
	names := map[string]bool{}
	for _, face := range f.Faces {
		if names[face.Name] {
			t.Errorf("two faces are called %s", face.Name)
		}
		names[face.Name] = true
	}
	for i, j := range a.Joins {
		if math.Abs(j.Grip-3) > 1e-9 {
			t.Errorf("rivet %d grips %.3f mm, want two sheets", i, j.Grip)
		}
		tabs := 0
		for _, p := range f.Points {
			if !strings.HasPrefix(p.Name, strings.Split(j.Name, ".")[0]) {
				continue
			}
			off := f.World(p.Face).At(p.At).Sub(j.At)
			if d := off.Sub(j.Axis.Scale(off.Dot(j.Axis))).Len(); d > 1e-9 {
				t.Errorf("%s lies %.3g mm off the rivet's axis", p.Name, d)
			}
			if f.FaceName(p.Face) != f.Faces[p.Face].Name {
				tabs++
			}
		}
		if tabs != 1 {
			t.Errorf("rivet %d goes through %d tabs, want one", i, tabs)
		}
	}
}

// Lapped walls of a hexagon that flares: the flat has room for every tab.
func TestLappedHexagon(t *testing.T) {
	r := sound(t, `design "Hex"
stock tin = sheet(mild_steel, 1.5mm)
body b = frustum(sides: 6, top: 200mm, bottom: 160mm, height: 50mm)
panel hex() {
  face base on b.bottom.back { outline inside(b) }
  face wall[s in b.sides] off base on s.back { outline inside(b) }
  seam wall by lapped(15mm)
}
part tray of tin = hex()
join hold = tray.wall to tray.wall by rivet(2.4mm, count: 1)
`)
	if n := len(r.Flats[0].Tabs); n != 6 {
		t.Errorf("%d tabs, want 6", n)
	}
}
