package brake

import (
	"fmt"
	"math"
	"math/rand/v2"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// drawnPart draws panels of rectangles that hang on each other.
type drawnPart struct {
	panel panel.Panel
	t     float64
	wide  []float64 // by face, along x of its frame
	deep  []float64
}

const (
	drawnRadius = 1.0 // in sheets
	drawnK      = 0.35
)

func newDrawn(t, wide, deep float64) *drawnPart {
	d := &drawnPart{t: t}
	d.panel = panel.Panel{Name: "part", Stock: shop.Stock{Name: "tin", Material: "mild_steel", Thickness: t, Radius: t, Density: 7850}}
	d.panel.Faces = []panel.Face{{Name: "base", Frame: solid.LevelFrame(0), Outline: plane.Region{plane.RectAt(plane.Point{X: -wide / 2}, plane.Point{X: wide / 2, Y: deep})}}}
	d.wide, d.deep = []float64{wide}, []float64{deep}
	return d
}

// edge names of a rectangle: 0 its foot (y = 0), then counter-clockwise.
func (d *drawnPart) edge(face, k int) (from, to plane.Point) {
	w, h := d.wide[face]/2, d.deep[face]
	c := [4]plane.Point{{X: -w}, {X: w}, {X: w, Y: h}, {X: -w, Y: h}}
	return c[k], c[(k+1)%4]
}

// hang hangs a face on an edge: depth to the mold line, its ends short by lo and hi, and wider by flare at the free edge.
func (d *drawnPart) hang(on, edge int, degrees float64, down bool, depth, lo, hi, flare float64) int {
	from, to := d.edge(on, edge)
	long := from.Dist(to)
	b := bend.Bend{Angle: degrees * bend.Degree, Thickness: d.t, Radius: drawnRadius * d.t, K: drawnK}
	if degrees >= 180 {
		b.Radius, b.K = 0, 0.5
	}
	frame := panel.Hung(d.panel.Faces[on].Frame, from, to, b, down)
	l := plane.Loop{{P: plane.Point{X: -long/2 + lo}}, {P: plane.Point{X: long/2 - hi}}, {P: plane.Point{X: long/2 - hi + flare, Y: depth}}, {P: plane.Point{X: -long/2 + lo - flare, Y: depth}}}
	n := len(d.panel.Faces)
	d.panel.Faces = append(d.panel.Faces, panel.Face{Name: fmt.Sprintf("f%d", n), Frame: frame, Outline: plane.Region{l}, Hung: true})
	d.panel.Folds = append(d.panel.Folds, panel.Fold{Name: fmt.Sprintf("%s/f%d", d.panel.Faces[on].Name, n), A: on, B: n, Radius: b.Radius, K: b.K, Angle: b.Angle, Down: down})
	d.wide, d.deep = append(d.wide, long-lo-hi), append(d.deep, depth)
	return n
}

func (d *drawnPart) flat() (*panel.Flat, error) { return panel.Unfold(&d.panel, panel.Options{}) }

// must is the flat of a part that has one.
func (d *drawnPart) must() *panel.Flat {
	f, err := d.flat()
	if err != nil {
		panic(err)
	}
	return f
}

// drawnKinds are the kinds of parts that are drawn, by what a shop calls them.
var drawnKinds = []struct {
	name string
	draw func(r *rand.Rand) *drawnPart
}{
	{"tray", drawTray}, {"pan", drawPan}, {"channel", drawChannel}, {"zed", drawZed}, {"box", drawBox}, {"stool part", drawStoolPart},
}

func from(r *rand.Rand, lo, hi float64) float64 {
	return math.Round((lo+(hi-lo)*r.Float64())*2) / 2
}

func gauge(r *rand.Rand) float64 { return []float64{0.9, 1, 1.2, 1.5}[r.IntN(4)] }

// drawTray: low walls all round, some of them.
func drawTray(r *rand.Rand) *drawnPart {
	d := newDrawn(gauge(r), from(r, 90, 500), from(r, 90, 400))
	high, gap := from(r, 15, 70), 2*d.t
	for k := range 4 {
		if r.IntN(8) > 0 {
			d.hang(0, k, 90, false, high, gap, gap, 0)
		}
	}
	return d
}

// drawPan: walls with lips turned in or out, on two or four sides.
func drawPan(r *rand.Rand) *drawnPart {
	d := newDrawn(gauge(r), from(r, 120, 500), from(r, 120, 400))
	high, gap := from(r, 25, 90), 2*d.t
	lip, out := from(r, 8, 25), r.IntN(2) == 0
	lips := 2
	for k := range 4 {
		if r.IntN(6) == 0 {
			continue
		}
		wall := d.hang(0, k, 90, false, high, gap, gap, 0)
		if lips > 0 && r.IntN(3) > 0 {
			lips--
			d.hang(wall, 2, 90, out, lip, lip+gap, lip+gap, 0)
		}
	}
	return d
}

// drawChannel: a web, two flanges, and lips.
func drawChannel(r *rand.Rand) *drawnPart {
	d := newDrawn(gauge(r), from(r, 60, 600), from(r, 25, 160))
	for _, k := range [2]int{0, 2} {
		f := d.hang(0, k, from(r, 60, 115), false, from(r, 15, 140), 0, 0, 0)
		if r.IntN(2) == 0 {
			d.hang(f, 2, 90, r.IntN(3) == 0, from(r, 8, 40), 0, 0, 0)
		}
	}
	return d
}

// drawZed: a chain of steps, up and down.
func drawZed(r *rand.Rand) *drawnPart {
	d := newDrawn(gauge(r), from(r, 60, 400), from(r, 20, 80))
	on := 0
	for range 2 + r.IntN(4) {
		on = d.hang(on, 2, from(r, 45, 110), r.IntN(2) == 0, from(r, 10, 70), 0, 0, 0)
	}
	return d
}

// drawBox: deep walls, flanged at their tops.
func drawBox(r *rand.Rand) *drawnPart {
	d := newDrawn(gauge(r), from(r, 60, 260), from(r, 60, 260))
	high, gap := from(r, 50, 160), 2*d.t
	for k := range 4 {
		w := d.hang(0, k, 90, false, high, gap, gap, 0)
		if k == 0 && r.IntN(2) == 0 {
			d.hang(w, 2, 90, true, from(r, 10, 30), gap, gap, 0)
		}
	}
	return d
}

// drawStoolPart: a cap with flaring flaps, a leg's angle, or a hemmed or tabbed bar.
func drawStoolPart(r *rand.Rand) *drawnPart {
	switch r.IntN(3) {
	case 0:
		d := newDrawn(gauge(r), from(r, 150, 330), from(r, 150, 330))
		high, gap := from(r, 30, 80), 3*d.t
		lean := from(r, 2, 9)
		for k := range 4 {
			d.hang(0, k, 90-lean, true, high, gap, gap, (high-gap)*math.Sin(lean*bend.Degree)/2)
		}
		return d
	case 1:
		d := newDrawn(gauge(r), from(r, 200, 900), from(r, 30, 100))
		d.hang(0, 2, from(r, 80, 125), true, from(r, 30, 100), 0, 0, 0)
		return d
	}
	d := newDrawn(gauge(r), from(r, 150, 500), from(r, 25, 60))
	d.hang(0, 0, 90, true, from(r, 20, 40), 0, 0, 0)
	if r.IntN(2) == 0 {
		d.hang(0, 2, 180, true, from(r, 9, 14), 0, 0, 0)
	} else {
		d.hang(0, 2, 90, true, from(r, 20, 40), 0, 0, 0)
	}
	for _, k := range [2]int{1, 3} {
		d.hang(0, k, 90, true, from(r, 20, 35), 4*d.t, 4*d.t, 0)
	}
	return d
}

// drawnFlats are parts by number: kinds in turn, each drawn until it has a flat with folds.
func drawnFlat(n int) (*panel.Flat, string) {
	kind := drawnKinds[n%len(drawnKinds)]
	r := rand.New(rand.NewPCG(uint64(n), 12))
	for {
		if f, err := kind.draw(r).flat(); err == nil && len(f.Folds) > 0 {
			return f, kind.name
		}
	}
}
