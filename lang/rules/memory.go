package rules

import (
	"perch/lang/check"
	"perch/lang/value"
)

// memory keeps what calls came to, by what is called and with which arguments, so that
// a call that stands in many places is worked out once.
type memory struct {
	keys map[link]key
	of   map[key]value.Value
}

// key stands for a function with some of its arguments.
type key int

type link struct {
	before key
	with   any
}

// maxRemembered is how many calls and arguments are kept: beyond, calls are worked out
// each time.
const maxRemembered = 1 << 16

// begin is the key of a function without arguments.
func (m *memory) begin(d *check.Decl) key { return m.next(link{-1, d}) }

// with is the key with one more argument; it says nothing where that is not to be
// compared.
func (m *memory) with(k key, arg value.Value) key {
	if r, ok := arg.(value.Reference); ok {
		return m.next(link{k, r.Key()})
	}
	return m.next(link{k, arg})
}

const forgetful key = -2

func (m *memory) next(l link) key {
	if l.before == forgetful {
		return forgetful
	}
	k, ok := m.keys[l]
	if !ok {
		if len(m.keys) >= maxRemembered {
			return forgetful
		}
		if m.keys == nil {
			m.keys, m.of = map[link]key{}, map[key]value.Value{}
		}
		k = key(len(m.keys))
		m.keys[l] = k
	}
	return k
}

func (m *memory) known(k key) (value.Value, bool) {
	v, ok := m.of[k]
	return v, ok
}

func (m *memory) keep(k key, v value.Value) {
	if k != forgetful {
		m.of[k] = v
	}
}
