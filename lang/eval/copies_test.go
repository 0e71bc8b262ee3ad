package eval

import (
	"slices"
	"testing"
)

// TestCopiesAreToldApart: words that are there twice become places; where a place is a
// word already, all do.
func TestCopiesAreToldApart(t *testing.T) {
	for _, c := range [][2][]string{
		{{}, {}},
		{{"front"}, {"front"}},
		{{"front", "left"}, {"front", "left"}},
		{{"front", "left", "front"}, {"1", "left", "3"}},
		{{"left", "front", "front"}, {"left", "2", "3"}},
		{{"a", "a", "b", "b"}, {"1", "2", "3", "4"}},
		{{"3", "a", "a"}, {"1", "2", "3"}},
		{{"a", "a", "2"}, {"1", "2", "3"}},
		{{"7", "a", "a"}, {"7", "2", "3"}},
	} {
		if got := told(c[0]); !slices.Equal(got, c[1]) {
			t.Errorf("%v are told as %v, want %v", c[0], got, c[1])
		}
	}
	two := func(words []string, places []int) copy { return copy{words: words, places: places} }
	for _, c := range []struct {
		copies []copy
		want   []string
	}{
		{[]copy{{}}, []string{""}},
		{[]copy{two([]string{"a"}, []int{1}), two([]string{"b"}, []int{2})}, []string{".a", ".b"}},
		{[]copy{two([]string{"a", "b"}, []int{1, 2}), two([]string{"a", "c"}, []int{1, 3})}, []string{".a.b", ".a.c"}},
		{[]copy{two([]string{"a", "b.c"}, []int{1, 2}), two([]string{"a.b", "c"}, []int{3, 4})}, []string{".1.2", ".3.4"}},
	} {
		if got := unique(c.copies); !slices.Equal(got, c.want) {
			t.Errorf("%v are named %v, want %v", c.copies, got, c.want)
		}
	}
}
