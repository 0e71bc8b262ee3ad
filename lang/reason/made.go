package reason

import (
	"math"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/check"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Piece is a blank that a part is cut of.
type Piece struct {
	Blank    *panel.Blank
	Copies   []string // those of the part that are bent of it
	Mirrored int      // of these, bent the other way
}

// Pieces are the blanks of what a name stands for at a size, copies that are alike on
// one: a part with all its copies, some of them, as rung.1 of rung.1.2, or a single one.
func Pieces(a *panel.Assembly, name string) []Piece {
	var out []Piece
	at := map[int]int{}
	for _, c := range a.Copies {
		if !isOf(c.Name, name) {
			continue
		}
		i, had := at[c.Blank]
		if !had {
			i, at[c.Blank] = len(out), len(out)
			out = append(out, Piece{Blank: a.Blanks[c.Blank]})
		}
		out[i].Copies = append(out[i].Copies, c.Name)
		if c.Mirrored {
			out[i].Mirrored++
		}
	}
	return out
}

// isOf says that a copy, or a fastener, is the one of a name or one of its family.
func isOf(full, name string) bool {
	rest, ok := strings.CutPrefix(full, name)
	return ok && (rest == "" || rest[0] == '.')
}

// Told says what a piece is: how many, of what, how large and how heavy.
func (p Piece) Told() measure.Text {
	w, h := p.Blank.Flat.Size()
	n, mass := len(p.Copies), p.Blank.Flat.Mass()
	each, all := measure.Say("%.3f", measure.Mass(mass)), measure.Text{}
	if n > 1 {
		each, all = measure.Say("%s each", each), measure.Say(", %.3f in all", measure.Mass(float64(float64(n)*mass)))
	}
	other := measure.Text{}
	if p.Mirrored > 0 && p.Mirrored < n {
		other = measure.Say(", %d of them bent the other way", p.Mirrored)
	}
	return measure.Say("%d %s of %s%s; flat %#.2f × %.2f, %s%s", n, measure.Plural(n, "piece"),
		p.Blank.Flat.Panel.Stock.Told(), other, measure.Length(math.Max(w, h)), measure.Length(math.Min(w, h)), each, all)
}

// Stretch is a piece of a blank's length: a face or a bend.
type Stretch struct {
	Name   string
	Bend   bool
	Length float64 // mm
}

// Extent is a blank's length or width, and where it comes from.
type Extent struct {
	Length   float64 // mm
	From, To string  // the faces that reach farthest
	// Row are the faces and bends between the two, one behind the other, which add up to
	// the length, as it is measured along it; nil where they do not lie in a row: a fold
	// there is far from square to it.
	Row []Stretch
}

// ExtentOf tells of a blank's length, or of its width.
func ExtentOf(f *panel.Flat, long bool) Extent {
	w, h := f.Size()
	axis := func(p plane.Point) float64 { return p.X }
	ends := func(b plane.Box) (float64, float64) { return b.Min.X, b.Max.X }
	if (h > w) == long {
		axis = func(p plane.Point) float64 { return p.Y }
		ends = func(b plane.Box) (float64, float64) { return b.Min.Y, b.Max.Y }
	}
	first, last := 0, 0
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range f.Faces {
		a, b := ends(f.Faces[i].Loop.Bounds())
		if a < lo {
			lo, first = a, i
		}
		if b > hi {
			hi, last = b, i
		}
	}
	return Extent{Length: hi - lo, From: f.FaceName(first), To: f.FaceName(last), Row: row(f, first, last, lo, hi, axis)}
}

// row are the stretches from one face's end at lo to another's at hi along an axis.
func row(f *panel.Flat, first, last int, lo, hi float64, axis func(plane.Point) float64) []Stretch {
	var out []Stretch
	at := lo
	add := func(name string, bend bool, to float64) bool {
		out = append(out, Stretch{name, bend, to - at})
		ok := to-at > -tiny
		at = to
		return ok
	}
	face := first
	for _, i := range path(f, first, last) {
		fold := &f.Folds[i]
		near, far, next := fold.TangentA, fold.TangentB, fold.B
		if fold.B == face {
			near, far, next = far, near, fold.A
		}
		a, b := axis(mid(near)), axis(mid(far))
		square := b-a > nearlySquare*fold.Bend.Allowance()
		if !add(f.FaceName(face), false, a) || !square || !add(fold.Name, true, b) {
			return nil
		}
		face = next
	}
	if !add(f.FaceName(face), false, hi) {
		return nil
	}
	return out
}

// tiny is what a sum of lengths may be off, mm. nearlySquare is the least cosine of the
// angle between a bend and the length that it is a piece of: 25°, of no weight, for the
// sum is right at any angle.
const (
	tiny         = 1e-6
	nearlySquare = 0.9
)

func mid(p [2]plane.Point) plane.Point {
	return plane.Point{X: float64((p[0].X + p[1].X) / 2), Y: float64((p[0].Y + p[1].Y) / 2)}
}

// path are the folds from one face of a flat to another, which hang together as a tree.
func path(f *panel.Flat, from, to int) []int {
	by := map[int]int{from: -1} // face: the fold that it was come to by
	for queue := []int{from}; len(queue) > 0; queue = queue[1:] {
		for i := range f.Folds {
			a, b := f.Folds[i].A, f.Folds[i].B
			if b == queue[0] {
				a, b = b, a
			}
			if _, seen := by[b]; a == queue[0] && !seen {
				by[b] = i
				queue = append(queue, b)
			}
		}
	}
	var out []int
	for face := to; face != from; {
		i, known := by[face]
		if !known {
			return nil
		}
		out = append(out, i)
		if face == f.Folds[i].B {
			face = f.Folds[i].A
		} else {
			face = f.Folds[i].B
		}
	}
	slices.Reverse(out)
	return out
}

// Told writes a length and where it comes from: 98.63 mm: lip 29.00 + bend 3.12 + web 66.51.
func (e Extent) Told() measure.Text {
	text := measure.Say("%.2f: ", measure.Length(e.Length))
	switch {
	case e.Row == nil && e.From == e.To:
		return measure.Say("%s%s, with what hangs on it", text, e.From)
	case e.Row == nil:
		return measure.Say("%sfrom %s to %s, over a fold that is not square to it", text, e.From, e.To)
	case len(e.Row) == 1:
		return measure.Say("%s%s", text, e.From)
	}
	for i, s := range e.Row {
		name, and := s.Name, " + "
		if s.Bend {
			name = "bend"
		}
		if i == 0 {
			and = ""
		}
		text = measure.Say("%s%s%s %#.2f", text, and, name, measure.Length(s.Length))
	}
	return text
}

// Row is fasteners of one kind that a join came to.
type Row struct {
	Kind     string
	Diameter float64 // mm
	Grip     float64 // mm
	Count    int
	In       []In // the copies that they go through, in order
}

// In is how many fasteners go through a copy.
type In struct {
	Copy  string
	Count int
}

// Rows are the fasteners of a join, or of one of its family, at a size.
func Rows(a *panel.Assembly, name string) []Row {
	var out []Row
	for _, j := range a.Joins {
		if !isOf(j.Name, name) {
			continue
		}
		i := slices.IndexFunc(out, func(r Row) bool {
			return r.Kind == j.Kind && r.Diameter == j.Diameter && math.Abs(r.Grip-j.Grip) < tiny
		})
		if i < 0 {
			i = len(out)
			out = append(out, Row{Kind: j.Kind, Diameter: j.Diameter, Grip: j.Grip})
		}
		out[i].Count++
		for _, m := range j.Members {
			copy := a.Copies[m.Copy].Name
			k := slices.IndexFunc(out[i].In, func(in In) bool { return in.Copy == copy })
			if k < 0 {
				k = len(out[i].In)
				out[i].In = append(out[i].In, In{Copy: copy})
			}
			out[i].In[k].Count++
		}
	}
	return out
}

// Told says what a row is: how many of what, how much metal they hold together, and in
// which copies they are.
func (r Row) Told() measure.Text {
	what := measure.Say("%d %s %.3g", r.Count, measure.Plural(r.Count, r.Kind), measure.Nominal(r.Diameter))
	if r.Kind == "tack" || r.Kind == "weld" || r.Kind == "plug" {
		what = measure.Say("%d %s", r.Count, measure.Plural(r.Count, r.Kind))
	}
	var in []string
	for _, c := range r.In {
		in = append(in, measure.Say("%s %d", c.Copy, c.Count).String())
	}
	return measure.Say("%s through %.2f of metal: %s", what, measure.Length(r.Grip), strings.Join(in, ", "))
}

// ofStock tells what is made of a stock, by the design's name for it: what it is, how many
// pieces there are of how many blanks, and how much metal is in them.
func ofStock(a *panel.Assembly, name string) []measure.Text {
	n, blanks, area, mass := 0, 0, 0.0, 0.0
	var first *panel.Flat
	for _, b := range a.Blanks {
		if b.Flat.Panel.Stock.Name != name {
			continue
		}
		if first == nil {
			first = b.Flat
		}
		n, blanks = n+b.Count, blanks+1
		area += float64(float64(b.Count) * b.Flat.Area())
		mass += float64(float64(b.Count) * b.Flat.Mass())
	}
	if first == nil {
		return nil
	}
	st := first.Panel.Stock
	return []measure.Text{
		measure.Say("%s, bent with an inside radius of %.2f where nothing else is stated", st.Told(), measure.Length(st.Radius)),
		measure.Say("%s of %s, %.0f and %.3f of metal", measure.Counted(n, "piece"), measure.Counted(blanks, "blank"), measure.Area(area), measure.Mass(mass)),
	}
}

// Things are the stocks, parts and joins of a design, in the order written: what Lines
// tells of.
func Things(p *check.Program) []*check.Decl {
	var out []*check.Decl
	for _, d := range p.Root.Order {
		if d.Kind == check.Stock || d.Kind == check.Part || d.Kind == check.Join {
			out = append(out, d)
		}
	}
	return out
}

// Lines tell what a name came to at a built size, a line each, those of a piece with
// what its length and width come from below it, set in; none where it made nothing.
func Lines(r *build.Result, name string) []measure.Text {
	var out []measure.Text
	if r.Assembly == nil {
		return nil
	}
	pieces := Pieces(r.Assembly, name)
	for _, p := range pieces {
		head := p.Told()
		if len(pieces) > 1 {
			head = measure.Say("%s: %s", p.Blank.Name, head)
		}
		out = append(out, head)
		for _, long := range []bool{true, false} {
			out = append(out, measure.Say("  %s", ExtentOf(p.Blank.Flat, long).Told()))
		}
	}
	for _, row := range Rows(r.Assembly, name) {
		out = append(out, row.Told())
	}
	return append(out, ofStock(r.Assembly, name)...)
}
