package dxf_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
)

const mmPerInch = 25.4

// referee measures a drawing with an independent DXF library and audits it.
const referee = `
import json, math, sys
import ezdxf
from ezdxf.lldxf.encoding import decode_dxf_unicode
out = []
for name in sys.argv[1:]:
    doc = ezdxf.readfile(name)
    audit = doc.audit()
    area = length = 0.0
    holes = 0
    layers = {}
    for e in doc.modelspace():
        layers[e.dxf.layer] = layers.get(e.dxf.layer, 0) + 1
        if e.dxf.layer not in ("OUTSIDE", "INSIDE"):
            continue
        if e.dxftype() == "CIRCLE":
            a, l = math.pi * e.dxf.radius ** 2, 2 * math.pi * e.dxf.radius
        else:
            a = l = 0.0
            pts = e.get_points("xyb")
            for (x, y, b), (u, v, _) in zip(pts, pts[1:] + pts[:1]):
                a += (x * v - u * y) / 2
                if b:
                    c, r0, r1, r = ezdxf.math.bulge_to_arc((x, y), (u, v), b)
                    swept = 4 * math.atan(abs(b))
                    l += r * swept
                    a += math.copysign(r * r * (swept - math.sin(swept)) / 2, b)
                else:
                    l += math.hypot(u - x, v - y)
            a = abs(a)
            assert e.closed
        length += l
        if e.dxf.layer == "INSIDE":
            holes += 1
            area -= a
        else:
            area += a
    style = {l: [doc.layers.get(l).dxf.linetype, sum(t.value for t in doc.linetypes.get(doc.layers.get(l).dxf.linetype).pattern_tags.tags if t.code == 40)]
             for l in ("FOLD_UP", "FOLD_DOWN", "OUTSIDE")}
    fonts = sorted({doc.styles.get(e.dxf.style).dxf.font for e in doc.modelspace().query("TEXT")})
    texts = [decode_dxf_unicode(e.dxf.text) for e in doc.modelspace().query("TEXT")]
    out.append(dict(errors=[x.message for x in audit.errors], fixes=[x.message for x in audit.fixes], units=doc.units,
                    measurement=doc.header["$MEASUREMENT"], area=area, length=length, holes=holes, texts=texts, fonts=fonts, lines=style))
print(json.dumps(out))
`

func TestIndependentReaderAgrees(t *testing.T) {
	const python = "/usr/bin/python3"
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, python3-ezdxf: PERCH_REFEREES=require asks for it")
	}
	if out, err := exec.Command(python, "-c", "import ezdxf").CombinedOutput(); err != nil {
		t.Fatalf("the referee is missing: %v\n%s", err, out)
	}
	dir := t.TempDir()
	real, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, unit := range []measure.System{measure.Millimetres, measure.Inches} {
		name := filepath.Join(dir, []string{"mm.dxf", "in.dxf"}[unit])
		file := write(t, bracket.Assembly().Blanks[0], dxf.Options{Unit: unit, Design: "groß", Size: "mid"})
		if err := os.WriteFile(name, file, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	for _, b := range real.Blanks {
		name := filepath.Join(dir, b.Name+".dxf")
		if err := os.WriteFile(name, write(t, b, dxf.Options{Design: "groß", Size: "mid"}), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	out, err := exec.Command(python, append([]string{"-c", referee}, files...)...).Output()
	if err != nil {
		t.Fatalf("the referee: %v", err)
	}
	var found []struct {
		Errors, Fixes      []string
		Units, Measurement int
		Area, Length       float64
		Holes              int
		Texts, Fonts       []string
		Lines              map[string][2]any // by layer: its line type, and how long that is before it repeats
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("the referee: %v in %s", err, out)
	}
	for i, f := range found {
		scale, units, measurement := 1.0, 4, 1
		if i == 1 {
			scale, units, measurement = mmPerInch, 1, 0
		}
		area, length, holes := bracket.Area, bracket.CutLength, 4
		if i > 1 {
			flat := real.Blanks[i-2].Flat
			area, length, holes = flat.Area(), flat.CutLength(), flat.Holes()
			for _, p := range flat.Points { // which the flat's area is before
				area -= math.Pi * p.Diameter * p.Diameter / 4
			}
		}
		if len(f.Errors)+len(f.Fixes) != 0 {
			t.Errorf("%s: errors %q, repairs %q", files[i], f.Errors, f.Fixes)
		}
		if math.Abs(f.Area*scale*scale/area-1) > 1e-6 || math.Abs(f.Length*scale/length-1) > 1e-6 || f.Holes != holes {
			t.Errorf("%s: area %v, length %v, %d holes; want %v, %v, %d", files[i], f.Area*scale*scale, f.Length*scale, f.Holes, area, length, holes)
		}
		if f.Units != units || f.Measurement != measurement {
			t.Errorf("%s: units %d, measurement %d", files[i], f.Units, f.Measurement)
		}
		if len(f.Fonts) != 1 || f.Fonts[0] != dxf.Font {
			t.Errorf("%s: fonts %q", files[i], f.Fonts)
		}
		if f.Lines["FOLD_UP"] != [2]any{dxf.LineFoldUp, 24.0} || f.Lines["FOLD_DOWN"] != [2]any{dxf.LineFoldDown, 10.0} || f.Lines["OUTSIDE"] != [2]any{"Continuous", 0.0} {
			t.Errorf("%s: line types %v", files[i], f.Lines)
		}
		found := false
		for _, s := range f.Texts {
			found = found || s == "groß, mid"
		}
		if !found {
			t.Errorf("%s: texts %q lack the design's name", files[i], f.Texts)
		}
	}
}
