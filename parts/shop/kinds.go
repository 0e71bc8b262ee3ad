package shop

import "strings"

// Kind is a file of the assembled piece that is written beside a build's usual ones.
type Kind string

// Kinds of files beside the usual ones.
const (
	STEP Kind = "step" // exact solids, for other programs of geometry
	GLB  Kind = "glb"  // to look at, folding up, in programs that show things in space
	PDF  Kind = "pdf"  // the pictures of the piece as pages
)

// Kinds are all of them, by what they are called.
var Kinds = []string{string(STEP), string(GLB), string(PDF)}

// Written is how a shop has a size written.
type Written struct {
	Also []Kind // beside the usual files, each once
}

// kinds reads a list of kinds.
func (t *fileTable) kinds(key string, to *[]Kind) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	list, ok := v.([]any)
	if !ok {
		t.fail(t.pathOf(key), "must be a list of some of %s", strings.Join(Kinds, ", "))
		return
	}
	*to = nil
	for _, item := range list {
		s, _ := item.(string)
		k, ok := KindOf(s)
		if !ok {
			t.fail(t.pathOf(key), "%v is not one of %s", item, strings.Join(Kinds, ", "))
			continue
		}
		*to = With(*to, k)
	}
}

// KindOf is the kind that a word names.
func KindOf(word string) (k Kind, ok bool) {
	for _, known := range Kinds {
		if word == known {
			return Kind(word), true
		}
	}
	return "", false
}

// With is a list with one kind more, where it has not that kind yet.
func With(list []Kind, k Kind) []Kind {
	for _, has := range list {
		if has == k {
			return list
		}
	}
	return append(list[:len(list):len(list)], k)
}
