package mockup_test

import (
	"errors"
	"testing"

	"perch/parts/mockup"
	"perch/parts/record/stool"
)

func TestScaleWords(t *testing.T) {
	for text, want := range map[string]float64{"1:4": 0.25, "1:1": 1, " 1 : 2.5": 0.4, "2:1": 2} {
		s, err := mockup.ParseScale(text)
		if err != nil || s.Factor() != want {
			t.Errorf("%q is read as %v, %v", text, s, err)
		}
	}
	for _, text := range []string{"", "small", "4", "1/4", "0.25", "1:0", "0:4", "1:-4", "1:4:2", "1:NaN", "1:Inf", "1:1e9", "1:501", "11:1", ":", "1:", "1:٤", "1:9999999999999"} {
		s, err := mockup.ParseScale(text)
		if !errors.As(err, new(*mockup.ScaleError)) {
			t.Errorf("%q is taken for the scale %v", text, s)
		}
	}
}

// The stool's flaps are 70 mm deep: at 1:200 a tab in them is 0.35 mm wide at most, at 1:100
// less than 0.7.
func TestTabThinnerThanAPencilLine(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	_, err = mockup.Make(a, mockup.Scale{Paper: 1, Metal: 200})
	var small *mockup.SmallError
	if !errors.As(err, &small) || small.Paper >= mockup.Pencil || small.Enough.Factor() <= 1.0/200 {
		t.Fatalf("1:200 is answered by %v", err)
	}
	if _, err := mockup.Make(a, small.Enough); err != nil {
		t.Errorf("the scale that was advised, %v, is answered by %v", small.Enough, err)
	}
}
