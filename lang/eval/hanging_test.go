package eval_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/lang/build"
)

const hanging = `design "Hanging" in millimetres
stock steel = sheet(mild_steel, 1mm, radius: 2mm)
param few: count = 2
body core = box(200mm, 120mm, 80mm)
body lean = frustum(top: 100mm, bottom: 200mm, height: 120mm)
panel pan() {
  face base on level(0mm) { outline rect(160mm, 120mm) }
%s
}
part one of steel = pan() loose
`

// standing is where the faces of the first part stand, and its folds and seams, a line each.
func standing(r *build.Result) string {
	var out []string
	p := r.Flats[0].Panel
	for _, f := range p.Faces[1:] {
		out = append(out, fmt.Sprintf("%s at %s x %s y %s %s mm²", f.Name, space(f.Frame.O), space(f.Frame.X), space(f.Frame.Y), places(1, f.Outline.Area())))
	}
	for _, f := range p.Folds {
		out = append(out, fmt.Sprintf("fold %s %s° r %s k %s down %v relief %d %s", f.Name, places(2, f.Angle*180/math.Pi), places(2, f.Radius), places(3, f.K), f.Down, f.Relief, places(1, f.ReliefSize)))
	}
	for _, s := range p.Seams {
		out = append(out, fmt.Sprintf("seam %s %d gap %s lap %s", s.Name, s.Kind, places(1, s.Gap), places(1, s.Lap)))
	}
	return strings.Join(out, "; ")
}

// TestHanging: where faces stand, and by what folds and seams, for every way to say so.
func TestHanging(t *testing.T) {
	const sides = "  face lip[e in [base.left, base.right]] off e up 90deg { outline strip(30mm) }\n"
	for _, c := range []struct{ faces, want string }{
		{sides, "lip.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; lip.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; fold base/lip.left 90° r 2 k 0.4 down false relief 0 0; fold base/lip.right 90° r 2 k 0.4 down false relief 0 0"},
		{sides + "  face tip[e in [base.left, base.right]] off lip[e].outer up 90deg { outline strip(12mm) }\n  fold lip to tip by bend(radius: 4mm, k: 0.33)", "lip.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; lip.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; tip.left at (-80 0 30) x (0 1 0) y (1 0 0) 1440 mm²; tip.right at (80 0 30) x (0 -1 0) y (-1 0 0) 1440 mm²; fold base/lip.left 90° r 2 k 0.4 down false relief 0 0; fold base/lip.right 90° r 2 k 0.4 down false relief 0 0; fold lip.left/tip.left 90° r 4 k 0.33 down false relief 0 0; fold lip.right/tip.right 90° r 4 k 0.33 down false relief 0 0"},
		{sides + "  face tip[e in [base.right]] off lip[e].outer down 30deg { outline strip(12mm) }\n  fold lip to tip by bend(relief: square, relief_size: 3mm)", "lip.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; lip.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; tip.right at (80 0 30) x (0 -1 0) y (0.5 0 0.866) 1440 mm²; fold base/lip.left 90° r 2 k 0.4 down false relief 0 0; fold base/lip.right 90° r 2 k 0.4 down false relief 0 0; fold lip.right/tip.right 30° r 2 k 0.4 down true relief 2 3"},
		{"  face lip off base.top down 90deg { outline strip(30mm) }", "lip at (0 60 0) x (1 0 0) y (0 0 -1) 4800 mm²; fold base/lip 90° r 2 k 0.4 down true relief 0 0"},
		{"  face lip off base.top up 180deg { outline strip(30mm) }", "lip at (0 60 0) x (1 0 0) y (0 -1 0) 4800 mm²; fold base/lip 180° r 0 k 0.5 down false relief 0 0"},
		{"  face lip off base.top up 180deg { outline strip(30mm) }\n  fold base to lip by bend(radius: 1.5mm)", "lip at (0 60 3) x (1 0 0) y (0 -1 0) 4800 mm²; fold base/lip 180° r 1.5 k 0.369 down false relief 0 0"},
		{"  face lip off base.top up 135deg { outline strip(30mm, ends: 10mm) }", "lip at (0 60 0) x (1 0 0) y (0 -0.707 0.707) 4200 mm²; fold base/lip 135° r 2 k 0.4 down false relief 0 0"},
		{"  face lip off base.top up 90deg if few > 2 { outline strip(30mm) }", ""},
		{"  face lip off base.top up 90deg if few > 1 { outline strip(30mm) }", "lip at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; fold base/lip 90° r 2 k 0.4 down false relief 0 0"},
		{"  face wall off base on core.front { outline strip(30mm) }", "wall at (0 -60 0) x (-1 0 0) y (0 0 -1) 4800 mm²; fold base/wall 0° r 2 k 0.4 down false relief 0 0"},
		{"  face wall off base on upright(y: 60mm) { outline strip(30mm) }", "wall at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; fold base/wall 0° r 2 k 0.4 down false relief 0 0"},
		{"  face wall off base on upright(y: -60mm) { outline strip(30mm) }", "wall at (0 -60 0) x (-1 0 0) y (0 0 -1) 4800 mm²; fold base/wall 0° r 2 k 0.4 down false relief 0 0"},
		{"  face wall off base on upright(y: 50mm) { outline strip(30mm) }", "P4010 [base] no edge of base lies where its plane meets this one / the nearest is off by 10 mm"},
		{"  face wall off base on lean.front { outline strip(30mm) }", "P4010 [base] no edge of base lies where its plane meets this one / the nearest is off by 40 mm"},
		{"  face wall[s in core.sides] off base on s { outline strip(30mm) }", "P4010 [base] no edge of base lies where its plane meets this one / the nearest is off by 20 mm"},
		{"  face wall[e in base.edges] off e up 90deg { outline strip(30mm) }\n  seam wall by open(1mm)", "wall.bottom at (0 -60 0) x (-1 0 0) y (0 0 1) 4800 mm²; wall.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; wall.top at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; wall.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; fold base/wall.bottom 90° r 2 k 0.4 down false relief 0 0; fold base/wall.right 90° r 2 k 0.4 down false relief 0 0; fold base/wall.top 90° r 2 k 0.4 down false relief 0 0; fold base/wall.left 90° r 2 k 0.4 down false relief 0 0; seam wall.bottom/wall.right 0 gap 1 lap 0; seam wall.left/wall.bottom 0 gap 1 lap 0; seam wall.right/wall.top 0 gap 1 lap 0; seam wall.top/wall.left 0 gap 1 lap 0"},
		{"  face wall[e in base.edges] off e up 90deg { outline strip(30mm) }\n  seam wall by closed()", "wall.bottom at (0 -60 0) x (-1 0 0) y (0 0 1) 4800 mm²; wall.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; wall.top at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; wall.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; fold base/wall.bottom 90° r 2 k 0.4 down false relief 0 0; fold base/wall.right 90° r 2 k 0.4 down false relief 0 0; fold base/wall.top 90° r 2 k 0.4 down false relief 0 0; fold base/wall.left 90° r 2 k 0.4 down false relief 0 0; seam wall.bottom/wall.right 1 gap 0 lap 0; seam wall.left/wall.bottom 1 gap 0 lap 0; seam wall.right/wall.top 1 gap 0 lap 0; seam wall.top/wall.left 1 gap 0 lap 0"},
		{"  face wall[e in [base.top, base.right, base.bottom]] off e up 90deg { outline strip(30mm) }\n  seam wall by open(0.5mm)", "wall.top at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; wall.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; wall.bottom at (0 -60 0) x (-1 0 0) y (0 0 1) 4800 mm²; fold base/wall.top 90° r 2 k 0.4 down false relief 0 0; fold base/wall.right 90° r 2 k 0.4 down false relief 0 0; fold base/wall.bottom 90° r 2 k 0.4 down false relief 0 0; seam wall.top/wall.right 0 gap 0.5 lap 0; seam wall.right/wall.bottom 0 gap 0.5 lap 0"},
		{"  face wall[e in base.edges] off e up 90deg { outline strip(30mm) }\n  seam wall[base.top] to wall[base.right] by lapped(10mm)", "wall.bottom at (0 -60 0) x (-1 0 0) y (0 0 1) 4800 mm²; wall.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; wall.top at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; wall.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; wall.top.lap.wall.right at (81 60 15) x (0 0 -1) y (0 -1 0) 231.4 mm²; fold base/wall.bottom 90° r 2 k 0.4 down false relief 0 0; fold base/wall.right 90° r 2 k 0.4 down false relief 0 0; fold base/wall.top 90° r 2 k 0.4 down false relief 0 0; fold base/wall.left 90° r 2 k 0.4 down false relief 0 0; fold wall.top/wall.right 0° r 2 k 0.4 down false relief 0 0; seam wall.top/wall.right 2 gap 0 lap 10"},
		{"  face wall[e in base.edges] off e up 90deg { outline strip(30mm) }\n  seam wall by open(1mm) if few > 2", "wall.bottom at (0 -60 0) x (-1 0 0) y (0 0 1) 4800 mm²; wall.right at (80 0 0) x (0 -1 0) y (0 0 1) 3600 mm²; wall.top at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; wall.left at (-80 0 0) x (0 1 0) y (0 0 1) 3600 mm²; fold base/wall.bottom 90° r 2 k 0.4 down false relief 0 0; fold base/wall.right 90° r 2 k 0.4 down false relief 0 0; fold base/wall.top 90° r 2 k 0.4 down false relief 0 0; fold base/wall.left 90° r 2 k 0.4 down false relief 0 0"},
		{sides + "  seam lip by open(1mm)", "P4011 [seam lip by open(1mm)] no two of these faces are neighbours that a seam could join / neighbours hang on edges that meet in a corner, or lie on neighbouring sides of a body, with no fold between them"},
		{"  face lip off base.top up 90deg { outline strip(30mm) }\n  fold base to lip by bend(radius: 0.2mm)", "lip at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; fold base/lip 90° r 0.2 k 0.15 down false relief 0 0\nP6001 [0.2mm] inside radius 0.2 mm is 0.20 of the thickness 1 mm; below 0.4 no table holds: measure a test bend, or bend to at least 0.4 mm / rule: radius to thickness: at least 0.4 for a computed neutral axis (from memory) => write 1mm"},
		{"  face lip off base.top up 90deg { outline strip(30mm) }\n  face tab off lip.outer down 45deg { outline strip(20mm, ends: 15mm) }", "lip at (0 60 0) x (1 0 0) y (0 0 1) 4800 mm²; tab at (0 60 30) x (1 0 0) y (0 0.707 0.707) 2600 mm²; fold base/lip 90° r 2 k 0.4 down false relief 0 0; fold lip/tab 45° r 2 k 0.4 down true relief 0 0"},
	} {
		text := fmt.Sprintf(hanging, c.faces)
		r, diags := made(t, text)
		got := everythingTold(diags)
		if r != nil && len(r.Flats) > 0 {
			got = strings.Trim(standing(r)+"\n"+got, "\n")
		}
		if got != c.want {
			t.Errorf("%s:\n got  %q\n want %q", c.faces, got, c.want)
		}
	}
}
