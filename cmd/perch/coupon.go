package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/quantity"
	"perch/parts/bend"
	"perch/parts/coupon"
	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/output"
	"perch/parts/shop"
)

type couponCmd struct {
	Thickness string   `required:"" help:"Of the sheet: 1.5mm, 1/16in, or 16ga by the material's gauges." placeholder:"LENGTH"`
	Radius    string   `help:"Inside radius of the bend. Default: the thickness." placeholder:"LENGTH"`
	Angle     string   `default:"90deg" help:"How far the strip is bent." placeholder:"ANGLE"`
	Material  string   `default:"mild_steel" help:"A material of the shop file." placeholder:"NAME"`
	Measured  []string `help:"A strip's legs after bending and its length before: --measured 51.2,51.1,100. Repeat it for every strip." placeholder:"LEG,LEG,FLAT" sep:"none"`
	Ruler     string   `help:"The division that they were read to: 0.1mm, 1/64in. Default: the shop file's ruler, or 0.5 mm." placeholder:"LENGTH"`
	Shop      string   `help:"Your shop file, to which the test bend is added; it may be a new one." placeholder:"FILE"`
	Unit      string   `enum:"mm,in" default:"mm" help:"Units to read and write in: mm or in."`
	Out       string   `short:"o" default:"out" help:"The folder to write the strip's drawing below: FOLDER/coupon." placeholder:"FOLDER"`
	taking
}

func (c *couponCmd) Run(s *session) error {
	text, facts, err := c.shop()
	if err != nil {
		return err
	}
	in, _ := measure.Named(c.Unit)
	strip, err := c.strip(facts, in)
	if err != nil {
		return s.tell([]diag.Diagnostic{badCoupon(in, err, measure.Text{})}, false)
	}
	if len(c.Measured) > 0 {
		return c.measured(s, text, facts, strip, in)
	}
	return c.write(s, facts, strip, in)
}

// shop reads the shop file, and its text; one that is not there yet is empty.
func (c *couponCmd) shop() (string, *shop.Shop, error) {
	if c.Shop == "" {
		return "", shop.Default(), nil
	}
	text, err := load.Plain(c.Shop)
	if errors.Is(err, fs.ErrNotExist) && len(c.Measured) > 0 {
		if _, err := os.Lstat(c.Shop); errors.Is(err, fs.ErrNotExist) {
			return "", shop.Default(), nil
		}
	}
	if err != nil {
		return "", nil, fmt.Errorf("cannot read the shop file %s: %w", c.Shop, err)
	}
	facts, err := shop.Load(text)
	if err != nil {
		return "", nil, fmt.Errorf("the shop file %s: %w", c.Shop, err)
	}
	return text, facts, nil
}

// strip is the test strip that the flags tell.
func (c *couponCmd) strip(facts *shop.Shop, in measure.System) (coupon.Strip, error) {
	strip := coupon.Strip{Material: c.Material, In: in}
	if _, ok := facts.Material(c.Material); !ok {
		var names []string
		for _, m := range facts.Materials {
			names = append(names, m.Name)
		}
		return strip, fmt.Errorf("the shop has no material %s; %sthere are %s", c.Material, meant(c.Material, names), strings.Join(names, ", "))
	}
	var err error
	if gauge, ok := strings.CutSuffix(c.Thickness, "ga"); ok {
		n, bad := strconv.Atoi(gauge)
		if bad != nil {
			return strip, fmt.Errorf("--thickness: %q is no gauge: write 16ga", c.Thickness)
		}
		strip.Thickness, err = facts.GaugeThickness(c.Material, n)
	} else {
		strip.Thickness, err = couponLength("--thickness", c.Thickness, in)
	}
	if err != nil {
		return strip, err
	}
	strip.Radius = strip.Thickness
	if c.Radius != "" {
		if strip.Radius, err = couponLength("--radius", c.Radius, in); err != nil {
			return strip, err
		}
	}
	angle, err := quantity.ParseLiteral(c.Angle)
	if n, bad := strconv.ParseFloat(c.Angle, 64); bad == nil {
		angle, err = quantity.Literal{Value: n * bend.Degree, Dim: quantity.Angle}, nil
	}
	if err != nil || angle.Dim != quantity.Angle {
		return strip, fmt.Errorf("--angle: %q is no angle: write 90deg", c.Angle)
	}
	strip.Angle = angle.Value
	return strip, strip.Err()
}

// couponLength reads a length of a flag; one without a unit is in the system's.
func couponLength(flag, text string, in measure.System) (float64, error) {
	text = strings.TrimSpace(text)
	if n, err := strconv.ParseFloat(text, 64); err == nil {
		text = strconv.FormatFloat(n, 'f', -1, 64) + in.Unit()
	}
	lit, err := quantity.ParseLiteral(text)
	if err != nil || lit.Dim != quantity.Length {
		return 0, fmt.Errorf("%s: %q is no length: write 1.5mm, or 1/16in", flag, text)
	}
	return lit.Value, nil
}

// badCoupon is the mistake of a strip that can't be, or of readings that can't be of it.
func badCoupon(in measure.System, err error, likely measure.Text) diag.Diagnostic {
	d := diag.Diagnostic{Code: "P7020", Severity: diag.Error, Summary: measure.Of(err).In(in)}
	if !likely.Empty() {
		d.Notes = append(d.Notes, "likely: "+likely.In(in))
	}
	return d
}

// write puts the strip's drawing and what to do with it into a folder of its own.
func (c *couponCmd) write(s *session, facts *shop.Shop, strip coupon.Strip, in measure.System) error {
	blank, err := strip.Blank(facts)
	if err != nil {
		return s.tell([]diag.Diagnostic{badCoupon(in, err, measure.Text{})}, false)
	}
	name := strip.Name()
	units := facts.Cutter.Drawings
	if c.Unit == "in" {
		units = in
	}
	var drawing bytes.Buffer
	if err := dxf.Write(&drawing, blank, dxf.Options{Unit: units, Reader: in, Design: "Test strip", Size: name}); err != nil {
		return err
	}
	doc, err := strip.Pages(facts, in)
	if err != nil {
		return err
	}
	var pages bytes.Buffer
	if err := doc.PDF(&pages); err != nil {
		return err
	}
	var lines strings.Builder
	for _, l := range strip.Instructions(in) {
		fmt.Fprintln(&lines, l.In(in))
	}
	stage, err := output.NewStage(filepath.Join(c.Out, "coupon"), output.Options{Replace: c.Replace})
	if err != nil {
		return err
	}
	defer stage.Discard()
	if err := stage.Put(name, map[string][]byte{"coupon.dxf": drawing.Bytes(), "coupon.txt": []byte(lines.String()), "coupon.pdf": pages.Bytes()}); err != nil {
		return err
	}
	_, diags, err := family.Placed(stage, "strip")
	if err != nil {
		return err
	}
	if err := s.tell(diags, false); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "wrote coupon.dxf, coupon.pdf and coupon.txt into %s\n\n%s", filepath.ToSlash(filepath.Join(c.Out, "coupon", name)), lines.String())
	return nil
}

// measured tells K of the strips and adds the test bend to the shop file.
func (c *couponCmd) measured(s *session, text string, facts *shop.Shop, strip coupon.Strip, in measure.System) error {
	division := 0.5
	if facts.Ruler.Division > 0 {
		division = facts.Ruler.Division * facts.Ruler.System.Scale()
	}
	if c.Ruler != "" {
		r, err := measure.ParseRuler(c.Ruler)
		if err != nil {
			return fmt.Errorf("--ruler: %w", err)
		}
		division = r.Division * r.System.Scale()
	}
	var readings []coupon.Reading
	for _, m := range c.Measured {
		parts := strings.Split(m, ",")
		var mm [3]float64
		if len(parts) != 3 {
			return fmt.Errorf("--measured: %q is not a strip's two legs and its length before bending: write 51.2,51.1,100", m)
		}
		for i, p := range parts {
			var err error
			if mm[i], err = couponLength("--measured", p, in); err != nil {
				return err
			}
		}
		readings = append(readings, coupon.Reading{LegA: mm[0], LegB: mm[1], Flat: mm[2]})
	}
	r, err := strip.Measure(readings, division)
	if err != nil {
		var likely measure.Text
		var bad *coupon.ReadingError
		if errors.As(err, &bad) {
			likely = bad.Likely
		}
		return s.tell([]diag.Diagnostic{badCoupon(in, err, likely)}, false)
	}
	for _, l := range strip.Told(r, division) {
		fmt.Fprintln(s.out, l.In(in))
	}
	if c.Shop == "" {
		fmt.Fprintln(s.out, "name your shop file with --shop, and it is added there")
		return nil
	}
	out, line, err := shop.AddMeasured(text, strip.Measured(r), strip.Note(r))
	if err != nil {
		return fmt.Errorf("the shop file %s: %w", c.Shop, err)
	}
	if err := putFile(c.Shop, out); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "added to %s at line %d: it decides from now on for bends of that sheet and radius\n", c.Shop, line)
	if old, ok := facts.MeasuredFor(strip.Material, strip.Thickness, strip.Radius, strip.Angle); ok {
		fmt.Fprintf(s.out, "the one that decided before, K %.3f, stands behind it and decides no more\n", old.K)
	}
	return nil
}
