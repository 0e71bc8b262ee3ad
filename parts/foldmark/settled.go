package foldmark

import (
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Settled tells that every fold of a flat is marked as the shop asks whichever faces are held,
// so that no Why can come of Mark: for whoever wants to know no more than that, and need
// plan no bends. It is false as well where that is not plain at once: where two nicks might
// stand near each other, whatever is between them.
func Settled(f *panel.Flat, s *shop.Shop) bool {
	if f == nil || f.Panel == nil || s.Brake.Marks == shop.MarksNone {
		return true
	}
	m := newMarker(f, s)
	var nicks [][]*cut // of each fold's end, by the face that is held
	for i := range f.Folds {
		var ends [2][]*cut
		for _, held := range [2]int{f.Folds[i].A, f.Folds[i].B} {
			cuts, ok := m.either(i, WorkingLine(&f.Folds[i], held, s.Brake.Kind))
			if !ok {
				return false
			}
			for end, c := range cuts {
				if c != nil {
					ends[end] = append(ends[end], c)
				}
			}
		}
		nicks = append(nicks, ends[:]...)
	}
	apart := m.clear + float64(2*m.vee.half)
	for i, a := range nicks {
		for _, b := range nicks[:i] {
			if near(a, b, apart) {
				return false
			}
		}
	}
	return true
}

// either lays the marks of a fold on a line without cutting them; false where one can't be
// as the shop asks.
func (m *marker) either(fold int, line Line) (cuts [2]*cut, ok bool) {
	f := &m.flat.Folds[fold]
	span, ok := m.chord(f, line)
	if !ok || m.shop.Brake.Marks == shop.MarksScribe {
		return cuts, ok
	}
	for end := range 2 {
		if f.Relieved[end] {
			continue
		}
		from := endOf(line, span, end)
		if m.shop.Brake.Marks == shop.MarksNicks {
			c, why := m.cutAt(from)
			if !why.Empty() || !m.meets(c).Empty() {
				return cuts, false
			}
			cuts[end] = c
			continue
		}
		if _, ok := m.punchAt(from, span.Len()); !ok {
			return cuts, false
		}
	}
	return cuts, true
}

// near tells whether any nick of one fold's end comes within a distance, in mm, of one of
// another's.
func near(a, b []*cut, apart float64) bool {
	for _, c := range a {
		for _, d := range b {
			if plane.EdgeDistance(c.flanks(), d.flanks()) < apart {
				return true
			}
		}
	}
	return false
}
