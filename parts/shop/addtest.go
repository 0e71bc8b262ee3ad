package shop

import (
	"fmt"
	"math"
	"strings"

	"perch/parts/bend"
	"perch/parts/decimal"
)

// AddMeasured is the text of a shop file with one more test bend, and the line that it
// begins at, from 1; every other byte stays. It stands before all other test bends, since of
// two that speak for the same bend the first written does. The note, one line, stands above
// it. The error is FileErrors where the file can't be read, or tells why the bend finds no
// place in it.
func AddMeasured(text string, m Measured, note string) (string, int, error) {
	s, err := Load(text)
	if err != nil {
		return "", 0, err
	}
	r, top, err := openFile(text)
	if err != nil {
		return "", 0, err
	}
	if unit, _ := top.values["unit"].(string); unit == "in" {
		r.scale = inch
	}
	end := "\n"
	if strings.Contains(text, "\r\n") {
		end = "\r\n"
	}
	at := placeForTest(text, r.places)
	entry := testEntry(m, note, r.scale)
	if at == len(text) && text != "" {
		if !strings.HasSuffix(text, "\n") {
			entry = "\n" + entry
		}
		entry = "\n" + entry
	} else if text != "" {
		entry += "\n"
	}
	entry = strings.ReplaceAll(entry, "\n", end)
	out := text[:at] + entry + text[at:]
	line := 1 + strings.Count(text[:at], "\n") + strings.Count(entry[:strings.Index(entry, "[[")], "\n")
	after, err := Load(out)
	if err != nil || len(after.Measured) != len(s.Measured)+1 {
		return "", 0, fmt.Errorf("test bends do not stand in it as [[test_bend]]: write them so, or add one by hand:\n%s", testEntry(m, note, r.scale))
	}
	return out, line, nil
}

// placeForTest is where a new test bend goes: ahead of the first that the file has, and of
// the comment on it; else at the end.
func placeForTest(text string, places map[string]place) int {
	first, ok := places["test_bend[1]"]
	if !ok {
		return len(text)
	}
	lines := strings.SplitAfter(text, "\n")
	k := first.line - 1
	for k > 0 && strings.HasPrefix(strings.TrimSpace(lines[k-1]), "#") {
		k--
	}
	return len(strings.Join(lines[:k], ""))
}

// testEntry is a test bend as a shop file has it, in a unit of so many mm.
func testEntry(m Measured, note string, scale float64) string {
	length := func(mm float64) string { return string(decimal.Append(nil, mm/scale, decimal.Length)) }
	var b strings.Builder
	if note != "" {
		b.WriteString("# " + note + "\n")
	}
	b.WriteString("[[test_bend]]\n")
	if m.Material != "" {
		fmt.Fprintf(&b, "material = %q\n", m.Material)
	}
	fmt.Fprintf(&b, "thickness = %s\nradius = %s\nangle = %s\nk = %s\n", length(m.Thickness), length(m.Radius),
		decimal.Append(nil, m.Angle/bend.Degree, 6), decimal.Append(nil, math.Round(float64(m.K*1000))/1000, 3))
	return b.String()
}
