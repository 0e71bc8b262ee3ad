package compare

import (
	"fmt"
	"html"
	"io"
	"strings"
)

const pageStyle = `
body{font-family:sans-serif;color:#222;background:#fff;max-width:60rem;margin:2rem auto;padding:0 1rem;line-height:1.4}
h1{font-size:1.5rem;margin:0}
h2{font-size:1.1rem;margin:2rem 0 .5rem}
pre{background:#f6f5f2;padding:1rem;overflow-x:auto;font-size:.9rem}
figure{margin:1.5rem 0}
figcaption{font-weight:bold;margin-bottom:.4rem}
figure svg{max-width:100%;max-height:85vh;height:auto;border:1px solid #ddd;background:#fff}
`

// HTML writes the difference as one page that needs nothing beside it: the text,
// and an overlay of each part's old and new flat.
func (d *Difference) HTML(w io.Writer) error {
	var text, b strings.Builder
	if err := d.Brief().Text(&text); err != nil {
		return err
	}
	title, rest, _ := strings.Cut(text.String(), "\n")
	for _, o := range d.overlays() {
		wide := min(900, 700*o.width/o.height)
		fmt.Fprintf(&b, "<figure>\n<figcaption>%s</figcaption>\n", html.EscapeString(o.title))
		fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="overlay" role="img" aria-label="%s" width="%s" viewBox="0 0 %s %s">`+"\n%s</svg>\n</figure>\n",
			html.EscapeString(o.title+": old and new flat"), num(wide), num(o.width), num(o.height), o.body)
	}
	flats := b.String()
	if flats != "" {
		flats = "<h2>Flats</h2>\n" + flats
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
<svg class="overlay" width="100%%" height="48" role="img" aria-label="key">
%s</svg>
<pre>%s</pre>
%s</body>
</html>
`, html.EscapeString(title), pageStyle, overlayStyle, html.EscapeString(title), d.key(), html.EscapeString(strings.TrimLeft(rest, "\n")), flats)
	return err
}
