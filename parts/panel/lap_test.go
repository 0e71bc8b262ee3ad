package panel

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/bend"
	"perch/parts/plane"
)

// tray has four walls, lapped at its corners or not, that stand up or hang down.
func tray(down bool, lean, gap float64, kind SeamKind, lap float64) *Panel {
	b := base(rectAt(-100, -60, 100, 60))
	walls := []int{
		b.hang(0, "e", pt(100, -60), pt(100, 60), lean, down, rectAt(-60, 0, 60, 40)),
		b.hang(0, "n", pt(100, 60), pt(-100, 60), lean, down, rectAt(-100, 0, 100, 40)),
		b.hang(0, "w", pt(-100, 60), pt(-100, -60), lean, down, rectAt(-60, 0, 60, 40)),
		b.hang(0, "s", pt(-100, -60), pt(100, -60), lean, down, rectAt(-100, 0, 100, 40)),
	}
	for k, w := range walls {
		b.Seams = append(b.Seams, Seam{Name: "lap", A: w, B: walls[(k+1)%4], Kind: kind, Gap: gap, Lap: lap})
	}
	return b.Panel
}

func TestLappedTray(t *testing.T) {
	for _, down := range []bool{true, false} {
		for _, lean := range []float64{80, 90, 95} {
			p := tray(down, lean, 0, SeamLapped, 15)
			f := unfold(t, p)
			if len(f.Faces) != 9 || len(p.Faces) != 5 {
				t.Fatalf("%d faces, the panel's own %d", len(f.Faces), len(p.Faces))
			}
			for _, c := range Interfere(f, f) {
				t.Errorf("down %v lean %g: %s and %s share %.3f mm", down, lean, f.Faces[c.FaceA].Name, f.Faces[c.FaceB].Name, c.Depth)
			}
			for k := 5; k < 9; k++ {
				// the tab lies on the back of the wall it passes behind
				wall := (k-5+1)%4 + 1
				q := f.Prism(k)
				h := f.Panel.Faces[wall].Frame.Plane().Height(q.Frame.At(q.Region.Centroid()))
				near(t, "tab behind wall", h, -1.5, 1e-9)
			}
		}
	}
}

// The tab of a wall with a hem is bent as the wall itself, whichever of its folds stands
// first: nobody presses a corner flat.
func TestLapOfAHemmedWall(t *testing.T) {
	b := base(rectAt(-100, -60, 100, 60))
	east := b.hang(0, "e", pt(100, -60), pt(100, 60), 90, false, rectAt(-60, 0, 60, 40))
	north := b.hang(0, "n", pt(100, 60), pt(-100, 60), 90, false, rectAt(-100, 0, 100, 40))
	hem := b.hang(east, "hem", pt(60, 40), pt(-60, 40), 180, false, rectAt(-40, 0, 40, 9))
	b.Faces[hem].Frame = Hung(b.Faces[east].Frame, pt(60, 40), pt(-60, 40), bend.Hem(sheet.Thickness), false)
	b.Folds[len(b.Folds)-1].Radius, b.Folds[len(b.Folds)-1].K = 0, 0.5
	slices.Reverse(b.Folds) // hung faces come before folds that are stated
	b.Folds[1].Radius, b.Folds[2].Radius = 2.5, 2.5
	b.Seams = append(b.Seams, Seam{Name: "lap", A: east, B: north, Kind: SeamLapped, Lap: 15})
	f := unfold(t, b.Panel)
	for _, fold := range f.Panel.Folds {
		if fold.Name == "lap" && (fold.Radius != 2.5 || fold.K != b.Folds[1].K) {
			t.Errorf("the tab is bent at %g, K %g", fold.Radius, fold.K)
		}
	}
	if n := len(f.Panel.Folds); n != 4 {
		t.Errorf("%d folds, want the tab's too", n)
	}
}

// lapped is a vessel on a regular base of n edges, each long mm: its walls, high mm
// along their slope, bend by so many degrees and lap behind their neighbours.
func lapped(n int, long, high, degrees float64, down bool, lap float64) *Panel {
	r := long / 2 / math.Sin(math.Pi/float64(n))
	at := func(k int) plane.Point {
		a := 2 * math.Pi * float64(k%n) / float64(n)
		return pt(r*math.Cos(a), r*math.Sin(a))
	}
	var l plane.Loop
	for k := range n {
		l = append(l, plane.Vertex{P: at(k)})
	}
	b := base(plane.Region{l})
	for k := range n {
		b.hang(0, fmt.Sprint("wall.", k+1), at(k), at(k+1), degrees, down, rectAt(-long/2, 0, long/2, high))
	}
	for k := range n {
		b.Seams = append(b.Seams, Seam{Name: fmt.Sprint("lap.", k+1), A: k + 1, B: (k+1)%n + 1, Kind: SeamLapped, Lap: lap})
	}
	return b.Panel
}

// The tabs of a hexagon's walls, which its flat has no more than 60° of room for, are cut
// back at their roots until a cut fits between them and the next wall; folded up they lie
// behind it and in nothing.
func TestLapsFindRoomInTheFlat(t *testing.T) {
	checked := 0
	rapid.Check(t, func(t *rapid.T) {
		n, down := rapid.IntRange(3, 8).Draw(t, "edges"), rapid.Bool().Draw(t, "down")
		lap := rapid.Float64Range(8, 20).Draw(t, "lap")
		p := lapped(n, 130, rapid.Float64Range(60, 90).Draw(t, "high"), rapid.Float64Range(65, 95).Draw(t, "bend"), down, lap)
		f, err := Unfold(p, Options{Kerf: 1.5})
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Tabs) != n {
			t.Fatalf("%d tabs of %d walls", len(f.Tabs), n)
		}
		for _, tab := range f.Tabs {
			wall := tab.Of%n + 1
			gap, _, _ := plane.Distance(plane.Region{f.Faces[tab.Face].Loop}, plane.Region{f.Faces[wall].Loop})
			if gap < 1.5-1e-6 {
				t.Fatalf("tab of %s lies %.3f mm from %s in the flat", f.FaceName(tab.Face), gap, f.Faces[wall].Name)
			}
			checked++
		}
		for _, c := range Interfere(f, f) {
			t.Fatalf("%s and %s share %.3f mm", f.Faces[c.FaceA].Name, f.Faces[c.FaceB].Name, c.Depth)
		}
	})
	if checked == 0 {
		t.Error("no tab was checked")
	}
	// a lap deeper than the flat has room for is told
	_, err := Unfold(lapped(8, 30, 12, 90, true, 25), Options{Kerf: 1.5})
	var seam *SeamError
	if !errors.As(err, &seam) {
		t.Errorf("a lap without room: %v", err)
	}
}
