package rules_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// drawnRule is a rule over the three params a, b and c, and whether it holds of numbers of mm.
type drawnRule struct {
	text  string
	holds func(v [3]float64) bool
	equal bool
}

// drawRules draws rules; those with an `=` hold at a point, the others may hold anywhere.
func drawRules(r *rand.Rand, at [3]float64, n int, equal func() bool) []drawnRule {
	names := "abc"
	var out []drawnRule
	for range n {
		i := r.IntN(3)
		k := (i + 1 + r.IntN(2)) % 3
		by, m := float64(r.IntN(3)+1), float64(r.IntN(60))
		left := func(v [3]float64) float64 { return v[i]*by - v[k] }
		text := fmt.Sprintf("%g * %c - %c", by, names[i], names[k])
		if equal() {
			m = left(at)
			out = append(out, drawnRule{fmt.Sprintf("rule %s = %gmm", text, m), func(v [3]float64) bool { return math.Abs(left(v)-m) < 1e-8 }, true})
			continue
		}
		switch r.IntN(4) {
		case 0:
			out = append(out, drawnRule{fmt.Sprintf("rule %s <= %gmm", text, m), func(v [3]float64) bool { return left(v) <= m+1e-8 }, false})
		case 1:
			out = append(out, drawnRule{fmt.Sprintf("rule %s >= %gmm", text, m), func(v [3]float64) bool { return left(v) >= m-1e-8 }, false})
		case 2:
			out = append(out, drawnRule{fmt.Sprintf("rule %s < %gmm", text, m), func(v [3]float64) bool { return left(v) < m-1e-8 }, false})
		default:
			out = append(out, drawnRule{fmt.Sprintf("rule %gmm < %s", m, text), func(v [3]float64) bool { return left(v) > m+1e-8 }, false})
		}
	}
	return out
}

const threeParams = "design \"It\"\nparam a: length in 0mm..100mm\nparam b: length in 0mm..100mm\nparam c: length in 0mm..100mm\n"

var (
	limitTold  = regexp.MustCompile(`\b([abc]) (can be at most|can be at least|has to be less than|has to be more than) (-?[\d.]+)mm`)
	insteadAll = regexp.MustCompile(`they would hold with ([^/|\[]*)`)
	strictly   = regexp.MustCompile(`\b([abc]) (less|more) than (-?[\d.]+)mm`)
	oneName    = regexp.MustCompile(`\b[abc]\b`)
	instead    = regexp.MustCompile(`\b([abc]) = (-?[\d.]+)mm`)
	enoughTold = regexp.MustCompile(`it is enough to state ([^/|\[]*)`)
)

// TestMendsAreTrue: of params that are all stated, arithmetic alone tells whether drawn rules
// hold. They are solved where they do; where one does not, every value that is told to do
// instead makes all of them hold, and one beyond a limit that is told does not.
func TestMendsAreTrue(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	solved, limits, values := 0, 0, 0
	for range 600 {
		at := [3]float64{float64(r.IntN(101)), float64(r.IntN(101)), float64(r.IntN(101))}
		drawn := drawRules(r, at, 1+r.IntN(3), func() bool { return r.IntN(3) == 0 })
		if r.IntN(2) == 0 {
			at[r.IntN(3)] = float64(r.IntN(101))
		}
		text := threeParams
		broken := 0
		for _, d := range drawn {
			text += d.text + "\n"
			if !d.holds(at) {
				broken++
			}
		}
		text += fmt.Sprintf("size it: a = %gmm, b = %gmm, c = %gmm\n", at[0], at[1], at[2])
		told := judged(t, text, "it")
		if (told == "solved") != (broken == 0) {
			t.Errorf("%s%d rules do not hold, and it says\n%s", text, broken, told)
			continue
		}
		if broken == 0 {
			solved++
		}
		if broken != 1 {
			continue
		}
		with := func(name string, v float64) bool {
			w := at
			w[name[0]-'a'] = v
			all := v > -1e-8 && v < 100+1e-8
			for _, d := range drawn {
				all = all && d.holds(w)
			}
			return all
		}
		for _, m := range limitTold.FindAllStringSubmatch(told, -1) {
			v, _ := strconv.ParseFloat(m[3], 64)
			limits++
			in, out := v, v+0.5
			switch m[2] {
			case "can be at least":
				out = v - 0.5
			case "has to be less than": // told outward to a thousandth
				in, out = v-0.01, v+0.001
			case "has to be more than":
				in, out = v+0.01, v-0.001
			}
			if !with(m[1], in) || with(m[1], out) {
				t.Errorf("%s%s at %g holds: %v; at %g: %v\n%s", text, m[0], in, with(m[1], in), out, with(m[1], out), told)
			}
		}
		if all := insteadAll.FindStringSubmatch(told); all != nil {
			for _, m := range strictly.FindAllStringSubmatch(all[1], -1) {
				values++
				v, _ := strconv.ParseFloat(m[3], 64)
				in := v - 0.001
				if m[2] == "more" {
					in = v + 0.001
				}
				if !with(m[1], in) || with(m[1], v) {
					t.Errorf("%s%s: at %g it holds %v, at %g %v\n%s", text, m[0], in, with(m[1], in), v, with(m[1], v), told)
				}
			}
			for _, m := range instead.FindAllStringSubmatch(all[1], -1) {
				values++
				if v, _ := strconv.ParseFloat(m[2], 64); !with(m[1], v) {
					t.Errorf("%s%s does not make it hold\n%s", text, m[0], told)
				}
			}
		}
	}
	t.Logf("%d solved, %d limits, %d values instead", solved, limits, values)
	if solved < 100 || limits < 100 || values < 50 {
		t.Errorf("%d solved, %d limits, %d values instead", solved, limits, values)
	}
}

// TestEnoughIsEnough: of rules that hold at a point, with some params stated there, what is
// solved is the point wherever the rules leave no other, and each name that is said to be
// enough to state is.
func TestEnoughIsEnough(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	solved, enough := 0, 0
	for range 400 {
		at := [3]float64{float64(r.IntN(101)), float64(r.IntN(101)), float64(r.IntN(101))}
		drawn := drawRules(r, at, 1+r.IntN(2), func() bool { return true })
		text := threeParams
		for _, d := range drawn {
			text += d.text + "\n"
		}
		states := ""
		for i, v := range at {
			if r.IntN(3) == 0 {
				states += fmt.Sprintf(", %c = %gmm", 'a'+i, v)
			}
		}
		size := func(states string) string { return "size it" + strings.Replace(states, ",", ":", 1) + "\n" }
		sys, told := read(t, text+size(states), "it")
		if sys == nil {
			t.Fatal(told)
		}
		if res := sys.Solver.Solve(); sys.Judge(res) {
			solved++
			var v [3]float64
			copy(v[:], res.Values)
			for i := range v {
				if math.Abs(v[i]-at[i]) > 1e-8 {
					t.Errorf("%s%s: %v, drawn from %v", text, size(states), v, at)
					break
				}
			}
			continue
		}
		told = judged(t, text+size(states), "it")
		m := enoughTold.FindStringSubmatch(told)
		if m == nil {
			continue
		}
		for _, set := range strings.Split(m[1], ", or ") {
			more := ""
			for _, n := range oneName.FindAllString(set, -1) {
				more += fmt.Sprintf(", %s = %gmm", n, at[n[0]-'a'])
			}
			enough++
			if got := judged(t, text+size(states+more), "it"); got != "solved" {
				t.Errorf("%s%s: to state %q is not enough\n%s", text, size(states), set, got)
			}
		}
	}
	t.Logf("%d solved, %d enough", solved, enough)
	if solved < 50 || enough < 100 {
		t.Errorf("%d solved, %d told what is enough", solved, enough)
	}
}
