package live_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"perch/lang/display"
	"perch/parts/plane"
	"perch/parts/solid"
)

// The page opens with nothing on its console, and asks for nothing.
func TestOpensAlone(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	if n := js[int](p, "perch.current().copies.length"); n != 17 {
		t.Errorf("%d copies", n)
	}
	// Nor can it: what it would ask for is refused before it leaves.
	if got := js[string](p, "fetch('http://127.0.0.1:9/').then(() => 'sent', e => 'refused')"); got != "refused" {
		t.Error(got)
	}
	p.mu.Lock()
	p.said, p.asked = nil, nil // of the attempt
	p.mu.Unlock()
	p.do(chromedp.Evaluate(`document.querySelector("[data-look=above]").click(); document.getElementById("measure").click()`, nil))
	p.quiet()
}

// What is picked at the projected place of a part's metal is that part, wherever nothing else is
// nearer: places are taken from the scene, which shares no code with the page.
func TestPicks(t *testing.T) {
	address, scenes := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	s := scenes[0]
	type spot struct {
		Copy   int
		Region int
		P      [3]float64
	}
	var spots []spot
	for i, c := range s.Copies {
		shape := s.Shapes[c.Shape]
		posture := shape.Posture(shape.Bent(1))
		for k, tri := range shape.Triangles {
			if k%9 != 0 {
				continue
			}
			a, b, d := shape.Nodes[tri.Nodes[0]].P, shape.Nodes[tri.Nodes[1]].P, shape.Nodes[tri.Nodes[2]].P
			middle := plane.Point{X: (a.X + b.X + d.X) / 3, Y: (a.Y + b.Y + d.Y) / 3}
			for _, depth := range []float64{0, shape.Thickness} {
				at, _ := posture.At(tri.Region, middle, depth)
				w := c.Matrix.Apply(at)
				spots = append(spots, spot{i, tri.Region, [3]float64{w.X, w.Y, w.Z}})
			}
		}
	}
	text, err := json.Marshal(spots)
	if err != nil {
		t.Fatal(err)
	}
	got := js[[][5]float64](p, `(() => { const out = []; const el = document.getElementById("space"), w = el.clientWidth, h = el.clientHeight;
		for (const yaw of [.4, 2, 3.6, 5.2]) { perch.camera.yaw = yaw;
			for (const s of `+string(text)+`) { const q = perch.camera.onScreen(s.P, w, h), r = perch.pick(q[0], q[1]); if (!r) { out.push([s.Copy, s.Region, -1, 0, 9]); continue; }
				const off = Math.hypot(...[0, 1, 2].map(k => r.at[k] - s.P[k])), n = perch.shapeOf(perch.current(), r.copy).faces.length;
				out.push([s.Copy, s.Region, r.copy, r.kind == "fold" ? n + r.of : r.kind == "face" ? r.of : -2, off]); } }
		return out; })()`)
	right := 0
	for _, g := range got {
		if g[4] > 0.05 {
			continue // something nearer is there
		}
		if g[2] != g[0] {
			// Sheets that lie on each other share places: the one that is outside is meant.
			if g[4] > 1e-6 || !touching(s.Copies[int(g[0])].Name, s.Copies[int(g[2])].Name) {
				t.Errorf("of copy %g copy %g was picked", g[0], g[2])
			}
			continue
		}
		if g[3] >= 0 && g[3] != g[1] {
			t.Errorf("of copy %g, region %g, region %g was picked", g[0], g[1], g[3])
		}
		right++
	}
	if right < 300 {
		t.Errorf("only %d of %d places could be seen", right, len(got))
	}
}

func touching(a, b string) bool { return a != b }

// The slider's ends: flat, the page's own corners are the flat's outline to 0.01 mm; finished, they
// are where the scene's solids have them.
func TestFolds(t *testing.T) {
	address, scenes := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	s := scenes[0]
	slide := func(to int) {
		p.do(chromedp.Evaluate(fmt.Sprintf(`(() => { const e = document.getElementById("bent"); e.value = %d; e.dispatchEvent(new Event("input")); perch.draw(); })()`, to), nil))
	}
	for _, to := range []int{0, 350, 1000} {
		slide(to)
		for i, shape := range s.Shapes {
			got := js[[]float64](p, fmt.Sprintf("(() => { const s = perch.shapes[perch.current().shapes[%d]]; return Array.from(s.pos.slice(0, 6 * s.nodes)); })()", i))
			want := shape.Solid(shape.Bent(float64(to) / 1000)).Points
			if len(got) != 3*len(want) {
				t.Fatalf("%s has %d numbers, not %d", shape.Name, len(got), 3*len(want))
			}
			for k, v := range want {
				if d := v.Sub(solid.Vec{X: got[3*k], Y: got[3*k+1], Z: got[3*k+2]}).Len(); d > 1e-3 {
					t.Fatalf("%s at %d: a corner is %g mm off", shape.Name, to, d)
				}
			}
			if to > 0 {
				continue
			}
			outline := append([][]plane.Point{shape.Outline}, shape.Openings...)
			for _, e := range shape.Border {
				q := plane.Point{X: got[3*e.From], Y: got[3*e.From+1]}
				if d := off(outline, q); d > 0.01 || math.Abs(got[3*e.From+2]) > 1e-9 {
					t.Fatalf("%s: flat, its border is %g mm off the outline", shape.Name, d)
				}
			}
		}
	}
}

func off(loops [][]plane.Point, p plane.Point) float64 {
	least := math.Inf(1)
	for _, l := range loops {
		for i, a := range l {
			d := l[(i+1)%len(l)].Sub(a)
			k := min(1, max(0, p.Sub(a).Dot(d)/max(d.Dot(d), 1e-12)))
			least = min(least, p.Dist(a.Add(d.Scale(k))))
		}
	}
	return least
}

const standing = `design "Shelf over a board" in millimetres

stock steel = sheet(mild_steel, 1.5mm)

panel shelf() "A plate with a shelf." {
  face plate on upright(0mm) { outline rect(200mm, 100mm) }
  face deck off plate.bottom up 90deg { outline strip(60mm) }
}

panel board() "A board below." {
  face base on level(-90mm) { outline rect(120mm, 80mm) }
}

part shelf of steel = shelf()
part board of steel = board()
`

// Laid flat where they stand the shelf and the board pass through each other, which is said and shown.
func TestSaysWhatIsInTheWay(t *testing.T) {
	address, _ := designed(t, standing, display.Options{})
	p := open(t, address, 800, 600)
	p.do(chromedp.Evaluate(`perch.setBent(0)`, nil))
	p.until(`document.getElementById("said").textContent.includes("pass through each other")`)
	if n := js[int](p, "perch.state.crossing.length"); n == 0 {
		t.Error("none is shown")
	}
	p.do(chromedp.Evaluate(`perch.setBent(1)`, nil))
	p.until(`document.getElementById("said").textContent == ""`)
}

// A picture is a picture: it is not empty, and what it was when it was last looked at.
func TestPicture(t *testing.T) {
	const stored = "testdata/stool.png"
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 900, 700)
	var shot []byte
	p.do(chromedp.Screenshot("canvas", &shot, chromedp.ByQuery))
	got, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		t.Fatal(err)
	}
	small := shrunk(got, 6)
	if os.Getenv("PERCH_UPDATE") != "" {
		var b bytes.Buffer
		if err := png.Encode(&b, small); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(stored, b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(stored)
	if err != nil {
		t.Fatal(err)
	}
	want, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if want.Bounds() != small.Bounds() {
		t.Fatalf("the picture is %v, stored %v", small.Bounds(), want.Bounds())
	}
	ground, far, worst := 0, 0, 0.0
	b := want.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			g, w := float64(small.GrayAt(x, y).Y), grey(want, x, y)
			if g > 245 {
				ground++
			}
			if d := math.Abs(g - w); d > 24 {
				far++
				worst = max(worst, d)
			}
		}
	}
	if all := b.Dx() * b.Dy(); ground > all*9/10 || ground < all/10 || far > all/100 {
		t.Errorf("of %d places %d are empty, and %d are not what is stored, by %g at worst", all, ground, far, worst)
	}
}

func grey(m image.Image, x, y int) float64 {
	r, g, b, _ := m.At(x, y).RGBA()
	return float64(r+g+b) / 3 / 257
}

// shrunk is a picture of the means of squares of pixels.
func shrunk(m image.Image, by int) *image.Gray {
	b := m.Bounds()
	out := image.NewGray(image.Rect(0, 0, b.Dx()/by, b.Dy()/by))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			sum := 0.0
			for k := range by * by {
				sum += grey(m, b.Min.X+x*by+k%by, b.Min.Y+y*by+k/by)
			}
			out.Pix[y*out.Stride+x] = uint8(sum/float64(by*by) + 0.5)
		}
	}
	return out
}

// A thousand moves of the slider leave the page's memory as it was.
func TestMemory(t *testing.T) {
	address, _ := designed(t, standing, display.Options{})
	p := open(t, address, 500, 400)
	const moves = `(async n => { for (let i = 0; i < n; i++) { perch.setBent((i * 37 % 1000) / 1000); perch.draw(); } gc(); await new Promise(r => setTimeout(r, 50)); gc(); return performance.memory.usedJSHeapSize; })`
	p.do(chromedp.Evaluate(`document.querySelector(".view").style = "height: 40px; min-height: 0; width: 40px"`, nil)) // what is drawn in software is not what is asked
	before := js[float64](p, moves+"(100)")
	after := js[float64](p, moves+"(1000)")
	t.Logf("%.2f MB, then %.2f MB", before/1e6, after/1e6)
	if after > before+1e6 {
		t.Errorf("after a thousand moves the page has %.2f MB, before %.2f", after/1e6, before/1e6)
	}
}

// Without graphics in space a still picture and the tables remain.
func TestWithoutGraphics(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	ctx, stop, err := start(chromedp.Flag("disable-3d-apis", true))
	defer stop()
	if err != nil {
		t.Fatal(err)
	}
	p := openIn(t, ctx, address, 900, 700)
	if !js[bool](p, `(() => { const i = document.querySelector("#still figure:not([hidden]) img"); return i.complete && i.naturalWidth > 100 && i.getBoundingClientRect().height > 100; })()`) {
		t.Error("there is no still picture")
	}
	if js[bool](p, `!!document.querySelector(".view").offsetParent`) || !js[bool](p, `!!document.querySelector(".values table").offsetParent`) {
		t.Error("the empty picture is shown, or the values are not")
	}
	p.do(chromedp.Evaluate(`document.querySelector("input[value='1']").click()`, nil))
	if got := js[string](p, `document.querySelector("#sheets article:not([hidden])").getAttribute("aria-label")`); got != "Size mid" {
		t.Error(got)
	}
	p.quiet()
}

const shouting = `design "</title><script>document.title='run'</script>" in millimetres revision "<img src=x onerror=alert(1)>"

stock steel = sheet(mild_steel, 1.5mm)

param wide: length in 100mm..300mm = 200mm "</small><script>alert(2)</script>"

size a
size b: wide = 250mm

panel plate() "A plate." {
  face plate on upright(0mm) { outline rect(wide, 90mm) }
  face lip off plate.right up 90deg { outline strip(4mm) }
}

part plate of steel = plate()
`

// Another maker's browser opens the page too, and its picture is none of one colour.
func TestFirefox(t *testing.T) {
	required(t, "firefox-esr")
	address, _ := designed(t, standing, display.Options{})
	shot := filepath.Join(t.TempDir(), "shot.png")
	ctx, cancel := context.WithTimeout(t.Context(), 90*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, "firefox-esr", "--headless", "--no-remote", "--profile", t.TempDir(), "--window-size=900,700", "--screenshot", shot, address)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatal(err, string(out))
	}
	data, err := os.ReadFile(shot)
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	dark := 0
	for _, x := range shrunk(m, 10).Pix {
		if x < 200 {
			dark++
		}
	}
	if dark < 50 {
		t.Errorf("%d dark places", dark)
	}
}

// Texts with markup are shown as they are, and run nowhere. A warning flies to its place.
func TestMarkup(t *testing.T) {
	address, _ := designed(t, shouting, display.Options{})
	p := open(t, address, 1000, 800)
	if got := js[string](p, "document.querySelector('h1').textContent"); !strings.Contains(got, "<script>") {
		t.Errorf("the name is %q", got)
	}
	if n := js[int](p, "document.scripts.length"); n != 1 {
		t.Errorf("%d scripts", n)
	}
	was := js[float64](p, "perch.camera.far")
	p.do(chromedp.ActionFunc(emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}}).Do))
	p.do(chromedp.Evaluate(`document.querySelector("[data-warning]").click()`, nil))
	if now := js[float64](p, "perch.camera.far"); now >= was || js[string](p, "perch.state.hand.kind") != "fold" {
		t.Errorf("from %g the camera went to %g", was, now)
	}
	p.quiet()
}

// Between two picks: by hand, of a box.
func TestMeasures(t *testing.T) {
	address, _ := designed(t, shouting, display.Options{})
	p := open(t, address, 1000, 800)
	for expression, want := range map[string][2]float64{
		"{p:[0,0,0]}, {p:[3,4,0]}":                           {5, -1},
		"{p:[0,0,0], n:[0,0,1]}, {p:[7,8,9], n:[0,0,-1]}":    {9, 180},
		"{p:[0,0,0], n:[0,0,1]}, {p:[7,8,9], n:[0,1,0]}":     {-1, 90},
		"{p:[0,0,0], d:[1,0,0]}, {p:[5,0,12], d:[0,1,0]}":    {12, 90},
		"{p:[0,0,0], d:[1,0,0]}, {p:[5,3,4], d:[-1,0,0]}":    {5, 0},
		"{p:[1,1,1]}, {p:[0,0,0], d:[1,0,0]}":                {math.Sqrt2, -1},
		"{p:[0,0,0], n:[0,0,1]}, {p:[1,1,6], d:[0.6,0.8,0]}": {6, 0},
	} {
		got := js[struct{ Distance, Angle *float64 }](p, "perch.between("+expression+")")
		for k, v := range []*float64{got.Distance, got.Angle} {
			if have := deref(v); math.Abs(have-want[k]) > 1e-6 {
				t.Errorf("%s: %g, not %g", expression, have, want[k])
			}
		}
	}
}

func deref(v *float64) float64 {
	if v == nil {
		return -1
	}
	return *v
}

// A value that is tried changes mesh and numbers; what it breaks is told, and the last good piece greyed.
func TestLivePage(t *testing.T) {
	required(t, "chromium")
	s := serve(t)
	p := open(t, s.Address(), 1100, 800)
	was := js[float64](p, "perch.current().hi[0]")
	set := func(name, value string) {
		p.do(chromedp.Evaluate(fmt.Sprintf(`(() => { const e = [...document.querySelectorAll(".field")].find(f => f.dataset.name == %q).querySelector("input[type=text]"); e.value = %q; e.dispatchEvent(new Event("change")); })()`, name, value), nil))
	}
	set("wide", "240mm")
	p.until(fmt.Sprintf("Math.abs(perch.current().hi[0] - %g) < 1e-6", was+20))
	p.until(`document.querySelector("#sheets article:not([hidden]) .values").textContent.includes("240mm")`)
	if got := js[float64](p, "Math.max(...perch.shapes[perch.current().shapes[0]].pos.filter((x, i) => i % 3 == 0))"); got < 100 {
		t.Errorf("the mesh reaches %g", got)
	}
	set("wide", "120mm")
	p.until(`document.getElementById("wrong").textContent.includes("wider than deep") && document.body.classList.contains("stale")`)
	s.save(t, strings.Replace(tray, "strip(20mm)", "strop(20mm)", 1))
	p.until(`document.getElementById("wrong").textContent.includes("strop") && document.body.classList.contains("stale")`)
	if n := js[int](p, "perch.current().copies.length"); n != 1 {
		t.Errorf("%d copies are left", n)
	}
	s.save(t, strings.Replace(tray, "strip(20mm)", "strip(25mm)", 1))
	p.until(`document.getElementById("wrong").textContent == "" && !document.body.classList.contains("stale")`)
	if js[int](p, `document.querySelectorAll(".field").length`) != 2 || js[int](p, `document.querySelectorAll(".field input[type=range]").length`) != 1 {
		t.Error("a param without a range has a slider, or one with a range has none")
	}
	for _, asked := range p.asked {
		if !strings.HasPrefix(asked, s.Address()) {
			t.Errorf("it asked for %s", asked)
		}
	}
	if len(p.said) > 0 {
		t.Errorf("it said %q", p.said)
	}
}
