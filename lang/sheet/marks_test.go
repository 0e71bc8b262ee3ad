package sheet_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/sheet"
	"perch/parts/dxf"
	"perch/parts/panel"
	"perch/parts/shop"
)

// drawnMark is a line or text on the layers of marks and folds, as a reader of group
// codes finds it.
type drawnMark struct {
	Layer  string
	Points [][3]float64 // x, y and bulge of the corners; of a circle its middle and radius
	Closed bool
	Text   string
	Turn   float64 // of text, degrees
	Height float64
	AtEnd  bool // text ends where it is placed
}

// readMarks is a reader of drawings that knows nothing of who wrote them.
func readMarks(t *testing.T, text string) []drawnMark {
	t.Helper()
	lines := strings.Split(text, "\n")
	var out []drawnMark
	var m *drawnMark
	var kind string
	entities := false
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(lines[i])
		if err != nil {
			t.Fatal(err)
		}
		value := lines[i+1]
		number := func() float64 {
			v, err := strconv.ParseFloat(value, 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		last := func() *[3]float64 { return &m.Points[len(m.Points)-1] }
		switch {
		case code == 2 && value == "ENTITIES":
			entities = true
		case !entities:
		case code == 0:
			kind = value
			if kind != "VERTEX" && kind != "SEQEND" {
				out = append(out, drawnMark{})
				m = &out[len(out)-1]
			}
		case code == 8 && kind != "VERTEX":
			m.Layer = value
		case kind == "POLYLINE" && code != 70:
		case code == 10, code == 11 && kind == "LINE":
			m.Points = append(m.Points, [3]float64{number()})
		case code == 20, code == 21 && kind == "LINE":
			last()[1] = number()
		case code == 42, code == 40 && kind == "CIRCLE":
			last()[2] = number()
		case code == 70:
			m.Closed = number() == 1
		case kind == "TEXT" && code == 40:
			m.Height = number()
		case kind == "TEXT" && code == 50:
			m.Turn = number()
		case kind == "TEXT" && code == 1:
			m.Text = value
		case kind == "TEXT" && code == 72:
			m.AtEnd = number() == 2
		case kind == "TEXT" && code == 11:
			last()[0] = number()
		case kind == "TEXT" && code == 21:
			last()[1] = number()
		}
	}
	return onMarkLayers(out)
}

func onMarkLayers(all []drawnMark) (out []drawnMark) {
	for _, m := range all {
		if m.Layer == dxf.LayerMark || m.Layer == dxf.LayerFoldUp || m.Layer == dxf.LayerFoldDown {
			out = append(out, m)
		}
	}
	return out
}

// outsider reads drawings with an independent library.
const outsider = `
import json, sys
import ezdxf
out = []
for name in sys.argv[1:]:
    doc = ezdxf.readfile(name)
    audit = doc.audit()
    assert not audit.errors and not audit.fixes, (name, audit.errors, audit.fixes)
    marks = []
    for e in doc.modelspace():
        kind, m = e.dxftype(), dict(Layer=e.dxf.layer, Points=[])
        if kind == "LINE":
            m["Points"] = [[e.dxf.start.x, e.dxf.start.y, 0], [e.dxf.end.x, e.dxf.end.y, 0]]
        elif kind == "CIRCLE":
            m["Points"] = [[e.dxf.center.x, e.dxf.center.y, e.dxf.radius]]
        elif kind == "LWPOLYLINE":
            m.update(Points=[list(p) for p in e.get_points("xyb")], Closed=bool(e.closed))
        elif kind == "POLYLINE":
            m.update(Points=[[v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0)] for v in e.vertices], Closed=bool(e.is_closed))
        elif kind == "TEXT":
            end = e.dxf.get("halign", 0) == 2
            p = e.dxf.align_point if end else e.dxf.insert
            m.update(Points=[[p.x, p.y, 0]], Text=e.dxf.text, Turn=e.dxf.rotation, Height=e.dxf.height, AtEnd=end)
        marks.append(m)
    out.append(marks)
print(json.dumps(out))
`

// readers are ours and, where referees are asked, an outside one.
func readers(t *testing.T) map[string]func(files ...string) [][]drawnMark {
	out := map[string]func(files ...string) [][]drawnMark{"ours": func(files ...string) (all [][]drawnMark) {
		for _, name := range files {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, readMarks(t, string(text)))
		}
		return all
	}}
	if os.Getenv("PERCH_REFEREES") == "require" {
		out["python3-ezdxf"] = func(files ...string) [][]drawnMark {
			text, err := exec.Command("/usr/bin/python3", append([]string{"-c", outsider}, files...)...).Output()
			if err != nil {
				t.Fatalf("the referee: %v", err)
			}
			var all [][]drawnMark
			if err := json.Unmarshal(text, &all); err != nil {
				t.Fatal(err)
			}
			for i := range all {
				all[i] = onMarkLayers(all[i])
			}
			return all
		}
	}
	return out
}

// nestedPlace is where the job's record says that a blank lies.
type nestedPlace struct {
	Name   string
	Turned float64 `json:"turned_deg"`
	Over   bool    `json:"turned_over"`
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
}

// moved is a blank's mark where the place takes it: turned over it is seen from behind.
func (p nestedPlace) moved(m drawnMark) drawnMark {
	sin, cos := math.Sincos(p.Turned * math.Pi / 180)
	flip := 1.0
	if p.Over {
		flip = -1
		switch m.Layer {
		case dxf.LayerFoldUp:
			m.Layer = dxf.LayerFoldDown
		case dxf.LayerFoldDown:
			m.Layer = dxf.LayerFoldUp
		}
	}
	points := m.Points
	m.Points = nil
	for _, q := range points {
		x, y := flip*q[0], q[1]
		m.Points = append(m.Points, [3]float64{x*cos - y*sin + p.X, x*sin + y*cos + p.Y, q[2]})
		if len(points) > 1 {
			m.Points[len(m.Points)-1][2] *= flip
		}
	}
	if m.Text != "" {
		// Mirrored, the direction a becomes 180° − a; text that ends there runs back: −a.
		m.Turn = p.Turned + flip*m.Turn
		m.AtEnd = p.Over
	}
	return m
}

func (m drawnMark) same(n drawnMark) bool {
	turn := math.Abs(math.Remainder(m.Turn-n.Turn, 360))
	if m.Layer != n.Layer || len(m.Points) != len(n.Points) || m.Closed != n.Closed || m.Text != n.Text || m.AtEnd != n.AtEnd || turn > 1e-3 || math.Abs(m.Height-n.Height) > 1e-6 {
		return false
	}
	for i, p := range m.Points {
		last := !m.Closed && i > 0 && i == len(m.Points)-1 // whose bulge leads nowhere
		if q := n.Points[i]; math.Hypot(p[0]-q[0], p[1]-q[1]) > 1e-4 || !last && math.Abs(p[2]-q[2]) > 1e-6 {
			return false
		}
	}
	return true
}

// Every mark and fold line of a blank's own drawing is in the drawing of the sheet that
// the blank lies on, once, and nothing else is on those layers.
func TestNestedSheetsKeepEveryMark(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	if testing.Short() {
		files = []string{"../../examples/wall_hook/wall_hook.perch", "../../examples/stool/stool.perch"}
	}
	over := 0
	const stool = "../../examples/stool/stool.perch"
	for i, file := range append(files, "../../testdata/designs/key_cabinet.perch", marked(t), stool, stool) {
		facts := shop.Default()
		if k := i - len(files) - 2; k >= 0 {
			facts.Brake.Marks = []string{shop.MarksScribe, shop.MarksPunch}[k]
		}
		prog, diags, err := load.Design(file, shop.Default())
		if err != nil || len(diags) > 0 && prog == nil {
			t.Fatal(file, err, diags)
		}
		size := build.Sizes(prog)[0]
		results, _ := family.Job{Program: prog, Shop: facts, Sizes: []string{size}}.Marked()
		order := sheet.Order{File: file, Count: 1}
		if len(build.Sizes(prog)) > 1 {
			order.Size = size
		}
		for _, b := range results[0].Assembly.Blanks {
			if st := b.Flat.Panel.Stock; len(facts.SheetsOf(st.Material, st.Thickness)) == 0 {
				facts.Sheets = append(facts.Sheets, shop.Sheet{Material: st.Material, Thickness: st.Thickness, Width: 1250, Length: 2500})
			}
		}
		dir := t.TempDir()
		nested(t, sheet.Nesting{Orders: []sheet.Order{order}, Shop: facts, Spacing: 6, Margin: 8, Steps: 90, Mirror: true, Effort: 0.01}, dir)
		blanks := map[string]string{}
		for _, b := range results[0].Assembly.Blanks {
			blanks[b.Name] = drawnBlank(t, dir, b)
		}
		for name, read := range readers(t) {
			over += checkMarks(t, filepath.Base(file)+", read by "+name, dir, blanks, read)
		}
	}
	if over == 0 {
		t.Error("no blank was turned over")
	}
}

// checkMarks holds a job's sheets to its blanks' own drawings; it returns how many
// blanks are turned over.
func checkMarks(t *testing.T, what, dir string, blanks map[string]string, read func(...string) [][]drawnMark) (over int) {
	text, err := os.ReadFile(filepath.Join(dir, "job.json"))
	if err != nil {
		t.Fatal(err)
	}
	var record struct {
		Sheets []struct {
			Name   string
			Blanks []nestedPlace
		}
	}
	if err := json.Unmarshal(text, &record); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, s := range record.Sheets {
		names = append(names, filepath.Join(dir, s.Name, s.Name+".dxf"))
	}
	for _, name := range slices.Sorted(maps.Keys(blanks)) {
		names = append(names, blanks[name])
	}
	drawn := map[string][]drawnMark{}
	for i, marks := range read(names...) {
		drawn[names[i]] = marks
	}
	for i, s := range record.Sheets {
		found := drawn[names[i]]
		for _, p := range s.Blanks {
			if p.Over {
				over++
			}
			for _, m := range drawn[blanks[p.Name]] {
				want := p.moved(m)
				k := -1
				for i := range found {
					if found[i].same(want) {
						k = i
						break
					}
				}
				if k < 0 {
					t.Errorf("%s: %s lacks the mark %+v of %s", what, s.Name, want, p.Name)
					continue
				}
				found = append(found[:k:k], found[k+1:]...)
			}
		}
		for _, m := range found {
			t.Errorf("%s: %s has %+v, which is no blank's", what, s.Name, m)
		}
	}
	return over
}

// drawnBlank writes a blank's own drawing beside a job's.
func drawnBlank(t *testing.T, dir string, b *panel.Blank) string {
	t.Helper()
	var out bytes.Buffer
	if err := dxf.Write(&out, b, dxf.Options{}); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, b.Name+".dxf")
	if err := os.WriteFile(name, out.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return name
}

// marked is a design with a mark of every kind on a blank that has a right and a left.
func marked(t *testing.T) string {
	t.Helper()
	const text = `design "Marked"

stock steel = sheet(mild_steel, 1.5mm)

panel plate(w: length) {
  face board on upright(0mm) {
    outline [(-w, 0mm), (w, 0mm), (w - 30mm, 90mm), (-w, 120mm)]
    mark word = text("Größe 4%", height: 6mm) at (-w + 10mm, 50mm)
    mark way = line([(-40mm, 70mm), (-20mm, 90mm), (-w + 10mm, 100mm)])
    mark rib = bead(rect(60mm, 30mm).rounded(12mm), width: 6mm) at (10mm, 50mm)
  }
  face lip off board.edges[1] up 90deg { outline strip(20mm) }
}

part wide of steel = plate(100mm) loose
part small of steel = plate(90mm) loose
`
	name := filepath.Join(t.TempDir(), "marked.perch")
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return name
}
