package tolerance

import (
	"perch/parts/panel"
)

// Fit is what is off at one inner sheet of a fastener, against its outermost sheet. What is
// told in mm or N is what 95 in 100 stay within.
type Fit struct {
	Join    int // index of Assembly.Joins
	Member  int // of its members: an inner one
	When    panel.When
	Misfit  float64 // mm between the holes' axes; 0 where it is drilled in place
	Room    float64 // mm that they may lie apart for the fastener to go in
	Force   float64 // N on the pin that holds them
	Misses  float64 // probability that the fastener does not go in
	Landing float64 // mm from where it is drawn on this sheet that a hole drilled in place lands
}

// Report is what is off of a piece.
type Report struct {
	Fits []Fit // in the order of the joins
	// Misses is a bound of the builds, of one, in which some fastener does not go in: the
	// sum of all that may miss, at most 1.
	Misses float64
	Feet   *Feet // nil where the piece stands on no three or four feet
}

// Analyse works out what is off of a piece whose holes are made as its points say. The
// error is a *TooLarge, or one of package sparse.
func (m *Misfits) Analyse() (*Report, error) {
	p, err := m.pinned()
	if err != nil {
		return nil, err
	}
	r := &Report{}
	for i := 0; i < len(p.g.rows); i += 2 {
		f := p.fit(i)
		r.Misses = min(1, r.Misses+f.Misses)
		r.Fits = append(r.Fits, f)
	}
	r.Feet = p.feet()
	return r, nil
}

// Lands tells how far from where it is drawn on an inner sheet, a member of a join, a hole that
// is drilled in place lands, mm, 95 in 100 within: where that is more than most. It is 0 where it is
// not, where the hole is made in the flat, and where misfits can't be worked out.
func (m *Misfits) Lands(join, member int, most float64) float64 {
	p, err := m.pinned()
	if err != nil {
		return 0
	}
	i, ok := p.g.at[[2]int{join, member}]
	if !ok || p.place[i] >= 0 {
		return 0
	}
	if off := p.off(i); !off.stays(most) {
		return off.within()
	}
	return 0
}

// fit works out what is off at an inner sheet, i being the first of its rows.
func (p *pins) fit(i int) Fit {
	r := p.g.rows[i]
	f := Fit{Join: r.join, Member: r.k, When: p.g.m.stacks[r.join].sheets[r.k].point.Made(), Room: p.g.m.room(r)}
	off := p.off(i)
	if p.place[i] < 0 {
		f.Landing = off.within()
		return f
	}
	f.Misfit, f.Misses = off.within(), off.misses(f.Room)
	f.Force = float64(f.Misfit * p.g.m.s.Tolerance.Pin)
	return f
}

// room is how far apart the axes of two holes may lie for a fastener to go through both.
func (m *model) room(r row) float64 {
	a, b := m.stacks[r.join].sheets[0].point, m.stacks[r.join].sheets[r.k].point
	return max(0, float64((a.Diameter+b.Diameter)/2)-m.a.Joins[r.join].Diameter)
}
