package mockup

import (
	"context"
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/nest"
	"perch/parts/paper"
	"perch/parts/plane"
)

const (
	apart      = 5.0 // mm between pieces: a knife, and a letter with its line
	packEffort = 0.05
	nameGap    = 1.5 // from a piece to its name below it
)

// spread is pieces on one page.
type spread struct {
	pieces []int
	to     []plane.Affine // from each piece to the page
}

// fits tells whether a piece goes on a page, turned or not.
func fits(p *piece, room plane.Point) bool {
	s := p.room().Size()
	return s.X <= room.X && s.Y <= room.Y || s.Y <= room.X && s.X <= room.Y
}

// room is the box that a piece takes, with its name below it where it must be there.
func (p *piece) room() plane.Box {
	b := p.region.Bounds()
	if p.under > 0 {
		half := float64(paper.Style{}.Width(p.name) / 2)
		b.Min.Y -= p.under
		b = b.With(plane.Point{X: b.Center().X - half, Y: b.Min.Y}).With(plane.Point{X: b.Center().X + half, Y: b.Min.Y})
	}
	return b
}

// named finds whether a piece has room for its name inside, else makes some below it.
func (p *piece) named() {
	outer, inner := plane.Loop(nil), []plane.Loop(nil)
	for _, l := range p.region {
		if l.Area() > 0 {
			if outer != nil {
				outer = nil
				break
			}
			outer = l
		} else {
			inner = append(inner, l)
		}
	}
	if outer != nil {
		g := layout.New(outer, inner)
		for _, l := range p.lines {
			for i := range l.pts {
				if i+1 < len(l.pts) || l.closed {
					g.Block(l.pts[i], l.pts[(i+1)%len(l.pts)])
				}
			}
		}
		w, h := paper.Style{}.Width(p.name)+1.5, paper.Style{}.Lead()+1
		if _, ok := g.Find(w, h); ok {
			return
		}
		if _, ok := g.Find(h, w); ok {
			return
		}
	}
	p.under = paper.Style{}.Lead() + nameGap
}

// shape is what of a page a piece takes, for packing.
func (p *piece) shape() plane.Region {
	outers := 0
	for _, l := range p.region {
		if l.Area() > 0 {
			outers++
		}
	}
	if p.under == 0 && outers == 1 {
		return p.region
	}
	b := p.room()
	return plane.Region{plane.RectAt(b.Min, b.Max)}
}

// pack lays pieces on pages. They keep apart by more than a letter is high.
func pack(ctx context.Context, pieces []*piece, which []int, area plane.Box) ([]spread, error) {
	if len(which) == 0 {
		return nil, nil
	}
	size := area.Size()
	job := nest.Job{Spacing: apart, Kerf: 0.5, Sheets: []nest.Sheet{{Name: "page", Material: "paper", Thickness: 0.1, Width: size.Y, Length: size.X}}}
	for _, i := range which {
		job.Blanks = append(job.Blanks, nest.Blank{Name: pieces[i].name, Region: pieces[i].shape(), Count: 1, Material: "paper", Thickness: 0.1})
	}
	r, err := nest.Sheets(ctx, job, nest.Options{Effort: packEffort})
	if err != nil {
		return nil, err
	}
	toPage := plane.Affine{A: 1, D: -1, E: area.Min.X, F: area.Max.Y}
	var out []spread
	for _, u := range r.Sheets {
		var s spread
		for _, at := range u.Placed {
			s.pieces = append(s.pieces, which[at.Piece])
			s.to = append(s.to, at.Transform().Then(toPage))
		}
		out = append(out, s)
	}
	return out, nil
}

// tall tells whether pages that stand up take the pieces better than pages on their side:
// where more of them fit, else where the longest one is taller than wide.
func tall(pieces []*piece, up, side plane.Point) bool {
	inUp, inSide := 0, 0
	for _, p := range pieces {
		if fits(p, up) {
			inUp++
		}
		if fits(p, side) {
			inSide++
		}
	}
	if inUp != inSide {
		return inUp > inSide
	}
	return math.Min(up.X, up.Y) > math.Min(side.X, side.Y)
}
