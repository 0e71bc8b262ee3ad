package shopcheck

import (
	"strings"

	"perch/parts/lettering"
	"perch/parts/panel"
)

// texts looks for marked text of which some signs have no strokes.
func (c *checker) texts() {
	for _, m := range c.flat.Marks {
		if m.Kind != panel.MarkText || lettering.Known(m.Text) {
			continue
		}
		var unknown []string
		seen := map[rune]bool{}
		for _, r := range m.Text {
			if !seen[r] && !lettering.Known(string(r)) {
				seen[r] = true
				unknown = append(unknown, string(r))
			}
		}
		n := len(unknown)
		c.add(unscribed, Subject{Kind: Text, Name: m.Name, Face: c.faceName(m.Face)}, float64(n), 0,
			"perch has no strokes for %s: pictures and programs have a box in place of each, drawings the text as it is", strings.Join(unknown[:min(n, 8)], " "))
	}
}
