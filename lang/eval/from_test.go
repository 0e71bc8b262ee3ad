package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestWhereFacesAreMeasuredFrom: where the corners (10, 0), (40, 0) and (40, 20) of an outline
// come to stand in space, for every place that a face may be measured from. The box is
// 200 × 120 × 80, its front at y = −60 and its first corner front and right; the sides of the
// frustum lean in by 50 on 120.
func TestWhereFacesAreMeasuredFrom(t *testing.T) {
	for _, c := range []struct{ on, want string }{
		{"level(20mm)", "(10 0 20) (40 0 20) (40 20 20) faces (0 0 1)"},
		{"level(20mm) at (5mm, 7mm)", "(15 7 20) (45 7 20) (45 27 20) faces (0 0 1)"},
		{"upright(15mm)", "(10 15 0) (40 15 0) (40 15 20) faces (0 -1 0)"},
		{"upright(x: 15mm)", "(15 10 0) (15 40 0) (15 40 20) faces (1 0 0)"},
		{"core.front", "(10 -60 0) (40 -60 0) (40 -60 20) faces (0 -1 0)"},
		{"core.right", "(100 10 0) (100 40 0) (100 40 20) faces (1 0 0)"},
		{"core.back.back", "(10 60 0) (40 60 0) (40 60 20) faces (0 -1 0)"},
		{"core.top", "(10 0 80) (40 0 80) (40 20 80) faces (0 0 1)"},
		{"core.bottom", "(-10 0 0) (-40 0 0) (-40 20 0) faces (0 0 -1)"},
		{"core.front from core.corners[1]", "(90 -60 0) (60 -60 20) (60 -60 0) faces (0 -1 0)"},
		{"core.front from core.corners[4]", "(-90 -60 0) (-60 -60 0) (-60 -60 20) faces (0 -1 0)"},
		{"core.right from core.corners[1]", "(100 -50 0) (100 -20 0) (100 -20 20) faces (1 0 0)"},
		{"core.left from core.corners[3]", "(-100 50 0) (-100 20 0) (-100 20 20) faces (-1 0 0)"},
		{"core.top from core.corners[1]", "(90 -60 80) (60 -40 80) (60 -60 80) faces (0 0 1)"},
		{"core.bottom from core.corners[3]", "(-90 60 0) (-60 60 0) (-60 40 0) faces (0 0 -1)"},
		{"level(20mm) from core.corners[2]", "(100 50 20) (80 20 20) (100 20 20) faces (0 0 1)"},
		{"lean.front", "(10 -100 0) (40 -100 0) (40 -92.308 18.462) faces (0 -0.923 0.385)"},
		{"lean.front from lean.corners[1]", "(90 -100 0) (52.308 -92.308 18.462) (60 -100 0) faces (0 -0.923 0.385)"},
		{"lean.front from lean.corners[4]", "(-90 -100 0) (-60 -100 0) (-52.308 -92.308 18.462) faces (0 -0.923 0.385)"},
		{"level(60mm) from lean.corners[1]", "(65 -75 60) (35 -55 60) (35 -75 60) faces (0 0 1)"},
		{"core.front from core.corners[2]", "P4008 this plane neither holds nor crosses the corner's edge"},
		{"level(20mm) from base.web.top", "(-10 30 20) (-40 30 20) (-40 10 20) faces (0 0 1)"},
		{"level(20mm) from base.web.left", "(-50 -10 20) (-50 -40 20) (-30 -40 20) faces (0 0 1)"},
		{"base.web.over from base.web.right", "(50 10 0) (30 40 0) (50 40 0) faces (0 0 -1)"},
		{"upright(60mm) from base.web.top", "(-10 60 0) (-40 60 20) (-40 60 0) faces (0 -1 0)"},
		{"upright(x: 15mm) from base.web.top", "P4008 this edge does not run along the plane: nothing can be measured from it"},
		{"lean.front.under(tin)", "(10 -98.917 0) (40 -98.917 0) (40 -91.224 18.462) faces (0 -0.923 0.385)"},
	} {
		r, diags := made(t, fmt.Sprintf(`design "From" in millimetres
stock tin = sheet(mild_steel, 1mm)
body core = box(200mm, 120mm, 80mm)
body lean = frustum(top: 100mm, bottom: 200mm, height: 120mm)
panel plate() { face web on level(0mm) { outline rect(100mm, 60mm) } }
panel try() { face web on %s { outline [(10mm, 0mm), (40mm, 0mm), (40mm, 20mm)] } }
part base of tin = plate() loose
part one of tin = try() loose
`, c.on))
		var got []string
		for _, d := range diags {
			if d.Severity == diag.Error {
				got = append(got, d.Code+" "+d.Summary)
			}
		}
		if r != nil && len(r.Flats) == 2 {
			f := r.Flats[1].Panel.Faces[0]
			for _, v := range f.Outline[0] {
				got = append(got, space(f.Frame.At(v.P)))
			}
			got = append(got, "faces "+space(f.Frame.Normal()))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s:\n got  %q\n want %q", c.on, s, c.want)
		}
	}
}
