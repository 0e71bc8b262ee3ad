package page

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"encoding/json"
	"math"

	"perch/parts/decimal"
	"perch/parts/plane"
	"perch/parts/scene"
	"perch/parts/solid"
)

// The scene as the page's script reads it. Lengths are mm, those of nets and outlines whole
// numbers of fine mm, each as its difference to the one before; angles radians.
const fine = 1e-4

type dataFile struct {
	Design string      `json:"design"`
	Inches bool        `json:"inches,omitempty"`
	Plain  bool        `json:"plain,omitempty"`
	Live   bool        `json:"live,omitempty"`
	Shapes []dataShape `json:"shapes"` // of all sizes, each once
	Sizes  []dataSize  `json:"sizes"`
}

type dataSize struct {
	Name     string        `json:"name"`
	Lo       [3]float64    `json:"lo"`
	Hi       [3]float64    `json:"hi"`
	Shapes   []int         `json:"shapes"` // of the file, by the size's own number
	Copies   []dataCopy    `json:"copies"`
	Joins    []dataJoin    `json:"joins"`
	Moves    [][]dataMove  `json:"moves"` // by step
	Warnings [][]dataPlace `json:"warnings"`
}

type dataCopy struct {
	Name   string      `json:"n,omitempty"`
	Shape  int         `json:"s"`
	Matrix [12]float64 `json:"m"`
	Bent   bool        `json:"o,omitempty"` // the other way
	Rev    int         `json:"v,omitempty"` // of two revisions: 1 before, 2 after; 0 both
}

type dataJoin struct {
	Name   string      `json:"n,omitempty"`
	Kind   string      `json:"k"`
	Wide   float64     `json:"d"`
	At     [3]float64  `json:"a"`
	Axis   [3]float64  `json:"x"`
	Grip   float64     `json:"g"`
	Head   float64     `json:"h,omitempty"`
	Line   *[6]float64 `json:"l,omitempty"`
	Copies []int       `json:"c"`
}

type dataMove struct {
	Copies []int      `json:"c"`
	By     [3]float64 `json:"by"`
}

type dataPlace struct {
	Copy int    `json:"c"`
	Kind string `json:"k,omitempty"` // face, fold or hole
	Of   int    `json:"i"`
}

type dataShape struct {
	Name     string     `json:"n,omitempty"`
	Called   string     `json:"c,omitempty"`
	Stock    string     `json:"st,omitempty"`
	Tint     int        `json:"ti"`
	Thick    float64    `json:"t"`
	Root     int        `json:"root"`
	Faces    []dataFace `json:"faces"`
	Folds    []dataFold `json:"folds,omitempty"`
	Order    []int      `json:"order,omitempty"`
	Holes    []dataHole `json:"holes,omitempty"`
	Lines    []dataLine `json:"lines,omitempty"`
	Outline  []int      `json:"out,omitempty"`
	Openings [][]int    `json:"in,omitempty"`

	Nodes     []int `json:"xy,omitempty"`
	Regions   []int `json:"rg,omitempty"`  // by node
	Fixed     []int `json:"xyz,omitempty"` // of a plain page: the nodes of both sides as they stand
	Normals   []int `json:"nn,omitempty"`  // of a plain page, in thousandths
	Triangles []int `json:"tri"`
	Parts     []int `json:"tr,omitempty"` // region by triangle
	Border    []int `json:"bd"`           // from and to; from is −1 − node where a corner is turned
}

type dataFace struct {
	Name   string `json:"n,omitempty"`
	Called string `json:"c,omitempty"`
	Loop   []int  `json:"l,omitempty"`
}

type dataFold struct {
	Name   string     `json:"n"`
	Called string     `json:"c"`
	A      int        `json:"a"`
	B      int        `json:"b"`
	Start  [2]float64 `json:"s"`
	Along  [2]float64 `json:"u"`
	Loop   []int      `json:"l"`
	Angle  float64    `json:"A"`
	Radius float64    `json:"r"`
	K      float64    `json:"K"`
	Wide   float64    `json:"w"`
	Down   bool       `json:"d,omitempty"`
}

type dataHole struct {
	Name string     `json:"n"`
	For  string     `json:"j,omitempty"`
	Kind string     `json:"k"`
	When string     `json:"w,omitempty"`
	Face int        `json:"f"`
	At   [2]float64 `json:"p"`
	Wide float64    `json:"d,omitempty"`
	Loop []int      `json:"l,omitempty"`
}

type dataLine struct {
	Kind   string `json:"k"`
	Face   int    `json:"f"`
	Points []int  `json:"p"`
}

// data is the scene of all sizes as the script reads it.
func (d *Document) data() dataFile {
	out := dataFile{Design: d.Design, Inches: d.Inches, Plain: d.Plain, Live: d.Live, Shapes: []dataShape{}, Sizes: []dataSize{}}
	known := map[string]int{}
	for i := range d.Sizes {
		out.Sizes = append(out.Sizes, d.size(&d.Sizes[i], &out, known))
	}
	return out
}

// size writes a size; shapes that are there to the last number are used again.
func (d *Document) size(z *Size, file *dataFile, known map[string]int) dataSize {
	s := z.Scene
	out := dataSize{Name: z.Name, Copies: []dataCopy{}, Joins: []dataJoin{}, Moves: [][]dataMove{}, Warnings: [][]dataPlace{}, Shapes: []int{}}
	if s == nil {
		return out
	}
	out.Lo, out.Hi = vec(s.Lo), vec(s.Hi)
	tints := map[string]int{}
	for _, shape := range s.Shapes {
		if _, ok := tints[shape.Stock]; !ok {
			tints[shape.Stock] = len(tints)
		}
		of := d.shape(shape)
		of.Tint = tints[shape.Stock]
		key, _ := json.Marshal(of) // whole numbers and finite ones alone
		at, ok := known[string(key)]
		if !ok {
			at = len(file.Shapes)
			known[string(key)] = at
			file.Shapes = append(file.Shapes, of)
		}
		out.Shapes = append(out.Shapes, at)
	}
	for i, c := range s.Copies {
		of := dataCopy{Name: c.Called, Shape: c.Shape, Bent: c.Mirrored}
		if i < len(z.Revisions) {
			of.Rev = int(z.Revisions[i])
		}
		for k := range of.Matrix {
			of.Matrix[k] = decimal.Round(c.Matrix[k], decimal.Cosine)
			if k%4 == 3 {
				of.Matrix[k] = decimal.Round(c.Matrix[k], decimal.Length)
			}
		}
		if d.Plain {
			of.Name = ""
		}
		out.Copies = append(out.Copies, of)
	}
	for i := range s.Fasteners {
		out.Joins = append(out.Joins, d.join(&s.Fasteners[i]))
	}
	if d.Plain {
		return out
	}
	for _, step := range s.Steps {
		moves := []dataMove{}
		for _, m := range step.Moves {
			moves = append(moves, dataMove{Copies: m.Copies, By: vec(m.By)})
		}
		out.Moves = append(out.Moves, moves)
	}
	for _, w := range z.Warnings {
		places := []dataPlace{}
		for _, p := range w.Places {
			places = append(places, dataPlace{Copy: p.Copy, Kind: string(p.Kind), Of: p.Of})
		}
		out.Warnings = append(out.Warnings, places)
	}
	return out
}

func (d *Document) join(f *scene.Fastener) dataJoin {
	j := dataJoin{Name: f.Name, Kind: f.Kind, Wide: length(f.Diameter), At: vec(f.At), Axis: cosines(f.Axis), Grip: length(f.Grip), Head: length(f.Head), Copies: f.Copies}
	if f.Line != nil {
		a, b := vec(f.Line[0]), vec(f.Line[1])
		j.Line = &[6]float64{a[0], a[1], a[2], b[0], b[1], b[2]}
	}
	if d.Plain {
		j.Name, j.Wide, j.Kind = "", 0, ""
	}
	return j
}

// shape writes a blank's net. A plain page has it as it stands, with no flat to cut it from.
func (d *Document) shape(s *scene.Shape) dataShape {
	out := dataShape{Thick: length(s.Thickness), Faces: []dataFace{}}
	for _, t := range s.Triangles {
		out.Triangles = append(out.Triangles, int(t.Nodes[0]), int(t.Nodes[1]), int(t.Nodes[2]))
	}
	for _, e := range s.Border {
		from := int(e.From)
		if e.Sharp {
			from = -1 - from
		}
		out.Border = append(out.Border, from, int(e.To))
	}
	if d.Plain {
		out.Fixed, out.Normals = standing(s)
		return out
	}
	out.Name, out.Called, out.Stock, out.Root, out.Order = s.Name, s.Called, s.Stock, s.Root, s.Order
	out.Outline = flat(s.Outline)
	for _, l := range s.Openings {
		out.Openings = append(out.Openings, flat(l))
	}
	for _, f := range s.Faces {
		out.Faces = append(out.Faces, dataFace{Name: f.Name, Called: f.Called, Loop: flat(f.Loop)})
	}
	for i := range s.Folds {
		f := &s.Folds[i]
		out.Folds = append(out.Folds, dataFold{Name: f.Name, Called: f.Called, A: f.A, B: f.B, Start: point(f.Start, 9), Along: point(f.Along, 12),
			Loop: flat(f.Loop), Angle: decimal.Round(f.Angle, 12), Radius: length(f.Radius), K: decimal.Round(f.K, 12), Wide: decimal.Round(f.Allowance, 12), Down: f.Down})
	}
	for _, h := range s.Holes {
		out.Holes = append(out.Holes, dataHole{Name: h.Name, For: h.For, Kind: h.Kind, When: h.When, Face: h.Face, At: point(h.At, decimal.Length), Wide: length(h.Diameter), Loop: flat(h.Loop)})
	}
	for _, l := range s.Lines {
		out.Lines = append(out.Lines, dataLine{Kind: l.Kind, Face: l.Face, Points: flat(l.Points)})
	}
	points := make([]plane.Point, len(s.Nodes))
	for i, n := range s.Nodes {
		points[i] = n.P
		out.Regions = append(out.Regions, n.Region)
	}
	out.Nodes = flat(points)
	for _, t := range s.Triangles {
		out.Parts = append(out.Parts, t.Region)
	}
	return out
}

// standing are a finished shape's nodes on both sides, and the drawn side's normals there.
func standing(s *scene.Shape) (points, normals []int) {
	p := s.Posture(s.Bent(1))
	var at []solid.Vec
	for _, depth := range [2]float64{0, s.Thickness} {
		for _, n := range s.Nodes {
			q, normal := p.At(n.Region, n.P, depth)
			at = append(at, q)
			if depth == 0 {
				for _, x := range [3]float64{normal.X, normal.Y, normal.Z} {
					normals = append(normals, int(math.Round(x*1000)))
				}
			}
		}
	}
	var last [3]int
	for _, q := range at {
		now := [3]int{steps(q.X), steps(q.Y), steps(q.Z)}
		for k := range now {
			points = append(points, now[k]-last[k])
		}
		last = now
	}
	return points, normals
}

func steps(mm float64) int { return int(math.Round(mm / fine)) }

// flat writes points of the flat as differences.
func flat(points []plane.Point) []int {
	out := make([]int, 0, 2*len(points))
	x, y := 0, 0
	for _, p := range points {
		a, b := steps(p.X), steps(p.Y)
		out = append(out, a-x, b-y)
		x, y = a, b
	}
	return out
}

func length(mm float64) float64 { return decimal.Round(mm, decimal.Length) }

func point(p plane.Point, decimals int) [2]float64 {
	return [2]float64{decimal.Round(p.X, decimals), decimal.Round(p.Y, decimals)}
}

func vec(v solid.Vec) [3]float64 { return [3]float64{length(v.X), length(v.Y), length(v.Z)} }

func cosines(v solid.Vec) [3]float64 {
	return [3]float64{decimal.Round(v.X, decimal.Cosine), decimal.Round(v.Y, decimal.Cosine), decimal.Round(v.Z, decimal.Cosine)}
}

// packed is the scene, compressed, as text.
func (d *Document) packed() (string, error) {
	text, err := json.Marshal(d.data())
	if err != nil {
		return "", err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := z.Write(text); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(b.Bytes()), nil
}
