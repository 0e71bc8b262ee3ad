package panel

import (
	"testing"

	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// TestForAnotherPlace unfolds a leg once and takes its flat for the same leg
// elsewhere, and for none that differs.
func TestForAnotherPlace(t *testing.T) {
	leg := func(turn func(solid.Vec) solid.Vec, wide float64) *Panel {
		p := channelForAlike(wide)
		for i := range p.Faces {
			f := &p.Faces[i].Frame
			f.O, f.X, f.Y = turn(f.O), turn(f.X), turn(f.Y)
		}
		return p
	}
	stay := func(v solid.Vec) solid.Vec { return v }
	quarter := func(v solid.Vec) solid.Vec { return solid.Vec{X: -v.Y, Y: v.X, Z: v.Z} }
	mirror := func(v solid.Vec) solid.Vec { return solid.Vec{X: -v.X, Y: v.Y, Z: v.Z} }
	f, err := Unfold(leg(stay, 40), Options{})
	if err != nil {
		t.Fatal(err)
	}
	turned := leg(quarter, 40)
	turned.Faces[1].Name = "other"
	g, ok := f.For(turned)
	if !ok {
		t.Fatal("the same channel a quarter turn on is not taken for alike")
	}
	if g.Faces[1].Name != "other" || g.Panel != turned {
		t.Errorf("the flat keeps names of the first: %s", g.Faces[1].Name)
	}
	for i := range turned.Faces {
		if d := g.FaceFrame(i).O.Sub(turned.Faces[i].Frame.O); d.Len() > 1e-6 {
			t.Errorf("face %d stands %v off", i, d)
		}
	}
	if _, ok := f.For(leg(stay, 40.001)); ok {
		t.Error("a wider channel is taken for alike")
	}
	if _, ok := f.For(leg(mirror, 40)); ok {
		t.Error("a mirrored channel is taken for alike")
	}
}

// channelForAlike is a base with one wall, so that its mirror image differs.
func channelForAlike(wide float64) *Panel {
	base := solid.LevelFrame(0)
	wall := solid.Frame{O: solid.Vec{X: wide / 2}, X: solid.Vec{Y: -1}, Y: solid.Vec{Z: 1}}
	p := &Panel{Name: "channel", Stock: worksheet()}
	p.Faces = []Face{
		{Name: "base", Frame: base, Outline: rectRegion(-wide/2, -30, wide/2, 30)},
		{Name: "wall", Frame: wall, Outline: rectRegion(-30, 0, 30, 25)},
	}
	p.Folds = []Fold{{Name: "base/wall", A: 0, B: 1, Radius: 2, K: 0.4}}
	return p
}

func worksheet() shop.Stock {
	return shop.Stock{Name: "sheet", Material: "mild_steel", Thickness: 2, Radius: 2, Density: 7850}
}

func rectRegion(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{plane.RectAt(plane.Point{X: x0, Y: y0}, plane.Point{X: x1, Y: y1})}
}

// TestEveryNumberCounts changes one number or word of a panel at a time: none is taken for the
// panel as it was.
func TestEveryNumberCounts(t *testing.T) {
	plain := func() *Panel {
		p := tray(true, 90, 1, SeamOpen, 0)
		p.Seams = p.Seams[:3]
		p.Faces[0].Cuts = []Cut{{Name: "hole", Region: plane.Region{plane.Circle(8)}}}
		p.Faces[0].Marks = []Mark{
			{Name: "line", Path: plane.Loop{{P: pt(20, 0)}, {P: pt(30, 5), Bulge: 0.2}, {P: pt(40, 0)}}},
			{Name: "word", Kind: MarkText, Text: "A", At: pt(-30, 0), Dir: pt(1, 0), Height: 5},
		}
		return p
	}
	f := unfold(t, plain())
	if _, ok := f.For(plain()); !ok {
		t.Fatal("the same panel is not taken for alike")
	}
	for name, change := range map[string]func(p *Panel){
		"stock":         func(p *Panel) { p.Stock.Name = "other" },
		"thickness":     func(p *Panel) { p.Stock.Thickness += 0.5 },
		"faces":         func(p *Panel) { p.Faces = append(p.Faces, p.Faces[1]) },
		"folds":         func(p *Panel) { p.Folds = append(p.Folds, p.Folds[0]) },
		"seams":         func(p *Panel) { p.Seams = p.Seams[:2] },
		"fold's faces":  func(p *Panel) { p.Folds[0].A, p.Folds[0].B = p.Folds[0].B, p.Folds[0].A },
		"fold's face":   func(p *Panel) { p.Folds[0].B = 2 },
		"radius":        func(p *Panel) { p.Folds[1].Radius += 1e-6 },
		"factor":        func(p *Panel) { p.Folds[1].K += 1e-6 },
		"angle":         func(p *Panel) { p.Folds[1].Angle += 1e-6 },
		"direction":     func(p *Panel) { p.Folds[1].Down = !p.Folds[1].Down },
		"relief":        func(p *Panel) { p.Folds[1].Relief = ReliefSlit },
		"relief's size": func(p *Panel) { p.Folds[1].ReliefSize = 3 },
		"seam's kind":   func(p *Panel) { p.Seams[1].Kind = SeamClosed },
		"seam's gap":    func(p *Panel) { p.Seams[1].Gap += 1e-6 },
		"seam's lap":    func(p *Panel) { p.Seams[1].Lap += 1e-6 },
		"seam's first":  func(p *Panel) { p.Seams[1].A = 4 },
		"seam's second": func(p *Panel) { p.Seams[1].B = 4 },
		"outline":       func(p *Panel) { p.Faces[2].Outline = rectAt(-100, 0, 100, 40.0001) },
		"hung":          func(p *Panel) { p.Faces[2].Hung = !p.Faces[2].Hung },
		"corners":       func(p *Panel) { p.Faces[2].Outline = plane.Region{plane.Ngon(5, 30)} },
		"loops":         func(p *Panel) { p.Faces[2].Outline = append(p.Faces[2].Outline, plane.Circle(3).Reversed()) },
		"place":         func(p *Panel) { p.Faces[2].Frame.O.Z += 1e-6 },
		"turn":          func(p *Panel) { p.Faces[2].Frame.X = p.Faces[2].Frame.X.Neg() },
		"cuts":          func(p *Panel) { p.Faces[0].Cuts = nil },
		"cut's name":    func(p *Panel) { p.Faces[0].Cuts[0].Name = "slot" },
		"cut":           func(p *Panel) { p.Faces[0].Cuts[0].Region = plane.Region{plane.Circle(8.0001)} },
		"marks":         func(p *Panel) { p.Faces[0].Marks = p.Faces[0].Marks[:1] },
		"mark's name":   func(p *Panel) { p.Faces[0].Marks[0].Name = "other" },
		"mark's kind":   func(p *Panel) { p.Faces[0].Marks[0].Kind = MarkBead },
		"mark's path":   func(p *Panel) { p.Faces[0].Marks[0].Path[1].P.X += 1e-6 },
		"mark's bulge":  func(p *Panel) { p.Faces[0].Marks[0].Path[1].Bulge += 1e-6 },
		"mark's ends":   func(p *Panel) { p.Faces[0].Marks[0].Closed = true },
		"mark's width":  func(p *Panel) { p.Faces[0].Marks[0].Width = 2 },
		"words":         func(p *Panel) { p.Faces[0].Marks[1].Text = "B" },
		"words' place":  func(p *Panel) { p.Faces[0].Marks[1].At.X += 1e-6 },
		"words' turn":   func(p *Panel) { p.Faces[0].Marks[1].Dir = pt(0, 1) },
		"words' height": func(p *Panel) { p.Faces[0].Marks[1].Height += 1e-6 },
	} {
		p := plain()
		change(p)
		if _, ok := f.For(p); ok {
			t.Errorf("%s: a panel that differs is taken for alike", name)
		}
	}
}
