package papers_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"perch/parts/dxf"
	"perch/parts/measure"
	"perch/parts/paper"
)

// asked skips where a program that others wrote is not asked.
func asked(t *testing.T, name string) {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("PERCH_REFEREES=require asks " + name)
	}
}

// referee runs a program that others wrote and returns what it says.
func referee(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	asked(t, name)
	cmd := exec.Command(name, args...)
	var told bytes.Buffer
	cmd.Stderr = &told
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, told.String())
	}
	return out
}

func saved(t *testing.T, doc *paper.Document) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "pages.pdf")
	var b bytes.Buffer
	if err := doc.PDF(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return file
}

// word is one of a page, where pdftotext finds it, in points.
type word struct {
	XMin float64 `xml:"xMin,attr"`
	YMin float64 `xml:"yMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

// words are those of every page of a file.
func words(t *testing.T, file string) [][]word {
	t.Helper()
	var doc struct {
		Pages []struct {
			Words []word `xml:"word"`
		} `xml:"body>doc>page"`
	}
	if err := xml.Unmarshal(referee(t, "pdftotext", "-bbox", file, "-"), &doc); err != nil {
		t.Fatal(err)
	}
	var out [][]word
	for _, p := range doc.Pages {
		out = append(out, p.Words)
	}
	return out
}

func (w word) meets(o word) bool {
	// A line's box holds room for accents and tails, which may touch the next line's.
	const slack = 1.2
	return w.XMin+slack < o.XMax && o.XMin+slack < w.XMax && w.YMin+slack < o.YMax && o.YMin+slack < w.YMax
}

// As poppler reads the pages of every example, no two words overlap and none is under 10 points;
// all fonts are embedded; and mupdf and qpdf open them too.
func TestReadersFindNoFault(t *testing.T) {
	asked(t, "pdftotext, qpdf and mutool")
	for _, file := range designs(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			j := opened(t, file)
			for _, doc := range packets(t, j) {
				pdf := saved(t, doc)
				readable(t, doc)
				pages := words(t, pdf)
				if len(pages) != len(doc.Pages) {
					t.Fatalf("%s: %d pages of %d", doc.Name, len(pages), len(doc.Pages))
				}
				for i, page := range pages {
					if len(page) < 10 {
						t.Errorf("%s, page %d: only %d words", doc.Name, i+1, len(page))
					}
					for k, w := range page {
						// The fonts' lines are 1.156 of their size high; of a short word, which may
						// be narrower than high, that is the greater side.
						high := min(w.YMax-w.YMin, w.XMax-w.XMin)
						if len([]rune(w.Text)) <= 4 {
							high = max(w.YMax-w.YMin, w.XMax-w.XMin)
						}
						if high < 10*1.15 {
							t.Errorf("%s, page %d: %q is of %.1f points", doc.Name, i+1, w.Text, high/1.156)
						}
						for _, o := range page[:k] {
							if w.meets(o) {
								t.Errorf("%s, page %d: %q and %q overlap at %.0f, %.0f", doc.Name, i+1, w.Text, o.Text, w.XMin, w.YMin)
							}
						}
					}
				}
				for _, f := range strings.Split(strings.TrimSpace(string(referee(t, "pdffonts", pdf))), "\n")[2:] {
					if w := strings.Fields(f); w[len(w)-5] != "yes" {
						t.Errorf("%s: not embedded: %s", doc.Name, f)
					}
				}
				referee(t, "qpdf", "--check", pdf)
				if said := string(referee(t, "mutool", "draw", "-F", "text", pdf, "1")); !strings.Contains(said, strings.Fields(doc.Name)[0]) {
					t.Errorf("mupdf does not read the design's name on the cover: %.80q", said)
				}
			}
		})
	}
}

type measured struct {
	Size                            [2]float64
	Outline, Holes, Openings, Marks [][2]float64
	Folds                           [][2][2]float64
}

// What stands at the running dimensions is what ezdxf measures on the blank's own drawing, to
// the ruler: each overall size and each place of a hole and of a bend across the axis is printed,
// as a dimension or in the list, and no number stands along the lower edge that is none of those
// measured.
func TestDimensionsAreThoseOfTheDrawing(t *testing.T) {
	asked(t, "pdftotext and ezdxf")
	for _, name := range []string{"stool", "inch_stool", "tutorial/4_hooks", "wall_hook", "parts_bin", "bench_lamp", "locker", "fire_basket", "truing_stand"} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(examples, name, filepath.Base(name)+".perch")
			if strings.Contains(name, "/") {
				file = filepath.Join(examples, name+".perch")
			}
			j := opened(t, file)
			read := measure.Paper{System: j.Program.Shown, Ruler: measure.Ruler{Division: 0.5}}
			if read.System == measure.Inches {
				read.Ruler = measure.Ruler{System: measure.Inches, Division: 1.0 / 32}
			}
			j.Shop.Ruler = read.Ruler
			results, _ := j.Results()
			r := results[0]
			for i, b := range r.Assembly.Blanks {
				drawn := filepath.Join(t.TempDir(), "blank.dxf")
				var out bytes.Buffer
				if err := dxf.Write(&out, b, dxf.Options{Design: "x"}); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(drawn, out.Bytes(), 0o666); err != nil {
					t.Fatal(err)
				}
				var found []measured
				if err := json.Unmarshal(referee(t, "/usr/bin/python3", "testdata/places_dxf.py", drawn), &found); err != nil {
					t.Fatal(err)
				}
				doc, err := j.Drawing(r, r.Assembly.Blanks[i:i+1])
				if err != nil {
					t.Fatal(err)
				}
				pages := words(t, saved(t, doc))
				compare(t, b.Name, found[0].turned(pages[0]), pages, read)
			}
		})
	}
}

// turned is what was measured as it lies on a page that says it is turned: by the angle, of those
// of its edges and bends that are the one said, that lays the greatest length level or upright.
func (m measured) turned(page []word) measured {
	said := 0.0
	for i, w := range page {
		if w.Text == "turned" && i+2 < len(page) && page[i+1].Text == "by" {
			said, _ = strconv.ParseFloat(strings.TrimSuffix(page[i+2].Text, "°"), 64)
		}
	}
	if said == 0 {
		return m
	}
	var lines [][2]float64
	for i, p := range m.Outline {
		q := m.Outline[(i+1)%len(m.Outline)]
		lines = append(lines, [2]float64{q[0] - p[0], q[1] - p[1]})
	}
	for _, f := range m.Folds {
		lines = append(lines, [2]float64{f[1][0] - f[0][0], f[1][1] - f[0][1]})
	}
	best, most := 0.0, 0.0
	for _, l := range lines {
		a := math.Mod(math.Atan2(l[1], l[0])+2*math.Pi+math.Pi/4, math.Pi/2) - math.Pi/4
		if math.Abs(math.Abs(a)*180/math.Pi-said) > 0.06 {
			continue
		}
		sum := 0.0
		for _, k := range lines {
			if n := math.Hypot(k[0], k[1]); n > 1 && math.Abs(math.Sin(2*(math.Atan2(k[1], k[0])-a))) < 1e-3 {
				sum += n
			}
		}
		if sum > most {
			best, most = a, sum
		}
	}
	sin, cos := math.Sincos(-best)
	turn := func(p [2]float64) [2]float64 { return [2]float64{cos*p[0] - sin*p[1], sin*p[0] + cos*p[1]} }
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range m.Outline {
		q := turn(p)
		lo, hi = [2]float64{min(lo[0], q[0]), min(lo[1], q[1])}, [2]float64{max(hi[0], q[0]), max(hi[1], q[1])}
	}
	at := func(p [2]float64) [2]float64 { q := turn(p); return [2]float64{q[0] - lo[0], q[1] - lo[1]} }
	all := func(list [][2]float64) (out [][2]float64) {
		for _, p := range list {
			out = append(out, at(p))
		}
		return out
	}
	out := measured{Size: [2]float64{hi[0] - lo[0], hi[1] - lo[1]}, Outline: all(m.Outline), Holes: all(m.Holes), Openings: all(m.Openings), Marks: all(m.Marks)}
	for _, f := range m.Folds {
		out.Folds = append(out.Folds, [2][2]float64{at(f[0]), at(f[1])})
	}
	return out
}

func compare(t *testing.T, blank string, m measured, pages [][]word, read measure.Paper) {
	t.Helper()
	printed := map[string]bool{}
	for _, p := range pages {
		for _, w := range p {
			printed[strings.Trim(w.Text, "(),;")] = true
		}
	}
	text := func(mm float64) []string { // halves of a step may go either way
		return []string{read.Overall(mm - 1e-5), read.Overall(mm + 1e-5)}
	}
	want := func(what string, mm float64) {
		if s := text(mm); !printed[s[0]] && !printed[s[1]] {
			t.Errorf("%s: %s at %.4f is not printed as %s", blank, what, mm, s[0])
		}
	}
	allowed := map[string]bool{}
	for axis, what := range []string{"x", "y"} {
		want("the size along "+what, m.Size[axis])
		for _, h := range m.Holes {
			want("a hole's "+what, h[axis])
		}
		for _, f := range m.Folds {
			if math.Abs(f[0][axis]-f[1][axis]) < 1e-3 {
				want("a bend's "+what, f[0][axis])
			}
		}
	}
	for _, list := range [][][2]float64{m.Outline, m.Holes, m.Openings, m.Marks, {{0, 0}, m.Size}} {
		for _, p := range list {
			for _, s := range text(p[0]) {
				allowed[s] = true
			}
		}
	}
	for _, f := range m.Folds {
		for _, p := range f {
			for _, s := range text(p[0]) {
				allowed[s] = true
			}
		}
	}
	// A drilled hole's mark is a cross: its middle is where its strokes' middles are.
	for i := 0; i+1 < len(m.Marks); i += 2 {
		for _, s := range text((m.Marks[i][0] + m.Marks[i+1][0]) / 2) {
			allowed[s] = true
		}
	}
	// A tack's mark is two ticks that begin on the edge, its middle between them.
	for i := 0; i+2 < len(m.Marks); i += 4 {
		for _, s := range text((m.Marks[i][0] + m.Marks[i+2][0]) / 2) {
			allowed[s] = true
		}
	}
	number := regexp.MustCompile(`^[0-9][0-9./-]*$`)
	rising := 0
	for _, w := range pages[0] {
		if w.YMax-w.YMin < w.XMax-w.XMin || len(w.Text) < 3 || !number.MatchString(w.Text) {
			continue
		}
		rising++
		if !allowed[w.Text] {
			t.Errorf("%s: %s stands along the lower edge, which is no x that was measured", blank, w.Text)
		}
	}
	if rising == 0 && len(text(m.Size[0])[0]) > 2 {
		t.Errorf("%s: no dimension stands along the lower edge", blank)
	}
}
