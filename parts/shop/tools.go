package shop

// Room is the straight room that a tool needs along a fastener's axis: a cylinder that
// begins From mm off the sheet. The zero Room is none.
type Room struct {
	Radius, Length float64
	From           float64
}

// Tools are the rooms of what sets fasteners.
type Tools struct {
	Riveter Room // pulls a blind rivet, from the head's side
	Hammer  Room // on a solid rivet's tail
	Dolly   Room // under its head
	Wrench  Room // on a bolt's head and on its nut
	Torch   Room // on a weld; From is how far its wire or rod stands out
	Drill   Room // drills in place, from the head's side; From is how far its bit stands out
}

// defaultTools: common practice, no source.
func defaultTools() Tools {
	return Tools{
		Riveter: Room{Radius: 10, Length: 150},
		Hammer:  Room{Radius: 15, Length: 150},
		Dolly:   Room{Radius: 12, Length: 40},
		Wrench:  Room{Radius: 10, Length: 40},
		Torch:   Room{Radius: 6, Length: 120, From: 15},
		Drill:   Room{Radius: 20, Length: 200, From: 50},
	}
}

// Reach is the room that is needed to set a fastener: off its head's sheet, and off the
// sheet where its tail is.
type Reach struct{ Head, Tail Room }

// RivetReach is what room a rivet of a shank's length needs.
func (t Tools) RivetReach(diameter, head float64, closing Closing, length, grip float64) Reach {
	switch closing {
	case Cold, Hot:
		return Reach{Head: deeper(t.Dolly, length), Tail: t.Hammer}
	case Welded:
		return Reach{Head: Room{Radius: head / 2, Length: length}, Tail: t.Torch}
	}
	blind := Room{Radius: diameter / 2, Length: max(0, length-grip)}
	return Reach{Head: t.Riveter, Tail: blind}
}

// BoltReach is what room a bolt needs: it is put in from its head's side.
func (t Tools) BoltReach(length float64) Reach {
	return Reach{Head: deeper(t.Wrench, length), Tail: t.Wrench}
}

// deeper is a room at least as long as what has to be put in there.
func deeper(r Room, length float64) Room {
	r.Length = max(r.Length, length)
	return r
}
