package coupon

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/shop"
)

// Reading is what was measured of one strip, mm.
type Reading struct {
	LegA, LegB float64 // outside, to where the outsides meet
	Flat       float64 // before bending
}

// Result is what strips tell of a bend.
type Result struct {
	Each    []float64 // K of each strip
	K       float64   // their mean
	Spread  float64   // from the least to the most
	Band    float64   // K is off by no more in 95 of 100 cases, by the ruler alone
	Suspect bool      // it is possible, and outside what bent sheet shows
}

// Range of K that can be: outside it a reading is wrong. A strip's neutral axis lies within
// the sheet's inner half, and a little beyond it at the most where sheet is stretched.
const (
	leastK = 0.01
	mostK  = 0.6
)

// ReadingError tells why readings can't be of this strip, and what was likely misread.
type ReadingError struct {
	Strip  int // from 1
	Why    measure.Text
	Likely measure.Text // empty where nothing single explains it
}

func (e *ReadingError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *ReadingError) Told() measure.Text { return measure.Say("strip %d: %v", e.Strip, e.Why) }

// Measure tells K from strips of one bend that were read off a ruler of such divisions, mm.
// The error is a *ReadingError, or of a strip that makes no test.
func (c Strip) Measure(readings []Reading, division float64) (Result, error) {
	if err := c.Err(); err != nil {
		return Result{}, err
	}
	var r Result
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, m := range readings {
		k, err := c.one(m)
		if err != nil {
			err.Strip = i + 1
			return Result{}, err
		}
		r.Each = append(r.Each, k)
		r.K += k / float64(len(readings))
		lo, hi = min(lo, k), max(hi, k)
	}
	if len(readings) == 0 {
		return Result{}, &ReadingError{Why: measure.Plain("nothing was measured")}
	}
	r.Spread, r.Band = hi-lo, c.Band(len(readings), division)
	r.Suspect = bend.Suspect(r.K)
	return r, nil
}

// one is K of one strip.
func (c Strip) one(m Reading) (float64, *ReadingError) {
	least := c.Radius + c.Thickness
	for _, leg := range [2]float64{m.LegA, m.LegB} {
		if !(leg > least) {
			return 0, &ReadingError{
				Why:    measure.Say("a leg of %.5g is not longer than the bend itself, radius and sheet: %.5g", measure.Length(leg), measure.Length(least)),
				Likely: measure.Plain("a leg is measured outside, from the strip's end to where the outsides of both legs would meet"),
			}
		}
	}
	k, err := c.k(m)
	if err != nil {
		return 0, &ReadingError{Why: measure.Of(err)}
	}
	if k >= leastK && k <= mostK {
		return k, nil
	}
	return 0, &ReadingError{
		Why:    measure.Say("legs of %.5g and %.5g from a strip of %.5g would mean K = %.2f, which can't be: it lies from 0 to %.1f", measure.Length(m.LegA), measure.Length(m.LegB), measure.Length(m.Flat), k, mostK),
		Likely: c.misread(m, k),
	}
}

func (c Strip) k(m Reading) (float64, error) {
	k, _, err := bend.TestBend{Thickness: c.Thickness, Radius: c.Radius, Angle: c.Angle, Flat: m.Flat, LegA: m.LegA, LegB: m.LegB}.K()
	return k, err
}

// misread looks for the one mistake that makes readings possible.
func (c Strip) misread(m Reading, k float64) measure.Text {
	t := c.Thickness
	fits := func(m Reading) bool {
		k, err := c.k(m)
		return err == nil && !bend.Suspect(k)
	}
	for _, h := range []struct {
		m    Reading
		text measure.Text
	}{
		{Reading{m.Flat, m.LegB, m.LegA}, measure.Plain("the strip's length before bending comes last: leg, leg, flat")},
		{Reading{m.LegA, m.Flat, m.LegB}, measure.Plain("the strip's length before bending comes last: leg, leg, flat")},
		{Reading{m.LegA + t, m.LegB + t, m.Flat}, measure.Say("both legs look as if measured on the inside: outside they are longer by the sheet, %.4g each", measure.Length(t))},
		{Reading{m.LegA + t, m.LegB, m.Flat}, measure.Say("one leg looks as if measured on the inside: outside it is longer by the sheet, %.4g", measure.Length(t))},
		{Reading{m.LegA - t, m.LegB, m.Flat}, measure.Say("one leg looks too long by the sheet's thickness, %.4g: lay the strip against a block and measure to the block", measure.Length(t))},
		{Reading{m.LegA, m.LegB, m.Flat + 10}, measure.Say("a reading is off by %.3g: read all three once more", measure.Length(10))},
		{Reading{m.LegA, m.LegB, m.Flat - 10}, measure.Say("a reading is off by %.3g: read all three once more", measure.Length(10))},
		{Reading{m.LegA * measure.InchMM, m.LegB * measure.InchMM, m.Flat * measure.InchMM}, measure.Plain("these look like inches: write 2in, or --unit in")},
	} {
		if fits(h.m) {
			return h.text
		}
	}
	if k > mostK {
		return measure.Plain("the legs read too short, or the strip too long; or the radius is smaller than stated: measure it with a gauge")
	}
	return measure.Plain("the legs read too long, or the strip too short; or the radius is larger than stated: measure it with a gauge")
}

// Told says a result.
func (c Strip) Told(r Result, division float64) []measure.Text {
	b := c.bend(r.K)
	out := []measure.Text{
		measure.Say("K = %.3f ± %s in 95 of 100 cases, as far as readings to %.3g go, from %s of %s %.4g, radius %.4g, %.4g°", r.K, short(r.Band), measure.Length(division),
			measure.Counted(len(r.Each), "strip"), c.Material, measure.Length(c.Thickness), measure.Length(c.Radius), c.Angle/bend.Degree),
		measure.Say("allowance %.3f, deduction %.3f", measure.Length(b.Allowance()), measure.Length(b.Deduction())),
	}
	if len(r.Each) > 1 {
		text := measure.Say("the strips differ by %.3f from the least to the most", r.Spread)
		if r.Spread > float64(2*r.Band)*math.Sqrt(float64(len(r.Each))) {
			text = measure.Say("%v: more than readings explain; bend and measure another", text)
		}
		out = append(out, text)
	} else {
		out = append(out, measure.Plain("one strip is one opinion: three give a mean and show a slip"))
	}
	if r.Suspect {
		out = append(out, measure.Say("bent sheet shows K from %.2f to %.2f: measure again before you trust this", bend.SuspectBelow, bend.SuspectAbove))
	}
	return out
}

// Measured is the result as the shop file keeps it.
func (c Strip) Measured(r Result) shop.Measured {
	return shop.Measured{Material: c.Material, Thickness: c.Thickness, Radius: c.Radius, Angle: c.Angle, K: r.K}
}

// Note is a line on a result, for whoever reads the shop file.
func (c Strip) Note(r Result) string {
	if len(r.Each) == 1 {
		return fmt.Sprintf("Test bend of 1 strip, K ± %s.", short(r.Band))
	}
	return fmt.Sprintf("Test bend of %d strips, K ± %s, spread %.3f.", len(r.Each), short(r.Band), r.Spread)
}
