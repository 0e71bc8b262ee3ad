package coupon_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/coupon"
	"perch/parts/measure"
	"perch/parts/shop"
)

// read rounds a length to a ruler's divisions, as an eye does.
func read(mm, division float64) float64 { return math.Round(mm/division) * division }

// bent is what is measured of a strip whose neutral axis lies at k, by plane geometry: the
// arc of the neutral axis is as long as the strip lost, and each leg ends where the outer
// lines cross.
func bent(c coupon.Strip, k, flat, split, division float64) coupon.Reading {
	arc := c.Angle * (c.Radius + k*c.Thickness)
	out := (c.Radius + c.Thickness) * math.Tan(c.Angle/2)
	straight := flat - arc
	return coupon.Reading{LegA: read(straight*split+out, division), LegB: read(straight*(1-split)+out, division), Flat: read(flat, division)}
}

// K of synthetic strips is recovered within the stated band in 95 of 100 draws, for one
// strip and for three.
func TestKIsRecovered(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	const draws = 1000
	for _, n := range []int{1, 3} {
		within := 0
		for range draws {
			c := coupon.Strip{Material: "mild_steel", Thickness: 0.8 + 2.2*r.Float64(), Angle: (60 + 60*r.Float64()) * bend.Degree}
			c.Radius = c.Thickness * (0.8 + 1.5*r.Float64())
			k, division := 0.3+0.15*r.Float64(), []float64{0.05, 0.1}[r.IntN(2)]
			var readings []coupon.Reading
			for range n {
				readings = append(readings, bent(c, k, c.Length()+r.NormFloat64(), 0.45+0.1*r.Float64(), division))
			}
			got, err := c.Measure(readings, division)
			if err != nil {
				t.Fatalf("%+v, K %.3f, %+v: %v", c, k, readings, err)
			}
			if math.Abs(got.K-k) <= got.Band {
				within++
			}
			if math.Abs(got.K-k) > 3*math.Sqrt(float64(n))*got.Band/1.96 { // the readings' worst
				t.Fatalf("K %.4f from %.4f, band %.4f", got.K, k, got.Band)
			}
		}
		if within < draws*93/100 {
			t.Errorf("%d strips: %d of %d within the band", n, within, draws)
		}
	}
}

// The example of Machinery's Handbook, 31st edition, p. 1421: soft steel 1/8 in thick, bent
// 60° over 5/8 in, takes 0.707 in of arc; the strip that it makes gives its K back.
func TestHandbookExample(t *testing.T) {
	const in = measure.InchMM
	c := coupon.Strip{Thickness: in / 8, Radius: in * 5 / 8, Angle: 60 * bend.Degree}
	out := 0.75 * in * math.Tan(30*bend.Degree)
	got, err := c.Measure([]coupon.Reading{{LegA: 3*in + out, LegB: 3*in + out, Flat: 6.707 * in}}, 0.1)
	if want := (0.707/(math.Pi/3) - 0.625) / 0.125; err != nil || math.Abs(got.K-want) > 1e-3 {
		t.Errorf("K %.4f, %v; want %.4f", got.K, err, want)
	}
}

func TestMisreadings(t *testing.T) {
	c := coupon.Strip{Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Angle: 90 * bend.Degree}
	good := bent(c, 0.35, 100, 0.5, 0.05)
	for _, k := range []struct {
		what   string
		m      coupon.Reading
		likely string
	}{
		{"inside", coupon.Reading{LegA: good.LegA - 1.5, LegB: good.LegB - 1.5, Flat: good.Flat}, "both legs look as if measured on the inside"},
		{"one inside", coupon.Reading{LegA: good.LegA - 1.5, LegB: good.LegB, Flat: good.Flat}, "one leg looks as if measured on the inside"},
		{"order", coupon.Reading{LegA: good.Flat, LegB: good.LegA, Flat: good.LegB}, "comes last"},
		{"tape", coupon.Reading{LegA: good.LegA + 10, LegB: good.LegB, Flat: good.Flat}, "off by 10 mm"},
		{"inches", coupon.Reading{LegA: good.LegA / 25.4 * 10, LegB: good.LegB / 25.4 * 10, Flat: good.Flat / 25.4 * 10}, ""},
		{"short leg", coupon.Reading{LegA: 2.9, LegB: good.LegB, Flat: good.Flat}, "a leg is measured outside"},
		{"too long", coupon.Reading{LegA: good.LegA + 4, LegB: good.LegB, Flat: good.Flat}, "the legs read too long"},
		{"zero", coupon.Reading{}, "a leg is measured outside"},
		{"not a number", coupon.Reading{LegA: math.NaN(), LegB: good.LegB, Flat: good.Flat}, "a leg is measured outside"},
		{"no strip", coupon.Reading{LegA: good.LegA, LegB: good.LegB, Flat: math.Inf(1)}, ""},
	} {
		_, err := c.Measure([]coupon.Reading{good, k.m}, 0.1)
		var bad *coupon.ReadingError
		if !errors.As(err, &bad) || bad.Strip != 2 || !strings.Contains(bad.Likely.String(), k.likely) {
			t.Errorf("%s: %v, likely %v", k.what, err, bad)
		}
	}
	for _, none := range []coupon.Strip{{}, {Thickness: 1, Radius: 1, Angle: 10 * bend.Degree}, {Thickness: 1, Radius: 1, Angle: math.Pi}, {Thickness: 1, Radius: 900, Angle: math.Pi / 2}, {Thickness: math.NaN(), Radius: 1, Angle: 1}} {
		if _, err := none.Measure([]coupon.Reading{good}, 0.1); err == nil {
			t.Errorf("%+v is measured", none)
		}
		if _, err := none.Blank(shop.Default()); err == nil {
			t.Errorf("%+v is drawn", none)
		}
	}
}

// The strip is as long as it says, whatever K the shop takes, with its bend in the middle and
// marks there.
func TestStripIsDrawn(t *testing.T) {
	for _, method := range []bend.Method{bend.DIN6935, bend.Handbook} {
		s := shop.Default()
		s.Method = method
		c := coupon.Strip{Material: "mild_steel", Thickness: 2, Radius: 3, Angle: 90 * bend.Degree}
		b, err := c.Blank(s)
		if err != nil {
			t.Fatal(err)
		}
		w, h := b.Flat.Size()
		f := b.Flat.Folds[0]
		if math.Abs(w-100) > 1e-9 || math.Abs(h-40) > 1e-9 || math.Abs(f.From.X-50) > 1e-9 || !f.Down || len(b.FoldMarks) == 0 {
			t.Errorf("%s: %g × %g, bend at %g, down %v, %d marks", method, w, h, f.From.X, f.Down, len(b.FoldMarks))
		}
	}
	inch := coupon.Strip{Thickness: 1.6, Radius: 1.6, Angle: 90 * bend.Degree, In: measure.Inches}
	if l, w := inch.Length()/25.4, inch.Width()/25.4; math.Abs(l-4) > 1e-9 || math.Abs(w-1.5) > 1e-9 {
		t.Errorf("in inches: %g × %g", l, w)
	}
}

// Three strips of 1.5 mm sheet, read to a tenth.
func Example() {
	c := coupon.Strip{Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Angle: 90 * bend.Degree}
	r, err := c.Measure([]coupon.Reading{{51.4, 51.5, 100}, {51.5, 51.5, 100.1}, {51.3, 51.4, 99.9}}, 0.1)
	fmt.Printf("K %.3f ± %.3f, spread %.3f, %v\n", r.K, r.Band, r.Spread, err)
	// Output: K 0.330 ± 0.024, spread 0.042, <nil>
}

// The strip's pages say every step, have room for three strips' measures, and nothing on them lies on
// anything, in both systems.
func TestPages(t *testing.T) {
	for _, in := range []measure.System{measure.Millimetres, measure.Inches} {
		c := coupon.Strip{Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Angle: 90 * bend.Degree, In: in}
		doc, err := c.Pages(shop.Default(), in)
		if err != nil {
			t.Fatal(err)
		}
		doc.Finish()
		text := ""
		for i, p := range doc.Pages {
			text += strings.Join(p.Written(), " ") + " "
			for _, clash := range p.Clashes() {
				t.Errorf("page %d: %q lies on %q", i+1, clash.Text, clash.Over)
			}
		}
		long := (measure.Paper{System: in}).Overall(c.Length())
		for _, want := range []string{"Cut three strips", "Measure both legs on the outside", "length before", "other leg", "1 down 90°", "mild steel", long} {
			if !strings.Contains(text, want) {
				t.Errorf("%q is not on the pages", want)
			}
		}
	}
}
