package panel

import "testing"

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
