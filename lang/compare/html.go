package compare

import (
	"fmt"
	"html"
	"io"
	"strings"
)

// pageStyle is for a screen, and for paper: a picture stays on its page, a heading with
// what it heads, and colours are printed as they are.
const pageStyle = `
body{font-family:sans-serif;color:#222;background:#fff;max-width:190mm;margin:8mm auto;padding:0 5mm;line-height:1.4}
h1{font-size:1.6rem;margin:0}
.verdict{font-size:1.15rem;margin:.2rem 0 .8rem}
h2{font-size:1.05rem;margin:1.6rem 0 .4rem;border-bottom:1px solid #ccc}
table{border-collapse:collapse;font-size:.92rem}
td{padding:.1rem .9rem .1rem 0;vertical-align:top}
td.sign{font-weight:bold;padding-right:.4rem}
tr.added td.sign,tr.added td:nth-child(2){color:#1b4f9c}
tr.removed td.sign,tr.removed td:nth-child(2){color:#b34705}
td ul{margin:0;padding:0 0 0 1rem;list-style:none;color:#444}
figure{margin:1.2rem 0 2rem}
figcaption{font-weight:bold;margin-bottom:.3rem}
.scroll{overflow-x:auto}
.details{display:flex;flex-wrap:wrap;gap:3mm;margin-top:2mm}
.details div{width:42mm;font-size:.78rem}
.detail{border:1px solid #222}
.left{color:#666}
svg{background:#fff;display:block}
@page{margin:12mm 14mm}
@media print{
body{max-width:none;margin:0;padding:0;font-size:10pt;-webkit-print-color-adjust:exact;print-color-adjust:exact}
h2{break-after:avoid}
figure,tr,.details div{break-inside:avoid}
.scroll{overflow:visible}
}
`

// HTML writes the report as one page that needs nothing beside it, with a picture of the
// old and new flat of what changed.
func (r *Report) HTML(w io.Writer) error {
	var b strings.Builder
	for _, s := range r.sections {
		s.html(&b)
	}
	if r.left != "" {
		fmt.Fprintf(&b, "<p class=\"left\">%s</p>\n", html.EscapeString(r.left))
	}
	pictures, scale := r.of.pictures()
	if len(pictures) > 0 {
		fmt.Fprintf(&b, "<h2>flats, %s</h2>\n", ratio(scale))
	}
	for i := range pictures {
		pictures[i].html(&b, fmt.Sprintf("flat-%d", i+1), scale)
	}
	height := 13.0
	if len(pictures) > 0 {
		height = 18
	}
	_, err := fmt.Fprintf(w, `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>%s: what changed</title>
<style>%s%s</style>
</head>
<body>
<h1>%s</h1>
<p class="verdict">%s</p>
<svg class="overlay" width="180mm" height="%smm" viewBox="10 0 180 %s" role="img" aria-label="key">
%s</svg>
%s</body>
</html>
`, html.EscapeString(r.Title), pageStyle, overlayStyle, html.EscapeString(r.Title), html.EscapeString(r.Verdict), num(height), num(height), r.of.key(scale, len(pictures)), b.String())
	return err
}

// html writes the section as a table.
func (s *section) html(b *strings.Builder) {
	fmt.Fprintf(b, "<h2>%s</h2>\n<table>\n", html.EscapeString(s.title))
	class := map[string]string{"+": ` class="added"`, "-": ` class="removed"`}
	for _, r := range s.rows {
		fmt.Fprintf(b, "<tr%s>", class[r.sign])
		if r.sign != "" {
			fmt.Fprintf(b, `<td class="sign">%s</td>`, r.sign)
		}
		for i, c := range r.cells {
			fmt.Fprintf(b, "<td>%s", html.EscapeString(c))
			if i == len(r.cells)-1 && len(r.more) > 0 {
				b.WriteString("<ul>")
				for _, l := range r.more {
					fmt.Fprintf(b, "<li>%s</li>", html.EscapeString(l))
				}
				b.WriteString("</ul>")
			}
			b.WriteString("</td>")
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</table>\n")
}

// html writes the picture with its details.
func (p *picture) html(b *strings.Builder, id string, scale float64) {
	fmt.Fprintf(b, "<figure>\n<figcaption>%s</figcaption>\n<div class=\"scroll\">%s</div>\n", html.EscapeString(p.title), p.svg(id, scale, ""))
	if len(p.details) > 0 {
		b.WriteString("<div class=\"details\">\n")
		for i := range p.details {
			x := &p.details[i]
			fmt.Fprintf(b, "<div>%s<b>%s</b> %s, %s</div>\n", x.svg(id, ""), x.letter, html.EscapeString(x.title), x.ratio())
		}
		b.WriteString("</div>\n")
	}
	b.WriteString("</figure>\n")
}
