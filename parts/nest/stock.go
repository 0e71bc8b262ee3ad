package nest

import "perch/parts/plane"

// kinds lists the group's sheets with prices; where none has one, area stands for
// it, and a remnant's counts half.
func (g *group) kinds() []kind {
	priced := false
	for _, k := range g.sheets {
		priced = priced || g.job.Sheets[k].Price > 0
	}
	var out []kind
	for _, k := range g.sheets {
		s := &g.job.Sheets[k]
		x := kind{sheet: k, stock: s.Count, price: s.Price}
		metal := plane.Region{plane.RectAt(g.space(k).Min, g.space(k).Max)}
		if len(s.Outline) > 0 {
			metal = plane.Intersect(metal, plane.Offset(s.Outline, -g.inset()))
			x.stock = max(1, s.Count)
		} else if s.Count == 0 {
			x.stock = -1
		}
		x.area = metal.Area()
		if !priced {
			x.price = s.region().Area()
			if len(s.Outline) > 0 {
				x.price /= 2
			}
		}
		out = append(out, x)
	}
	return out
}
