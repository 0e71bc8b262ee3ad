package nest

// breakOff keeps, of a search that was stopped, what lies clear of all else, on sheets of
// its own, and notes what of counts has no place.
func (g *group) breakOff(counts []int) {
	g.left = counts
	if g.broken == nil {
		return
	}
	p, l := g.broken.p, g.broken.s.partLayout()
	used := g.used(p, l)
	kept := used[:0]
	for _, u := range used {
		if Check(g.job, &g.job.Sheets[u.Sheet], u.Placed) == nil {
			kept = append(kept, u)
		}
	}
	form := map[int]int{} // by blank, that of it alone
	for k := range g.blanks {
		form[g.forms[k].blank] = k
	}
	for _, u := range kept {
		for _, q := range u.Placed {
			g.left[form[q.Piece]]--
		}
	}
	g.full = append(g.full, kept...)
}

// partLayout is the search's layout without what overlaps: of those the item that lies in
// most others goes first, of several the smallest. What goes is in no bin.
func (s *search) partLayout() *layout {
	l := s.at.clone()
	over := func(i, j int) bool { return s.deep[i*s.all+j] > 0.9*s.m.margin }
	in := make([]int, s.n) // how many others each lies in
	for i := range s.n {
		for j := range s.all {
			if j != i && over(i, j) {
				in[i]++
			}
		}
	}
	for {
		worst := -1
		for i, n := range in {
			if n > 0 && (worst < 0 || n > in[worst] || n == in[worst] && s.m.items[i].area < s.m.items[worst].area) {
				worst = i
			}
		}
		if worst < 0 {
			return l
		}
		l.bin[worst], in[worst] = -1, 0
		for i := range in {
			if i != worst && l.bin[i] >= 0 && over(i, worst) {
				in[i]--
			}
		}
	}
}
