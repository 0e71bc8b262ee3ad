package paper

import (
	"math"

	"perch/parts/plane"
)

// Point writes the first of the texts that finds a free place near a point, nearest first, and
// draws an arrow from it there. It is false where none does.
func (p *Page) Point(at plane.Point, style Style, texts ...string) bool {
	for _, text := range texts {
		half := style.Width(text) / 2
		for _, far := range []float64{3.5, 6, 9, 12, 16, 20, 26, 32, 40, 50} {
			for _, dir := range ways {
				c := at.Add(dir.Scale(far))
				if math.Abs(dir.X) >= 0.1 {
					c.X += math.Copysign(half, dir.X)
				}
				l := Label{Text: text, Style: style}.On(c)
				box := l.Box()
				end := plane.Point{X: max(box.Min.X-0.5, min(at.X, box.Max.X+0.5)), Y: max(box.Min.Y-0.3, min(at.Y, box.Max.Y+0.3))}
				if !p.Fits(l) || !p.ClearOfText(at, end) {
					continue
				}
				p.Text(l)
				if far > 4 {
					p.Arrow(Thin.In(style.Ink), end, at, 1.8)
				}
				return true
			}
		}
	}
	return false
}

// ways are sixteen directions.
var ways = func() []plane.Point {
	const s, c, h = 0.3826834323650898, 0.9238795325112867, 0.7071067811865476
	return []plane.Point{{X: h, Y: -h}, {X: -h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}, {X: c, Y: -s}, {X: -c, Y: -s}, {X: c, Y: s}, {X: -c, Y: s},
		{X: s, Y: -c}, {X: -s, Y: -c}, {X: s, Y: c}, {X: -s, Y: c}, {X: 1}, {X: -1}, {Y: -1}, {Y: 1}}
}()
