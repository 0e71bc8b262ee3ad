package cutplan

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"perch/parts/decimal"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Cautions stand at the head of every program.
var Cautions = []string{
	"Run it dry first: torch off, raised, eyes on the whole path.",
	"The arc blinds: wear the shade that its current asks for.",
	"Metal fumes, of zinc above all, harm: draw them off.",
	"Sparks start fires: nothing that burns near, an extinguisher at hand.",
	"Never leave the table unattended.",
}

const mmPerInch = 25.4

// Program writes the plan as an RS-274 program: comments with cautions, the
// profile's header, the marks where its table can mark, per cut a rapid move, torch on, delay, the path, torch off, and
// the footer. Errors: *FeedError, and w's.
func Program(w io.Writer, p *Plan, prof *Profile) error {
	feed, err := prof.feed(p.Sheet.Material, p.Sheet.Thickness)
	if err != nil {
		return err
	}
	g := &programmer{w: bufio.NewWriter(w), prof: prof, scale: 1, digits: 4}
	if prof.Unit == "in" {
		g.scale, g.digits = 1/mmPerInch, 5
	}
	g.comment("Sheet " + p.Sheet.Name + ", " + p.Sheet.Material + " " + g.number(p.Sheet.Thickness) + " " + prof.Unit)
	for _, of := range p.origins() {
		g.comment("Blanks of " + of)
	}
	for _, c := range Cautions {
		g.comment(c)
	}
	g.head()
	if p.First > 1 {
		g.comment(fmt.Sprintf("Goes on from pierce %d; what comes before it must be cut already.", p.First))
	}
	for i := range p.Sheet.Parts {
		if lines := p.scribed(i, prof); len(lines) > 0 {
			g.comment(fmt.Sprintf("Marks of blank %d %s", p.Sheet.Parts[i].Number, p.Sheet.Parts[i].Name))
			for _, l := range lines {
				g.scribe(l)
			}
		}
	}
	n := p.First
	for i := range p.Cuts {
		c := &p.Cuts[i]
		part := &p.Sheet.Parts[c.Part]
		side := "outside"
		if c.Inside {
			side = "inside"
		}
		for _, r := range c.Runs {
			g.comment(fmt.Sprintf("Pierce %d: blank %d %s, %s", n, part.Number, part.Name, side))
			n++
			g.run(c, r, feed)
		}
	}
	for _, f := range prof.Footer {
		g.line(f)
	}
	return g.w.Flush()
}

// origins are what the blanks that are cut are of, each once: design, size, revision.
func (p *Plan) origins() []string {
	var out []string
	for i := range p.Sheet.Parts {
		of := p.Sheet.Parts[i].Of
		if r := p.Sheet.Parts[i].Revision; r != "" {
			of += ", revision " + r
		}
		if of != "" && p.Holds(i) && !slices.Contains(out, of) {
			out = append(out, of)
		}
	}
	return out
}

// head writes the modes that the program is written in, each that the profile's header
// does not set itself, and that header: unit, plane of arcs, no cutter compensation,
// absolute places, a path without stops.
func (g *programmer) head() {
	unit, path := "G21", "G64"
	if g.prof.Unit == "in" {
		unit = "G20"
	}
	if g.prof.Blend > 0 {
		path += " P" + g.number(g.prof.Blend)
	}
	told := map[string]bool{}
	for _, h := range g.prof.Header {
		for _, word := range strings.Fields(strings.ToUpper(h)) {
			told[word] = true
		}
	}
	var own []string
	for _, mode := range []string{unit, "G17", "G40", "G90", path} {
		if word, _, _ := strings.Cut(mode, " "); !told[word] {
			own = append(own, mode)
		}
	}
	if len(own) > 0 {
		g.line(strings.Join(own, " "))
	}
	for _, h := range g.prof.Header {
		g.line(h)
	}
}

// run writes one stretch from pierce to torch off.
func (g *programmer) run(c *Cut, path []plane.Edge, feed shop.Feed) {
	g.line("G0" + g.xy(path[0].From))
	g.line(g.prof.On)
	if feed.Delay > 0 {
		g.line("G4 P" + string(decimal.Append(nil, feed.Delay, 3)))
	}
	f := feed.Feed
	if c.Slow {
		f *= g.prof.slow()
	}
	g.line("F" + string(decimal.Append(nil, f*g.scale, 3)))
	for _, e := range path {
		g.edge(e)
	}
	g.line(g.prof.Off)
}

// scribe writes one line that is marked.
func (g *programmer) scribe(path []plane.Edge) {
	g.line("G0" + g.xy(path[0].From))
	g.line(g.prof.MarkOn)
	g.line("F" + string(decimal.Append(nil, g.prof.MarkFeed*g.scale, 3)))
	for _, e := range path {
		g.edge(e)
	}
	g.line(g.prof.MarkOff)
}

// programmer writes lines; the writer keeps the first error.
type programmer struct {
	w      *bufio.Writer
	prof   *Profile
	scale  float64
	digits int
	n      int
}

func (g *programmer) line(s string) {
	if g.prof.LineNumbers > 0 {
		g.n += g.prof.LineNumbers
		fmt.Fprintf(g.w, "N%d ", g.n)
	}
	g.w.WriteString(s)
	g.w.WriteByte('\n')
}

// comment leaves out what would end a comment or is not plain text.
func (g *programmer) comment(s string) {
	clean := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || r == '(' || r == ')' {
			return '_'
		}
		return r
	}, s)
	g.w.WriteString("(" + clean + ")\n")
}

func (g *programmer) number(mm float64) string {
	return string(decimal.Append(nil, mm*g.scale, g.digits))
}

func (g *programmer) xy(p plane.Point) string { return " X" + g.number(p.X) + " Y" + g.number(p.Y) }

// edge writes a move; arcs go by quarter turns at most, where the centre from the
// start (I, J) leaves no doubt.
func (g *programmer) edge(e plane.Edge) {
	if e.Bulge == 0 {
		g.line("G1" + g.xy(e.To))
		return
	}
	if !g.prof.Arcs {
		chord := g.prof.Chord
		if chord == 0 {
			chord = 0.005
		}
		for _, p := range plane.Flatten(plane.Loop{{P: e.From, Bulge: e.Bulge}, {P: e.To}}, chord)[1:] {
			g.line("G1" + g.xy(p))
		}
		return
	}
	if e.Bulge > quarterMost || e.Bulge < -quarterMost {
		a, b := e.Split(0.5)
		g.edge(a)
		g.edge(b)
		return
	}
	word := "G3"
	if e.Bulge < 0 {
		word = "G2"
	}
	c := e.Center().Sub(e.From)
	g.line(word + g.xy(e.To) + " I" + g.number(c.X) + " J" + g.number(c.Y))
}

// quarterMost is just above the bulge of a quarter turn.
const quarterMost = 0.41422
