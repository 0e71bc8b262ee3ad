package explain

import (
	"testing"

	"perch/lang/diag"
)

// unmended are the codes of whose wrong example perch proposes no mend that it could carry
// out itself, and why none can be: it is the maker's to say.
var unmended = map[string]string{
	"P1011": "which number was meant is not known",
	"P1104": "what it was to be part of is the maker's to say",
	"P1206": "the point's other coordinate is not known",
	"P2004": "which name is to be stated otherwise is the maker's to say",
	"P2005": "which part is to be placed otherwise is the maker's to say",
	"P2007": "which module is to do without the other is the maker's to say",
	"P2012": "what was to be reckoned is not known",
	"P2013": "a dimension that changes with a param has no other way to be written",
	"P2015": "what the rule is to ask is not known",
	"P2020": "which value of the size was meant is not known",
	"P2023": "the argument's value is not known",
	"P2029": "which edge it is to hang off is the maker's to say",
	"P2031": "the point's other coordinate is not known",
	"P2033": "which face was meant is not known",
	"P2036": "which face is the other is the maker's to say",
	"P2037": "which of the part's faces is the maker's to say",
	"P2039": "where it is to hang, or how it is to be drawn, is the maker's to say",
	"P2040": "the face's outline is the maker's to say",
	"P2061": "how many copies were meant is not known",
	"P2062": "which item was meant, or what the item lacking is, is not known",
	"P2063": "how the table goes on is not known",
	"P2064": "which other part was meant is not known",
	"P3002": "the value is the maker's to say",
	"P3006": "which of the lengths is to give way is the maker's to say",
	"P3007": "which of the two is to be sought is the maker's to say",
	"P3010": "which of the lengths is to give way is the maker's to say",
	"P3011": "where it is to stop is the maker's to say",
	"P3012": "that no value does is not mended by another value",
	"P3013": "the values hold: that there are others is the maker's to judge",
	"P4001": "which of the two lengths is to give way is the maker's to say",
	"P4002": "where the outline is to end is the maker's to say",
	"P4003": "the hole's diameter is not known",
	"P4004": "how far it was to be moved in is not known",
	"P4006": "which side's band or which plane was meant is not known",
	"P4007": "which side was meant is not known",
	"P4008": "from which corner was meant is not known",
	"P4010": "which plane was meant is not known",
	"P4011": "which faces were meant is not known",
	"P4014": "where the hole was to go is not known",
	"P4021": "how the faces were to meet is not known",
	"P4022": "where the hole was to be is not known",
	"P4023": "which faces were meant is not known",
	"P5001": "which of the parts is to be moved is the maker's to say",
	"P5002": "which part is to be larger, or the rivet smaller, is the maker's to say",
	"P5003": "on which of the faces the places lie is the maker's to say",
	"P9001": "what it is to stand on is the maker's to say",
	"P9003": "by which cuts it hangs is not known",
	"P9002": "where the load was to act is not known",
	"P7008": "what is stated of the old name elsewhere goes by the new one too, which the editor's rename sees to",
	"P5004": "which of the parts is to give way is the maker's to say",
	"P5005": "which of the faces is to give way is the maker's to say",
	"P5006": "whether the face is to be fastened elsewhere or left out is the maker's to say",
	"P6002": "which gauge was meant is not known",
	"P6013": "where the hole can be is the maker's to say",
	"P6014": "where the rivets can be is the maker's to say",
	"P6015": "where the rivets can be is the maker's to say",
	"P6018": "where the rivets can be is the maker's to say",
	"P6019": "where the rivets can be is the maker's to say",
	"P6022": "where the holes can be is the maker's to say",
	"P6024": "where the bead can be is the maker's to say",
	"P6026": "another fastener or another sheet is the maker's to choose",
	"P6028": "where the plugs can be is the maker's to say",
	"P6031": "another sheet, or another shop, is the maker's to choose",
	"P6033": "another sheet, or a flange, is the maker's to choose",
	"P6034": "another radius is the maker's to choose: ends that are ground fit as well",
	"P6036": "of which parts it is to be made is the maker's to say",
	"P6037": "another bolt, or another drill, is the maker's to choose",
	"P6038": "thinner sheets or another fastener is the maker's to choose",
	"P6041": "other letters are the maker's to choose",
	"P6042": "which flange, order or brake gives way is the maker's to say",
	"P6050": "it is no mistake: the maker leaves room for a nick, or punches",
	"P6040": "another fastener, or bare sheet, is the maker's to choose",
}

// TestFixesOfExamples applies what is proposed for every wrong example: the design is
// checked clean then. A code without such a fix stands in the list above with its reason.
func TestFixesOfExamples(t *testing.T) {
	for _, code := range Codes() {
		p, _ := Get(code)
		if p.Wrong == nil {
			continue
		}
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			got := compile(t, p.Wrong)
			if noted[code] {
				got = append(got, notes(t, code, p.Wrong)...)
			}
			var of *diag.Diagnostic
			for i := range got {
				if got[i].Code == code && got[i].Fix != nil {
					of = &got[i]
					break
				}
			}
			why, none := unmended[code]
			switch {
			case of == nil && !none:
				t.Fatalf("no fix is proposed:\n%s", render(got))
			case of == nil:
				if why == "" {
					t.Error("it is not said why there is no fix")
				}
				return
			case none:
				t.Fatalf("it is listed as having no fix, and has: %s", of.Fix.Message)
			}
			e := mended(p.Wrong, of.Fix)
			if left := compile(t, e); len(left) > 0 {
				t.Errorf("with the fix there is left\n%s\nof\n%s", render(left), e.Text)
			}
		})
	}
}

// mended is an example with a fix applied, in whichever of its files it is to be.
func mended(e *Example, fix *diag.Fix) *Example {
	of := func(name, text string) string {
		own := diag.Fix{}
		for _, edit := range fix.Edits {
			if edit.Span.Source.Name == name {
				own.Edits = append(own.Edits, edit)
			}
		}
		return own.Apply(text)
	}
	out := &Example{Text: of("example.perch", e.Text), Files: map[string]string{}}
	for name, text := range e.Files {
		out.Files[name] = of(name, text)
	}
	return out
}

// TestFixesOfExamplesInInches does so where the design is written in inches: what is
// written is rounded there to what makers write, and still enough.
func TestFixesOfExamplesInInches(t *testing.T) {
	applied := 0
	for _, code := range Codes() {
		p, _ := Get(code)
		if p.Wrong == nil || unmended[code] != "" || noted[code] || code == "P2071" || code == "P1008" {
			continue
		}
		inch := Example{Text: inInches(p.Wrong.Text), Files: map[string]string{}}
		for name, text := range p.Wrong.Files {
			inch.Files[name] = inInches(text)
		}
		for _, d := range compile(t, &inch) {
			if d.Code != code || d.Fix == nil {
				continue
			}
			applied++
			e := mended(&inch, d.Fix)
			for _, left := range compile(t, e) {
				if left.Code == code {
					t.Errorf("%s: with the fix there is left\n%s\nof\n%s", code, left, e.Text)
				}
			}
			break
		}
	}
	if applied < 50 {
		t.Errorf("only %d fixes were applied", applied)
	}
}
