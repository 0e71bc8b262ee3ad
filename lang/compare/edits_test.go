package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/quantity"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// opened checks a text; ok is false where it has errors.
func opened(name, text string) (Side, bool) {
	p, ds, err := load.Source(diag.NewSource(name, text), load.Library(), shop.Default())
	return Side{Name: name, Program: p}, err == nil && !diag.HasErrors(ds)
}

// compared builds and compares two texts; ok is false where one has errors.
func compared(t testing.TB, old, new string) (*Difference, [2]Side, bool) {
	t.Helper()
	a, oka := opened("old.perch", old)
	b, okb := opened("new.perch", new)
	if !oka || !okb {
		return nil, [2]Side{}, false
	}
	a, b, ds, err := Build(a, b, shop.Default(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(ds[0])+len(ds[1]) > 0 {
		return nil, [2]Side{}, false
	}
	d, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return d, [2]Side{a, b}, true
}

func example(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile("../../examples/" + name + "/" + name + ".perch")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// fingerprint is a list of numbers and words that a rigid motion and a mirror
// leave alone: lengths, areas, bends, and the distances of every hole, fold and
// opening from every corner and from each other. It knows nothing of how this
// package pairs things.
func fingerprint(b *panel.Blank) (numbers []float64, words string) {
	f := b.Flat
	numbers = append(numbers, f.Area(), f.CutLength(), float64(b.Count))
	var far []float64 // sorted, since what lies where in its list is no matter
	var anchors []plane.Point
	for _, v := range f.Outer {
		anchors = append(anchors, v.P)
	}
	for _, p := range f.Points {
		anchors = append(anchors, p.At)
		words += fmt.Sprintf("%s %.4f,", p.Kind, p.Diameter)
	}
	for _, x := range f.Folds {
		anchors = append(anchors, x.From, x.To)
		far = append(far, 1e3*x.Bend.Angle, 10*x.Bend.Radius, 100*x.Bend.K)
	}
	for _, l := range f.Inner {
		anchors = append(anchors, l.Centroid())
		far = append(far, math.Abs(l.Area()), l.Length())
	}
	for _, m := range f.Marks {
		far = append(far, m.Width, m.Height)
		words += m.Text + ","
		for _, v := range m.Path {
			anchors = append(anchors, v.P)
		}
		if m.Text != "" {
			anchors = append(anchors, m.At)
		}
	}
	for i := range anchors {
		for k := range i {
			far = append(far, anchors[i].Dist(anchors[k]))
		}
	}
	sort.Float64s(far)
	parts := strings.Split(words, ",")
	sort.Strings(parts)
	return append(numbers, far...), f.Panel.Stock.Material + strings.Join(parts, ",") + fmt.Sprint(f.Panel.Stock.Thickness)
}

func alike(a, b *panel.Blank) bool {
	x, s := fingerprint(a)
	y, t := fingerprint(b)
	if s != t || len(x) != len(y) {
		return false
	}
	for i := range x {
		tol := 2e-5
		if i < 2 { // an area and a length of cut take the tolerance of all edges
			tol = 1e-4 * a.Flat.CutLength()
		}
		if math.Abs(x[i]-y[i]) > tol {
			return false
		}
	}
	return true
}

// expected are the blanks that changed at a size, by name.
func expected(o, n *panel.Assembly) []string {
	var out []string
	for _, b := range n.Blanks {
		if k := slices.IndexFunc(o.Blanks, func(a *panel.Blank) bool { return a.Name == b.Name }); k < 0 || !alike(o.Blanks[k], b) {
			out = append(out, b.Name)
		}
	}
	for _, a := range o.Blanks {
		if !slices.ContainsFunc(n.Blanks, func(b *panel.Blank) bool { return a.Name == b.Name }) {
			out = append(out, a.Name)
		}
	}
	slices.Sort(out)
	return out
}

var lengthLiteral = regexp.MustCompile(`\b\d+(\.\d+)?(mm|deg)\b`)

// edited changes one thing of a text: a number by a little or a lot, or the
// writing only.
func edited(text string, r *rand.Rand) string {
	switch r.IntN(5) {
	case 0: // shuffle the statements that stand on one line
		lines := strings.Split(text, "\n")
		var at []int
		for i, l := range lines {
			if strings.HasPrefix(l, "param ") || strings.HasPrefix(l, "rule ") || strings.HasPrefix(l, "body ") || strings.HasPrefix(l, "let ") {
				at = append(at, i)
			}
		}
		r.Shuffle(len(at), func(i, k int) { lines[at[i]], lines[at[k]] = lines[at[k]], lines[at[i]] })
		return strings.Join(lines, "\n")
	case 1: // other words for the same
		return strings.NewReplacer("2 * height * tan(splay)", "tan(splay) * (height * 2)", "// ", "//   ", "= 6deg", "= 6.0deg").Replace(text)
	}
	found := lengthLiteral.FindAllStringIndex(text, -1)
	f := found[r.IntN(len(found))]
	lit, err := quantity.ParseLiteral(text[f[0]:f[1]])
	if err != nil {
		return text
	}
	unit := text[f[1]-2 : f[1]]
	if strings.HasSuffix(text[f[0]:f[1]], "deg") {
		unit = "deg"
		lit.Value *= 180 / math.Pi
	}
	by := []float64{0.002, 0.1, 0.5, 1, 2, 5}[r.IntN(6)]
	if r.IntN(2) == 0 {
		by = -by
	}
	return text[:f[0]] + quantity.Decimal(math.Abs(lit.Value+by), 4) + unit + text[f[1]:]
}

// On 100 generated edits of the examples every changed part is named, and no
// other.
func TestGeneratedEdits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	names := []string{"stool", "wall_hook", "tote", "plant_stand"}
	texts, olds := map[string]string{}, map[string]Side{}
	for _, n := range names {
		texts[n] = example(t, n)
		side, _ := opened("old.perch", texts[n])
		olds[n], _, _, _ = Build(side, side, shop.Default(), nil)
	}
	done, changed, unchanged := 0, 0, 0
	edits := 100
	if testing.Short() {
		edits = 40
	}
	for tries := 0; done < edits; tries++ {
		if tries > 10*edits {
			t.Fatalf("only %d of %d edits build", done, tries)
		}
		name := names[tries%len(names)]
		text := edited(texts[name], r)
		n, ok := opened("new.perch", text)
		if !ok {
			continue // an edit may break a rule
		}
		n, _, ds, err := Build(n, n, shop.Default(), nil)
		if err != nil || len(ds[0]) > 0 {
			continue
		}
		o := olds[name]
		d, err := Compare(o, n)
		if err != nil {
			t.Fatal(err)
		}
		done++
		for _, s := range d.Sizes {
			var got []string
			for _, p := range s.Parts {
				got = append(got, p.Name)
			}
			slices.Sort(got)
			o, n := o.result(s.Name), n.result(s.Name)
			if o == nil || n == nil {
				t.Fatalf("edit %d of %s: size %s is on one side", tries, name, s.Name)
			}
			want := expected(o.Assembly, n.Assembly)
			if !slices.Equal(got, want) {
				t.Errorf("edit %d of %s at %s: named %v, changed %v\n%s", tries, name, s.Name, got, want, lineOf(texts[name], text))
			}
			changed += len(want)
			unchanged += len(n.Assembly.Blanks) - len(want)
		}
	}
	t.Logf("%d edits: %d blanks changed, %d did not", edits, changed, unchanged)
	if changed < edits || unchanged < edits {
		t.Errorf("the edits prove little: %d blanks changed, %d did not", changed, unchanged)
	}
}

// lineOf is the first line that differs.
func lineOf(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return x[i] + "\n" + y[i]
		}
	}
	return ""
}
