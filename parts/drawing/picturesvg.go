package drawing

import (
	"io"
	"strconv"

	"perch/parts/plane"
)

// tints are the stocks' colours in full light, in the order the stocks appear:
// bare sheet, then paints that print apart.
var tints = [...][3]float64{
	{226, 224, 216}, {176, 197, 206}, {222, 190, 148}, {186, 204, 168}, {214, 178, 176}, {196, 186, 210},
}

const (
	ink       = "#2b2a28"
	inkLevel  = 0.17 // of full light
	edgeWidth = 0.8  // pixels
	shadowHex = "#e9e6df"
)

// colour of a tint under light, as #rrggbb.
func colour(tint int, light float64) string {
	const digits = "0123456789abcdef"
	hex := [7]byte{'#'}
	for i, c := range tints[tint%len(tints)] {
		x := max(0, min(255, int(float64(c*min(1, light*1.06))+0.5)))
		hex[1+2*i], hex[2+2*i] = digits[x>>4], digits[x&15]
	}
	return string(hex[:])
}

// SVG writes the picture as SVG, in pixels.
func (p *Picture) SVG(w io.Writer) error {
	s := &svg{buf: make([]byte, 0, 64<<10), decimals: 2}
	wide, high := strconv.Itoa(int(p.Width)), strconv.Itoa(int(p.Height))
	s.raw(`<svg xmlns="http://www.w3.org/2000/svg" width="`, wide, `" height="`, high, `" viewBox="0 0 `, wide, " ", high, "\">\n<style>\n",
		".edge{fill:none;stroke:", ink, ";stroke-width:.8;stroke-linecap:round;stroke-linejoin:round}\n",
		".solid{stroke-width:.5;stroke-linejoin:round;fill-rule:evenodd}\n",
		".dim{fill:none;stroke:#6d6a63;stroke-width:.8}\n.head{fill:#6d6a63}\n",
		"text{font-family:sans-serif;fill:", ink, "}\n.strong{font-weight:bold}\n</style>\n",
		`<rect width="`, wide, `" height="`, high, "\" fill=\"#fff\"/>\n<g id=\"shadow\" fill=\"", shadowHex, "\" stroke=\"", shadowHex, "\" fill-rule=\"evenodd\">\n")
	rest := p.shapes
	for len(rest) > 0 && rest[0].tint == shadowTint {
		s.raw(`<path d="`)
		s.loops(rest[0].loops)
		s.raw("\"/>\n")
		rest = rest[1:]
	}
	s.raw("</g>\n<g id=\"piece\">\n")
	for _, sh := range rest {
		// The outline in the fill's own colour closes the seams between pieces.
		c := colour(sh.tint, sh.light)
		s.raw(`<path class="solid" fill="`, c, `" stroke="`, c, `" d="`)
		s.loops(sh.loops)
		s.raw("\"/>\n")
		s.edges(sh)
	}
	s.raw("</g>\n<g id=\"dimension\">\n")
	for _, l := range p.lines {
		s.line("dim", l.from, l.to)
		if l.arrows {
			u, _ := unit(l.from, l.to)
			s.arrow(l.from, plane.Point{X: -u.X, Y: -u.Y}, 9)
			s.arrow(l.to, u, 9)
		}
	}
	for _, t := range p.texts {
		class, anchor := "note", "start"
		if t.bold {
			class = "strong"
		}
		if t.middle {
			anchor = "middle"
		}
		s.text(class, anchor, t.content, t.at, t.size, 0)
	}
	s.raw("</g>\n</svg>\n")
	_, err := w.Write(s.buf)
	return err
}

func (s *svg) loops(loops [][]plane.Point) {
	for _, l := range loops {
		for i, q := range l {
			if i == 0 {
				s.raw("M")
			} else {
				s.raw("L")
			}
			s.pair(q)
		}
		s.raw("Z")
	}
}

// edges writes runs of drawn edges as one path.
func (s *svg) edges(sh shape) {
	started := false
	for k, l := range sh.loops {
		pen := false
		for i, q := range l {
			if !sh.drawn[k][i] {
				pen = false
				continue
			}
			if !started {
				s.raw(`<path class="edge" d="`)
				started = true
			}
			if !pen {
				s.raw("M")
				s.pair(q)
				pen = true
			}
			s.raw("L")
			s.pair(l[(i+1)%len(l)])
		}
	}
	if started {
		s.raw("\"/>\n")
	}
}
