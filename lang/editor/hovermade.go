package editor

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/reason"
	"perch/lang/syntax"
	"perch/parts/measure"
)

// madeOf are, by name, what the parts and joins of a built size came to.
func madeOf(r *build.Result) map[string][]measure.Text {
	out := map[string][]measure.Text{}
	for _, d := range reason.Things(r.Program()) {
		out[d.Name] = reason.Lines(r, d.Name)
	}
	return out
}

// made tells what a stock, a part or a join came to at every size, sizes that are alike together.
func (snap *snapshot) made(d *check.Decl) []string {
	if d.Kind != check.Stock && d.Kind != check.Part && d.Kind != check.Join {
		return nil
	}
	b := snap.built.Load()
	if b == nil {
		return []string{"Sizes and masses are known when the parts are built."}
	}
	var texts []string
	sizes := map[string][]string{}
	for i, size := range build.Sizes(snap.program()) {
		if i >= len(b.made) || b.made[i] == nil {
			continue
		}
		var lines []string
		for _, l := range b.made[i][d.Name] {
			line := l.In(snap.program().Shown)
			if rest, inside := strings.CutPrefix(line, "  "); inside {
				lines = append(lines, "  - "+rest)
			} else {
				lines = append(lines, "- "+line)
			}
		}
		if lines == nil {
			lines = []string{"- nothing of it is made"}
		}
		text := strings.Join(lines, "\n")
		if !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
		sizes[text] = append(sizes[text], size)
	}
	var out []string
	for _, text := range texts {
		which := sizes[text]
		switch {
		case len(texts) == 1 && len(which) == len(build.Sizes(snap.program())):
			out = append(out, text)
		default:
			out = append(out, fmt.Sprintf("%s %s:\n\n%s", measure.Plural(len(which), "size"), strings.Join(which, ", "), text))
		}
	}
	return out
}

// describeArgument tells what an argument comes to at every size, where that is not
// plainly written.
func (snap *snapshot) describeArgument(m *mark) string {
	var arg syntax.Expr
	syntax.InspectFile(snap.file, func(n syntax.Node) bool {
		if c, ok := n.(*syntax.Call); ok {
			for i := range c.Args {
				if l := c.Args[i].Label; l != nil && l.At == m.at {
					arg = c.Args[i].Value
				}
			}
		}
		return arg == nil
	})
	n := snap.numbers()
	if _, plain := arg.(*syntax.Literal); arg == nil || plain || n == nil {
		return ""
	}
	rows := []string{"| size | value |", "| --- | --- |"}
	for i, size := range n.sizes {
		if text, ok := n.reckon(i, arg, snap.program().Shown); ok {
			rows = append(rows, fmt.Sprintf("| %s | %s |", size, text))
		}
	}
	if len(rows) == 2 {
		return ""
	}
	return strings.Join(rows, "\n")
}

// describeGauge writes how thick a gauge is: of the sheet's material where one stands
// before it, else of every material of the shop that has gauges.
func (snap *snapshot) describeGauge(lit quantity.Literal, offset int) string {
	shop, in := snap.server.opts.Shop, snap.program().Shown
	say := func(material string) string {
		mm, err := shop.GaugeThickness(material, int(lit.Value))
		if err != nil {
			return ""
		}
		return measure.Say("%s: %.3f", material, measure.Length(mm)).In(in)
	}
	before := snap.before(offset)
	if n := len(before); n > 2 && before[n-1].text == "," {
		if _, ok := shop.Material(before[n-2].text); ok {
			return say(before[n-2].text)
		}
	}
	var out []string
	for _, m := range shop.Materials {
		if text := say(m.Name); text != "" {
			out = append(out, text)
		}
	}
	return strings.Join(out, "  \n")
}
