package mockup

import (
	"fmt"
	"strconv"
	"strings"
)

// Scale is how long on paper what is One long in metal becomes: 1:4 is {1, 4}.
type Scale struct{ Paper, Metal float64 }

// Full is full size: patterns for cutting by hand instead of a model.
var Full = Scale{1, 1}

// usual scales, from large to small: the row of ISO 5455 and what model makers use beside it.
var usual = []Scale{{10, 1}, {5, 1}, {2, 1}, {1, 1}, {1, 2}, {1, 3}, {1, 4}, {1, 5}, {1, 6}, {1, 8}, {1, 10}, {1, 12}, {1, 15}, {1, 20}, {1, 25}, {1, 50}, {1, 100}}

// Limits of scales: beyond them nothing can be folded, or printed.
const (
	largestScale  = 10.0
	smallestScale = 1.0 / 500
)

// ScaleError says that a word is no scale.
type ScaleError struct{ Text, Why string }

func (e *ScaleError) Error() string {
	return fmt.Sprintf("%q is no scale: %s. Write the model's length first, as 1:4: a quarter of the size", e.Text, e.Why)
}

// ParseScale reads a scale such as 1:4, or 1:2.5. The error is a *ScaleError.
func ParseScale(text string) (Scale, error) {
	fail := func(why string) (Scale, error) { return Scale{}, &ScaleError{text, why} }
	paper, metal, two := strings.Cut(text, ":")
	if !two {
		return fail("there is no colon in it")
	}
	p, okP := scaleNumber(paper)
	m, okM := scaleNumber(metal)
	switch {
	case !okP || !okM:
		return fail("on either side of the colon stands one number above 0")
	case p/m > largestScale:
		return fail("more than ten times the size is no model")
	case p/m < smallestScale:
		return fail("less than a five-hundredth of the size can't be folded")
	}
	return Scale{p, m}, nil
}

// scaleNumber reads digits with at most one point among them.
func scaleNumber(text string) (float64, bool) {
	text = strings.TrimSpace(text)
	if text == "" || len(text) > 12 || strings.Trim(text, "0123456789.") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil && x > 0
}

// Factor is paper over metal.
func (s Scale) Factor() float64 { return s.Paper / s.Metal }

func (s Scale) String() string {
	return strconv.FormatFloat(s.Paper, 'f', -1, 64) + ":" + strconv.FormatFloat(s.Metal, 'f', -1, 64)
}

// smallestAbove is the smallest of the usual scales not below a factor; ok is false where
// none is.
func smallestAbove(factor float64) (Scale, bool) {
	for i := len(usual) - 1; i >= 0; i-- {
		if usual[i].Factor() >= factor {
			return usual[i], true
		}
	}
	return Scale{}, false
}

// smallerUsual is the largest of the usual scales not above a factor.
func smallerUsual(factor float64) (Scale, bool) {
	for _, s := range usual {
		if s.Factor() <= factor {
			return s, true
		}
	}
	return Scale{}, false
}
