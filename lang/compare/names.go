package compare

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// compressed writes three and more names that count on as the first to the last.
func compressed(names []string) []string {
	var stems []string
	of := map[string][]int{}
	for _, n := range names {
		stem, number := n, -1
		if i := strings.LastIndexByte(n, '.'); i >= 0 {
			if k, err := strconv.Atoi(n[i+1:]); err == nil && strconv.Itoa(k) == n[i+1:] {
				stem, number = n[:i], k
			}
		}
		if of[stem] == nil {
			stems = append(stems, stem)
		}
		of[stem] = append(of[stem], number)
	}
	var out []string
	for _, stem := range stems {
		numbers := of[stem]
		sort.Ints(numbers)
		for i := 0; i < len(numbers); {
			k := i
			for k+1 < len(numbers) && numbers[k+1] == numbers[k]+1 && numbers[i] >= 0 {
				k++
			}
			if k < i+2 {
				k = i
			}
			out = append(out, numberedName(stem, numbers[i]))
			if k > i {
				out[len(out)-1] += " to " + numberedName(stem, numbers[k])
			}
			i = k + 1
		}
	}
	return out
}

// stemOf is a name without the numbers that it ends in: base.hole of base.hole.3.4.
func stemOf(name string) string {
	for {
		i := strings.LastIndexByte(name, '.')
		if i < 0 {
			return name
		}
		if _, err := strconv.Atoi(name[i+1:]); err != nil {
			return name
		}
		name = name[:i]
	}
}

// few lists names: those that count on as the first to the last, and where that is still
// long their stems, with how many there are of each.
func few(names []string) string {
	if out := compressed(names); len(out) <= maxNames {
		return strings.Join(out, ", ")
	}
	var g grouped
	for _, n := range names {
		g.add(stemOf(n), n)
	}
	var out []string
	for i, stem := range g.texts {
		out = append(out, fmt.Sprintf("%s (%d)", stem, len(g.sizes[i])))
	}
	return some(out)
}

func numberedName(stem string, n int) string {
	if n < 0 {
		return stem
	}
	return stem + "." + strconv.Itoa(n)
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// some lists the first names.
func some(names []string) string {
	if len(names) > maxNames {
		return strings.Join(names[:maxNames], ", ") + fmt.Sprintf(" and %d more", len(names)-maxNames)
	}
	return strings.Join(names, ", ")
}
