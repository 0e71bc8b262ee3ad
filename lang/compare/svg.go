package compare

import (
	"fmt"
	"html"
	"io"
	"strings"
)

// overlayStyle: old is orange and dashed, new is blue and solid, told apart in print and by
// any eye; what did not change is grey and thin. Lines keep their width at any scale.
const overlayStyle = `
.sheet,.both,.old,.new,.move,.spot{fill:none;vector-effect:non-scaling-stroke;stroke-linejoin:round}
.sheet{fill:#f6f6f4;stroke:none}
.both{stroke:#a9a9a4;stroke-width:.7}
.both.fold,.both.mark{stroke:#c9c9c4;stroke-width:.6}
.new{stroke:#1b4f9c;stroke-width:1.7}
.new.fold,.new.mark{stroke-width:1}
.old{stroke:#d2560a;stroke-width:1.7;stroke-dasharray:6 3}
.old.fold,.old.mark{stroke-width:1;stroke-dasharray:2 2}
.move,.spot{stroke:#222;stroke-width:.8}
.overlay text{font-family:sans-serif}
.word,.was,.is,.letter{fill:#222;stroke:none}
.was{fill:#b34705}
.is{fill:#1b4f9c}
.letter{font-weight:bold}
`

// SVG writes the pictures one below the other, all to one scale, with a key. A difference
// without a changed flat is a drawing that says so.
func (d *Difference) SVG(w io.Writer) error {
	const left, top, line = 10.0, 28.0, 7.0
	var b strings.Builder
	y, wide := top, paperWide
	text := func(x float64, size float64, more, words string) {
		fmt.Fprintf(&b, `<text class="word" x="%s" y="%s" font-size="%s"%s>%s</text>`+"\n", num(x), num(y), num(size), more, html.EscapeString(words))
	}
	pictures, scale := d.pictures()
	for i := range pictures {
		p := &pictures[i]
		id := fmt.Sprintf("flat-%d", i+1)
		text(left, 4, ` font-weight="bold"`, p.title)
		y += 3
		b.WriteString(p.svg(id, scale, standing(left, y)))
		y += p.height/scale + 2
		for k := range p.details {
			x := &p.details[k]
			at := left + float64(float64(k)*(detailSide+3))
			b.WriteString(x.svg(id, standing(at, y)))
			fmt.Fprintf(&b, `<rect class="spot" %s/>`+"\n", sized(standing(at, y), detailSide, detailSide))
		}
		if len(p.details) > 0 {
			y += detailSide + 4
		}
		for k := range p.details {
			x := &p.details[k]
			text(left, 3, "", fmt.Sprintf("%s: %s, %s", x.letter, x.title, x.ratio()))
			y += 4
		}
		y += line
	}
	if len(pictures) == 0 {
		text(left, 4, "", "no part changed")
		y += line
	}
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" class="overlay" width="%smm" height="%smm" viewBox="0 0 %s %s">
<title>%s</title>
<style>%s</style>
<rect width="%s" height="%s" fill="#fff"/>
%s%s</svg>
`, num(wide+2*left), num(y), num(wide+2*left), num(y), html.EscapeString(d.New.Design), overlayStyle, num(wide+2*left), num(y), d.key(scale, len(pictures)), b.String())
	return err
}

func standing(x, y float64) string { return fmt.Sprintf(`x="%s" y="%s"`, num(x), num(y)) }

// key says which line is which, and the scale of the pictures where there are some.
func (d *Difference) key(scale float64, pictures int) string {
	var b strings.Builder
	row := func(y float64, class, text, words string) {
		fmt.Fprintf(&b, `<line class="%s" x1="10" y1="%s" x2="22" y2="%s"/><text%s x="25" y="%s" font-size="3.6">%s</text>`+"\n", class, num(y), num(y), text, num(y+1.3), html.EscapeString(words))
	}
	row(4, "old", ` class="was"`, "old: "+d.Old.title())
	row(9.5, "new", ` class="is"`, "new: "+d.New.title())
	if pictures > 0 {
		row(15, "both", ` class="word"`, fmt.Sprintf("as before, to %s; all to one scale, %s", d.length(drawTol), ratio(scale)))
	}
	return b.String()
}

func (n Named) title() string {
	if n.Revision == "" {
		return n.Name
	}
	return n.Name + ", revision " + n.Revision
}
