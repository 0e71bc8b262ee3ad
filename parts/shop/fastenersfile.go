package shop

import (
	"cmp"
	"fmt"
	"slices"
)

// readFasteners reads the lists of rivets and bolts, each sorted by diameter.
func (s *Shop) readFasteners(t *fileTable) {
	var rivets []Rivet
	if t.each("rivet", func(t *fileTable) { rivets = append(rivets, readRivet(t)) }) {
		slices.SortStableFunc(rivets, func(a, b Rivet) int { return cmp.Compare(a.Diameter, b.Diameter) })
		s.Rivets = rivets
	}
	var solid []SolidRivet
	if t.each("solid_rivet", func(t *fileTable) { solid = append(solid, readSolid(t)) }) {
		slices.SortStableFunc(solid, func(a, b SolidRivet) int { return cmp.Compare(a.Diameter, b.Diameter) })
		s.Solid = solid
	}
	var bolts []Bolt
	if t.each("bolt", func(t *fileTable) { bolts = append(bolts, readBolt(t)) }) {
		slices.SortStableFunc(bolts, func(a, b Bolt) int { return cmp.Compare(a.Diameter, b.Diameter) })
		s.Bolts = bolts
	}
}

func readRivet(t *fileTable) (rivet Rivet) {
	t.need("diameter", "hole", "head")
	t.length("diameter", &rivet.Diameter, 0.5, 50)
	t.length("hole", &rivet.Hole, 0.5, 60)
	t.length("head", &rivet.Head, 0.5, 100)
	t.flag("countersunk", &rivet.Countersunk)
	t.number("price", &rivet.Price, 0, 1e9)
	t.holds("rivet", rivet.Hole, rivet.Diameter)
	if v, ok := t.take("lengths"); ok {
		rivet.Lengths = readGrips(t.fileReader, t.pathOf("lengths"), v)
	}
	return rivet
}

// holds refuses a hole smaller than what goes through it.
func (t *fileTable) holds(what string, hole, diameter float64) {
	if hole != 0 && hole < diameter {
		t.fail(t.pathOf("hole"), "hole %s is smaller than the %s, %s", t.shown(hole), what, t.shown(diameter))
	}
}

// readGrips reads a rivet's [length, least grip, most grip] triples.
func readGrips(r *fileReader, path string, v any) []RivetLength {
	list, ok := v.([]any)
	if !ok || len(list) > maxList {
		r.fail(path, "must be a list of [length, least grip, most grip]")
		return nil
	}
	var out []RivetLength
	for i, item := range list {
		at := fmt.Sprintf("%s[%d]", path, i+1)
		x, ok := r.lengths(at, item, 3, 0, 200)
		if !ok {
			continue
		}
		if !(x[1] < x[2] && x[2] < x[0]) {
			r.fail(at, "grips must rise and stay below the length: least %s, most %s, length %s", r.shown(x[1]), r.shown(x[2]), r.shown(x[0]))
		}
		out = append(out, RivetLength{x[0], x[1], x[2]})
	}
	slices.SortStableFunc(out, func(a, b RivetLength) int { return cmp.Compare(a.Length, b.Length) })
	return out
}

func readSolid(t *fileTable) (rivet SolidRivet) {
	t.need("diameter", "hole", "head")
	t.length("diameter", &rivet.Diameter, 0.5, 50)
	t.length("hole", &rivet.Hole, 0.5, 60)
	t.length("head", &rivet.Head, 0.5, 100)
	t.number("price", &rivet.Price, 0, 1e9)
	t.holds("rivet", rivet.Hole, rivet.Diameter)
	t.sizes("lengths", &rivet.Lengths, 0.5, 500)
	return rivet
}

func readBolt(t *fileTable) (bolt Bolt) {
	t.need("diameter", "hole")
	t.length("diameter", &bolt.Diameter, 0.5, 100)
	bolt.Nut, bolt.Washer = usualNut(bolt.Diameter), usualWasher(bolt.Diameter)
	t.length("hole", &bolt.Hole, 0.5, 120)
	t.length("nut", &bolt.Nut, 0, 100)
	t.length("washer", &bolt.Washer, 0, 50)
	t.number("price", &bolt.Price, 0, 1e9)
	t.holds("bolt", bolt.Hole, bolt.Diameter)
	t.sizes("lengths", &bolt.Lengths, 0.5, 1000)
	return bolt
}

// sizes reads a list of lengths in the file's unit, each from lo to hi mm, ascending.
func (t *fileTable) sizes(key string, to *[]float64, lo, hi float64) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	if list, ok := t.lengths(t.pathOf(key), v, 0, lo, hi); ok {
		slices.Sort(list)
		*to = append([]float64(nil), list...)
	}
}

// read reads the rooms of tools, each [radius, length].
func (tools *Tools) read(t *fileTable) {
	for _, of := range []struct {
		key string
		to  *Room
	}{
		{"riveter", &tools.Riveter}, {"hammer", &tools.Hammer}, {"dolly", &tools.Dolly},
		{"wrench", &tools.Wrench}, {"torch", &tools.Torch}, {"drill", &tools.Drill},
	} {
		v, ok := t.take(of.key)
		if !ok {
			continue
		}
		if x, ok := t.lengths(t.pathOf(of.key), v, 2, 0.1, 2000); ok {
			of.to.Radius, of.to.Length = x[0], x[1]
		}
	}
	for _, of := range []struct {
		key, of string
		to      *Room
	}{{"bit", "drill", &tools.Drill}, {"wire", "torch", &tools.Torch}} {
		t.length(of.key, &of.to.From, 0, 1000)
		if of.to.From >= of.to.Length {
			t.fail(t.path, "%s %s is not below the %s's room of %s", of.key, t.shown(of.to.From), of.of, t.shown(of.to.Length))
		}
	}
}
