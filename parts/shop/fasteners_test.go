package shop

import (
	"math"
	"os"
	"slices"
	"testing"
)

func TestGripTableIsTheReference(t *testing.T) {
	ref, err := os.ReadFile("../../testdata/rivet-grip.csv")
	if err != nil {
		t.Fatal(err)
	}
	if string(ref) != string(gripTable) {
		t.Error("rivet-grip.csv here and in testdata differ")
	}
	var got []float64
	for _, r := range blindRivets {
		got = append(got, r.Diameter)
	}
	if want := []float64{2.4, 3, 3.2, 4, 4.8, 5, 6, 6.4}; !slices.Equal(got, want) {
		t.Errorf("diameters %v, want %v", got, want)
	}
}

// Numbers of ISO 15981, read off the table as publicly reproduced.
func TestBlindRivetsByStandard(t *testing.T) {
	for _, c := range []struct{ d, grip, want float64 }{
		{3.2, 1.4, 5}, {3.2, 1.5, 5}, {3.2, 1.6, 6}, {3.2, 8, 12}, {3.2, 23, 0}, {3.2, 0.4, 0},
		{4, 3, 6}, {4, 3.1, 8}, {4.8, 1.4, 0}, {4.8, 4, 8}, {4.8, 4.1, 10}, {4.8, 25, 30},
		{6.4, 2.9, 0}, {6.4, 3, 12}, {6.4, 23, 30}, {2.4, 4, 9}, {7, 5, 0},
	} {
		l, ok := BlindRivet(c.d).ForGrip(c.grip)
		if l.Length != c.want || ok != (c.want > 0) {
			t.Errorf("rivet of %g, grip %g: length %g, want %g", c.d, c.grip, l.Length, c.want)
		}
	}
	for _, r := range Default().Rivets { // what the shop stocks is of the table
		for _, l := range r.Lengths {
			if !slices.Contains(BlindRivet(r.Diameter).Lengths, l) {
				t.Errorf("rivet of %g: %+v is not of ISO 15981", r.Diameter, l)
			}
		}
	}
}

// Shanks of solid rivets: grip + 1.5 d for a round tail, 0.8 d countersunk (common
// practice); lengths of DIN 660 (from memory).
func TestShanks(t *testing.T) {
	s := Default()
	for _, c := range []struct {
		d           float64
		closing     Closing
		countersunk bool
		grip        float64
		want        Shank
	}{
		{4, Cold, false, 3, Shank{Length: 10, Need: 9, Cut: 9, Listed: true}},
		{4, Cold, false, 4, Shank{Length: 10, Need: 10, Listed: true}},
		{5, Hot, false, 4, Shank{Length: 12, Need: 11.5, Listed: true}},
		{4, Cold, true, 4.8, Shank{Length: 8, Need: 8, Listed: true}},
		{4, Welded, false, 6, Shank{Length: 8, Need: 8, Listed: true}},
		{4, Cold, false, 20, Shank{Need: 26, Listed: true}},
		{4.8, Pulled, false, 3, Shank{Length: 8, Need: 8, Listed: true}},
		{4.8, Pulled, false, 13, Shank{Need: 20, Listed: true}},
		{4.8, Pulled, false, 1, Shank{Listed: true}},
	} {
		if got := s.RivetShank(c.d, c.closing, c.countersunk, c.grip); !near4(got, c.want) {
			t.Errorf("%g %s, grip %g: %+v, want %+v", c.d, c.closing, c.grip, got, c.want)
		}
	}
	// M6: 3 + 5.2 nut (ISO 4032) + two washers of 1.6 (ISO 7089) + a fifth of 6.
	if got, want := s.BoltShank(6, 3), (Shank{Length: 16, Need: 12.6, Listed: true}); !near4(got, want) {
		t.Errorf("M6, grip 3: %+v, want %+v", got, want)
	}
	// 1/4 in on 1/4 in of sheet: 6.35 + 5.56 + 3.30 + 1.27 = 16.48: 3/4 in.
	if got := s.BoltShank(6.35, 6.35); math.Abs(got.Length-19.05) > 1e-9 || math.Abs(got.Need-16.4846) > 1e-6 {
		t.Errorf("1/4 in, grip 1/4 in: %+v", got)
	}
	if got := s.BoltShank(7, 3); got.Length != 0 || got.Listed || math.Abs(got.Need-13.5) > 1e-9 {
		t.Errorf("a bolt that is not stocked: %+v", got)
	}
}

func near4(a, b Shank) bool {
	return math.Abs(a.Length-b.Length) < 1e-9 && math.Abs(a.Need-b.Need) < 1e-9 && math.Abs(a.Cut-b.Cut) < 1e-9 && a.Listed == b.Listed
}

func TestLoadFasteners(t *testing.T) {
	s, err := Load(`
[drill]
sizes = [6.5, 3.3, 4.1]
[tools]
riveter = [12, 220]
bit = 30
[[solid_rivet]]
diameter = 4
hole = 4.1
head = 7
lengths = [14, 10]
[[bolt]]
diameter = 5
hole = 5.5
lengths = [16, 12]
`)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.Drill.Sizes, []float64{3.3, 4.1, 6.5}) || s.Tools.Riveter != (Room{Radius: 12, Length: 220}) || s.Tools.Drill != (Room{Radius: 20, Length: 200, From: 30}) {
		t.Errorf("drills %v, tools %+v", s.Drill.Sizes, s.Tools)
	}
	if len(s.Solid) != 1 || !slices.Equal(s.Solid[0].Lengths, []float64{10, 14}) || len(s.Rivets) != 4 {
		t.Errorf("solid %+v, blind %+v", s.Solid, s.Rivets)
	}
	if b, ok := s.Bolt(5); !ok || !slices.Equal(b.Lengths, []float64{12, 16}) || b.Nut != 4.5 || b.Washer != 1 {
		t.Errorf("bolt %+v", b)
	}
	for text, want := range map[string]string{
		"[tools]\nbit = 300\n":                                       "1:1: tools: bit 300 mm is not below the drill's room of 200 mm",
		"[tools]\nriveter = [10]\n":                                  "2:1: tools.riveter: must be a list of 2 numbers",
		"[tools]\nhammer = 12\n":                                     "2:1: tools.hammer: must be a list of 2 numbers",
		"[tools]\npliers = [1, 2]\n":                                 "2:1: tools.pliers: no such key here; there are bit, dolly, drill, hammer, riveter, torch, wire, wrench",
		"[[solid_rivet]]\ndiameter = 4\nhole = 3\nhead = 7\n":        "3:1: solid_rivet[1].hole: hole 3 mm is smaller than the rivet, 4 mm",
		"[[solid_rivet]]\ndiameter = 4\nhole = 4.1\n":                "1:1: solid_rivet[1]: needs a head",
		"[[bolt]]\ndiameter = 5\nhole = 5.5\nlengths = [\"long\"]\n": "4:1: bolt[1].lengths[1]: must be a number, is a text",
		"[drill]\nsizes = [0]\n":                                     "2:1: drill.sizes[1]: 0 mm is not in 0.1..100 mm",
	} {
		if _, err := Load(text); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", text, err, want)
		}
	}
}
