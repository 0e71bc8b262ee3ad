package coupon

import (
	"strings"

	"perch/parts/blankpage"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/shop"
)

// Pages are what to take to the brake: what to do with the strips, with room to write down what was
// measured, and the strip's drawing. It fails where the strip can't be.
func (c Strip) Pages(s *shop.Shop, in measure.System) (*paper.Document, error) {
	b, err := c.Blank(s)
	if err != nil {
		return nil, err
	}
	name := measure.Say("Test strip, %s %.4g, inside radius %.4g", naming.Plain(c.Material), measure.Length(c.Thickness), measure.Length(c.Radius)).In(in)
	a := &panel.Assembly{Design: name, Blanks: []*panel.Blank{b}}
	j := &blankpage.Job{Assembly: a, Names: naming.Of(a), Shop: s, Paper: measure.Paper{System: in}}
	j.Printed()
	doc := &paper.Document{Name: name, Language: "en"}
	f := &paper.Flow{Doc: doc, Title: "Test strips", New: func() *paper.Page {
		t := j.Title()
		t.Blank = "what to do"
		return &paper.Page{Sheet: j.Sheet, Title: t, Bookmark: "what to do"}
	}}
	for _, l := range c.Instructions(in) {
		f.Item(strings.ReplaceAll(l.In(in), c.Material, naming.Plain(c.Material)), true)
	}
	f.Heading("Measured")
	t := paper.Table{Columns: []paper.Column{{Head: "strip"}, {Head: "length before", Weight: 1}, {Head: "leg", Weight: 1}, {Head: "other leg", Weight: 1}, {Head: "angle", Weight: 1}}}
	for _, n := range []string{"1", "2", "3"} {
		t.Rows = append(t.Rows, []string{n, "", "", "", ""})
	}
	f.Table(t)
	return doc, j.Add(doc, 0)
}
