package paper

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"perch/parts/decimal"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// Document is a list of pages.
type Document struct {
	Name     string    // its title, in the file's data
	Language string    // of its text, by BCP 47; "" is en
	Date     time.Time // that the file says it was made on; zero: none, which is written 1970-01-01
	Pages    []*Page
}

// Add puts a page at the end.
func (d *Document) Add(p *Page) *Page {
	d.Pages = append(d.Pages, p)
	return p
}

// Finish draws frames and title blocks, whose page numbers are known only when all pages are
// there. PDF does it too.
func (d *Document) Finish() {
	for i, p := range d.Pages {
		p.frame(i+1, len(d.Pages))
	}
}

// Lacking are the signs in the document that the fonts have no letter for.
func (d *Document) Lacking() []rune {
	seen := map[rune]bool{}
	var out []rune
	for _, p := range d.Pages {
		for _, r := range p.Lacking() {
			if !seen[r] {
				seen[r] = true
				out = append(out, r)
			}
		}
	}
	return out
}

// PDF writes the document. It fails for one without pages or with a number that is not
// finite, and where w does.
func (d *Document) PDF(w io.Writer) error {
	if len(d.Pages) == 0 {
		return fmt.Errorf("a document without a page can't be written")
	}
	d.Finish()
	f := d.begin()
	marked := false
	for i, p := range d.Pages {
		if err := p.finite(); err != nil {
			return fmt.Errorf("page %d: %w", i+1, err)
		}
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.Sheet.Wide, Ht: p.Sheet.High})
		if p.Bookmark != "" {
			level := p.Level
			if !marked { // the first can't hang below another
				level, marked = 0, true
			}
			f.Bookmark(spelled(p.Bookmark), level, 0)
		}
		f.RawWriteBuf(bytes.NewReader(p.paths()))
		for _, t := range p.texts {
			p.letters(f, t)
		}
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}

// begin makes the library's document.
func (d *Document) begin() *fpdf.Fpdf {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: A4.Wide, Ht: A4.High}})
	date := d.Date
	if date.IsZero() {
		date = time.Unix(0, 0)
	}
	f.SetCatalogSort(true)
	f.SetCreationDate(date.UTC())
	f.SetModificationDate(date.UTC())
	f.SetProducer("perch", true)
	f.SetTitle(spelled(d.Name), true)
	f.SetLang("en")
	if d.Language != "" {
		f.SetLang(d.Language)
	}
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes("Go", "", face(false).data)
	f.AddUTF8FontFromBytes("Go", "B", face(true).data)
	return f
}

// letters writes a line of text.
func (p *Page) letters(f *fpdf.Fpdf, t text) {
	bold := ""
	if t.Style.Bold {
		bold = "B"
	}
	f.SetFont("Go", bold, decimal.Round(t.Style.size()*perMM, 2))
	ink := t.Style.Ink
	f.SetTextColor(int(ink.R), int(ink.G), int(ink.B))
	at := t.start()
	if !t.Rising {
		f.Text(at.X, at.Y, t.drawn)
		return
	}
	turn := []byte("q 0 1 -1 0 ")
	turn = append(decimal.Append(turn, float64(at.X*perMM), 3), ' ')
	turn = append(decimal.Append(turn, float64((p.Sheet.High-at.Y)*perMM), 3), " cm"...)
	f.RawWriteStr(string(turn))
	f.Text(0, p.Sheet.High, t.drawn)
	f.RawWriteStr("Q")
}

// paths are the drawing operators of all shapes, in mm with y down by a map at the start.
func (p *Page) paths() []byte {
	c := content{}
	c.raw("q ")
	for _, x := range [...]float64{perMM, 0, 0, -perMM, 0, float64(p.Sheet.High * perMM)} {
		c.buf = append(decimal.Append(c.buf, x, 9), ' ')
	}
	c.raw("cm 1 j\n")
	for _, s := range p.shapes {
		c.shape(s)
	}
	c.raw("Q\n")
	return c.buf
}

type content struct{ buf []byte }

func (c *content) raw(s string) { c.buf = append(c.buf, s...) }

func (c *content) numbers(xs ...float64) {
	for _, x := range xs {
		c.buf = append(decimal.Append(c.buf, x, 3), ' ')
	}
}

func (c *content) ink(i Ink, op string) {
	c.numbers(float64(i.R)/255, float64(i.G)/255, float64(i.B)/255)
	c.raw(op)
}

func (c *content) shape(s shape) {
	if s.fill != nil {
		c.ink(*s.fill, "rg\n")
	}
	if s.pen != nil {
		c.ink(s.pen.Ink, "RG ")
		c.numbers(s.pen.Width)
		c.raw("w [ ")
		c.numbers(s.pen.Dash...)
		c.raw("] 0 d\n")
	}
	for _, l := range s.loops {
		c.loop(l, s.closed)
	}
	switch {
	case s.fill != nil && s.pen != nil:
		c.raw("B*\n")
	case s.fill != nil:
		c.raw("f*\n")
	default:
		c.raw("S\n")
	}
}

func (c *content) loop(l plane.Loop, closed bool) {
	if len(l) == 0 {
		return
	}
	c.numbers(l[0].P.X, l[0].P.Y)
	c.raw("m\n")
	for i := range l {
		if i+1 == len(l) && !closed {
			return
		}
		e := l.Edge(i)
		if e.Straight() {
			if i+1 < len(l) {
				c.numbers(e.To.X, e.To.Y)
				c.raw("l\n")
			}
			continue
		}
		c.arc(e)
	}
	c.raw("h\n")
}

// arc writes cubic curves of a quarter turn at most, each with handles of 4/3·tan(a/4) radii,
// by which it lies within 2.7e-4 radii of the arc.
func (c *content) arc(e plane.Edge) {
	n := max(1, int(math.Ceil(math.Abs(e.Sweep())/(math.Pi/2)-1e-9)))
	centre := e.Center()
	part := e.Sweep() / float64(n)
	k := float64(4 * tan(part/4) / 3)
	from := e.From
	for i := 1; i <= n; i++ {
		to := e.To
		if i < n {
			to = e.PointAt(float64(i) / float64(n))
		}
		a, b := from.Sub(centre).Perp().Scale(k), to.Sub(centre).Perp().Scale(-k)
		c.numbers(from.X+a.X, from.Y+a.Y, to.X+b.X, to.Y+b.Y, to.X, to.Y)
		c.raw("c\n")
		from = to
	}
}

func tan(x float64) float64 {
	sin, cos := elementary.Sincos(x)
	return sin / cos
}

// finite refuses a page with a number that can't be drawn.
func (p *Page) finite() error {
	for _, s := range p.shapes {
		for _, l := range s.loops {
			for _, v := range l {
				if !decimal.Finite(v.P.X, v.P.Y, v.Bulge) {
					return fmt.Errorf("a line passes (%v, %v) with bulge %v", v.P.X, v.P.Y, v.Bulge)
				}
			}
		}
	}
	for _, t := range p.texts {
		if !decimal.Finite(t.At.X, t.At.Y, t.Style.size()) {
			return fmt.Errorf("the text %q stands at (%v, %v)", t.drawn, t.At.X, t.At.Y)
		}
	}
	return nil
}
