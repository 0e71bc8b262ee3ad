package panel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// drawnPanel is a plate with flanges on some of its sides, set in from its corners or not,
// up or down, some with lips and more, holes, marks, reliefs and seams, all by the draw.
func drawnPanel(rnd *rand.Rand) *Panel {
	pick := func(xs ...float64) float64 { return xs[rnd.IntN(len(xs))] }
	w, h := pick(60, 100, 240), pick(50, 90, 160)
	outline := rectAt(-w/2, -h/2, w/2, h/2)
	if rnd.IntN(4) == 0 {
		outline = plane.Subtract(outline, rectAt(w/2-pick(8, 20), h/2-pick(8, 20), w, h)) // a notched corner
	}
	b := base(outline)
	b.Name = "drawn"
	corners := [4]plane.Point{pt(w/2, -h/2), pt(w/2, h/2), pt(-w/2, h/2), pt(-w/2, -h/2)}
	inset, lean := pick(0, 0, 0, 6, 15), pick(30, 60, 90, 90, 100, 120)
	down := rnd.IntN(2) == 0
	relief := Relief(rnd.IntN(5))
	size := pick(0, 0, 0, 7)
	walls := map[int]int{}
	for k := range 4 {
		if rnd.IntN(4) == 0 {
			continue
		}
		from, to := corners[k], corners[(k+1)%4]
		half := to.Sub(from).Len()/2 - inset
		deep := pick(12, 25, 40)
		mine := down != (rnd.IntN(5) == 0)
		i := b.hang(0, fmt.Sprint("wall.", k), from, to, lean, mine, rectAt(-half, 0, half, deep))
		b.Folds[len(b.Folds)-1].Relief, b.Folds[len(b.Folds)-1].ReliefSize = relief, size
		walls[k] = i
		if rnd.IntN(3) == 0 {
			b.Faces[i].Cuts = append(b.Faces[i].Cuts, Cut{Name: "hole", Region: plane.Region{plane.Circle(5).Transform(plane.Translate(pt(pick(-10, 0, 12), deep/2)))}})
		}
		if rnd.IntN(3) == 0 {
			in := pick(0, 4, 14)
			b.hang(i, fmt.Sprint("lip.", k), pt(half, deep), pt(-half, deep), pick(45, 90, 135), rnd.IntN(2) == 0, rectAt(-half+in, 0, half-in, pick(8, 14)))
			b.Folds[len(b.Folds)-1].Relief = relief
		}
	}
	for k := range 4 {
		a, ok := walls[k]
		c, both := walls[(k+1)%4]
		if !ok || !both || inset > 0 || rnd.IntN(4) == 0 {
			continue
		}
		s := Seam{Name: fmt.Sprint("corner.", k), A: a, B: c, Kind: SeamKind(rnd.IntN(3)), Gap: pick(0.5, 2), Lap: pick(8, 15)}
		if rnd.IntN(2) == 0 {
			s.A, s.B = s.B, s.A
		}
		b.Seams = append(b.Seams, s)
	}
	if rnd.IntN(2) == 0 {
		b.Faces[0].Cuts = append(b.Faces[0].Cuts, Cut{Name: "slot", Region: plane.Region{plane.Slot(20, 6).Transform(plane.Rotate(pick(0, 0.5)))}})
	}
	if rnd.IntN(3) == 0 {
		b.Faces[0].Cuts = append(b.Faces[0].Cuts, Cut{Name: "notch", Region: rectAt(w/2-pick(4, 9), -6, w/2+4, 6)})
	}
	b.Faces[0].Marks = append(b.Faces[0].Marks,
		Mark{Name: "line", Path: plane.Loop{{P: pt(-8, 3)}, {P: pt(8, 3), Bulge: pick(0, 0.3)}, {P: pt(9, 8)}}, Closed: rnd.IntN(2) == 0},
		Mark{Name: "text", Kind: MarkText, Text: "A", At: pt(1, 2), Dir: pt(1, 0), Height: 5})
	f := solid.LevelFrame(pick(0, 300))
	for i := range b.Faces { // somewhere in space
		b.Faces[i].Frame.O = b.Faces[i].Frame.O.Add(f.O).Add(solid.Vec{X: 20, Y: -7})
	}
	return b.Panel
}

// number is x as it is written: six decimals, no minus before nothing.
func number(x float64) string {
	return fmt.Sprintf("%.6f", math.Round(x*1e6)/1e6+0)
}

func numbers(xs ...float64) string {
	var s []string
	for _, x := range xs {
		s = append(s, number(x))
	}
	return strings.Join(s, " ")
}

// sums are moments of an outline that no turn of its first vertex changes: its vertices, area,
// length, middle and the sum of the squares of its corners.
func sums(l plane.Loop) string {
	c := l.Centroid()
	squares := 0.0
	for _, v := range l {
		squares += float64(v.P.X*v.P.X) + float64(2*v.P.Y*v.P.Y) + math.Abs(v.Bulge)
	}
	return fmt.Sprint(len(l), " ", numbers(l.Area(), l.Length(), c.X, c.Y, squares))
}

// describe tells all that a flat says of itself.
func describe(f *Flat) string {
	var b strings.Builder
	w, h := f.Size()
	fmt.Fprintf(&b, "  blank %s; %s; root %d, %d holes\n", sums(f.Outer), numbers(w, h, f.Area(), f.CutLength(), f.Mass()), f.Root, f.Holes())
	for _, l := range f.Inner {
		fmt.Fprintf(&b, "  hole %s\n", sums(l))
	}
	for i, face := range f.Faces {
		fmt.Fprintf(&b, "  face %s %s; %s; at %s\n", face.Name, sums(face.Loop), numbers(face.Trimmed.Area(), face.Trimmed.Length()), numbers(f.World(i).O.X, f.World(i).O.Y, f.World(i).O.Z))
	}
	for _, r := range f.Bends() {
		fmt.Fprintf(&b, "  bend %v\n", strings.NewReplacer("{", "", "}", "").Replace(fmt.Sprintf("%.6v", r)))
	}
	for _, s := range f.Folds {
		fmt.Fprintf(&b, "  strip %s %s\n", s.Name, sums(s.Loop))
	}
	for _, c := range f.Cuts {
		fmt.Fprintf(&b, "  cut %.9v\n", c)
	}
	for _, m := range f.Marks {
		fmt.Fprintf(&b, "  mark %s %s %s\n", m.Name, sums(m.Path), numbers(m.At.X, m.At.Y, m.Dir.X, m.Dir.Y))
	}
	for _, s := range f.Solids(1) {
		fmt.Fprintf(&b, "  solid %s\n", number(volume(s)))
	}
	for _, c := range Interfere(f, f) {
		fmt.Fprintf(&b, "  faces %d and %d share %s\n", c.FaceA, c.FaceB, numbers(c.Depth, c.Volume, c.At.X, c.At.Y, c.At.Z))
	}
	return b.String()
}

// TestDrawnPanels holds the flats of drawn panels, or what is wrong with them, to what they
// came to before, written in testdata/drawn.txt (anew with PERCH_UPDATE=1), and to what every
// flat must be. What changes there is read before it is committed.
func TestDrawnPanels(t *testing.T) {
	const file = "testdata/drawn.txt"
	var b strings.Builder
	rnd := rand.New(rand.NewPCG(21, 22))
	good := 0
	var last *Flat
	for n := range 150 {
		p := drawnPanel(rnd)
		fmt.Fprintf(&b, "%d\n", n)
		f, err := Unfold(p, Options{Kerf: 1.5})
		if err != nil {
			fmt.Fprintf(&b, "  %s\n", strings.ReplaceAll(err.Error(), "\n", "\n  "))
			continue
		}
		good++
		checkFlat(t, f)
		b.WriteString(describe(f))
		if last != nil {
			fmt.Fprintf(&b, "  from the one before %s\n", number(Clearance(f, last)))
			for _, c := range Interfere(f, last) {
				fmt.Fprintf(&b, "  in the one before: %d in %d by %s\n", c.FaceA, c.FaceB, numbers(c.Depth, c.Volume))
			}
		}
		last = f
	}
	if good < 60 {
		t.Errorf("only %d of 150 unfold", good)
	}
	golden(t, file, b.String())
}

// golden holds a text to a file, line by line.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, lines := strings.Split(string(text), "\n"), strings.Split(got, "\n")
	for i := range max(len(want), len(lines)) {
		a, c := "", ""
		if i < len(want) {
			a = want[i]
		}
		if i < len(lines) {
			c = lines[i]
		}
		if a != c {
			t.Fatalf("%s, line %d: %q, was %q", file, i+1, c, a)
		}
	}
}
