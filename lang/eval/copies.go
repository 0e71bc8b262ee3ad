package eval

import (
	"fmt"
	"slices"
	"strconv"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
)

// copy is one combination of the values of a statement's indices.
type copy struct {
	env    *env
	key    []value.Value
	words  []string // for each index what the copy is called by
	places []int    // and its place among the values of that index, from 1
}

// spread runs do for every combination of the values of d's indices, in the order
// written; key is the combination and name what the copy is called by: no two copies
// have one name.
func (ev *evaluator) spread(d *check.Decl, e *env, do func(e *env, key []value.Value, name string)) {
	if len(d.Indices) == 0 {
		do(e, nil, "")
		return
	}
	copies := []copy{{env: e}}
	for _, index := range d.Indices {
		var next []copy
		for _, c := range copies {
			next = append(next, ev.along(index, c)...)
			if len(next) > maxCopies {
				ev.fail("P2061", d.Indices[0].Each.At, "too many copies", fmt.Sprintf("more than %d", maxCopies))
			}
		}
		copies = next
	}
	names := unique(copies)
	for i, c := range copies {
		do(c.env, c.key, names[i])
	}
}

// along is what a copy becomes for each value of a further index.
func (ev *evaluator) along(index *check.Decl, c copy) []copy {
	values := ev.domain(index.Each.Domain, c.env)
	words, ids := make([]string, len(values)), make([]any, len(values))
	for i, v := range values {
		words[i], ids[i] = value.KeyName(v, i+1), value.Identity(v)
	}
	if first, second := twins(ids); second > 0 {
		ev.twice(index, values[second], first+1, second+1)
	}
	words = told(words)
	out, scopes := make([]copy, len(values)), make([]indexed, len(values))
	n := len(c.key) + 1 // of all copies in one piece of memory
	keys, names, places := make([]value.Value, 0, n*len(values)), make([]string, 0, n*len(values)), make([]int, 0, n*len(values))
	for i, v := range values {
		in := &scopes[i]
		in.env = env{up: c.env, room: in.one[:0]}
		in.set(index, v)
		keys, names, places = append(append(keys, c.key...), v), append(append(names, c.words...), words[i]), append(append(places, c.places...), i+1)
		from, to := i*n, (i+1)*n
		out[i] = copy{&in.env, keys[from:to:to], names[from:to:to], places[from:to:to]}
	}
	return out
}

// indexed is the scope of one value of an index.
type indexed struct {
	env
	one [1]binding
}

// twice unwinds because an index has one value twice.
func (ev *evaluator) twice(index *check.Decl, v value.Value, first, second int) {
	what := value.KindOf(v)
	if n, ok := v.(value.Number); ok {
		what = n.Text(ev.prog.Shown)
	} else {
		what = "one " + what
	}
	ev.fail("P2065", index.Each.Domain.At, fmt.Sprintf("%s is %s twice: two copies could not be told apart", index.Name, what),
		fmt.Sprintf("it is the value in place %d and in place %d", first, second), "list every value once",
		diag.Related{Span: index.At, Message: "the index"}, leaveItemOut(index.Each.Domain, second))
}

// leaveItemOut offers to take the n-th item out of a list that is written out; nil of any
// other domain.
func leaveItemOut(d *syntax.Domain, n int) *diag.Fix {
	l, ok := unwrapped(d.Lo).(*syntax.List)
	if !ok || d.Hi != nil || n < 2 || n > len(l.Items) {
		return nil
	}
	for i := range l.Items {
		if _, nested := unwrapped(l.Items[i].Value).(*syntax.List); nested {
			return nil
		}
	}
	at := l.Items[n-1].At
	at.Start = l.Items[n-2].At.End
	return &diag.Fix{Message: "leave it out", Edits: []diag.Edit{{Span: at}}}
}

// told are words of which those that are there more than once are numbered by their
// place, all of them where that gives one that is there already.
func told(words []string) []string {
	if _, second := twins(words); second == 0 {
		return words
	}
	times := map[string]int{}
	for _, w := range words {
		times[w]++
	}
	out, had := make([]string, len(words)), map[string]bool{}
	for i, w := range words {
		if out[i] = w; times[w] > 1 {
			out[i] = strconv.Itoa(i + 1)
		}
		had[out[i]] = true
	}
	for i := range out {
		if len(had) < len(out) {
			out[i] = strconv.Itoa(i + 1)
		}
	}
	return out
}

// unique names copies by their words, each behind a dot; by their places where two
// would have one name.
func unique(copies []copy) []string {
	names := make([]string, len(copies))
	for i, c := range copies {
		for _, w := range c.words {
			names[i] += "." + w
		}
	}
	if _, second := twins(names); second == 0 {
		return names
	}
	for i, c := range copies {
		names[i] = ""
		for _, p := range c.places {
			names[i] += "." + strconv.Itoa(p)
		}
	}
	return names
}

// twins finds the first item that was there before, and where it was; 0 and 0 where no
// two are equal.
func twins[T comparable](all []T) (first, second int) {
	if len(all) <= 8 { // sooner than by a map
		for i := range all {
			if k := slices.Index(all[:i], all[i]); k >= 0 {
				return k, i
			}
		}
		return 0, 0
	}
	had := make(map[T]int, len(all))
	for i, x := range all {
		if k, ok := had[x]; ok {
			return k, i
		}
		had[x] = i
	}
	return 0, 0
}
