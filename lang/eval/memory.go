package eval

import "perch/lang/value"

// Memory keeps what calls came to, by what is called and with which arguments, so that
// a call that stands in many places is worked out once.
type Memory[T any] struct {
	keys map[link]Key
	of   map[Key]T
}

// Key stands for a function with some of its arguments.
type Key int

type link struct {
	before Key
	with   any
}

// maxRemembered is how many calls and arguments are kept: beyond, calls are worked out
// each time.
const maxRemembered = 1 << 16

// Begin is the key of a function without arguments, told by anything that can be compared.
func (m *Memory[T]) Begin(of any) Key { return m.next(link{-1, of}) }

// With is the key with one more argument.
func (m *Memory[T]) With(k Key, arg value.Value) Key {
	if r, ok := arg.(value.Reference); ok {
		return m.next(link{k, r.Key()})
	}
	return m.next(link{k, arg})
}

// forgetful is the key of a call that is not kept.
const forgetful Key = -2

func (m *Memory[T]) next(l link) Key {
	if l.before == forgetful {
		return forgetful
	}
	k, ok := m.keys[l]
	if !ok {
		if len(m.keys) >= maxRemembered {
			return forgetful
		}
		if m.keys == nil {
			m.keys, m.of = map[link]Key{}, map[Key]T{}
		}
		k = Key(len(m.keys))
		m.keys[l] = k
	}
	return k
}

// Known is what a call came to before.
func (m *Memory[T]) Known(k Key) (T, bool) {
	v, ok := m.of[k]
	return v, ok
}

// Keep remembers what a call came to.
func (m *Memory[T]) Keep(k Key, v T) {
	if k != forgetful {
		m.of[k] = v
	}
}
