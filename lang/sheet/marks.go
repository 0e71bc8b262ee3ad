package sheet

import (
	"perch/parts/cutplan"
	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
)

// marksOf are a blank's marks and the middles of its bends where m takes them on a
// sheet. Turned over it is seen from its back, where a bend goes the other way.
func marksOf(b *panel.Blank, m plane.Affine, over bool) []cutplan.Mark {
	f := b.Flat
	asked := map[int]bool{} // folds that are to be scribed
	for _, k := range b.FoldMarks {
		asked[k.Fold] = k.Kind == panel.Scribe
	}
	beside := b.Scribed()
	var out []cutplan.Mark
	line := func(kind cutplan.MarkKind, a, b plane.Point) {
		out = append(out, cutplan.Mark{Kind: kind, Path: plane.Loop{{P: m.Apply(a)}, {P: m.Apply(b)}}})
	}
	for i, fold := range f.Folds {
		kind := cutplan.FoldUp
		if fold.Down != over {
			kind = cutplan.FoldDown
		}
		line(kind, fold.From, fold.To)
		out[len(out)-1].Asked = asked[i] && len(beside) == 0
	}
	for _, l := range beside {
		line(cutplan.Scribed, l[0], l[1])
	}
	for _, p := range b.Punched() {
		out = append(out, cutplan.Mark{Path: plane.Circle(2 * panel.PunchMark).Transform(plane.Translate(m.Apply(p))), Closed: true})
	}
	for _, mark := range f.Marks {
		if mark.Kind != panel.MarkText {
			out = append(out, cutplan.Mark{Path: pathTo(mark.Path, m), Closed: mark.Closed})
			continue
		}
		text := cutplan.Mark{Kind: cutplan.Lettered, Text: mark.Text, At: m.Apply(mark.At), Dir: m.Vec(mark.Dir), AtEnd: over, Height: mark.Height}
		if over {
			text.Dir = text.Dir.Neg()
		}
		out = append(out, text)
	}
	for _, p := range f.Points {
		for _, l := range layout.Strokes(p) {
			line(cutplan.Scribed, l[0], l[1])
		}
	}
	return out
}

// nicksOf are the nicks in a blank's outline where m takes them.
// cutOf is what is cut of a blank, with the nicks that tell its folds.
func cutOf(b *panel.Blank) plane.Region {
	return append(plane.Region{b.Contour()}, layout.Openings(b.Flat)...)
}

func nicksOf(b *panel.Blank, m plane.Affine) []cutplan.Nick {
	var out []cutplan.Nick
	for _, k := range b.FoldMarks {
		if k.Kind == panel.Nick {
			out = append(out, cutplan.Nick{At: m.Apply(k.At), In: m.Vec(k.In), Depth: k.Depth})
		}
	}
	return out
}

// pathTo maps a path, open or closed, corner by corner: it goes the same way as before.
func pathTo(l plane.Loop, m plane.Affine) plane.Loop {
	out := make(plane.Loop, len(l))
	for i, v := range l {
		out[i] = plane.Vertex{P: m.Apply(v.P), Bulge: v.Bulge}
		if m.Det() < 0 {
			out[i].Bulge = -v.Bulge
		}
	}
	return out
}
