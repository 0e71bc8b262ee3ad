package join

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// piece is a frustum with a cap over it and a leg in every corner.
type piece struct {
	body, inner            *solid.Body
	stock                  shop.Stock
	k                      float64
	flap, gap              float64
	toe, head, clear, lift float64
}

func loopOf(ps ...plane.Point) plane.Region {
	var l plane.Loop
	for _, p := range ps {
		l = append(l, plane.Vertex{P: p})
	}
	return plane.Region{l}
}

func (p piece) cap() *panel.Panel {
	c := &panel.Panel{Name: "cap", Stock: p.stock}
	top := p.body.Top()
	var around []plane.Point
	for _, corner := range p.body.Corners() {
		around = append(around, top.Local(corner.PointAt(p.body.High)))
	}
	c.Faces = append(c.Faces, panel.Face{Name: "top", Frame: top, Outline: loopOf(around...)})
	sides := p.body.Sides()
	for i, s := range sides {
		band := s.Band(s.Slant()-p.flap, s.Slant())
		c.Faces = append(c.Faces, panel.Face{Name: fmt.Sprint("flap.", s.Number()), Frame: s.Frame(), Outline: loopOf(band[:]...)})
		c.Folds = append(c.Folds, panel.Fold{Name: fmt.Sprint("flap.", s.Number()), A: 0, B: i + 1, Radius: p.stock.Radius, K: p.k})
		c.Seams = append(c.Seams, panel.Seam{Name: fmt.Sprint("seam.", s.Number()), A: i + 1, B: (i+1)%len(sides) + 1, Gap: p.gap})
	}
	return c
}

func (p piece) leg(c solid.Corner) *panel.Panel {
	lo, hi := p.inner.Low+p.lift, p.inner.High-p.clear
	l, r := c.Left().Frame(), c.Right().Frame()
	a, b := l.Local(c.PointAt(lo)), l.Local(c.PointAt(hi))
	d, e := r.Local(c.PointAt(lo)), r.Local(c.PointAt(hi))
	left := func(q plane.Point, x float64) plane.Point { return plane.Point{X: q.X - x, Y: q.Y} }
	return &panel.Panel{Name: fmt.Sprint("leg.", c.Number()), Stock: p.stock,
		Faces: []panel.Face{
			{Name: "left", Frame: l, Outline: loopOf(left(a, p.toe), a, b, left(b, p.head))},
			{Name: "right", Frame: r, Outline: loopOf(d, left(d, -p.toe), left(e, -p.head), e)},
		},
		Folds: []panel.Fold{{Name: "left/right", A: 0, B: 1, Radius: p.stock.Radius, K: p.k}},
	}
}

func drawPiece(t *rapid.T) piece {
	u := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	thick := u(0.8, 3, "t")
	p := piece{
		stock: shop.Stock{Name: "shell", Thickness: thick, Radius: u(thick, 2*thick, "r"), Density: 7850},
		k:     u(0.2, 0.5, "k"), flap: u(50, 90, "flap"), gap: u(0.3, 3, "gap"),
		toe: u(25, 45, "toe"), head: u(45, 80, "head"), clear: u(3, 8, "clear"), lift: u(0, 5, "lift"),
	}
	var err error
	top, high, lean := u(420, 600, "top"), u(350, 700, "height"), u(-12, 15, "lean")
	foot := func(top, lean float64) float64 { return top + 2*high*math.Tan(lean*bend.Degree) }
	if n := rapid.IntRange(3, 8).Draw(t, "sides"); n != 4 {
		p.body, err = solid.Frustum(n, top, foot(top, lean), high)
	} else {
		wide, other := u(420, 800, "wide"), u(-12, 15, "other lean")
		p.body, err = solid.RectFrustum(top, wide, foot(top, lean), foot(wide, other), high)
	}
	if err != nil {
		t.Skip(err)
	}
	if p.inner, err = p.body.Inset(thick, thick, 0); err != nil {
		t.Skip(err)
	}
	return p
}

// Every face folds back into its plane, and the holes that mate do so to 1e-9 mm
// though each went through its own part's bends.
func TestFrusta(t *testing.T) {
	draws, holes := 0, 0
	check := func(t *rapid.T) {
		p := drawPiece(t)
		draws++
		c, err := panel.Unfold(p.cap(), panel.Options{})
		if err != nil {
			t.Fatal(err)
		}
		foldsBack(t, c)
		for i, corner := range p.inner.Corners() {
			l, err := panel.Unfold(p.leg(corner), panel.Options{})
			if err != nil {
				t.Fatal(err)
			}
			foldsBack(t, l)
			for cheek := range 2 {
				flap := (i+cheek)%len(p.inner.Corners()) + 1
				patch, err := Contact([]Member{{c, flap}, {l, cheek}}, 0)
				if err != nil {
					t.Fatal(err)
				}
				f := Fastener{Kind: Rivet, Diameter: 3.2, Hole: 3.3, Pitch: 15}
				places, err := Pattern(patch, f)
				if err != nil {
					t.Fatal(err)
				}
				fixings, err := Fix("head", 1, patch, f, places)
				if err != nil {
					t.Fatal(err)
				}
				holes += len(fixings)
				for _, fix := range fixings {
					mates(t, patch, fix)
				}
			}
			if bad := panel.Interfere(c, l); len(bad) > 0 && bad[0].Depth > 0.05 {
				t.Fatalf("leg %d in the cap: %+v", i, bad[0])
			}
		}
		if bad := panel.Interfere(c, c); len(bad) > 0 {
			t.Fatalf("the cap in itself: %+v", bad[0])
		}
	}
	for range 5 { // of a hundred draws each
		rapid.Check(t, check)
	}
	if holes == 0 {
		t.Error("no holes were checked")
	}
	t.Logf("%d pieces, %d holes", draws, holes)
}

func foldsBack(t *rapid.T, f *panel.Flat) {
	for i, face := range f.Panel.Faces {
		got := f.FaceFrame(i)
		for _, v := range face.Outline[0] {
			if d := got.At(v.P).Sub(face.Frame.At(v.P)).Len(); d > 1e-9 {
				t.Fatalf("%s: face %s comes back %.3g mm off", f.Panel.Name, face.Name, d)
			}
		}
	}
}

// mates holds a fixing's points, taken from the flats to the world, to its axis.
func mates(t interface{ Fatalf(string, ...any) }, p Patch, fix Fixing) {
	for k, s := range fix.Members {
		m := p.Members[s.Member]
		at := m.Flat.World(m.Face).At(s.Point.At)
		off := at.Sub(fix.At)
		along := off.Dot(fix.Axis)
		if d := off.Sub(fix.Axis.Scale(along)).Len(); d > 1e-9 {
			t.Fatalf("%s in %s: %.3g mm off the axis", fix.Name, m.Flat.Panel.Name, d)
		}
		if along < -1e-9 || along > fix.Grip+1e-9 {
			t.Fatalf("%s in %s: %.4f mm along the axis, grip %.4f", fix.Name, m.Flat.Panel.Name, along, fix.Grip)
		}
		if k == 0 && math.Abs(along) > 1e-9 && m.Flat.Faces[m.Face].Frame.Normal().Dot(fix.Axis) < 0 {
			t.Fatalf("%s does not start on the outside", fix.Name)
		}
	}
}
