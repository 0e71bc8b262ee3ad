package nest

import (
	"math"

	"perch/parts/plane"
)

// problem is a packing problem on chosen sheets, which lie in a row on the plane.
type problem struct {
	m      *model
	bins   []bin
	sheets []int // of the bins
}

// problem lays out so many of each form on the sheets given.
func (g *group) problem(sheets []int, counts []int) *problem {
	g.known.trim()
	p := &problem{sheets: sheets, m: &model{stop: g.stop, shapes: g.shapes, margin: g.margin, known: g.known}}
	var at float64
	for _, k := range sheets {
		box := g.space(k)
		to := point{X: at - box.Min.X, Y: -box.Min.Y}
		at += box.Size().X + binGap
		p.bins = append(p.bins, bin{box: plane.Box{Min: box.Min.Add(to), Max: box.Max.Add(to)}, shift: to})
		for _, s := range g.blocks[k] {
			p.m.fixed = append(p.m.fixed, fixed{pose: p.m.addPoses(s, []float64{0})[0], at: to})
		}
	}
	for i, n := range counts {
		if n > 0 {
			p.add(i, &g.forms[i], n)
		}
	}
	p.m.seal()
	return p
}

// binGap keeps bins apart on the plane where all of them lie in a row, mm.
const binGap = 1000

// add adds so many items of a form.
func (p *problem) add(index int, f *form, n int) {
	m := p.m
	poses := m.addPoses(f.shape, f.rotations)
	if f.over >= 0 {
		from := len(m.poses)
		poses = append(poses, m.addPoses(f.over, f.rotations)...)
		for k := from; k < len(m.poses); k++ {
			m.poses[k].over = true
		}
	}
	var size float64
	for _, k := range poses {
		size = max(size, m.poses[k].box.Size().X, m.poses[k].box.Size().Y)
	}
	for range n {
		m.items = append(m.items, item{poses: poses, blank: index, area: f.area, size: size})
	}
}

// fits tells whether each item fits one of the bins by its box.
func (p *problem) fits() bool {
	s := &search{m: p.m, bins: p.bins}
	for i := range p.m.items {
		if i > 0 && p.m.items[i].blank == p.m.items[i-1].blank {
			continue
		}
		ok := false
		for _, o := range p.m.items[i].poses {
			for b := range p.bins {
				_, _, _, _, in := s.room(o, b)
				ok = ok || in
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

// used reads a layout of single blanks off; empty sheets are left out.
func (g *group) used(p *problem, l *layout) []Used {
	var out []Used
	for b := range p.bins {
		u := Used{Sheet: p.sheets[b]}
		var area float64
		for i := range p.m.items {
			if l.bin[i] != b {
				continue
			}
			o := &p.m.poses[l.pose[i]]
			k := g.forms[p.m.items[i].blank].blank
			at := point{X: l.x[i], Y: l.y[i]}.Sub(p.bins[b].shift)
			u.Placed = append(u.Placed, Placed{Piece: k, Rotation: o.degrees, Mirrored: o.over, At: at})
			area += g.job.Blanks[k].Region.Area()
		}
		if len(u.Placed) == 0 {
			continue
		}
		s := &g.job.Sheets[u.Sheet]
		u.Density = area / s.region().Area()
		u.Remnant = largestFree(g.job, s, u.Placed)
		out = append(out, u)
	}
	return out
}

// tooLarge errs when a blank fits no sheet at any of its rotations.
func (g *group) tooLarge() error {
	m := &model{shapes: g.shapes}
	for _, f := range g.forms {
		if f.pair != nil {
			continue
		}
		e := &TooLargeError{Blank: g.job.Blanks[f.blank].Name, Over: math.Inf(1)}
		for _, k := range m.addPoses(f.shape, f.rotations) {
			size := m.poses[k].box.Size()
			for _, s := range g.sheets {
				room := g.space(s).Size()
				if o := max(size.X-room.X, size.Y-room.Y); o < e.Over {
					e.Sheet, e.Over, e.Rotation = g.job.Sheets[s].Name, o, m.poses[k].degrees
				}
			}
		}
		if e.Over > fitSlack {
			return e
		}
	}
	return nil
}
