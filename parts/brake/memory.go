package brake

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash"
	"math"
	"sync"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Known is what was found of how flats of one shape are bent, for all of them: sizes of a design
// have parts in common, and most edits of a design leave most parts as they were. It is for
// several goroutines.
type Known struct {
	mu    sync.Mutex
	flat  *panel.Flat // one of them
	shop  *shop.Shop
	first *Plan
	best  *Plan
}

const (
	// mostKnown is how many shapes of flats are remembered, those that were first asked about
	// first forgotten.
	mostKnown = 256
	// mostBegun is of how many of these, the last ones, the search for the best can go on from the
	// first plan; it takes a megabyte and more.
	mostBegun = 8
)

var memory = struct {
	sync.Mutex
	known map[[sha256.Size]byte]*Known
	order [][sha256.Size]byte
}{known: map[[sha256.Size]byte]*Known{}}

// Recall is what is known of a flat on a shop's brake, with its own names; nil for no flat.
func Recall(flat *panel.Flat, s *shop.Shop) *Known {
	if flat == nil || flat.Panel == nil || s == nil {
		return nil
	}
	key := keyOf(flat, s)
	memory.Lock()
	defer memory.Unlock()
	k := memory.known[key]
	if k == nil {
		k = &Known{flat: flat, shop: s}
		memory.known[key] = k
		memory.order = append(memory.order, key)
		if n := len(memory.order) - mostBegun; n >= 0 {
			memory.known[memory.order[n]].settle()
		}
		if len(memory.order) > mostKnown {
			delete(memory.known, memory.order[0])
			memory.order = memory.order[1:]
		}
	}
	return k
}

// First is First's plan, of a flat of that shape; it cannot be gone on from.
func (k *Known) First(flat *panel.Flat) *Plan {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.begin()
	return k.first.of(flat)
}

// Best is Best's plan, of a flat of that shape.
func (k *Known) Best(flat *panel.Flat) *Plan {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.begin()
	if k.best == nil {
		from := k.first
		if from.finder == nil && from.Refused == nil {
			from = First(k.flat, k.shop, nil)
		}
		k.best, k.first = from.Best().of(k.flat), k.first.of(k.flat)
	}
	return k.best.of(flat)
}

// settle lets go of the search, unless it is at work.
func (k *Known) settle() {
	if k.mu.TryLock() {
		if k.first != nil {
			k.first = k.first.of(k.flat)
		}
		k.mu.Unlock()
	}
}

func (k *Known) begin() {
	if k.first == nil {
		k.first = First(k.flat, k.shop, nil)
	}
}

// of is the plan of a flat that is the same but for where it stands.
func (p *Plan) of(flat *panel.Flat) *Plan {
	out := *p
	out.Flat, out.names, out.finder = flat, own{flat}, nil
	return &out
}

// keyOf tells flats apart by all that a plan goes by: their metal, faces and folds with their
// names, and the brake.
func keyOf(f *panel.Flat, s *shop.Shop) (out [sha256.Size]byte) {
	w := writer{Hash: sha256.New()}
	material, _ := s.Material(f.Panel.Stock.Material)
	fmt.Fprintf(w, "%v\n%v\n%v\n%v\n", s.Brake, material, f.Panel.Stock, f.Tabs)
	w.counts(len(f.Faces), len(f.Folds))
	for i := range f.Faces {
		fmt.Fprintf(w, "%q", f.FaceName(i))
		w.loop(f.Faces[i].Loop)
	}
	for i := range f.Folds {
		b := &f.Folds[i]
		fmt.Fprintf(w, "%q %v %v", b.Name, b.Down, b.Relieved)
		w.counts(b.A, b.B)
		w.loop(b.Loop)
		w.points(b.From, b.To, b.TangentA[0], b.TangentA[1], b.TangentB[0], b.TangentB[1], b.Sight[0], b.Sight[1])
		w.numbers(b.Bend.Angle, b.Bend.Thickness, b.Bend.Radius, b.Bend.K)
	}
	w.Sum(out[:0])
	return out
}

// writer writes numbers to a hash by their bits.
type writer struct{ hash.Hash }

func (w writer) numbers(all ...float64) {
	b := make([]byte, 0, 8*len(all))
	for _, v := range all {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	w.Write(b)
}

func (w writer) counts(all ...int) {
	for _, n := range all {
		w.numbers(float64(n))
	}
}

func (w writer) points(all ...plane.Point) {
	for _, p := range all {
		w.numbers(p.X, p.Y)
	}
}

func (w writer) loop(l plane.Loop) {
	w.counts(len(l))
	for _, v := range l {
		w.numbers(v.P.X, v.P.Y, v.Bulge)
	}
}
