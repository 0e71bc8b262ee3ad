package nest

// Progress tells of a search for sheets under way.
type Progress struct {
	Sheets  int     // used in the best layout so far, of all materials placed so far
	Placed  int     // blanks that have a place
	Blanks  int     // of the whole job
	Remnant float64 // area of the largest free rectangle so far, summed over materials, mm²
}

// teller keeps what the caller hears of.
type teller struct {
	opt    Options
	blanks int
	best   map[*group]Progress
	groups []*group
	told   Progress
	left   float64 // that Best was told
}

func newTeller(j *Job, opt Options) *teller {
	t := &teller{opt: opt, best: map[*group]Progress{}}
	for _, b := range j.Blanks {
		t.blanks += b.Count
	}
	return t
}

// better takes over what a group has come to.
func (t *teller) better(g *group, used []Used) {
	if t.opt.Best == nil && t.opt.Progress == nil {
		return
	}
	if _, known := t.best[g]; !known {
		t.groups = append(t.groups, g)
	}
	p := Progress{Sheets: len(used)}
	for _, u := range used {
		p.Placed += len(u.Placed)
		s := u.Remnant.Size()
		p.Remnant = max(p.Remnant, float64(s.X*s.Y))
	}
	t.best[g] = p
	all := Progress{Blanks: t.blanks}
	for _, o := range t.groups {
		q := t.best[o]
		all.Sheets += q.Sheets
		all.Placed += q.Placed
		all.Remnant += q.Remnant
	}
	if all == t.told {
		return
	}
	t.told = all
	if t.opt.Progress != nil {
		t.opt.Progress(all)
	}
	if t.opt.Best != nil && all.Remnant > t.left {
		t.left = all.Remnant
		t.opt.Best(t.left)
	}
}
