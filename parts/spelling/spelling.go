// Package spelling finds what a misspelt name may have meant among the names that are
// known: letters put in, left out, changed or swapped, or a word cut short. It knows no
// language.
package spelling

import (
	"sort"
	"strings"
)

// maxName is the length in bytes past which a name is not compared with others.
const maxName = 40

// Nearest is the known name with the fewest edits from wrong, at most a third of its
// length. Where one of two is short for the other, as sin is for sine, it counts as
// no farther than that. The first letter is seldom mistyped: a name with another is
// taken for one edit only, and after those as near with the same; then the first in
// the alphabet is. A name that only looks like wrong, having letters of another alphabet,
// comes before all others.
func Nearest(wrong string, known []string) string {
	if wrong == "" || len(wrong) > maxName {
		return ""
	}
	names := append([]string{}, known...)
	sort.Strings(names)
	plain := Plain(wrong)
	for _, k := range names {
		if k != wrong && Plain(k) == plain {
			return k
		}
	}
	farthest := max(1, len(wrong)/3)
	best, least := "", 2*farthest+2
	for _, k := range names {
		if len(k) > maxName || k == "" || k == wrong {
			continue
		}
		n := edits(wrong, k)
		if n >= max(len(wrong), len(k)) { // no letter of it is left
			continue
		}
		if n > farthest && short(wrong, k) {
			n = farthest
		}
		if n > farthest {
			continue
		}
		if n *= 2; k[0] != wrong[0] {
			if n > 2 && !short(wrong, k) {
				continue
			}
			n++
		}
		if n < least {
			best, least = k, n
		}
	}
	return best
}

// leastShort is the fewest letters that stand for a longer word.
const leastShort = 3

// short says that one of two names is the beginning of the other, or its last word.
func short(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	return len(a) >= leastShort && (strings.HasPrefix(b, a) || strings.HasSuffix(b, "_"+a) || strings.HasSuffix(b, "."+a))
}

// edits is the least number of letters put in, left out, changed or swapped
// with their neighbour that makes b of a.
func edits(a, b string) int {
	before := make([]int, len(b)+1)
	prev := make([]int, len(b)+1)
	cur := make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}
