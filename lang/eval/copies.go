package eval

import (
	"fmt"
	"strconv"

	"perch/lang/check"
	"perch/lang/diag"
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
	words, had := make([]string, len(values)), map[any]int{}
	for i, v := range values {
		id := value.Identity(v)
		if first := had[id]; first > 0 {
			ev.twice(index, v, first, i+1)
		}
		had[id] = i + 1
		words[i] = value.KeyName(v, i+1)
	}
	words = told(words)
	out := make([]copy, len(values))
	for i, v := range values {
		in := c.env.child()
		in.set(index, v)
		out[i] = copy{in, append(c.key[:len(c.key):len(c.key)], v), append(c.words[:len(c.words):len(c.words)], words[i]),
			append(c.places[:len(c.places):len(c.places)], i+1)}
	}
	return out
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
		diag.Related{Span: index.At, Message: "the index"})
}

// told are words of which those that are there more than once are numbered by their
// place, all of them where that gives one that is there already.
func told(words []string) []string {
	times := map[string]int{}
	for _, w := range words {
		times[w]++
	}
	if len(times) == len(words) {
		return words
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
	names, had := make([]string, len(copies)), map[string]bool{}
	for i, c := range copies {
		for _, w := range c.words {
			names[i] += "." + w
		}
		had[names[i]] = true
	}
	if len(had) == len(copies) {
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
