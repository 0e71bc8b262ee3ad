package eval_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
)

// draw is one random design: a cap on legs, with or without a shelf, on a body
// that leans either way.
type draw struct {
	*rand.Rand
	text strings.Builder
}

func (d *draw) in(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

func (d *draw) line(format string, args ...any) { fmt.Fprintf(&d.text, format+"\n", args...) }

// newDraw writes the design of a seed.
func newDraw(seed uint64) string {
	d := &draw{Rand: rand.New(rand.NewPCG(seed, 500))}
	t := d.in(0.8, 2.5)
	r := t * d.in(1, 2)
	d.line("design \"Draw %d\"", seed)
	d.line("use seat_cap, corner_leg from std.stool")
	d.line("use shelf from std.plain")
	d.line("stock shell = sheet(mild_steel, %.3fmm, radius: %.3fmm, k: %.3f)", t, r, d.in(0.25, 0.5))
	high := d.in(320, 800)
	foot := func(top, lean float64) float64 { return top + 2*high*math.Tan(lean*math.Pi/180) }
	n := 3 + d.IntN(6)
	if n == 4 && d.IntN(3) > 0 {
		x, y := d.in(330, 700), d.in(330, 600)
		d.line("body frame = frustum(top: (%.3fmm, %.3fmm), bottom: (%.3fmm, %.3fmm), height: %.3fmm)",
			x, y, foot(x, d.in(-4, 12)), foot(y, d.in(-4, 12)), high)
	} else {
		// a side of at least 210 mm at the narrower end, for two heads and their room
		lean := d.in(-8, 12)
		across := (210 + max(0, -2*high*math.Tan(lean*math.Pi/180)*math.Tan(math.Pi/float64(n)))) / math.Tan(math.Pi/float64(n))
		across *= d.in(1, 1.6)
		d.line("body frame = frustum(sides: %d, top: %.3fmm, bottom: %.3fmm, height: %.3fmm)", n, across, foot(across, lean), high)
	}
	d.line("body inner = frame.under(shell)")
	d.line("body core = inner.under(shell)")
	gap := d.in(0.3, 3)
	d.line("part cap of shell = seat_cap(frame, drop: %.3fmm, gap: %.3fmm, bead_in: 0mm)", d.in(50, 85), gap)
	head := d.in(50, 75)
	d.line("part leg[c in inner.corners] of shell = corner_leg(c, toe: %.3fmm, waist: %.3fmm, head: %.3fmm, deep: %.3fmm, grip: %.3fmm, flare: %.3fmm, shoe: %.3fmm, clear: %.3fmm, toe_round: %.3fmm)",
		d.in(45, 75), d.in(39, 45), head, d.in(110, 140), d.in(60, 80), d.in(5, 25), d.in(60, 120), r+d.in(0.5, 4), d.in(0, 6))
	shelf := d.IntN(2) == 0
	if shelf {
		d.line("part low of shell = shelf(core, level(%.3fmm), lip: %.3fmm, gap: %.3fmm)", high*d.in(0.25, 0.5), d.in(28, 45), 2*(r+t)+d.in(1, 4))
	}
	d.line("join head = cap.flap to leg.cheek by rivet(3.2mm, %s)", []string{"count: 2", "pitch: 18mm"}[d.IntN(2)])
	if shelf {
		d.line("join hold = low.lip_of to leg.cheek by rivet(3.2mm, count: 1)")
	}
	return d.text.String()
}

// TestRandomFrusta takes 500 random designs, 100 with -short, the whole way: holes mate within
// 0.01 mm, faces return to their planes within 1e-6 mm, nothing interpenetrates.
// What the geometry refuses it refuses with a code, and seldom.
func TestRandomFrusta(t *testing.T) {
	draws := 500
	if testing.Short() {
		draws = 100
	}
	shop := shop.Default()
	refused := map[string]int{}
	var worst deviations
	holes, faces := 0, 0
	for seed := uint64(1); seed <= uint64(draws); seed++ {
		text := newDraw(seed)
		prog, diags, _ := load.Source(diag.NewSource("draw.perch", text), load.Library(), shop)
		if diag.HasErrors(diags) {
			t.Fatalf("seed %d does not check:\n%s\n%s", seed, rendered(diags), text)
		}
		r, diags := build.Size(prog, "only", shop, nil)
		if diag.HasErrors(diags) {
			refused[codesOf(diags)]++
			t.Logf("seed %d is refused: %s", seed, firstError(diags))
			continue
		}
		h, f := worst.measure(t, r)
		holes, faces = holes+h, faces+f
		if worst.bad(t, r) || t.Failed() {
			t.Fatalf("seed %d:\n%s", seed, text)
		}
	}
	n := 0
	var codes []string
	for c, k := range refused {
		n += k
		codes = append(codes, fmt.Sprintf("%s × %d", c, k))
	}
	sort.Strings(codes)
	if n > draws/20 {
		t.Errorf("%d of %d draws are refused: %s", n, draws, strings.Join(codes, ", "))
	}
	if holes < 10*draws || faces < 10*draws {
		t.Errorf("only %d holes and %d faces were measured", holes, faces)
	}
	t.Logf("%d draws, %d refused (%s); %d holes at most %.2g mm off their axes, %d faces %.2g mm off their planes, clashes at most %.2g mm deep",
		draws, n, strings.Join(codes, ", "), holes, worst.hole, faces, worst.face, worst.clash)
}

// deviations are the worst seen, mm.
type deviations struct{ hole, face, clash float64 }

// measure refolds a build; it returns how many members of joins and faces there were.
func (w *deviations) measure(t *testing.T, r *build.Result) (holes, faces int) {
	t.Helper()
	for _, f := range r.Flats {
		for i, face := range f.Panel.Faces {
			got := f.FaceFrame(i)
			for _, v := range face.Outline[0] {
				w.face = max(w.face, got.At(v.P).Sub(face.Frame.At(v.P)).Len())
			}
			faces++
		}
	}
	for _, j := range r.Assembly.Joins {
		axis := vec{j.Axis.X, j.Axis.Y, j.Axis.Z}
		for _, m := range j.Members {
			at, err := worldPoint(r.Assembly, m)
			if err != nil {
				t.Fatal(err)
			}
			off := at.sub(vec{j.At.X, j.At.Y, j.At.Z})
			along := off.dot(axis)
			w.hole = max(w.hole, off.sub(axis.scale(along)).len(), -along, along-j.Grip)
			holes++
		}
	}
	for _, c := range panel.Clashes(r.Flats) {
		w.clash = max(w.clash, c.Depth)
	}
	return holes, faces
}

// bad tells whether a deviation passes its limit, and says which.
func (w *deviations) bad(t *testing.T, r *build.Result) bool {
	t.Helper()
	if w.hole > 0.01 || w.face > 1e-6 {
		t.Errorf("a hole is %g mm off its axis, a face %g mm off its plane", w.hole, w.face)
	}
	for _, c := range panel.Clashes(r.Flats) {
		a, b := r.Flats[c.A], r.Flats[c.B]
		t.Errorf("%s.%s runs %.3f mm into %s.%s", a.Panel.Name, a.Faces[c.FaceA].Name, c.Depth, b.Panel.Name, b.Faces[c.FaceB].Name)
	}
	return t.Failed()
}

func rendered(diags []diag.Diagnostic) string {
	var b bytes.Buffer
	diag.Render(&b, diags, diag.Style{})
	return b.String()
}

// codesOf are the codes of the errors, each once.
func codesOf(diags []diag.Diagnostic) string {
	var out []string
	seen := map[string]bool{}
	for _, d := range diags {
		if d.Severity == diag.Error && !seen[d.Code] {
			seen[d.Code] = true
			out = append(out, d.Code)
		}
	}
	return strings.Join(out, "+")
}

func firstError(diags []diag.Diagnostic) string {
	for _, d := range diags {
		if d.Severity == diag.Error {
			return fmt.Sprintf("%s %s %v", d.Code, d.Summary, d.Notes)
		}
	}
	return ""
}
