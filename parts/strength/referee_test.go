package strength

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"perch/parts/shell"
	"perch/parts/solid"
)

// TestReferee holds a folded cap, held at the lower edges of its flaps and loaded on a disc,
// to CalculiX, an independent program, with quadratic triangles and large movements: sag
// within 5 %, by small movements and by large ones.
func TestReferee(t *testing.T) {
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, calculix-ccx: PERCH_REFEREES=require asks for it")
	}
	a := assembled(t)
	d, err := divide(t.Context(), a.Blanks[0].Flat, nil, 20, 5000)
	if err != nil {
		t.Fatal(err)
	}
	thick := a.Blanks[0].Flat.Panel.Stock.Thickness
	m := &shell.Model{Nodes: d.at}
	low := math.Inf(1)
	for _, v := range d.at {
		low = math.Min(low, v.Z)
	}
	var held []int
	for i, v := range d.at {
		if v.Z < low+1 {
			held = append(held, i)
			for f := shell.MoveX; f <= shell.MoveZ; f++ {
				m.Held = append(m.Held, shell.Held{Node: int32(i), Freedom: f})
			}
		}
	}
	const force = 1000.0
	var pressed [][3]int32
	var part []float64
	total := 0.0
	for _, n := range d.Triangles {
		m.Triangles = append(m.Triangles, shell.Triangle{Nodes: n, Thickness: thick, Material: mild.Material})
		p, q, r := d.at[n[0]], d.at[n[1]], d.at[n[2]]
		c := p.Add(q).Add(r).Scale(1.0 / 3).Sub(vec(0, 90, 0))
		if math.Hypot(c.X, c.Y) < 50 && math.Abs(q.Sub(p).Cross(r.Sub(p)).Unit().Z) > 0.99 {
			area := q.Sub(p).Cross(r.Sub(p)).Len() / 2
			pressed, part = append(pressed, n), append(part, area)
			total += area
		}
	}
	var loads []shell.Load
	for k, n := range pressed {
		for _, i := range n {
			loads = append(loads, shell.Load{Node: i, Force: vec(0, 0, -force*part[k]/total/3)})
		}
	}
	s, err := shell.New(m, shell.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	small, err := s.Linear(t.Context(), loads)
	if err != nil {
		t.Fatal(err)
	}
	large, err := s.Solve(t.Context(), loads)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, step string
		got        *shell.Answer
	}{{"small movements", "*STEP\n*STATIC\n", small}, {"large movements", "*STEP, NLGEOM, INC=200\n*STATIC\n0.1, 1.\n", large}} {
		sag := 0.0
		for i, v := range d.at {
			sag = math.Max(sag, v.Z-c.got.At(i).Z)
		}
		want := calculix(t, d, thick, held, pressed, part, force/total, c.step)
		t.Logf("%s: %.3f mm, CalculiX %.3f", c.name, sag, want)
		if math.Abs(sag-want) > 0.05*want {
			t.Errorf("%s: it sags %.3f mm, CalculiX says %.3f", c.name, sag, want)
		}
	}
}

// calculix is the sag by CalculiX, each triangle with a node in the middle of each side; what
// presses evenly on such a triangle acts at those.
func calculix(t *testing.T, d *divided, thick float64, held []int, pressed [][3]int32, part []float64, pressure float64, step string) float64 {
	t.Helper()
	nodes := append([]solid.Vec(nil), d.at...)
	middle := map[[2]int32]int{}
	mid := func(a, b int32) int {
		k := [2]int32{min(a, b), max(a, b)}
		n, ok := middle[k]
		if !ok {
			n = len(nodes)
			middle[k] = n
			nodes = append(nodes, d.at[a].Add(d.at[b]).Scale(0.5))
		}
		return n
	}
	var elements, boundary, forces bytes.Buffer
	for i, n := range d.Triangles {
		fmt.Fprintf(&elements, "%d, %d, %d, %d, %d, %d, %d\n", i+1, n[0]+1, n[1]+1, n[2]+1, mid(n[0], n[1])+1, mid(n[1], n[2])+1, mid(n[2], n[0])+1)
	}
	is := map[int]bool{}
	for _, i := range held {
		is[i] = true
		fmt.Fprintf(&boundary, "%d, 1, 3\n", i+1)
	}
	for k := range middle {
		if is[int(k[0])] && is[int(k[1])] {
			fmt.Fprintf(&boundary, "%d, 1, 3\n", middle[k]+1)
		}
	}
	for k, n := range pressed {
		for e := range 3 {
			fmt.Fprintf(&forces, "%d, 3, %.9g\n", mid(n[e], n[(e+1)%3])+1, -pressure*part[k]/3)
		}
	}
	var deck bytes.Buffer
	deck.WriteString("*NODE, NSET=ALL\n")
	for i, v := range nodes {
		fmt.Fprintf(&deck, "%d, %.9g, %.9g, %.9g\n", i+1, v.X, v.Y, v.Z)
	}
	fmt.Fprintf(&deck, "*ELEMENT, TYPE=S6, ELSET=SHEET\n%s*MATERIAL, NAME=M\n*ELASTIC\n%g, %g\n*SHELL SECTION, ELSET=SHEET, MATERIAL=M\n%g\n*BOUNDARY\n%s%s*CLOAD\n%s*NODE PRINT, NSET=ALL\nU\n*END STEP\n",
		elements.String(), mild.E, mild.Nu, thick, boundary.String(), step, forces.String())
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "cap.inp"), deck.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("ccx", "cap")
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("ccx of calculix-ccx: %v\n%s", err, out)
	}
	raw, err := os.ReadFile(filepath.Join(folder, "cap.dat"))
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	text = text[strings.LastIndex(text, "displacements"):] // of the last step
	sag := 0.0
	for line := range strings.Lines(text) {
		f := strings.Fields(line)
		if len(f) != 4 {
			continue
		}
		if z, err := strconv.ParseFloat(f[3], 64); err == nil {
			sag = math.Max(sag, -z)
		}
	}
	return sag
}
