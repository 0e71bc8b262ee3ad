package nest

import "context"

// improve makes the largest remnant on the emptiest sheet, one search along each
// axis, and answers with the sheets as they are to be cut.
func (g *group) improve(ctx context.Context, ws []*shrinker, found int, work int64, sheets []int) []Used {
	start := ws[found].s.at.clone()
	k := emptiest(ws[found].s)
	for _, w := range ws {
		w.bin, w.base = k, w.s.bins[k].box
		w.s.load(start)
		w.keep()
	}
	spent := ws[0].s.work
	for _, w := range ws {
		spent = max(spent, w.s.work)
	}
	race(ctx, ws, spent+work, nil)
	m, bins := ws[0].s.m, ws[0].s.bins
	var best []Used
	var most float64
	for _, w := range ws {
		used := g.used(m, bins, w.best, sheets)
		var free float64
		for _, u := range used {
			s := u.Remnant.Size()
			free = max(free, float64(s.X*s.Y))
		}
		if best == nil || len(used) < len(best) || len(used) == len(best) && free > most {
			best, most = used, free
		}
	}
	if g.opt.Best != nil {
		g.opt.Best(most)
	}
	return best
}

// emptiest is the bin with the least of its area taken.
func emptiest(s *search) int {
	taken := make([]float64, len(s.bins))
	for i := range s.n {
		taken[s.at.bin[i]] += s.m.items[i].area
	}
	best, least := 0, 0.0
	for k := range s.bins {
		size := s.bins[k].box.Size()
		if fill := taken[k] / float64(size.X*size.Y); k == 0 || fill < least {
			best, least = k, fill
		}
	}
	return best
}

// used reads a layout off; empty sheets are left out.
func (g *group) used(m *model, bins []bin, l *layout, sheets []int) []Used {
	var out []Used
	for b := range bins {
		u := Used{Sheet: sheets[b]}
		var area float64
		for i := range m.items {
			if l.bin[i] != b {
				continue
			}
			p := &m.poses[l.pose[i]]
			at := point{X: l.x[i], Y: l.y[i]}.Sub(bins[b].shift)
			u.Placed = append(u.Placed, Placed{Piece: m.items[i].blank, Rotation: p.degrees, Mirrored: p.over, At: at})
			area += g.job.Blanks[m.items[i].blank].Region.Area()
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
