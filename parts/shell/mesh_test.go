package shell

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"perch/parts/solid"
)

// sheet is a mesh of nx by ny quadrilaterals, each of two triangles, mapped from the unit
// square; cross turns the diagonals so that they form crosses.
type sheet struct {
	Model
	nx, ny int
}

func newSheet(nx, ny int, t float64, m Material, cross bool, at func(u, v float64) solid.Vec) *sheet {
	s := &sheet{nx: nx, ny: ny}
	for j := range ny + 1 {
		for i := range nx + 1 {
			s.Nodes = append(s.Nodes, at(float64(i)/float64(nx), float64(j)/float64(ny)))
		}
	}
	for j := range ny {
		for i := range nx {
			a, b, c, d := s.node(i, j), s.node(i+1, j), s.node(i+1, j+1), s.node(i, j+1)
			two := [][3]int32{{a, b, c}, {a, c, d}}
			if cross && (i+j)%2 == 1 {
				two = [][3]int32{{a, b, d}, {b, c, d}}
			}
			for _, n := range two {
				s.Triangles = append(s.Triangles, Triangle{Nodes: n, Thickness: t, Material: m})
			}
		}
	}
	return s
}

func (s *sheet) node(i, j int) int32 { return int32(j*(s.nx+1) + i) }

func (s *sheet) hold(n int32, f ...int) {
	for _, c := range f {
		s.Held = append(s.Held, Held{n, c})
	}
}

// edges calls for each node of the mesh's outline, with its place in the grid.
func (s *sheet) edges(do func(n int32, i, j int)) {
	for j := range s.ny + 1 {
		for i := range s.nx + 1 {
			if i == 0 || j == 0 || i == s.nx || j == s.ny {
				do(s.node(i, j), i, j)
			}
		}
	}
}

// pressure spreads a force over the area, each triangle's by thirds.
func (s *sheet) pressure(q solid.Vec) []Load {
	var l []Load
	for _, t := range s.Triangles {
		a, b, c := s.Nodes[t.Nodes[0]], s.Nodes[t.Nodes[1]], s.Nodes[t.Nodes[2]]
		area := b.Sub(a).Cross(c.Sub(a)).Len() / 2
		for _, n := range t.Nodes {
			l = append(l, Load{Node: n, Force: q.Scale(area / 3)})
		}
	}
	return l
}

func linear(t testing.TB, m *Model, loads []Load) *Answer {
	t.Helper()
	s, err := New(m, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Linear(context.Background(), loads)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func large(t testing.TB, m *Model, loads []Load, steps int) *Answer {
	t.Helper()
	s, err := New(m, Limits{Steps: 2000})
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.SolveIn(context.Background(), loads, steps)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func (s *sheet) moved(a *Answer, n int32) solid.Vec {
	return a.At(int(n)).Sub(s.Nodes[n])
}

// problem is the published value of a problem of testdata/problems.csv.
func problem(t testing.TB, name string) float64 {
	t.Helper()
	f, err := os.Open("testdata/problems.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if row[0] == name {
			v, err := strconv.ParseFloat(row[2], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
	}
	t.Fatalf("no problem %q", name)
	return 0
}

// near fails where got is farther from want than the part of it.
func near(t testing.TB, what string, got, want, part float64) {
	t.Helper()
	t.Logf("%s: %.6g, published %.6g (%+.2f %%)", what, got, want, 100*(got/want-1))
	if !(math.Abs(got-want) <= part*math.Abs(want)) {
		t.Errorf("%s: %.6g, want %.6g within %.2g %%", what, got, want, 100*part)
	}
}
