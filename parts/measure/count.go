package measure

import "fmt"

// Counted is a number of things: no holes, 1 hole, 2 holes, 2 equalities.
func Counted(n int, thing string) string {
	switch n {
	case 0:
		return "no " + Plural(n, thing)
	case 1:
		return "1 " + thing
	}
	return fmt.Sprintf("%d %s", n, Plural(n, thing))
}

// Plural is the word for n things.
func Plural(n int, thing string) string {
	if n == 1 {
		return thing
	}
	if k := len(thing) - 1; k > 0 && thing[k] == 'y' {
		return thing[:k] + "ies"
	}
	return thing + "s"
}
