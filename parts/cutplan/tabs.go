package cutplan

import "perch/parts/plane"

// tabRoom is the length of kerf line, in mm, that a tab asks for beside its own
// width and its lead: shorter outlines get fewer tabs. A choice of ours, no source.
const tabRoom = 30

// tabPlaces is at how many places, over half the way between tabs, room for one is
// looked for.
const tabPlaces = 8

// tabbed cuts an outline in runs from tab to tab: as far apart as can be, where
// there is room to lead in and the tab lies on a straight edge, if there is one.
func (l *leader) tabbed(c *Cut, in float64) {
	gap := l.opt.Tab + l.opt.Kerf
	whole := edgesOf(c.Kerf)
	length := pathLength(whole)
	n := max(1, min(l.opt.Tabs, int(length/(gap+float64(2*in)+tabRoom))))
	starts := []float64{0}
	for k := 1; k < n; k++ {
		step := length / float64(n)
		best, score := -1.0, 0.0
		for i := range tabPlaces {
			// From the middle outwards: 0, 1, −1, 2, −2 …
			off := float64(float64((i+1)/2*(1-2*(i%2))) / (2 * tabPlaces))
			s := float64((float64(k) + off) * step)
			e := stretch(whole, s, length)[0]
			if l.tabOnNick(c, e.From) || !l.clear(l.leads(e, e.From, in, 0)) {
				continue
			}
			q := 1 - float64(float64(i)/(2*tabPlaces))
			if tab := stretch(whole, s-gap, s); len(tab) == 1 && tab[0].Bulge == 0 {
				q++
			}
			if q > score {
				best, score = s, q
			}
		}
		if best > 0 {
			starts = append(starts, best)
		}
	}
	c.Runs = nil
	for k, s := range starts {
		end := length
		if k+1 < len(starts) {
			end = starts[k+1]
		}
		c.Runs = append(c.Runs, l.run(stretch(whole, s, end-gap), in, 0))
	}
}

// tabOnNick tells whether a tab that ends at p on the kerf line of an outline would be left
// where a nick is to be cut.
func (l *leader) tabOnNick(c *Cut, p plane.Point) bool {
	if l.opt.Tab == 0 || c.Inside {
		return false
	}
	for _, n := range l.nicks[c.Part] {
		if n.At.Dist(p) < l.opt.Tab+float64(2*l.opt.Kerf)+float64(2*n.Depth) {
			return true
		}
	}
	return false
}

// stretch is the part of a path from one length along it to another, never empty.
func stretch(path []plane.Edge, from, to float64) []plane.Edge {
	var out []plane.Edge
	var at float64
	for _, e := range path {
		n := e.Len()
		a, b := (from-at)/n, (to-at)/n
		at += n
		if b <= 1e-9 || a >= 1-1e-9 {
			continue
		}
		if b < 1-1e-9 {
			e, _ = e.Split(b)
			a /= b
		}
		if a > 1e-9 {
			_, e = e.Split(a)
		}
		out = append(out, e)
	}
	if len(out) == 0 {
		return path[len(path)-1:]
	}
	return out
}
